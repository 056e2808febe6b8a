"""The schemas and the loader take the same files; the schemas beside the demo are current; every entry is explained."""

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from macros import author_verbs, cli, folder, model, schema_files
from macros import fields as f
from macros.hover import SAYS
from macros.load import parse
from macros.problems import Problem
from macros.schema import schemas

from .contents import DEMO, SMALL, changed
from .editor import Scalar, canonical, seen, tree, written

#: Files made for each kind; with ten kinds four thousand in all.
EACH = 400

#: Values that mean one thing to YAML and may mean another to the model, and values at the model's edges.
TRICKY = [
    "", "~", "null", "NULL", "no", "yes", "true", "True", "false", "0", "1", "-1", "5", "5.0", "+5", "010", "0x1F",
    "0o17", "1e3", "1.10", ".5", "5.", ".nan", ".inf", "12:30", "1_000", "1000", "1001", "100000", "999999999",
    "1000000000", "58.00", "58,00", "34.505", "34.123456", "2026-11-25", "2026-02-29", "2024-02-29", "2100-02-29",
    "2000-02-29", "0000-01-01", "2026-13-01", "2026-W01-1", "20261125", "2026-4-1", "M10", "m10 x 1.25", "M10x9",
    "3/8-16 UNC", "10 mm", "10mm", "1,5 mm", "1/2 in", "10 MM", "10 kg", "mm", "5 m m", "90 %", "0.9", "19 kPa", "500 kPa",
    "40 inH2O", "40 inwc", "5 s", "2 h", "9999 s", "150 m3/h", "240 Ah", "1.28", "1.4", "EUR", "eur", "\u00c4\u00d6\u00dc",
    "rear-blade", "Rear Blade", "a/b", "../x", "a--b", "-a", "warning", "danger", "clockwise", "nose-up", "IU", "allowed",
    "sealed", "motor-inlet", " spaced ", " 5 ", " never", "\u0007x", "x\u0085", "x\r", "line\nbreak", "\u00e9", "\u00a05",
    "\u0665", "\uff11", "[", "a: b", "# x",
]


def types_of(kind: f.Type) -> Iterator[f.Type]:
    """A type of the model and all types in it."""
    yield kind
    if isinstance(kind, f.ListOf | f.MapOf):
        yield from types_of(kind.item)
    elif isinstance(kind, f.Object):
        yield from (inner for entry in f.declared(kind.cls).values() for inner in types_of(entry.metadata["type"]))


CLASSES = [*folder.FILES.values(), model.MachineHead, model.ProcedureHead, model.Heading, model.Placed, model.Step]
TYPES = [kind for cls in CLASSES for kind in types_of(f.Object(cls))] + [
    kind for section in model.FIGURES.values() for figure in section.values() for kind in types_of(figure)]
#: What the loader expects where it reads further than a pattern can (see `macros.schema`), in a refusal's words.
FURTHER = {f"expected {kind.words()}" for kind in TYPES if isinstance(kind, f.Measure | f.Checked) and not (
    isinstance(kind, f.Checked) and kind.pattern.startswith("^"))}
FURTHER_QUOTED = {f"expected {kind.words()}" for kind in TYPES if isinstance(kind, f.Number)}


def samples(kind: str) -> list[Any]:
    """The demo's and the small content's files of a kind, as trees, large ones cut to a few entries."""
    pattern = f"{kind}s/*.yml" if kind in ("machine", "procedure") else f"{kind}.yml"
    paths = sorted(DEMO.glob(pattern)) + sorted(SMALL.glob(pattern))
    return [tree(parse(path.read_text(encoding="utf-8"), path.name)[0].plain()) for path in paths]


def cut(one: Any, rng: random.Random) -> Any:
    """A tree with at most four of the entries of its long lists and mappings of equal things."""
    if isinstance(one, dict):
        keep = list(one)
        if len(keep) > 4 and all(isinstance(value, dict) for value in one.values()):
            keep = sorted(rng.sample(keep, 2), key=keep.index)
        return {key: cut(one[key], rng) for key in keep}
    if isinstance(one, list):
        return [cut(item, rng) for item in (one if len(one) <= 4 else rng.sample(one, 4))]
    return one


def places(one: Any, inside: Any = None, key: Any = None) -> Iterator[tuple[Any, Any]]:
    """Every (container, key) of a tree."""
    if inside is not None:
        yield inside, key
    for inner, value in one.items() if isinstance(one, dict) else enumerate(one) if isinstance(one, list) else ():
        yield from places(value, one, inner)


def mutated(one: Any, keys: list[str], rng: random.Random) -> Any:
    """The tree with one to three changes."""
    for _change in range(rng.choice((1, 1, 1, 2, 3))):
        found = list(places(one))
        if not found:
            return one
        inside, key = rng.choice(found)
        tricky = Scalar(rng.choice(TRICKY), rng.random() < 0.4)
        change = rng.randrange(8)
        if change < 3 and isinstance(inside[key], Scalar) or change == 3:
            inside[key] = tricky
        elif change == 4:
            inside[key] = rng.choice(([], {}, [tricky], {rng.choice(keys): tricky}, [inside[key]]))
        elif change == 5:
            del inside[key]
        elif isinstance(inside, dict):
            inside[rng.choice([*keys, "Wrong", "a b", "12"])] = inside[key] if rng.random() < 0.5 else tricky
        else:
            inside.append(rng.choice([item for item in inside]))
    return one


def loader(kind: str, text: str) -> list[Problem]:
    node, problems = parse(text, "x.yml")
    return problems or folder.form(kind if kind in ("machine", "procedure") else f"{kind}.yml", node)


