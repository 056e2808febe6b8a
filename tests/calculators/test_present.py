"""A result in words: figures in the reader's unit, ranges, tables, refusals, every text translated once."""

import json
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import REGISTER, calculate, calculator, words
from calculators import _plain as plain
from calculators.form import (
    Calculator,
    Field,
    Figure,
    Refusal,
    Refused,
    Result,
    Span,
    Table,
    Working,
    read,
    takes,
)
from calculators.present import field_title, inputs_shown, shown

FIELDS = (
    Field("vacuum", "Vacuum", "quantity", quantity="pressure", unit="kPa", units=("kPa", "inH2O"), what="a vacuum", low=0),
    Field("readings", "Readings", "list", row_title="Reading", fields=(
        Field("bore", "Bore", "quantity", quantity="length", unit="mm", units=("mm", "in")),
        Field("air", "Air", "object", fields=(Field("height", "Height", "number"),)))),
    Field("altitude", "Altitude", "quantity", quantity="length", unit="m", units=("m", "ft")),
    Field("air", "Air", "object", fields=(Field("density", "Density", "number"),)),
)
FIGURES = (
    Figure("drop", "drop", quantity="pressure", unit="kPa", decimals=1),
    Figure("hole", "hole", quantity="length", unit="mm"),
    Figure("share", "share", show="%", decimals=0), Figure("pieces", "pieces", kind="count"),
    Figure("price", "price", kind="decimal"), Figure("sure", "sure"), Figure("say", "say", minor=True),
)
TABLE = Table("rows", "Rows", (
    Figure("from", "from"), Figure("drop", "drop", quantity="pressure", unit="kPa", decimals=1), Figure("sure", "sure"),
    Figure("price", "price", kind="decimal"), Figure("empty", "empty")), {"hose": "the hose"})


def one(**more) -> Calculator:
    return Calculator("trial", "Why?", "A trial.", FIELDS, FIGURES, (("done", "done"),), lambda v: Result("done", "Done."),
                      {}, tables=(TABLE,), sources=("A source.",), **more)


def laid_out(units=None, **result):
    trial = one()
    return shown(trial, plain(trial, Result("done", "Done.", **result)), units)


def figure(name, value, units=None):
    (found,) = laid_out(units, figures={name: value})["figures"]
    assert found["name"] == name
    return found["value"], found["unit"], found["range"]


@pytest.mark.parametrize("name, value, units, expected", [
    # SI in, text out; conversions by hand: 19 400 Pa / 249.08891 = 77.88 inH2O, 4.2 mm / 25.4 = 0.1654 in.
    ("drop", 19400, None, ("19.4", "kPa", "")), ("drop", 19400, {"pressure": "inH2O"}, ("77.9", "inH₂O", "")),
    ("drop", 19400, {"length": "in"}, ("19.4", "kPa", "")), ("drop", 19400, {"pressure": "psi"}, ("19.4", "kPa", "")),
    ("drop", 2950, None, ("3.0", "kPa", "")), ("drop", -0.4, None, ("0.0", "kPa", "")),
    ("drop", Span(2000, 1500, 2750), None, ("2.0", "kPa", "1.5 to 2.8")),
    ("drop", Span(2000, 1500), None, ("2.0", "kPa", "")), ("drop", None, None, ("\u2013", "", "")),
    ("hole", Span(0.0042, 0.0039, 0.0046), {"length": "in"}, ("0.165", "in", "0.154 to 0.181")),
    ("hole", 0.0042, {"length": "mm"}, ("4.2", "mm", "")), ("hole", 0.0042, {"length": "ft"}, ("4.2", "mm", "")),
    ("share", 0.256, None, ("26", "%", "")), ("share", Span(0.5, 0.25, 0.755), None, ("50", "%", "25 to 76")),
    ("pieces", 3, None, ("3", "", "")), ("price", (Decimal("1234.50"), "EUR"), None, ("1\u202f234.50", "EUR", "")),
    ("price", (Decimal("-7"), "JPY"), None, ("\u22127", "JPY", "")), ("sure", True, None, ("yes", "", "")),
    ("sure", False, None, ("no", "", "")), ("say", "as it was typed", None, ("as it was typed", "", "")),
])
def test_a_figure_for_a_person(name, value, units, expected):
    assert figure(name, value, units) == expected


def test_feet_for_the_altitude_leave_a_hole_in_millimetres():
    assert figure("hole", 0.0042, {"length": "ft"})[1] == "mm"
    assert figure("hole", 0.0042, {"length": "in"})[1] == "in"


def test_figures_come_in_the_order_declared_and_the_minor_ones_say_so():
    answer = laid_out(figures={"say": "x", "drop": 1000, "pieces": 1})
    assert [(f["name"], f["minor"]) for f in answer["figures"]] == [("drop", False), ("pieces", False), ("say", True)]


def test_a_table_has_its_unit_in_the_head_and_no_empty_column():
    rows = [{"from": "hose", "drop": 1234, "sure": True, "price": (Decimal(9), "EUR"), "empty": None},
            {"from": "own words", "drop": Span(2000, 1500, 2500), "sure": False}]
    (table,) = laid_out(tables={"rows": rows})["tables"]
    assert table == {"name": "rows", "title": "Rows", "columns": ["from", "drop, kPa", "sure", "price, EUR"],
                     "rows": [["the hose", "1.2", "yes", "9"], ["own words", "2.0 (1.5 to 2.5)", "no", "\u2013"]]}
    (table,) = laid_out({"pressure": "inH2O"}, tables={"rows": rows[:1]})["tables"]
    assert table["columns"][1] == "drop, inH₂O" and table["rows"][0][1] == "4.95"  # 1234/249.08891 = 4.954


