"""The verb calc: one calculation on the command line.

Standard library only and nothing set up, so that it answers at once; only --machine, which reads the
content, goes through the environment.
"""

import argparse
import difflib
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import calculators
from calculators.form import Calculator, Field
from calculators.present import shown
from macros.cli import WRONG_USE, Parser
from macros.console import ROOT, Stop, say
from macros.words import _

LARGEST_INPUT = 1 << 20
"""Bytes of JSON taken from a file or standard input: far more than any calculation needs."""


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """The command line after ``calc``. Raises: Stop with status 2 and one line; SystemExit 0 after --help."""
    line = Parser(
        prog="handbook.py calc",
        allow_abbrev=False,
        description=_(
            "Answer one calculation. Without ID: list the calculators. Rows of a list are counted from 0, "
            "e.g. readings/0/vacuum=19.4."
        ),
    )
    line.add_argument("id", nargs="?", metavar="ID", help=_("the calculator"))
    line.add_argument("pairs", nargs="*", metavar="name=value", help=_("what is put in, e.g. thread=M10"))
    line.add_argument(
        "--input", metavar=_("FILE"), help=_("take what is put in from a JSON file (-: standard input)")
    )
    line.add_argument("--json", action="store_true", help=_("print the result as JSON"))
    line.add_argument("--describe", action="store_true", help=_("print what it takes as JSON Schema"))
    line.add_argument("--machine", metavar="ID", help=_("fill in what the content knows of this machine"))
    line.add_argument(
        "--content",
        metavar=_("DIR"),
        type=Path,
        default=ROOT / "content",
        help=_("folder of the content that --machine reads"),
    )
    return line.parse_intermixed_args(list(arguments))


def needs_environment(arguments: Sequence[str]) -> bool:
    """Whether these arguments need the content, and with it the environment. Raises: Stop for wrong use."""
    chosen = parse(arguments)
    if chosen.id is not None:
        known(chosen.id)
    return chosen.machine is not None


def main(arguments: Sequence[str]) -> int:
    """Carry out ``calc ARGUMENTS``. Returns 0, or 2 for refused input. Raises: Stop for wrong use."""
    chosen = parse(arguments)
    if chosen.id is None:
        if chosen.machine or chosen.input or chosen.describe:
            raise Stop(
                _("handbook.py calc: say which calculator; they are {ids}.").format(
                    ids=", ".join(calculators.REGISTER)
                ),
                WRONG_USE,
            )
        return _list(chosen.json)
    one = known(chosen.id)
    if chosen.describe:
        print(json.dumps(calculators.describe(one.id), ensure_ascii=False, indent=1))
        return 0
    by_hand = read_input(chosen.input) if chosen.input else {}
    by_hand = lay_over(by_hand, chosen.pairs)
    notes: list[str] = []
    inputs, filled = by_hand, {}
    if chosen.machine is not None:
        from macros.machine_figures import fill, origin

        title, filled = fill(one, by_hand, chosen.machine, chosen.content)
        inputs = {**filled, **by_hand}
        notes = origin(one, by_hand, filled, title)
    result = calculators.calculate(one.id, inputs)
    if notes and "refused" not in result:
        result["notes"] = [*result["notes"], *notes]
    if chosen.json:
        print(calculators.to_json(result))
    if "refused" in result:
        for refusal in result["refused"]:
            say(_refusal(one, refusal, filled, chosen.machine))
        return WRONG_USE
    if not chosen.json:
        from macros.calc_text import laid_out

        print(laid_out(shown(one, result)))
    return 0


def _refusal(
    one: Calculator, refusal: Mapping[str, str], filled: Mapping[str, Any], machine: str | None
) -> str:
    """One line for one field: the field, what it got, what it takes."""
    line = _("{field}: got {got}; takes {takes}")
    if refusal["field"].partition("/")[0] in filled:
        line = _("{field}: got {got} from the content, for {machine}; takes {takes}")
    elif not _has(one.fields, refusal["field"]):
        line = _("{field}: {takes} (got {got})")
    return line.format(machine=machine, **refusal)


def _has(fields: Sequence[Field], path: str) -> bool:
    """Whether there is a field at a path such as ``readings/2/vacuum``."""
    name, _slash, rest = path.partition("/")
    found = next((field for field in fields if field.name == name), None)
    inner = rest.partition("/")[2]
    return found is not None and (not inner or _has(found.fields, inner))


def known(id: str) -> Calculator:
    """The calculator with this id. Raises: Stop that names the nearest when there is none."""
    if id in calculators.REGISTER:
        return calculators.calculator(id)
    near = difflib.get_close_matches(id, calculators.REGISTER, 1, 0.4)
    if near:
        raise Stop(
            _(
                "There is no calculator {id!r}; did you mean {near}? All of them: python3 handbook.py calc"
            ).format(id=id, near=near[0]),
            WRONG_USE,
        )
    raise Stop(
        _("There is no calculator {id!r}; they are {ids}.").format(
            id=id, ids=", ".join(calculators.REGISTER)
        ),
        WRONG_USE,
    )


