"""Job counts from CSV: figures changed in place, comments and layout kept, or nothing changed at all."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from macros.check import load_and_check
from macros.counts import Refused, update

from .contents import DEMO, SMALL

ROOT = Path(__file__).parents[2]


@pytest.fixture
def symptoms(tmp_path):
    shutil.copytree(DEMO, tmp_path / "content")
    return tmp_path / "content/symptoms.yml"


def counted(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "jobs.csv"
    path.write_bytes(text.encode(encoding))
    return path


def test_figures_change_and_nothing_else(tmp_path, symptoms):
    before = symptoms.read_text().splitlines()
    said = update(counted(tmp_path, "symptom,cause,count,minutes\nwhole,lid-seal,311,12.5\nfoam,wrong,7,\n"), symptoms)
    after = symptoms.read_text().splitlines()
    different = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(different) == 2 and len(said) == 3
    assert any("lid-seal" in a and "share: 311" in b and "minutes: 12.5" in b for a, b in different)
    assert [line for line in after if line.startswith("#")] == [line for line in before if line.startswith("#")]
    handbook, problems = load_and_check(symptoms.parent)
    assert problems == []
    assert handbook.symptoms["whole"].causes["lid-seal"].share == "311"
    assert handbook.symptoms["foam"].causes["wrong"].minutes == load_and_check(DEMO)[0].symptoms["foam"].causes["wrong"].minutes


def test_every_cause_of_every_symptom(tmp_path, symptoms):
    handbook, _problems = load_and_check(DEMO)
    rows = [(s, c) for s, symptom in handbook.symptoms.items() for c in symptom.causes]
    text = "Symptom;Cause;Count;Mean minutes\n" + "".join(f"{s};{c};{n + 1};{n % 50 + 1}\n" for n, (s, c) in enumerate(rows))
    update(counted(tmp_path, "\ufeff" + text), symptoms)
    again, problems = load_and_check(symptoms.parent)
    assert problems == []
    for n, (s, c) in enumerate(rows):
        assert (again.symptoms[s].causes[c].share, again.symptoms[s].causes[c].minutes) == (str(n + 1), str(n % 50 + 1))
    assert update(counted(tmp_path, text), symptoms) == []


@pytest.mark.parametrize("text, words", [
    ("symptom,cause,count\nwhol,lid-seal,3\n", 'jobs.csv:2: unknown symptom "whol". Did you mean "whole"?'),
    ("symptom,cause,count\nwhole,lid,3\n", 'jobs.csv:2: "lid" is not a cause of whole. '),
    ("symptom,cause,count\nwhole,lid-seal,-3\n", 'count is "-3"; it takes a whole number from 0 to 999999'),
    ("symptom,cause,count\nwhole,lid-seal,\n", 'count is ""'),
    ("symptom,cause,count,minutes\nwhole,lid-seal,3,soon\n", 'minutes is "soon"'),
    ("symptom,cause,count\nwhole,lid-seal,3\nwhole,lid-seal,4\n", "jobs.csv:3: whole and lid-seal stand twice"),
    ("symptom,cause,count\nwhole,lid-seal\n", "fewer cells"),
    ("symptom,cause,count\nwhole,lid-seal,3,4\n", "more or fewer cells"),
    ("cause,count\nlid-seal,3\n", "the columns are cause, count"),
    ("", "the columns are none"),
    ("symptom,cause,count\n", "no rows"),
    ('symptom,cause,count\n"whole,lid-seal,3\n', "jobs.csv:"),
    ("symptom,cause,count\n" + "".join(f"smear,{c},0\n" for c in ("wheels-high", "nose", "blade-soft")),
     "smear: every cause would have the count 0"),
])
def test_bad_rows_are_refused_and_nothing_is_changed(tmp_path, symptoms, text, words):
    before = symptoms.read_bytes()
    with pytest.raises(Refused) as refused:
        update(counted(tmp_path, text), symptoms)
    assert any(words in line for line in refused.value.lines), refused.value.lines
    assert symptoms.read_bytes() == before


def test_all_bad_rows_come_at_once_and_latin1_is_refused(tmp_path, symptoms):
    with pytest.raises(Refused) as refused:
        update(counted(tmp_path, "symptom,cause,count\nx,y,1\nwhole,z,1\nwhole,lid-seal,x\n"), symptoms)
    assert len(refused.value.lines) == 3
    with pytest.raises(Refused, match="not UTF-8"):
        update(counted(tmp_path, "symptom,cause,count\nwh\u00f6le,z,1\n", "latin-1"), symptoms)


def test_as_a_command(tmp_path):
    shutil.copytree(SMALL, tmp_path / "content")
    jobs = counted(tmp_path, "symptom,cause,count\nmiddle,lid,9\n")
    code = ("import sys; sys.path.insert(0, {root!r}); from macros import cli; "
            "sys.exit(cli.run(cli.parse(['counts', {jobs!r}, '--content', {content!r}])))")
    done = subprocess.run([sys.executable, "-c", code.format(root=str(ROOT), jobs=str(jobs),
                                                             content=str(tmp_path / "content"))],
                          capture_output=True, text=True)
    assert done.returncode == 0 and "middle, lid: share 3 -> 9" in done.stdout
    jobs.write_text("symptom,cause,count\nmiddle,lit,9\n")
    done = subprocess.run([sys.executable, "-c", code.format(root=str(ROOT), jobs=str(jobs),
                                                             content=str(tmp_path / "content"))],
                          capture_output=True, text=True)
    assert done.returncode == 1 and 'Did you mean "lid"?' in done.stderr and "Traceback" not in done.stderr
