"""The verb calc: every way to put something in, every refusal in one line, and the text a person reads."""

import io
import json
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import calculators
from calculators.form import Calculator, Field, Figure, Result, Span, Table, Working
from macros import calc, calc_text
from macros.console import Stop

ROOT = Path(__file__).resolve().parent.parent.parent


def run_sample(values: dict[str, Any]) -> Result:
    """Adds up lengths; shows each kind of thing that an answer can hold."""
    rows = values["rows"]
    total = values["start"] + sum(row["add"] for row in rows)
    return Result(
        "summed",
        f"All of it is {total * 1000:g} mm.",
        {"total": Span(total, total * 0.9, total * 1.1)},
        {"rows": [{"number": index + 1, "add": row["add"]} for index, row in enumerate(rows)]},
        notes=["A note."],
        cautions=["A caution."],
        workings=[Working("total = start + adds", "1 + 2", "3 mm")],
        sources=["Common practice."],
    )


SAMPLE = Calculator(
    id="sample-sum",
    question="How long is all of it?",
    summary="Adds lengths.",
    fields=(
        Field(
            "start",
            "Start",
            "quantity",
            quantity="length",
            unit="mm",
            low=0,
            high=1000,
            what="a length",
            required=True,
            machine="sizes.start",
        ),
        Field(
            "rows",
            "Rows",
            "list",
            fields=(
                Field(
                    "add",
                    "Added",
                    "quantity",
                    quantity="length",
                    unit="mm",
                    low=0,
                    high=1000,
                    what="a length",
                    required=True,
                ),
            ),
            row_title="Row",
        ),
        Field("name", "Name", "text", machine="sizes.name"),
        Field("rate", "Rate", "decimal", machine="handbook.labour_rate"),
    ),
    figures=(Figure("total", "Total", "length", "mm", 1),),
    outcomes=(("summed", "summed"),),
    run=run_sample,
    tables=(
        Table(
            "rows",
            "What was added",
            (Figure("number", "Row", decimals=0), Figure("add", "Added", "length", "mm", 1)),
        ),
    ),
    example={"start": 1},
)


@pytest.fixture(autouse=True)
def sample(monkeypatch: pytest.MonkeyPatch) -> None:
    """The register with one more calculator, made here."""
    monkeypatch.setitem(calculators.REGISTER, "sample-sum", "sample_sum")
    monkeypatch.setitem(sys.modules, "calculators.sample_sum", SimpleNamespace(CALCULATOR=SAMPLE))


