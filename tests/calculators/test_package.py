"""What holds for every calculator, and the one rule of the house: the standard library alone."""

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calculators
from calculators import REGISTER, calculate, calculator, words
from calculators.form import Calculator, Field
from calculators.present import shown

from . import laws

PACKAGE = Path(calculators.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
NAMES = [".".join(("calculators", *p.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
         for p in MODULES]
#: The parts of the standard library that neither read, write, wait, ask the time nor throw dice.
ALLOWED = {"bisect", "collections", "dataclasses", "datetime", "decimal", "difflib", "enum", "fractions", "functools",
           "heapq", "html", "importlib", "itertools", "json", "math", "numbers", "operator", "re", "statistics",
           "string", "textwrap", "typing", "unicodedata"}
#: Names that would reach outside, or whose result is another on another run.
FORBIDDEN = {"open", "print", "input", "eval", "exec", "compile", "__import__", "hash", "id", "globals", "breakpoint",
             "__builtins__"}
#: Attributes of allowed modules that ask the clock or the place.
ASKING = {"today", "now", "utcnow", "fromtimestamp", "utcfromtimestamp", "astimezone", "reload", "NormalDist"}


def test_the_register_names_the_twelve_or_fewer():
    assert set(REGISTER) <= {
        "suction-drop", "edge-life", "wheel-adjust", "blade-level", "parts-cost", "leak-size", "hose-airspeed",
        "renewal-interval", "battery-charge", "charging-air", "recovery-rate", "fault-order"}
    assert set(REGISTER) >= {"suction-drop", "edge-life", "wheel-adjust", "parts-cost"}


def trespasses(source: str) -> list[str]:
    """What a module of the package must not do: each import, name and attribute that is not allowed."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names if alias.name.partition(".")[0] not in ALLOWED]
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            found += [node.module] if node.module.partition(".")[0] not in ALLOWED else []
            found += [alias.name for alias in node.names if alias.name in ASKING]
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) and node.id in FORBIDDEN:
            shadowed = {arg.arg for function in ast.walk(ast.parse(source)) if isinstance(function, ast.FunctionDef)
                        for arg in function.args.args}
            found += [node.id] if node.id not in shadowed else []
        elif isinstance(node, ast.Attribute) and node.attr in ASKING:
            found.append(node.attr)
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_are_of_the_standard_library_and_touch_nothing_outside(path):
    assert ALLOWED <= sys.stdlib_module_names
    assert trespasses(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("source, name", [
    ("import os", "os"), ("import os.path as p", "os.path"), ("from time import time", "time"), ("import numpy", "numpy"),
    ("from random import random", "random"), ("from pathlib import Path", "pathlib"), ("def f():\n import sys", "sys"),
    ("x = open('a')", "open"), ("f = print", "print"), ("import datetime\nd = datetime.date.today()", "today"),
    ("from macros import model", "macros"), ("key = hash('a')", "hash"), ("exec('1')", "exec"),
])
def test_a_trespass_would_be_found(source, name):
    assert trespasses(source) == [name]


@pytest.mark.parametrize("name", NAMES)
def test_every_module_imports_alone_with_nothing_else_to_be_found(name, tmp_path):
    """A bare interpreter: no site packages, and of the tree only this package."""
    (tmp_path / "calculators").symlink_to(PACKAGE, target_is_directory=True)
    code = (f"import sys; sys.dont_write_bytecode = True; sys.path.insert(0, {str(tmp_path)!r})\n"
            f"import {name}\n"
            "assert not {'macros', 'yaml', 'jinja2', 'numpy'} & set(sys.modules)")
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, cwd=tmp_path)
    assert done.returncode == 0, done.stderr


def test_a_package_beside_it_cannot_be_found(tmp_path):
    """The trial above is a trial: what lies beside the package in the tree does not import there."""
    assert (PACKAGE.parent / "macros").is_dir()
    (tmp_path / "calculators").symlink_to(PACKAGE, target_is_directory=True)
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); import calculators, macros"
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, cwd=tmp_path)
    assert done.returncode == 1 and "No module named 'macros'" in done.stderr


def test_every_example_gives_the_same_bytes_in_another_process(tmp_path):
    """Other seeds of the texts' hashes, so that the order of no set can show in an answer."""
    code = (f"import sys; sys.path.insert(0, {str(PACKAGE.parent)!r})\n"
            "import hashlib, json, calculators\n"
            "said = [calculators.answer_json(one.id, json.dumps(inputs)) for one in calculators.calculators()\n"
            "        for inputs in (one.example, *(more for _name, more in one.examples))]\n"
            "said += [json.dumps(calculators.describe(id)) for id in calculators.REGISTER]\n"
            "print(len(said), hashlib.sha256('\\n'.join(said).encode()).hexdigest())")
    seen = {subprocess.run([sys.executable, "-S", "-c", code], capture_output=True, text=True, check=True,
                           env={"PYTHONHASHSEED": seed}).stdout for seed in ("0", "1", "2", "12345")}
    assert len(seen) == 1 and int(seen.pop().split()[0]) > 30


# ---- words ----

def marked_texts() -> dict[str, list[ast.AST]]:
    """Every text in ``_()`` and ``mark()`` of the package."""
    texts: dict[str, list[ast.AST]] = {}
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("_", "mark"):
                for given in node.args:
                    if isinstance(given, ast.Constant):
                        texts.setdefault(given.value, []).append(node)
    return texts


def declared(one: Calculator) -> Iterator[tuple[str, str]]:
    """Every text of a description that a reader may see, with where it stands."""
    yield from (("question", one.question), ("summary", one.summary))
    for name in ("formulas", "limits", "sources"):
        yield from ((name, text) for text in getattr(one, name))
    yield from ((code, title) for code, title in one.outcomes)
    yield from ((f.name, f.title) for f in one.figures)
    for table in one.tables:
        yield table.name, table.title
        yield from ((column.name, column.title) for column in table.columns)
        yield from table.words.items()
    if one.lookup:
        yield from (("lookup", one.lookup.title), ("lookup", one.lookup.label))
    yield from of_fields(one.fields)


def of_fields(fields: tuple[Field, ...]) -> Iterator[tuple[str, str]]:
    for f in fields:
        yield from ((f.name, text) for text in (f.title, f.help, f.what, f.row_title) if text)
        yield from ((code, title) for code, title in f.choices if title != code)
        yield from of_fields(f.fields)


@pytest.mark.parametrize("id", REGISTER)
def test_every_text_declared_is_marked_for_translation(id):
    known = marked_texts()
    missing = [(where, text) for where, text in declared(calculator(id)) if text not in known
               # A formula of symbols alone, such as A = Q/(Cd·√(2p/ρ)), is the same in every language.
               and not (where == "formulas" and not re.search("(?<![_a-zA-Z])[a-z]{3,}", text))]
    assert missing == []


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_what_is_marked_can_be_extracted(path):
    """A marked text is one plain literal with named places; ``_()`` of a name is a text marked elsewhere."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("_", "mark")):
            continue
        (given,) = node.args
        assert not node.keywords and not isinstance(given, ast.JoinedStr | ast.BinOp), (path.name, node.lineno)
        if node.func.id == "mark":
            assert isinstance(given, ast.Constant), (path.name, node.lineno)
        if isinstance(given, ast.Constant):
            assert given.value == given.value.strip() and given.value, (path.name, node.lineno)
            places = [name for _text, name, _format, _how in Formatter().parse(given.value) if name is not None]
            assert all(name.isidentifier() for name in places), (path.name, node.lineno, places)


@pytest.mark.parametrize("id", REGISTER)
def test_every_sentence_goes_through_the_catalogue(id):
    """With every known text turned to capitals, no sentence of an answer stays as it was."""
    one = calculator(id)
    plain = calculate(id, one.example)
    catalogue = {text: capitals(text) for text in marked_texts()}
    words.use(catalogue)
    try:
        other = calculate(id, one.example)
    finally:
        words.use({})
    assert calculate(id, one.example) == plain
    for name in ("answer", "notes", "cautions", "sources"):
        pairs = [(plain[name], other[name])] if name == "answer" else zip(plain[name], other[name], strict=True)
        for before, after in pairs:
            for own in sorted(leaves(one.example), key=len, reverse=True):  # the reader's own words stay as they are
                after = re.sub(re.escape(own), "", after, flags=re.IGNORECASE)
            assert after != before and not re.search("[a-z]{4}", after), (name, before, after)


def leaves(given: Any) -> set[str]:
    """Every text in a plain JSON value."""
    if isinstance(given, str):
        return {given} if len(given) > 2 else set()
    inner = given.values() if isinstance(given, dict) else given if isinstance(given, list) else ()
    return {text for value in inner for text in leaves(value)}


def capitals(text: str) -> str:
    """A text in capitals, its named places left as they are."""
    return "".join(literal.upper().replace("{", "{{").replace("}", "}}")
                   + (f"{{{name}{'!' + how if how else ''}{':' + form if form else ''}}}" if name is not None else "")
                   for literal, name, form, how in Formatter().parse(text))


# ---- every calculator ----

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
    texts = json.loads(json.dumps(shown(one, reply["result"])))
    assert reply["result"] | reply["shown"] == reply["result"] | texts
    assert reply["shown"].keys() == {"figures", "tables"}, "what is shown as it is in the result is sent twice"


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
