"""Calculators in pages: every field in the form, and the worked example answered as `calculate` answers it."""

import json
from typing import Any

import pytest

from calculators import REGISTER, calculate, calculator
from calculators.present import shown
from macros.pages.calculator import _text
from macros.pages.site import Site, script
from macros.figures import filled
from tests.macros.pages.conftest import SMALL, made, rendered
from tests.macros.pages.dom import Element, parse, squeezed


def sections(trees: dict[str, Element]) -> list[tuple[str, Element]]:
    """Every calculator of every page that answers the reader's values, with the page's address."""
    return [(url, one) for url, tree in trees.items() for one in tree.with_class("calc") if "data-calculator" in one.attributes]


def data(section: Element) -> dict[str, Any]:
    [script] = section.with_class("calc-data")
    return json.loads("".join(child for child in script.children if isinstance(child, str)))


def test_there_is_a_page_for_every_calculator(trees: dict[str, Element]):
    assert [url for url in trees if url.startswith("calculators/")] == [f"calculators/{id}/" for id in REGISTER]
    for id in REGISTER:
        assert trees[f"calculators/{id}/"].tags("h1")[0].text == calculator(id).question


def test_the_answer_delivered_is_the_calculators_own(site: Site, trees: dict[str, Element]):
    """Oracle: `calculate` on the inputs that the page's data names, and those are example, machine and step."""
    steps = {f"{p.id}/{s.id}": (p, s) for p in site.handbook.procedures.values() for s in p.steps if s.calculator}
    answered = 0
    for url, section in sections(trees):
        held = data(section)
        one = calculator(held["id"])
        procedure, step = steps.get(section.get("data-use"), (None, None))
        machines = list((procedure.machines if procedure else ()) or site.handbook.machines)
        assert list(held["worked"]) == machines
        for machine in machines:
            inputs = held["worked"][machine]["inputs"]
            result = calculate(one.id, inputs)
            assert "refused" not in result, f"{url}: {machine}"
            if step is not None:
                assert inputs == json.loads(json.dumps(filled(site.handbook, one.id, machine, step.calculator.inputs)))
        first = shown(one, calculate(one.id, held["worked"][machines[0]]["inputs"]))
        assert held["worked"][machines[0]]["shown"] == json.loads(json.dumps(first))
        [answer] = section.with_class("answer")
        assert answer.with_class("says")[0].text == squeezed(first["answer"])
        large = [f for f in first["figures"] if not f["minor"]][:4]
        got = [(one.tags("dt")[0].text, one.tags("dd")[0].text) for one in
               (answer.with_class("figures")[0].tags("div") if large else [])]
        assert got == [(f"{f['title']} {f['range']} {f['unit']}".strip() if f["range"] else f["title"],
                        f"{f['value']} {f['unit']}".strip()) for f in large]
        for text in [*first["cautions"], *first["notes"], *first["sources"], *(w["result"] for w in first["workings"])]:
            assert squeezed(text) in answer.text, f"{url}: {text}"
        for table in first["tables"]:
            for row in table["rows"]:
                for cell in row:
                    assert cell in answer.text
        assert bool(first["picture"]) == bool(answer.tags("svg"))
        answered += 1
    assert answered >= len(REGISTER) + 1


def test_a_calculator_that_no_form_can_ask_is_shown_answered_and_says_so(trees: dict[str, Element]):
    """`fault-order` takes a table of causes and checks, which the symptoms give it."""
    asked = {section.get("data-calculator") for _url, section in sections(trees)}
    for id in REGISTER:
        objects = [f.title for f in calculator(id).fields if f.kind == "object"]
        [section] = trees[f"calculators/{id}/"].with_class("calc")
        assert (id in asked) == (not objects)
        if objects:
            assert not section.tags("form") and not section.with_class("calc-data")
            one = calculator(id)
            assert shown(one, calculate(id, one.example))["answer"] in section.with_class("says")[0].text
            assert all(title.lower() in section.text.lower() for title in objects)


