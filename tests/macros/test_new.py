"""What `new` writes passes check; what it cannot write leaves everything as it was."""

from pathlib import Path

import pytest

from macros import cli, new
from macros.check import load_and_check
from macros.console import Stop

from .contents import SMALL, changed


def files(content: Path) -> dict[str, bytes]:
    return {str(path.relative_to(content)): path.read_bytes() for path in content.rglob("*") if path.is_file()}


def test_each_kind_passes_check_and_touches_nothing_else(tmp_path):
    content = changed(tmp_path, "parts.yml", "parts:", "parts:")
    for kind, one, touched in (("procedure", "look-again", {"procedures/look-again.yml"}),
                               ("machine", "big", {"machines/big.yml"}),
                               ("part", "lid-hook", {"parts.yml", "machines/m.yml"}),
                               ("symptom", "odd-spots", {"symptoms.yml"})):
        before = files(content)
        given = ["--machine", "m"] if kind == "part" else []
        assert cli.run(cli.parse(["new", kind, one, "--title", 'A title: with "quotes"', *given,
                                  "--content", str(content)])) == 0
        after = files(content)
        assert {name for name in after if after[name] != before.get(name)} == touched
        for name in touched & set(before):  # what was there before is still there, in its order
            kept = iter(after[name].decode().splitlines())
            assert all(line.startswith("parts: [") or line in kept for line in before[name].decode().splitlines())
    handbook, problems = load_and_check(content)
    assert problems == []
    assert handbook.procedures["look-again"].first == ("make-safe",)
    assert handbook.parts["lid-hook"].title == handbook.symptoms["odd-spots"].title == 'A title: with "quotes"'
    assert handbook.machines["m"].parts == ("rear-blade", "lid-hook")


def test_a_person_is_asked_for_what_was_left_out(tmp_path):
    content = changed(tmp_path, "parts.yml", "parts:", "parts:")
    asked = []

    def ask(question: str, proposal: str) -> str:
        asked.append((question, proposal))
        return "Lid hook" if question == "Title" else proposal

    new.make(new.Wanted("part", "lid-hook"), content, ask)
    assert [proposal for _question, proposal in asked] == ["Lid hook", "m", "LID-HOOK"]


def test_who_names_what_is_not_there_is_told_and_asked_again(tmp_path):
    content = changed(tmp_path, "parts.yml", "parts:", "parts:")
    asked = []

    def ask(question: str, proposal: str) -> str:
        asked.append(question)
        return {0: "Lid hook", 1: "n", 2: "m"}.get(len(asked) - 1, proposal)

    new.make(new.Wanted("part", "lid-hook"), content, ask)
    assert asked[2].startswith('There is no machine "n". ') and asked[2].endswith("\n" + asked[1])
    assert load_and_check(content)[0].machines["m"].parts == ("rear-blade", "lid-hook")
    with pytest.raises(Stop, match='There is no machine "n"'):
        new.make(new.Wanted("part", "other-hook"), content, lambda question, proposal: "n")


@pytest.mark.parametrize("wanted, says", [
    (new.Wanted("procedure", "make-safe"), "is there already"),
    (new.Wanted("procedure", "Make Safe"), "is not an id"),
    (new.Wanted("procedure", "look", group="fnd"), 'Did you mean "find"'),
    (new.Wanted("part", "rear-blade"), "is taken"),
    (new.Wanted("part", "hook", machine="n"), 'no machine "n"'),
])
def test_what_cannot_be_made_changes_nothing(tmp_path, wanted, says):
    content = changed(tmp_path, "parts.yml", "parts:", "parts:")
    before = files(content)
    with pytest.raises(Stop, match=says):
        new.make(wanted, content)
    assert files(content) == before


def test_what_check_would_refuse_is_taken_back(tmp_path):
    content = changed(tmp_path, "parts.yml", "parts:", "parts:")
    before = files(content)
    with pytest.raises(Stop, match="Nothing was written, since check would say"):
        new.make(new.Wanted("part", "hook", title="Hook of 5mm"), content)
    assert files(content) == before == files(SMALL)