def further(problem: Problem, text: str) -> bool:
    """Whether the loader refuses what JSON Schema cannot express: a range or a table behind a written form."""
    quoted = text.splitlines()[problem.line - 1][problem.column - 1] == '"'
    return problem.rule == "type" and (
        problem.expected in FURTHER or quoted and problem.expected in FURTHER_QUOTED)


@pytest.mark.parametrize("kind", sorted(schemas()))
def test_the_schema_and_the_loader_take_the_same_files(kind):
    validator = jsonschema.Draft7Validator(schemas()[kind])
    rng = random.Random(f"schema {kind}")
    keys = sorted({key for cls in CLASSES for inner in types_of(f.Object(cls)) if isinstance(inner, f.Object)
                   for key in f.declared(inner.cls)})
    taken = refused = exceptions = 0
    trees = samples(kind)
    for _number in range(EACH):
        one = mutated(cut(rng.choice(trees), rng), keys, rng)
        text = written(one)
        if loader(kind, text) and validator.is_valid(seen(text)):
            # Another spelling of the same value is told apart by the loader alone: both judge the shortest one.
            plain = written(canonical(one))
            exceptions += plain != text
            text = plain
        elif not loader(kind, text) and not validator.is_valid(seen(text)):
            text = written(canonical(one))
        problems, valid = loader(kind, text), validator.is_valid(seen(text))
        if valid and problems:
            exceptions += 1
            assert all(further(problem, text) for problem in problems), (text, problems)
        else:
            assert valid == (not problems), (text, problems, [e.message for e in validator.iter_errors(seen(text))])
        taken, refused = taken + (not problems), refused + bool(problems)
    assert taken >= EACH / 10 and refused >= EACH / 4 and exceptions <= EACH / 10, (taken, refused, exceptions)


def test_every_file_of_the_demo_is_valid_as_an_editor_sees_it():
    for kind, schema in schemas().items():
        jsonschema.Draft7Validator.check_schema(schema)
        pattern = f"{kind}s/*.yml" if kind in ("machine", "procedure") else f"{kind}.yml"
        for path in [*DEMO.glob(pattern), *SMALL.glob(pattern)]:
            jsonschema.Draft7Validator(schema).validate(seen(path.read_text(encoding="utf-8")))


def test_a_range_of_whole_numbers_as_a_pattern():
    rng = random.Random("ranges")
    for _number in range(400):
        low, high = sorted(rng.randrange(10 ** rng.randint(1, 5)) for _side in "ab")
        validator = jsonschema.Draft7Validator(schema_of(f.Whole(low, high)))
        for one in {low - 1, low, low + 1, high - 1, high, high + 1, rng.randint(low, high), 0, 9, 10, 99, 100} - {-1}:
            assert validator.is_valid(str(one)) == validator.is_valid(one) == (low <= one <= high), (low, high, one)


def schema_of(kind: f.Type) -> dict[str, Any]:
    from macros.schema import schema

    return schema(kind)


def test_the_schemas_beside_the_demo_are_current():
    assert schema_files.stale(DEMO) == [], "the model has changed: run python3 handbook.py schema"
    for path in sorted(DEMO.rglob("*.yml")):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        name = first.removeprefix("# yaml-language-server: $schema=")
        assert name != first and (path.parent / name).is_file(), path


def test_every_entry_of_the_model_is_explained():
    said = {(cls.__name__, name) for kind in TYPES if isinstance(kind, f.Object) for cls in [kind.cls]
            for name in f.declared(cls)} | {(section, name) for section, held in model.FIGURES.items() for name in held}
    told = {(owner, name) for owner, entries in SAYS.items() for name in entries}
    assert told <= said | {("ProcedureHead", "steps")}, "explained, but not in the model"

    def words(one: Any) -> Iterator[str]:
        for name, inner in one.get("properties", {}).items():
            yield inner.get("description", "") if name else ""
        for inner in one.values():
            for deeper in inner if isinstance(inner, list) else [inner]:
                if isinstance(deeper, dict):
                    yield from words(deeper)

    for kind, schema in schemas().items():
        described = list(words(schema))
        assert described and all(described), kind


def test_the_verb_writes_what_is_missing_and_touches_nothing_else(tmp_path, capsys):
    content = changed(tmp_path, "tools.yml", "tools:", "tools:")
    (content / "tools.yml").write_bytes(b"\xef\xbb\xbf# ours\r\ntools: {}\r\n")
    (content / "parts.yml").write_text("# yaml-language-server: $schema=elsewhere.json\nparts: {}\n")
    before = (content / "machines/m.yml").read_text()
    assert author_verbs.schema(content) == 0
    line = schema_files.first_line
    assert (content / "machines/m.yml").read_text() == line("machines/m.yml") + "\n" + before
    assert line("machines/m.yml").endswith("=../schema/machine.json")
    assert (content / "tools.yml").read_bytes() == (
        b"\xef\xbb\xbf" + line("tools.yml").encode() + b"\r\n# ours\r\ntools: {}\r\n")
    assert (content / "parts.yml").read_text() == line("parts.yml") + "\nparts: {}\n"
    assert sorted(p.stem for p in (content / "schema").iterdir()) == sorted(schemas())
    capsys.readouterr()
    assert author_verbs.schema(content) == 0 and "current" in capsys.readouterr().err
    (content / "schema/parts.json").write_text("{}")
    assert schema_files.stale(content) == ["parts.json"]
    cli.check(content, False)
    assert "python3 handbook.py schema" in capsys.readouterr().err


def test_a_type_that_no_schema_is_made_for_is_an_error():
    class Unheard(f.Type):
        pass

    with pytest.raises(TypeError, match="Unheard"):
        schema_of(Unheard())


def test_nothing_of_the_schemas_is_taken_as_content():
    from macros.check import load_and_check

    assert Path(DEMO / "schema").is_dir() and load_and_check(DEMO)[1] == []