def names(fields: dict[str, Any], inputs: dict[str, Any]) -> set[str]:
    """The paths that a form must hold for a description (JSON Schema) and inputs."""
    found = set()
    for name, field in fields["properties"].items():
        if field.get("type") == "array":
            rows = max(len(inputs.get(name) or []), field["minItems"])
            found |= {f"{name}/{row}/{inner}" for row in range(rows) for inner in field["items"]["properties"]}
        else:
            found.add(name)
    return found


def test_every_field_is_in_the_form_once(trees: dict[str, Element]):
    for url, section in sections(trees):
        held = data(section)
        [form] = section.tags("form")
        boxes = [one.get("name") for one in form.tags("input", "select")
                 if one.get("name") and not one.get("name").startswith("unit:") and not _in_template(one)]
        first = next(iter(held["worked"].values()))
        assert sorted(boxes) == sorted(names(held["fields"], first["inputs"])), url
        lists = {one.get("data-list"): one for one in form.all(lambda one: "data-list" in one.attributes)}
        wanted = {name for name, field in held["fields"]["properties"].items() if field.get("type") == "array"}
        assert set(lists) == wanted
        for name, one in lists.items():
            [empty] = one.tags("template")
            fields = held["fields"]["properties"][name]["items"]["properties"]
            assert {box.get("name") for box in empty.tags("input", "select")} == {f"{name}/ROW/{inner}" for inner in fields}
            assert [add.get("data-add") for add in one.tags("button") if "data-add" in add.attributes] == [name]


def _in_template(element: Element) -> bool:
    while element.parent is not None:
        element = element.parent
        if element.tag == "template":
            return True
    return False


def test_the_form_holds_the_values_that_were_answered(trees: dict[str, Element]):
    """Sent as delivered, the form gives the delivered answer."""
    for url, section in sections(trees):
        held = data(section)
        units = {one.get("name")[5:]: one.get("value") for one in section.tags("input")
                 if one.get("name").startswith("unit:") and "checked" in one.attributes}
        inputs: dict[str, Any] = {}
        for box in section.tags("form")[0].tags("input", "select"):
            path = box.get("name")
            if not path or path.startswith("unit:") or _in_template(box):
                continue
            value = _value(box)
            if value == "":
                continue
            *list_row, name = path.split("/")
            schema = held["fields"]["properties"][list_row[0]]["items"]["properties"][name] if list_row \
                else held["fields"]["properties"][name]
            if "x-quantity" in schema and isinstance(value, str):
                value = f"{value} {units.get(schema['x-quantity'], schema['x-unit'])}"
            if list_row:
                rows = inputs.setdefault(list_row[0], [])
                while len(rows) <= int(list_row[1]):
                    rows.append({})
                rows[int(list_row[1])][name] = value
            else:
                inputs[name] = value
        result = calculate(held["id"], inputs)
        assert "refused" not in result, f"{url}: {result}"
        assert squeezed(result["answer"]) == section.with_class("says")[0].text, url


def _value(box: Element) -> str | bool:
    if box.tag == "select":
        options = box.tags("option")
        chosen = [one for one in options if "selected" in one.attributes] or options[:1]
        return chosen[0].get("value")
    if box.get("type") == "checkbox":
        return "checked" in box.attributes
    return box.get("value")


def test_units_of_each_quantity_are_offered_once_and_one_is_chosen(trees: dict[str, Element]):
    for url, section in sections(trees):
        radios: dict[str, list[Element]] = {}
        for one in section.tags("input"):
            if one.get("name").startswith("unit:"):
                radios.setdefault(one.get("name")[5:], []).append(one)
        offered = {}
        for field in _leaves(data(section)["fields"]):
            if len(field.get("x-units", ())) > 1:
                offered.setdefault(field["x-quantity"], {unit["unit"] for unit in field["x-units"]})
        assert set(radios) == set(offered), url
        for quantity, choices in radios.items():
            assert {one.get("value") for one in choices} == offered[quantity]
            assert len(choices) == len(offered[quantity])
            assert sum("checked" in one.attributes for one in choices) == 1


def _leaves(schema: dict[str, Any]) -> list[dict[str, Any]]:
    found = []
    for field in schema["properties"].values():
        if field.get("type") == "array":
            found += _leaves(field["items"])
        else:
            found.append(field)
    return found