def total(capsys: pytest.CaptureFixture[str], *arguments: str) -> float:
    """The total in mm that the arguments lead to."""
    assert calc.main(["sample-sum", *arguments, "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return json.loads(out)["figures"]["total"]["value"]


def put_in(monkeypatch: pytest.MonkeyPatch, data: bytes) -> None:
    """Put bytes on standard input."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))


def test_pairs(capsys: pytest.CaptureFixture[str]) -> None:
    assert total(capsys, "start=5") == 5
    assert total(capsys, "start=1 cm", "rows/0/add=2", "rows/1/add=0,5 cm") == 17  # 10 + 2 + 5 by hand
    assert total(capsys, "start=1", 'rows=[{"add": 3}]', "rows/1/add=4") == 8
    assert total(capsys, "--json", "start=1", "rows/0/add=1") == 2  # options may stand before pairs


def test_file_and_standard_input_and_pairs_over_them(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "in.json"
    file.write_bytes(b"\xef\xbb\xbf" + json.dumps({"start": 1, "rows": [{"add": 2}]}).encode())
    assert total(capsys, "--input", str(file)) == 3
    assert total(capsys, "--input", str(file), "start=5", "rows/0/add=1", "rows/1/add=1") == 7
    put_in(monkeypatch, b'{"start": "2 cm"}')
    assert total(capsys, "--input", "-") == 20


def test_json_is_byte_for_byte_what_the_library_says(capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    assert calc.main(["sample-sum", "start=5", "--json"]) == 0
    assert (
        capsysbinary.readouterr().out
        == calculators.answer_json("sample-sum", '{"start": "5"}').encode() + b"\n"
    )


@pytest.mark.parametrize(
    ("arguments", "lines"),
    [
        (["start=-4 mm"], ["start: got -4 mm; takes a length from 0 to 1000 mm"]),
        ([], ["start: got nothing; takes a length from 0 to 1000 mm"]),
        (
            ["start=x", "rows/0/add=y", "strat=1"],
            ["strat: no such field; did you mean start? (got 1)", "start: got x; ", "rows/0/add: got y; "],
        ),
        (["start=1", "rows=5"], ["rows: got 5; takes a list"]),
        (["start=1", "rows/x/add=2"], ["rows: got {"]),
        (["start=" + "9" * 5000], ["start: got 999"]),
        (["start=1\n2"], ["start: got 1\ufffd2; "]),
        (["start=\x1b[2J"], ["start: got \ufffd[2J; "]),
    ],
)
def test_refused_input_is_a_line_for_each_field(
    arguments: list[str], lines: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert calc.main(["sample-sum", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == len(lines)
    for line, starts in zip(err.splitlines(), lines, strict=True):
        assert line.startswith(starts)
    assert calc.main(["sample-sum", *arguments, "--json"]) == 2
    out, err = capsys.readouterr()
    assert len(json.loads(out)["refused"]) == len(lines) == len(err.splitlines())


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["sample-sun"], "did you mean sample-sum?"),
        (["zzz"], "suction-drop"),
        (["sample-sum", "start"], "'start' is not name=value"),
        (["sample-sum", "=5"], "is not name=value"),
        (["sample-sum", "start=1", "start=2"], "start is given twice"),
        (["sample-sum", "start=1", "rows/1/add=2"], "rows are counted from 0 without a gap"),
        (["sample-sum", "start=1", "rows/0/add=1", "rows/x/add=2"], "rows are counted from 0"),
        (["sample-sum", "start=1", "rows/00000000000000/add=2"], "rows are counted"),
        (["sample-sum", "start=1", "start/0/add=2"], "start"),
        (["sample-sum", "rows=[1"], "rows: not JSON"),
        (["sample-sum", "rows=" + "[" * 100_000], "rows: not JSON"),
        (["sample-sum", "--input", "no-such-file.json"], "no-such-file.json cannot be read: "),
        (["sample-sum", "--input", "/"], "/ cannot be read: "),
        (["sample-sum", "--input", "a\0b"], "cannot be read: "),
        (["sample-sum", "--inptu", "x"], "--inptu"),
        (["--describe"], "say which calculator"),
    ],
)
def test_wrong_use_is_one_line(arguments: list[str], says: str) -> None:
    with pytest.raises(Stop) as refused:
        calc.main(arguments)
    assert refused.value.status == 2
    assert says in str(refused.value) and "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "standard input:1:1: not JSON"),
        (b'{"start": 1,\n "rows": [}', "standard input:2:11: not JSON"),
        (b"[1]", "standard input holds a list; it takes a JSON object"),
        (b"null", "standard input holds null"),
        (b"true", "standard input holds true or false"),
        (b"3.5", "standard input holds a number"),
        (b'"x"', "standard input holds a text"),
        (b'{"start": "\xff"}', "standard input is not UTF-8 text (byte 12)"),
        (b'{"start": 1, "start": 2}', "the name 'start' stands twice"),
        (b'{"start": ' + b"[" * 200_000, "standard input"),
        (b'{"start": ' + b"9" * 10_000 + b"}", "standard input cannot be used"),
        (b" " * (calc.LARGEST_INPUT + 1), "standard input is larger than 1048576 bytes"),
    ],
)
def test_input_that_cannot_be_used_is_one_line(
    data: bytes, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in(monkeypatch, data)
    with pytest.raises(Stop) as refused:
        calc.main(["sample-sum", "--input", "-"])
    assert refused.value.status == 2
    assert says in str(refused.value) and "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "data",
    [
        b'{"start": NaN}',
        b'{"start": Infinity}',
        b'{"start": 1e999}',
        b'{"start": {}}',
        b'{"start": true}',
        b'{"rows": [null], "start": 1}',
    ],
)
def test_values_no_field_takes_are_refused_by_the_field(
    data: bytes, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    put_in(monkeypatch, data)
    assert calc.main(["sample-sum", "--input", "-"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_text_for_a_person(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert calc.main(["sample-sum", "start=1", "rows/0/add=2", "rows/1/add=100"]) == 0
    assert (
        capsys.readouterr().out
        == """\
All of it is 103 mm.

Caution: A caution.

  Total  103.0 mm  (92.7 to 113.3)

What was added
  Row  Added, mm
  ---  ---------
  1    2.0
  2    100.0

Notes
  - A note.

Workings
  total = start + adds
    1 + 2
    3 mm

Sources
  - Common practice.
"""
    )


def test_long_sentences_are_wrapped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    shown = {
        "answer": "word " * 40,
        "cautions": [],
        "figures": [],
        "tables": [],
        "notes": ["note " * 30],
        "workings": [],
        "sources": [],
    }
    lines = calc_text.laid_out(shown).splitlines()
    assert max(map(len, lines)) <= 60 and len(lines) > 6


def test_list_and_describe(capsys: pytest.CaptureFixture[str]) -> None:
    assert calc.main(["sample-sum", "--describe"]) == 0
    assert json.loads(capsys.readouterr().out) == calculators.describe("sample-sum")


MACHINE = SimpleNamespace(title="Sample machine", figure={"sizes.start": "3 cm"}.get)


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A content folder that holds one machine."""
    handbook = SimpleNamespace(
        machines={"sample-90": MACHINE}, labour_rate=Decimal("58.00"), may_be=lambda kind, name: False
    )
    monkeypatch.setitem(
        sys.modules, "macros.check", SimpleNamespace(load_and_check=lambda folder: (handbook, []))
    )
    return tmp_path


def test_machine_fills_what_was_not_given_and_says_so(
    content: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    machine = ["--machine", "sample-90", "--content", str(content)]
    assert total(capsys, *machine) == 30
    assert calc.main(["sample-sum", *machine, "rows/0/add=2", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["figures"]["total"]["value"] == 32
    assert answer["notes"] == [
        "A note.",
        "From the content, for Sample machine: Start 3 cm; Rate 58.00.",
        "Given by hand: Rows (rows: 1).",
    ]
    assert calc.main(["sample-sum", *machine, "start=4", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["figures"]["total"]["value"] == 4  # by hand wins
    assert answer["notes"][1:] == [
        "From the content, for Sample machine: Rate 58.00.",
        "Given by hand: Start 4.",
    ]


def test_machine_is_named_when_its_figure_is_refused(
    content: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(MACHINE, "figure", {"sizes.start": "9 km"}.get)
    assert calc.main(["sample-sum", "--machine", "sample-90", "--content", str(content)]) == 2
    assert "got 9 km from the content, for sample-90; takes" in capsys.readouterr().err


def test_unknown_machine_and_content_with_problems(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(Stop, match="Did you mean sample-90"):
        calc.main(["sample-sum", "--machine", "sample-9", "--content", str(content)])
    with pytest.raises(Stop, match="is not a folder"):
        calc.main(["sample-sum", "--machine", "sample-90", "--content", str(content / "none")])
    monkeypatch.setitem(
        sys.modules,
        "macros.check",
        SimpleNamespace(load_and_check=lambda folder: (None, ["handbook.yml:1:1: wrong."])),
    )
    with pytest.raises(Stop, match="has 1 problem.*handbook.yml:1:1: wrong.") as refused:
        calc.main(["sample-sum", "--machine", "sample-90", "--content", str(content)])
    assert refused.value.status == 1


def test_environment_is_needed_for_a_machine_only() -> None:
    assert not calc.needs_environment([])
    assert not calc.needs_environment(["sample-sum", "start=1", "--json"])
    assert calc.needs_environment(["sample-sum", "--machine=sample-90"])
    with pytest.raises(Stop):  # wrong use is refused before anything is set up for it
        calc.needs_environment(["sample-sun", "--machine", "sample-90"])


def test_nothing_but_the_standard_library_is_loaded() -> None:
    """From the real entry, with packages switched off (-S), in an interpreter of its own."""
    code = (
        "import sys; from macros.launch import main\n"
        "status = main(['calc', 'wheel-adjust', '--describe'])\n"
        "foreign = {name.split('.')[0] for name in sys.modules} - set(sys.stdlib_module_names) - "
        "{'__main__', 'calculators', 'macros'}\n"
        "assert not foreign, foreign\n"
        "heavy = {'asyncio', 'http', 'ssl', 'subprocess', 'urllib.request', 'logging'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "sys.exit(status)"
    )
    done = subprocess.run(
        [sys.executable, "-S", "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["type"] == "object"