def test_a_table_without_rows_is_left_out():
    assert laid_out(tables={"rows": []})["tables"] == []


def test_what_is_text_already_is_handed_on():
    answer = laid_out(notes=["A note."], cautions=["Beware."], workings=[Working("a = b", "1", "1")], picture="<svg/>")
    assert (answer["outcome"], answer["answer"], answer["notes"], answer["cautions"], answer["picture"]) == (
        "done", "Done.", ["A note."], ["Beware."], "<svg/>")
    assert answer["workings"] == [{"formula": "a = b", "numbers": "1", "result": "1"}]
    assert answer["sources"] == ["A source."]
    assert laid_out(sources=["Another."])["sources"] == ["Another."]


@pytest.mark.parametrize("figures, tables", [({"nothing": 1}, {}), ({}, {"nothing": []})])
def test_what_is_not_declared_cannot_be_answered(figures, tables):
    with pytest.raises(AssertionError, match="nothing"):
        laid_out(figures=figures, tables=tables)


# ---- refusals ----

@pytest.mark.parametrize("path, title", [
    ("vacuum", "Vacuum"), ("readings", "Readings"), ("readings/0", "Reading 1"), ("readings/2/bore", "Reading 3, Bore"),
    ("readings/2/air/height", "Reading 3, Air, Height"), ("air", "Air"), ("air/density", "Air, Density"), ("air/x", "Air, x"),
    ("readings/0/x", "Reading 1, x"), ("readings/x", "Reading"), ("readings/²", "Reading"), ("readings/٣/bore", "Reading"),
    ("nothing", "nothing"), ("nothing/1/x", "nothing/1/x"), ("(input)", "(input)"), ("", ""),
])
def test_a_path_is_called_by_its_titles(path, title):
    assert field_title(FIELDS, path) == title


def test_a_refusal_is_a_sentence():
    result = {"refused": [{"field": "vacuum", "got": "-4 {kPa}", "takes": "a vacuum of 0 kPa or more"}]}
    assert shown(one(), result) == {"refused": [{
        "field": "vacuum", "title": "Vacuum", "got": "-4 {kPa}", "takes": "a vacuum of 0 kPa or more",
        "text": "Vacuum: -4 {kPa} was given. Takes a vacuum of 0 kPa or more."}]}


@settings(derandomize=True, max_examples=300)
@given(st.dictionaries(st.text(max_size=12) | st.sampled_from(["readings/²", "air/", "/", "readings//", "vacuum/1"]),
                       st.none() | st.text(max_size=8) | st.integers(), max_size=4))
def test_any_refusal_can_be_shown(inputs):
    try:
        read(FIELDS, inputs)
    except Refused as refused:
        said = shown(one(), {"refused": [{"field": r.field, "got": r.got, "takes": r.takes} for r in refused.refusals]})
        assert len(said["refused"]) == len(refused.refusals)
        assert all(line["title"] and line["text"].endswith(".") for line in said["refused"])
        json.dumps(said, ensure_ascii=False).encode("utf-8")


def test_the_help_names_every_field_and_what_it_takes():
    assert inputs_shown(one()) == [(f.title, takes(f)) for f in FIELDS]


# ---- words ----

def test_titles_are_translated_and_a_reader_s_own_words_are_not():
    words.use({"drop": "Abfall", "the hose": "der Schlauch", "from": "von", "yes": "ja", "Rows": "Reihen", "Vacuum": "Unterdruck",
               "own words": "never", "{title}, {unit}": "{title} in {unit}", "{low} to {high}": "{low} bis {high}",
               "A source.": "Eine Quelle.", "{title}: {got} was given. Takes {takes}.": "{title}: {got}. Nimmt {takes}."})
    try:
        answer = laid_out(figures={"drop": Span(2000, 1500, 2500)}, tables={"rows": [
            {"from": "hose", "drop": 1000, "sure": True}, {"from": "own words", "drop": 1000, "sure": True}]})
        refusal = shown(one(), {"refused": [vars(Refusal("vacuum", "x", "y"))]})["refused"][0]
    finally:
        words.use({})
    assert answer["figures"][0]["title"] == "Abfall" and answer["figures"][0]["range"] == "1.5 bis 2.5"
    assert answer["tables"][0]["title"] == "Reihen" and answer["tables"][0]["columns"] == ["von", "Abfall in kPa", "sure"]
    assert answer["tables"][0]["rows"] == [["der Schlauch", "1.0", "ja"], ["own words", "1.0", "ja"]]
    assert answer["sources"] == ["Eine Quelle."] and refusal["text"] == "Unterdruck: x. Nimmt y."


@pytest.mark.parametrize("id", REGISTER)
def test_everything_shown_of_every_example_is_text(id):
    trial = calculator(id)
    for _name, inputs in (("worked", trial.example), *trial.examples):
        said = shown(trial, calculate(id, inputs))
        if "refused" in said:
            assert all(isinstance(text, str) and text for line in said["refused"] for text in line.values())
            continue
        assert set(said) == {"outcome", "answer", "figures", "tables", "notes", "cautions", "workings", "sources", "picture"}
        for f in said["figures"]:
            assert all(isinstance(f[name], str) for name in ("name", "title", "value", "unit", "range")) and f["value"]
        for table in said["tables"]:
            assert table["rows"] and all(len(row) == len(table["columns"]) for row in table["rows"])
            assert all(isinstance(cell, str) and cell for row in (table["columns"], *table["rows"]) for cell in row)
