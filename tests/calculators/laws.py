"""What holds for the answer of every calculator to any input, and odd inputs to try it with."""

import json
import xml.etree.ElementTree as ElementTree
from typing import Any

from hypothesis import strategies as st

from calculators import answer_json, calculate, calculator, to_json
from calculators.form import Calculator, Field
from calculators.present import shown

KEYS = {"calculator", "outcome", "answer", "figures", "tables", "notes", "cautions", "workings", "sources", "picture"}


def answered(id: str, inputs: Any) -> dict[str, Any]:
    """The result of `calculate`, after checking all that every result must keep to."""
    result = calculate(id, inputs)
    text = to_json(result)
    assert json.loads(text) == result
    assert answer_json(id, json.dumps(inputs)) == text
    if "refused" in result:
        assert set(result) == {"refused"} and result["refused"]
        for refusal in result["refused"]:
            assert set(refusal) == {"field", "got", "takes"}
            assert isinstance(refusal["field"], str) and refusal["got"] and refusal["takes"]
            assert "{" not in refusal["takes"] or "{" in refusal["field"]
        assert all(line["text"] for line in shown(calculator(id), result)["refused"])
        return result
    one = calculator(id)
    assert set(result) == KEYS
    assert result["outcome"] in dict(one.outcomes)
    for words in (result["answer"], *result["notes"], *result["cautions"], *result["sources"]):
        assert words and "{" not in words and "nan" not in words.split() and "None" not in words
        assert words[-1] in ".…", words
    for figure in result["figures"].values():
        low, value, high = figure.get("low"), figure["value"], figure.get("high")
        assert low is None or value is None or low <= value
        assert high is None or value is None or value <= high
    drawing(result["picture"])
    shown(one, result, {"length": "in"})
    return result


def drawing(picture: str) -> None:
    """A picture is well-formed, titled, of classes alone, and stays on its sheet from side to side."""
    tree = ElementTree.fromstring(picture)
    names = {element.tag.rpartition("}")[2] for element in tree.iter()}
    assert {"title", "desc"} <= names and not names & {"script", "style", "image", "a"}
    assert all("style" not in element.attrib for element in tree.iter())
    assert "nan" not in picture and "inf" not in picture.replace("info", "")
    for element in tree.iter():
        for name in ("x", "cx"):
            if name in element.attrib:
                assert 0 <= float(element.attrib[name]) <= 320


def refusals(id: str, inputs: Any) -> dict[str, str]:
    """Field path -> what it takes, of an input that must be refused."""
    result = answered(id, inputs)
    assert "refused" in result, result["answer"]
    return {refusal["field"]: refusal["takes"] for refusal in result["refused"]}


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(), st.integers(-3, 300), st.floats(), st.text(max_size=90),
    st.sampled_from(["", " ", "nan", "inf", "-inf", "1e400", "1e308", "-0", "٣", "１２", "1,284", "3/0", "1/3 in",
                     "5 kPa", "12 mm", "0.02 in", "\u0000", "<b>", "{x}", "𝟙", "½", "2026-02-30", "9999-12-31", "M10",
                     "M10x9", "clockwise", "null", "[]", "0x10", "1_000", "1e-300 mm", "-5 mm", "40 mm", "10 h"]),
    st.lists(st.integers(), max_size=3), st.dictionaries(st.text(max_size=4), st.integers(), max_size=2),
)


def odd_inputs(one: Calculator) -> st.SearchStrategy:
    """Any JSON in any field of a calculator, mixed with what its worked examples have there."""
    return st.one_of(ODD, st.fixed_dictionaries(
        {}, optional={f.name: _odd(f, one) for f in one.fields} | {"no_such_field": ODD}))


def _odd(f: Field, one: Calculator) -> st.SearchStrategy:
    known = [inputs[f.name] for inputs in (one.example, *(more for _name, more in one.examples)) if f.name in inputs]
    good = st.sampled_from(known) if known else st.none()
    if f.kind == "list":
        row = st.fixed_dictionaries({}, optional={inner.name: st.one_of(ODD, st.floats(0, 500)) for inner in f.fields})
        return st.one_of(good, ODD, st.lists(st.one_of(row, row, ODD), max_size=6))
    return st.one_of(good, good, ODD, st.floats(0, 100))