def test_limits_are_said_beside_the_box_before_they_are_broken(trees: dict[str, Element]):
    """For every number whose limits a reader can meet; those of a million and more only stop a runaway."""
    said = 0
    for url, section in sections(trees):
        for name, field in data(section)["fields"]["properties"].items():
            if field.get("x-kind") in ("quantity", "number", "integer") and field.get("maximum", 0) < 1e6:
                [place] = [one for one in section.all() if one.get("data-field") == name]
                assert field["x-takes"] in place.text, f"{url}: {name}"
                said += 1
    assert said > 20


def test_the_table_of_results_is_the_calculators_own(trees: dict[str, Element]):
    for id in REGISTER:
        one = calculator(id)
        [section] = trees[f"calculators/{id}/"].with_class("calc")
        tables = section.with_class("lookup")
        assert bool(tables) == (one.lookup is not None)
        if not tables:
            continue
        rows = [[cell.text for cell in line.tags("td")] for line in tables[0].tags("tr")[1:]]
        assert len(rows) == len(one.lookup.rows)
        for (label, laid_over), row in zip(one.lookup.rows, rows, strict=True):
            figures = {f["name"]: f["value"] for f in shown(one, calculate(id, {**one.example, **laid_over}))["figures"]}
            assert row == [label, *(figures[name] for name in one.lookup.figures if name in figures)]


def test_formulas_limits_and_sources_are_always_in_the_page(trees: dict[str, Element]):
    for url, section in sections(trees):
        one = calculator(data(section)["id"])
        for text in (*one.formulas, *one.limits, *one.sources):
            assert squeezed(text) in section.text, f"{url}: {text}"


def test_the_same_calculator_twice_on_a_page_keeps_its_pictures_apart():
    tree = parse(rendered(SMALL)["procedures/survey/"])
    first, second = [one for one in tree.with_class("calc")]
    ids = [[one.get("id") for one in section.with_class("answer")[0].all() if one.get("id")] for section in (first, second)]
    assert ids[0] and [f"{one}-2" for one in ids[0]] == ids[1]
    # The data keeps the calculators' own ids; the script adds what the build added.
    assert "-2\"" not in data(second)["worked"]["large"]["shown"]["picture"]


def test_what_the_step_gives_stands_in_its_form():
    [section] = [one for one in parse(rendered(SMALL)["procedures/survey/"]).with_class("calc")
                 if one.get("data-use") == "survey/read-again"]
    [box] = [one for one in section.tags("input") if one.get("name") == "uncertainty"]
    assert box.get("value") == "0.5"


def test_a_machine_whose_figures_do_not_fit_the_example_leaves_it_as_it_is():
    from macros.pages.calculator import _answered

    site = made(SMALL)
    one = calculator("edge-life")
    inputs, _said = _answered(site, one, "no-such-machine", {}, {})
    assert inputs["readings"] == one.example["readings"]
    inputs, said = _answered(site, one, "small", {"edges": 1, "edge_now": 3}, {})  # the third edge of one: refused
    assert inputs == one.example and said["answer"]


@pytest.mark.parametrize(("given", "unit", "text"), [
    ("40 mm", "mm", "40"), (40, "mm", "40"), ("90 cm", "mm", "900"), ("0.5 in", "mm", "12.7"),  # 1 in = 25.4 mm
    ("1 in", "in", "1"), (25.4, "in", "1"), (None, "mm", ""), ("wide", "in", "wide")])
def test_a_quantity_stands_in_its_box_in_the_unit_beside_it(given: object, unit: str, text: str):
    field = next(f for f in calculator("wheel-adjust").fields if f.name == "free_length")
    assert _text(field, given, unit) == text


def test_nothing_in_a_pages_data_can_end_the_script_it_stands_in(html: dict[str, str]):
    odd = {"text": "</script><!--<script>&amp;]]>\u2028"}
    assert not set(script(odd)) & set("<>&")
    assert json.loads(script(odd)) == odd
    for url, text in html.items():
        for data in text.split('class="calc-data">')[1:]:
            assert not set(data.partition("</script>")[0]) & set("<>&"), url
