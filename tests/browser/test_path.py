"""From what is seen to the cause, by touch: every symptom walked to every one of its causes."""


import pytest
from playwright.sync_api import Page, expect

from macros.check import load_and_check
from macros.faults import likely
from macros.serve import Server
from tests.browser.conftest import CONTENT

HANDBOOK, _PROBLEMS = load_and_check(CONTENT)


def begin(page: Page, served: Server, symptom: str) -> None:
    page.goto(f"{served.url}seen/{symptom}/")
    page.locator(".path-next [data-cannot], .path-next .remedy").first.wait_for(timeout=60_000)


def check_of(page: Page, symptom) -> str | None:
    """The check that is asked for now; None when the path has ended."""
    if page.locator(".path-next .remedy").count():
        return None
    says = page.locator(".path-next .says").inner_text()
    return next(name for name, one in symptom.checks.items() if one.title.lower() == says.rstrip(".").lower())


def touch(page: Page, selector: str) -> None:
    """Touch and wait until the path has gone on."""
    before = page.locator(".path-next").inner_html()
    page.locator(selector).first.click()
    page.wait_for_function("(before) => document.querySelector('.path-next').innerHTML !== before", arg=before)


def answer(page: Page, symptom, check: str, cause: str) -> None:
    """Give the check the result that is likeliest under the cause."""
    shares = likely(symptom, check, cause)
    words = symptom.checks[check].results[max(shares, key=shares.get)]
    touch(page, f'.path-next [data-result="{words}"]')


def look_again(page: Page) -> None:
    """Look at everything once more that the finding hangs on, and see the same."""
    while page.locator(".path-next [data-same]").count():
        touch(page, ".path-next [data-same]")


@pytest.mark.parametrize("name", HANDBOOK.symptoms)
def test_every_symptom_leads_to_every_one_of_its_causes(page: Page, served: Server, name: str):
    symptom = HANDBOOK.symptoms[name]
    begin(page, served, name)
    for cause in symptom.causes:
        done, in_vain = [], []
        while True:
            while (check := check_of(page, symptom)) is not None:
                assert check not in done
                done.append(check)
                answer(page, symptom, check, cause)
            look_again(page)
            named = page.locator(".path-next [data-mended]").get_attribute("data-mended")
            remedy = page.locator(".path-next .remedy").get_attribute("href")
            assert remedy.endswith(f"/procedures/{symptom.causes[named].mends}/")
            if named == cause:
                break
            # Only where the checks do not tell, or would not repay their minutes, is another cause mended first.
            assert named not in in_vain and page.locator("#next").inner_text() != "The cause"
            in_vain.append(named)
            touch(page, ".path-next [data-mended]")
        assert len(in_vain) <= 1
        touch(page, "[data-again]")


def test_a_finding_is_certain_only_when_it_was_looked_at_twice(page: Page, served: Server):
    symptom = HANDBOOK.symptoms["streaks"]
    begin(page, served, "streaks")
    answer(page, symptom, check_of(page, symptom), "litter")
    head = page.locator("#next")
    expect(head).to_have_text("Mend this next")
    expect(page.locator(".path-next .says")).to_contain_text("To be certain, look once more: Raise the squeegee")
    touch(page, ".path-next [data-take]")  # it is otherwise: the check stands there again
    assert check_of(page, symptom) == "lift"
    answer(page, symptom, "lift", "litter")
    touch(page, ".path-next [data-same]")
    expect(head).to_have_text("The cause")
    expect(page.locator(".path-found .lines > li")).to_contain_text("Seen twice.")


def test_what_was_mended_in_vain_is_out_and_can_be_taken_back(page: Page, served: Server):
    symptom = HANDBOOK.symptoms["streaks"]
    begin(page, served, "streaks")
    answer(page, symptom, check_of(page, symptom), "litter")
    touch(page, ".path-next [data-mended]")
    assert check_of(page, symptom) is not None
    begin(page, served, "streaks")
    page.locator(".path-found [data-unmend]").wait_for()
    expect(page.locator(".path-found .lines")).to_contain_text("Litter under the rear blade. Mended, and still seen.")
    touch(page, ".path-found [data-unmend]")
    assert page.locator(".path-next .remedy").count() == 1


def test_what_was_found_survives_a_reload_and_can_be_taken_back(page: Page, served: Server):
    symptom = HANDBOOK.symptoms["whole"]
    begin(page, served, "whole")
    first = check_of(page, symptom)
    answer(page, symptom, first, "hose-split")
    second = check_of(page, symptom)
    touch(page, ".path-next [data-cannot]")
    third = check_of(page, symptom)
    assert len({first, second, third}) == 3
    begin(page, served, "whole")
    page.locator(".path-found .lines > li").nth(1).wait_for()
    assert page.locator(".path-found .lines > li").count() == 2
    expect(page.locator(".path-next .says")).to_have_text(symptom.checks[third].title + ".")
    touch(page, f'[data-take="{second}"]')
    assert check_of(page, symptom) == second
    touch(page, "[data-again]")
    assert check_of(page, symptom) == first
    assert page.locator(".path-found").is_hidden()


def test_something_else_leads_on(page: Page, served: Server):
    begin(page, served, "foam")
    touch(page, ".path-next [data-other]")
    # Home first, then the symptom's own procedures: no handbook need have any other.
    led = [link.get_attribute("href") for link in page.locator(".path-next a").all()]
    assert led == [served.url, *(f"{served.url}procedures/{one}/" for one in HANDBOOK.symptoms["foam"].go)]
    touch(page, '[data-take=""]')
    page.locator(".path-next [data-cannot]").wait_for()


def test_every_check_refused_still_ends_with_a_remedy(page: Page, served: Server):
    begin(page, served, "smear")
    symptom = HANDBOOK.symptoms["smear"]
    for _check in symptom.checks:
        if check_of(page, symptom) is not None:
            touch(page, ".path-next [data-cannot]")
    assert page.locator(".path-next .remedy").count() == 1


def test_the_delivered_path_is_the_one_that_the_script_shows(page: Page, served: Server):
    delivered = page.request.get(f"{served.url}seen/side/").text()
    begin(page, served, "side")
    assert page.locator(".path-next .says").inner_text() in delivered
    for item in page.locator(".causes > li").all():
        assert item.locator("b").inner_text() in delivered


def test_without_python_the_chart_leads_on(page: Page, served: Server):
    page.add_init_script("delete globalThis.WebAssembly")
    page.goto(f"{served.url}seen/whole/")
    expect(page.locator(".path-state")).to_contain_text("Follow the chart below instead.", timeout=30_000)
    page.locator(".chart-fold > summary").click()
    assert page.locator(".chart > li").count() >= 3
    assert page.locator(".chart > li").first.is_visible()
