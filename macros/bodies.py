"""The root node of a machine's or a procedure's file -> the machine, the procedure; problems are collected."""

from dataclasses import fields as dataclass_fields
from typing import Any

from macros import model
from macros.fields import Reading, build, declared, unknown_key
from macros.load import Node
from macros.problems import Place, Problem
from macros.words import _


def built(cls: type, node: Node, problems: list[Problem], also: tuple[str, ...] = ()) -> Any:
    """An object of the model from a mapping (see `macros.fields.build`)."""
    reading = Reading()
    made = build(cls, node, reading, also=also)
    problems += reading.problems
    return made


def machine(node: Node, name: str, problems: list[Problem]) -> model.Machine:
    """The machine `name` in a file's root node; what is wrong is added to `problems`."""
    head, rest = _part(node, model.FIGURES)
    made = built(model.MachineHead, head, problems, tuple(model.FIGURES))
    reading = Reading()
    figures: dict[str, dict[str, Any]] = {}
    places = dict(made.places)
    for section, (at, value) in rest.items():
        places[section] = at
        figures[section] = _figures(section, value, reading, places)
    problems += reading.problems
    return model.Machine(**_values(made), at=made.at, places=places, figures=figures, id=name)


def procedure(node: Node, name: str, problems: list[Problem]) -> model.Procedure:
    """The procedure `name` in a file's root node; what is wrong is added to `problems`."""
    head, rest = _part(node, ("steps",))
    made = built(model.ProcedureHead, head, problems, ("steps",))
    items: list[Any] = []
    if node.kind == "map":
        at, steps = rest.get("steps", (node.at, None))
        if steps is None:
            problems.append(
                Problem(
                    at,
                    "missing-key",
                    _('the key "{key}" is missing').format(key="steps"),
                    _("expected {what}").format(what=_("a list of steps")),
                )
            )
        elif steps.kind != "list":
            problems.append(
                Problem(
                    steps.at,
                    "type",
                    _("found {found}").format(found=steps.says()),
                    _("expected {what}").format(what=_("a list of steps")),
                )
            )
        else:
            items = [item for item in (_item(one, problems) for one in steps.items) if item is not None]
            if not any(isinstance(item, model.Step) for item in items):
                problems.append(
                    Problem(
                        at,
                        "no-steps",
                        _("the procedure has no step"),
                        _("at least one step with id, do and text"),
                    )
                )
    return model.Procedure(**_values(made), at=made.at, places=made.places, items=tuple(items), id=name)


def _item(node: Node, problems: list[Problem]) -> Any:
    """A heading (part), a safety message, or a step; one key alone is meant for one of the first two."""
    if node.kind != "map":
        problems.append(
            Problem(
                node.at,
                "type",
                _("found {found}").format(found=node.says()),
                _("expected a step, or a mapping with part or message alone"),
            )
        )
        return None
    keys = list(node.entries)
    for key, cls in (("part", model.Heading), ("message", model.Placed)):
        if keys == [key]:
            return built(cls, node, problems)
        if key in keys:
            problems.append(
                Problem(
                    node.entries[key][0],
                    "item",
                    _("{key} stands together with {others}").format(
                        key=key, others=", ".join(other[:60] for other in keys if other != key)
                    ),
                    _("part and message stand alone, each an item of its own"),
                    _("put it on a line before the step"),
                )
            )
            return None
    if len(keys) == 1 and keys[0] not in declared(model.Step):
        reading = Reading()
        unknown_key(
            reading, keys[0], node.entries[keys[0]][0], ("part", "message", *declared(model.Step))
        )
        problems += reading.problems
        return None
    return built(model.Step, node, problems)


def _part(node: Node, taken: Any) -> tuple[Node, dict[str, tuple[Place, Node]]]:
    """A mapping parted into the entries that a class reads and those in `taken`."""
    if node.kind != "map":
        return node, {}
    head = {key: value for key, value in node.entries.items() if key not in taken}
    return Node(node.at, "map", entries=head), {
        key: node.entries[key] for key in node.entries if key in taken
    }


def _values(made: Any) -> dict[str, Any]:
    return {f.name: getattr(made, f.name) for f in dataclass_fields(made) if "type" in f.metadata}


def _figures(section: str, node: Node, reading: Reading, places: dict[str, Place]) -> dict[str, Any]:
    """The figures of one section that are right, as text just as they were written."""
    known = model.FIGURES[section]
    if node.kind != "map":
        reading.refuse(
            node.at,
            "type",
            _("found {found}").format(found=node.says()),
            _("expected {what}").format(what=_("a mapping with {names}").format(names=", ".join(known))),
        )
        return {}
    made = {}
    for key, (at, value) in node.entries.items():
        if key not in known:
            unknown_key(reading, key, at, known)
            continue
        before = len(reading.problems)
        known[key].read(value, reading, places, f"{section}/{key}")
        if len(reading.problems) == before:
            made[key] = value.plain()
    return made
