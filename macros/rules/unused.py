"""What nothing uses: parts fitted nowhere, tools that no step needs, zones without hands, messages never placed."""

from collections.abc import Collection

from macros.fields import Standing
from macros.model import Handbook, Placed
from macros.problems import Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of things that are in the content in vain; nothing is said while what may use them is unread."""
    if any(kind in ("machine", "procedure", "zone") for kind, _name in handbook.unread):
        return []
    if not all(procedure.steps for procedure in handbook.procedures.values()):
        return []
    steps = [step for procedure in handbook.procedures.values() for step in procedure.steps]
    parts = {name for one in (*handbook.machines.values(), *steps) for name in one.parts}
    tools = {name for one in steps for name in one.tools} | {n for p in handbook.procedures.values() for n in p.bring}
    zones = {name for step in steps for name in step.hands}
    messages = {zone.message for zone in handbook.zones.values()} | {
        item.message for p in handbook.procedures.values() for item in p.items if isinstance(item, Placed)}
    return [
        *_idle(handbook.parts, parts, "unused-part", _("no machine has the part \"{name}\", and no step renews it"),
               _("name it under parts of its machine")),
        *_idle(handbook.tools, tools, "unused-tool", _('no step needs the tool "{name}"'), _("name it on its step")),
        *_idle(handbook.zones, zones, "unused-zone", _('no step has hands in the zone "{name}"'),
               _("name it under hands of its steps")),
        *_idle(handbook.messages, messages, "unused-message", _('no zone and no procedure has the message "{name}"'),
               _("name it in its zone")),
    ]


def _idle(held: dict[str, Standing], used: Collection[str], rule: str, found: str, expected: str) -> list[Problem]:
    if any(name not in held for name in used):  # a name that was misspelt may be the one that seems unused
        return []
    return [Problem(one.at, rule, found.format(name=name), expected, _("or take it out"), about=name)
            for name, one in held.items() if name not in used]
