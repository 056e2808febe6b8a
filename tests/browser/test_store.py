"""The record's store: what it keeps over a reload, two windows at once, all or nothing, storage full or refused."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page

from macros.serve import Server
from tests.browser.tools import EDITION, alive, quota

STORE = "const store = await import(new URL('../record/store.js', document.querySelector('script').src));"

BLOCKED = "Object.defineProperty(globalThis, 'indexedDB', {{ get() {{ {} }} }});"


def blank(page: Page, served: Server) -> Page:
    """A page of the handbook that keeps no record by itself."""
    page.goto(served.url + "glossary/")
    alive(page)
    return page


def run(page: Page, script: str, given: object = None) -> object:
    """What the script returns that uses `store` and `given` in the page."""
    return page.evaluate(f"async (given) => {{ {STORE} {script} }}", given)


def begun(page: Page, **values: object) -> str:
    """A visit with these values, begun; its id."""
    return run(page, "return (await store.begin(given)).id;", values)


def test_a_visit_is_there_after_a_reload_and_open(page: Page, served: Server):
    blank(page, served)
    first = begun(page, machine={"id": "deck-710", "serial": "A1"})
    second = begun(page, customer="C-7")
    blank(page, served)
    visits = run(page, "return store.all();")
    assert [one["id"] for one in visits] == [second, first], "newest first"
    assert visits[1]["machine"] == {"id": "deck-710", "title": "", "serial": "A1", "hours": None}
    assert {"kind": "visit", "version": 1, "edition": EDITION, "ended": None, "customer": "C-7"}.items() <= visits[0].items()
    assert re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", first)
    assert run(page, "return (await store.current()).id;") == second
    run(page, "await store.setCurrent(given);", first)
    assert run(page, "return (await store.current()).id;") == first
    run(page, "await store.remove(given);", first)
    assert run(page, "return [await store.current(), await store.get(given), (await store.all()).length];", first) \
        == [None, None, 1]


def test_changes_of_two_windows_come_one_after_the_other(context: BrowserContext, served: Server):
    one, two = blank(context.new_page(), served), blank(context.new_page(), served)
    visit = begun(one)
    many = """window.done = (async () => { const all = [];
      for (let number = 0; number < 40; number += 1) all.push(store.change(given, (visit) => { visit.notes += 'x'; }));
      return Promise.all(all); })();"""
    run(one, many, visit)
    run(two, many, visit)
    moments = [page.evaluate("done.then((all) => all.map((visit) => visit.changed))") for page in (one, two)]
    assert run(one, "return (await store.get(given)).notes.length;", visit) == 80
    assert len({moment for own in moments for moment in own}) == 80, "each change is later than the one before"


def test_the_moment_of_a_change_never_goes_back_with_the_clock(page: Page, served: Server):
    blank(page, served)
    moments = run(page, """const { id, changed } = await store.begin({});
      Date.now = () => Date.parse(changed) - 86400000;
      return [changed, (await store.change(id, () => {})).changed];""")
    assert moments[0] < moments[1]


def test_a_change_is_heard_in_every_window(context: BrowserContext, served: Server):
    one, two = blank(context.new_page(), served), blank(context.new_page(), served)
    for page in (one, two):
        run(page, "window.heard = new Promise((done) => store.news.addEventListener('change', () => done(true)));")
    begun(one)
    assert one.evaluate("heard") and two.evaluate("heard")


def test_a_change_that_fails_changes_nothing(page: Page, served: Server):
    blank(page, served)
    visit = begun(page, notes="as it was")
    why = "return store.change(given, {}).then(() => null, (trouble) => [trouble.name, trouble.why]);"
    assert run(page, why.format("(visit) => { visit.notes = 'x'; throw new Error('of ours'); }"), visit) == ["Error", "broken"]
    assert run(page, why.format("(visit) => { visit.notes = () => {}; }"), visit) == ["Error", "broken"]
    assert run(page, why.format("() => {}"), "no such visit") == ["Error", "missing"]
    assert run(page, "return (await store.get(given)).notes;", visit) == "as it was"


def test_photographs_lie_apart_and_go_with_their_visit(page: Page, served: Server):
    blank(page, served)
    visit = begun(page)
    ids = run(page, """const blob = new Blob(['one'], { type: 'image/jpeg' });
      return [(await store.addPhotograph(given, blob, { width: 3, height: 2 })).id,
              (await store.addPhotograph(given, blob)).id];""", visit)
    kept = run(page, "return (await store.get(given)).photographs;", visit)
    assert [one["id"] for one in kept] == ids
    assert {"type": "image/jpeg", "width": 3, "height": 2, "about": ""}.items() <= kept[0].items()
    read = "return Promise.all(given.map(async (id) => { const blob = await store.photograph(id); return blob && [blob.type, await blob.text()]; }));"
    assert run(page, read, ids) == [["image/jpeg", "one"]] * 2
    after = run(page, "return store.takeOut(given[0], 'photographs', given[1]);", [visit, ids[0]])
    assert [one["id"] for one in after["photographs"]] == ids[1:] and after["removed"] == ids[:1]
    assert run(page, read, ids) == [None, ["image/jpeg", "one"]]
    run(page, "await store.remove(given);", visit)
    assert run(page, read, ids) == [None, None]


def test_whole_visits_are_put_all_or_none(page: Page, served: Server):
    blank(page, served)
    put = """const photographs = new Map([['p', new Blob(['bytes'], { type: 'image/png' })]]);
      return store.putAll(given.map((visit) => ({ visit, photographs }))).then(() => null, (trouble) => trouble.why);"""
    assert run(page, put, [{"id": "a", "begun": "2026-01-01"}, {"no": "id"}]) == "broken"
    assert run(page, "return [await store.all(), await store.photograph('p')];") == [[], None]
    assert run(page, put, [{"id": "a", "begun": "2026-01-01"}, {"id": "b", "begun": "2026-01-02"}]) is None
    assert run(page, "return (await store.all()).map((visit) => visit.id);") == ["b", "a"]
    assert run(page, "return (await store.photograph('p')).size;") == 5


@pytest.mark.parametrize("how", ["return undefined;", "throw new DOMException('no', 'SecurityError');",
                                 "return { open() { throw new DOMException('no', 'SecurityError'); } };"])
def test_a_refused_storage_is_said(page: Page, served: Server, how: str):
    page.add_init_script(BLOCKED.format(how))
    blank(page, served)
    found = run(page, """const all = [];
      for (const act of [() => store.open(), () => store.all(), () => store.begin({}), () => store.current()]) {
        all.push(await act().then(() => null, (trouble) => [trouble instanceof store.Refused, trouble.why]));
      } return all;""")
    assert found == [[True, "refused"]] * 4


def test_a_whole_visit_meets_what_was_written_in_between(page: Page, served: Server):
    blank(page, served)
    visit = begun(page, notes="here")
    run(page, """const theirs = { ...await store.get(given), notes: 'theirs' };
      const written = store.change(given, (visit) => { visit.notes += ', in between'; });
      await store.putAll([{ visit: theirs }], (mine, other) => ({ ...mine, notes: `${mine.notes}; ${other.notes}` }));
      await written;""", visit)
    assert run(page, "return (await store.get(given)).notes;", visit) == "here, in between; theirs"


def test_a_full_storage_is_said_and_what_was_there_stands(page: Page, served: Server):
    with quota(page, served.url, 2_000_000):
        blank(page, served)
        visit = begun(page, notes="as it was")
        trouble = run(page, """return store.change(given, (visit) => { visit.notes = 'x'.repeat(4e6); })
          .then(() => null, (trouble) => [trouble.why, trouble.message]);""", visit)
        assert trouble[0] == "full" and "storage is full" in trouble[1]
        assert run(page, "return (await store.get(given)).notes;", visit) == "as it was"
        run(page, "await store.change(given, (visit) => { visit.notes = 'and more'; });", visit)


def test_what_a_newer_edition_wrote_is_left_alone(page: Page, served: Server):
    blank(page, served)
    page.evaluate("""async () => { const { prefix } = await import(new URL('site.js', document.querySelector('script').src));
      await new Promise((done) => { const asked = indexedDB.open(`${prefix}record`, 2);
        asked.onsuccess = () => { asked.result.close(); done(); }; }); }""")
    assert run(page, "return store.all().then(() => null, (trouble) => trouble.why);") == "newer"
