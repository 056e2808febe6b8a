"""What holds for every calculator, and the one rule of the house: the standard library alone."""

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calculators
from calculators import REGISTER, calculate, calculator
from calculators.present import shown

from . import laws

PACKAGE = Path(calculators.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
#: Modules whose use would be input, output, a clock or chance.
FORBIDDEN = {"os", "io", "pathlib", "random", "secrets", "time", "socket", "subprocess", "tempfile", "threading", "sys",
             "urllib", "shutil", "uuid", "locale", "platform"}


def test_the_register_names_the_twelve_or_fewer():
    assert set(REGISTER) <= {
        "suction-drop", "edge-life", "wheel-adjust", "blade-level", "parts-cost", "leak-size", "hose-airspeed",
        "renewal-interval", "battery-charge", "charging-air", "recovery-rate", "fault-order"}
    assert set(REGISTER) >= {"suction-drop", "edge-life", "wheel-adjust", "parts-cost"}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_are_of_the_standard_library_and_touch_nothing_outside(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            names = [node.module]
        for name in names:
            top = name.partition(".")[0]
            assert top in sys.stdlib_module_names and top not in FORBIDDEN, name
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("open", "print", "input", "eval", "exec", "__import__"), node.func.id
        if isinstance(node, ast.Attribute):
            assert node.attr not in ("today", "now", "utcnow"), node.attr


def test_every_module_imports_alone_in_an_isolated_interpreter():
    names = [".".join(("calculators", *p.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
             for p in MODULES]
    code = f"import sys; sys.path.insert(0, {str(PACKAGE.parent)!r})\n" + "\n".join(f"import {name}" for name in names)
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("id", REGISTER)
def test_every_example_answers_and_every_outcome_is_reached(id):
    one = calculator(id)
    assert one.id == id and one.question.endswith("?") and one.summary and one.limits and one.sources and one.formulas
    reached = set()
    for name, inputs in (("the worked example", one.example), *one.examples):
        result = laws.answered(id, inputs)
        assert name != "the worked example" or "refused" not in result
        reached.add(result.get("outcome"))
        assert calculate(id, json.loads(json.dumps(inputs))) == result
    assert set(dict(one.outcomes)) == reached - {None}


@pytest.mark.parametrize("id", [id for id in REGISTER if calculator(id).lookup])
def test_the_table_for_a_reader_without_python_can_be_made(id):
    lookup = calculator(id).lookup
    assert len(lookup.rows) >= 5
    for label, inputs in lookup.rows:
        result = laws.answered(id, {**calculator(id).example, **inputs})
        assert label and set(lookup.figures) <= {f.name for f in calculator(id).figures}
        assert any(name in result["figures"] for name in lookup.figures), (label, result)


@pytest.mark.parametrize("id", REGISTER)
def test_any_input_gives_an_answer_or_a_refusal(id):
    @settings(derandomize=True, max_examples=120, deadline=None)
    @given(laws.odd_inputs(calculator(id)))
    def any_input(inputs):
        laws.answered(id, inputs)

    any_input()


@pytest.mark.parametrize("id", REGISTER)
def test_units_typed_do_not_change_the_answer(id):
    """The same pressure in another unit, to the ten digits of the JSON."""
    one = calculator(id)
    for f in one.fields:
        given_ = one.example.get(f.name)
        if f.kind != "quantity" or given_ is None or len(f.units) < 2:
            continue
        from calculators import quantity as q
        si = q.parse(given_, f.quantity, f.unit) if isinstance(given_, str) else q.to_si(given_, f.quantity, f.unit)
        plain = calculate(id, {**one.example, f.name: q.from_si(si, f.quantity, f.unit)})
        for symbol in f.units:
            typed = f"{q.from_si(si, f.quantity, symbol)!r} {symbol}"
            other = calculate(id, {**one.example, f.name: typed})
            assert other.get("outcome") == plain["outcome"], (f.name, typed, other)
            for name, figure in plain["figures"].items():
                assert other["figures"][name]["unit"] == figure["unit"]
                if isinstance(figure["value"], float):
                    assert other["figures"][name]["value"] == pytest.approx(figure["value"], rel=1e-8, abs=1e-9)


def test_an_unknown_id_is_a_key_error():
    with pytest.raises(KeyError):
        calculate("no-such", {})


@pytest.mark.parametrize("text", ["", "{", "[1", "nul", "[" * 5000])
def test_json_that_cannot_be_read_is_a_refusal(text):
    answer = json.loads(calculators.answer_json("suction-drop", text))
    assert answer["refused"][0]["field"] == "(input)"


def test_the_bridge_gives_result_and_texts():
    one = calculator("wheel-adjust")
    reply = json.loads(calculators.bridge(json.dumps({"id": "wheel-adjust", "inputs": one.example})))
    assert reply["result"] == calculate("wheel-adjust", one.example)
    assert reply["shown"] == json.loads(json.dumps(shown(one, reply["result"])))


@settings(derandomize=True, max_examples=60)
@given(st.sampled_from(sorted(REGISTER)), st.sampled_from(("inH2O", "mbar")))
def test_shown_units_convert_and_keep_the_finding(id, unit):
    one = calculator(id)
    result = calculate(id, one.example)
    plain, other = shown(one, result), shown(one, result, {"pressure": unit})
    assert plain["answer"] == other["answer"] and len(plain["figures"]) == len(other["figures"])
    for f, a, b in zip([f for f in one.figures if f.name in result["figures"]], plain["figures"], other["figures"],
                       strict=True):
        assert (a["unit"] != b["unit"]) == (f.quantity == "pressure"), f.name