def _list(as_json: bool) -> int:
    """Every calculator and its question."""
    questions = {one.id: _(one.question) for one in calculators.calculators()}
    if as_json:
        print(json.dumps(questions, ensure_ascii=False, indent=1))
        return 0
    width = max(map(len, questions))
    for id, question in questions.items():
        print(f"{id:<{width}}  {question}")
    return 0


def read_input(name: str) -> dict[str, Any]:
    """The JSON object in the file `name`, or on standard input for ``-``.

    Raises: Stop (status 2) that says what is the matter with it.
    """
    where = _("standard input") if name == "-" else name
    try:
        if name == "-":
            data = sys.stdin.buffer.read(LARGEST_INPUT + 1)
        else:
            with open(name, "rb") as file:
                data = file.read(LARGEST_INPUT + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Stop(
            _("{where} cannot be read: {reason}.").format(where=where, reason=reason), WRONG_USE
        ) from None
    if len(data) > LARGEST_INPUT:
        raise Stop(
            _("{where} is larger than {most} bytes, more than any calculation takes.").format(
                where=where, most=LARGEST_INPUT
            ),
            WRONG_USE,
        )
    try:
        given = json.loads(data.decode("utf-8-sig"), object_pairs_hook=_no_doubles)
    except UnicodeDecodeError as error:
        raise Stop(
            _("{where} is not UTF-8 text (byte {place}); save it as UTF-8.").format(
                where=where, place=error.start + 1
            ),
            WRONG_USE,
        ) from None
    except json.JSONDecodeError as error:
        raise Stop(
            _("{where}:{line}:{column}: not JSON ({reason}).").format(
                where=where, line=error.lineno, column=error.colno, reason=error.msg
            ),
            WRONG_USE,
        ) from None
    except (ValueError, RecursionError) as error:
        reason = _("nested too deeply") if isinstance(error, RecursionError) else str(error)
        raise Stop(
            _("{where} cannot be used: {reason}.").format(where=where, reason=reason), WRONG_USE
        ) from None
    if not isinstance(given, dict):
        names = {list: _("a list"), str: _("a text"), bool: _("true or false"), type(None): _("null")}
        raise Stop(
            _('{where} holds {found}; it takes a JSON object, {{"name": value, ...}}.').format(
                where=where, found=names.get(type(given), _("a number"))
            ),
            WRONG_USE,
        )
    return given


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object of JSON. Raises: ValueError when a name stands twice; most readers drop one silently."""
    made: dict[str, Any] = {}
    for name, value in pairs:
        if name in made:
            raise ValueError(_("the name {name!r} stands twice in one object").format(name=name[:60]))
        made[name] = value
    return made


def lay_over(given: dict[str, Any], pairs: Sequence[str]) -> dict[str, Any]:
    """`given`, with each ``name=value`` or ``list/0/name=value`` put into it.

    Values stay text, which every field understands; one that starts as a JSON list or object is read as such.
    Raises: Stop (status 2) for a word that is no pair, or a pair that cannot be put in.
    """
    seen: set[str] = set()
    for pair in pairs:
        name, equals, value = pair.partition("=")
        name = name.strip()
        if not equals or not name:
            raise Stop(_("{word!r} is not name=value, e.g. thread=M10.").format(word=pair), WRONG_USE)
        if name in seen:
            raise Stop(_("{name} is given twice.").format(name=name), WRONG_USE)
        seen.add(name)
        _put(given, name, _value(name, value))
    return given


def _value(name: str, text: str) -> Any:
    """A value as typed."""
    if not text.lstrip().startswith(("[", "{")):
        return text
    try:
        return json.loads(text, object_pairs_hook=_no_doubles)
    except (ValueError, RecursionError) as error:
        raise Stop(_("{name}: not JSON ({reason}).").format(name=name, reason=error), WRONG_USE) from None


def _put(made: dict[str, Any], name: str, value: Any) -> None:
    """Put `value` at the path `name`, making rows as they are counted up."""
    *path, last = name.split("/")
    place: Any = made
    for step, following in zip(path, name.split("/")[1:], strict=True):
        empty: Any = [] if following.isdecimal() else {}
        place = _step(place, step, name, empty)
    if isinstance(place, list):
        _step(place, last, name, value)
        place[int(last)] = value
    elif isinstance(place, dict):
        place[last] = value
    else:
        raise Stop(
            _("{name}: {step} holds a single value, not rows.").format(name=name, step=path[-1]), WRONG_USE
        )


def _step(place: Any, step: str, name: str, empty: Any) -> Any:
    """What stands at `step` of `place`; `empty` is put there when nothing does."""
    if isinstance(place, dict):
        return place.setdefault(step, empty)
    if not isinstance(place, list):
        raise Stop(
            _("{name}: {step} cannot stand inside a single value.").format(name=name, step=step), WRONG_USE
        )
    if not (step.isascii() and step.isdecimal() and len(step) < 6) or int(step) > len(place):
        raise Stop(
            _("{name}: rows are counted from 0 without a gap; the next one is {next}.").format(
                name=name, next=len(place)
            ),
            WRONG_USE,
        )
    if int(step) == len(place):
        place.append(empty)
    return place[int(step)]
