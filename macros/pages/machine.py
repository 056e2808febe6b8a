"""One page for each machine: its figures, the parts fitted, the care plan, its procedures."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from macros.model import FIGURES, Machine
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site, listed, sentence
from macros.words import _, mark

SECTIONS = {
    "squeegee": mark("Squeegee"), "wheels": mark("Support wheels"), "tilt": mark("Tilt"), "vacuum": mark("Vacuum"),
    "hose": mark("Recovery hose"), "battery": mark("Battery"), "recovery": mark("Recovery"),
}

NAMES = {
    "width": mark("width"), "chord": mark("chord of the blade's arc"), "radius": mark("radius of the blade's arc"),
    "free_length": mark("free length of the blade"), "thickness": mark("thickness of the blade"),
    "edges": mark("edges of the blade"), "flat_limit": mark("worn flat at the limit"),
    "bend_wanted": mark("bend wanted"), "bend_tolerance": mark("bend may differ by"), "thread": mark("thread"),
    "flats": mark("flats in a turn"), "lever_ratio": mark("blade movement for one of the stem"),
    "track": mark("distance of the wheels"), "engaged": mark("thread in the body"),
    "into_body": mark("turned into the body"), "arm": mark("arm of the tilt bolt"), "sealed": mark("sealed vacuum"),
    "open_flow": mark("open flow"), "healthy": mark("readings when well"), "bore": mark("bore"),
    "length": mark("length"), "wall": mark("wall"), "cells": mark("cells"), "capacity": mark("capacity"),
    "capacity_hours": mark("capacity holds for"), "full_gravity": mark("density when full"),
    "charger": mark("charger"), "healthy_share": mark("share of the water that comes back when well"),
}

WORDS = {
    "anticlockwise": mark("anticlockwise, seen from above"), "clockwise": mark("clockwise, seen from above"),
    "smooth": mark("smooth"), "corrugated": mark("corrugated"), "motor-inlet": mark("motor inlet"),
    "tank-port": mark("tank port"), "hose-end": mark("hose end"), "squeegee-outlet": mark("squeegee outlet"),
}

UNITS = {"capacity_hours": mark("{number} h")}


def pages(site: Site) -> Iterator[Page]:
    """A page for each machine."""
    for name, machine in site.handbook.machines.items():
        yield Page(f"machines/{name}/", "machine", machine.title, partial(_context, site, machine),
                   Link("#machine", _("the machines")), partial(_places, machine), label=_("machine"),
                   told=site.handbook.synonyms.machines.get(name, ()))


def _places(machine: Machine) -> Iterator[Place]:
    yield Place(machine.kind, sentence(machine.says))
    for title, rows in figures(machine):
        yield Place(title, sentence("; ".join(f"{name} {listed(lines)}" for name, lines in rows)))


def figures(machine: Machine) -> list[tuple[str, list[tuple[str, list[str]]]]]:
    """Section title -> (figure's name, lines of its value), in the model's order."""
    found = []
    for section, known in FIGURES.items():
        rows = [(_(NAMES.get(name, name)), _value(name, machine.figure(f"{section}.{name}")))
                for name in known if machine.figure(f"{section}.{name}") is not None]
        if rows:
            found.append((_(SECTIONS[section]), rows))
    return found


def _value(name: str, value: Any) -> list[str]:
    if isinstance(value, list):
        return [_("{station}: {vacuum}").format(station=_(WORDS.get(row["station"], row["station"])), vacuum=row["vacuum"])
                for row in value]
    text = str(value)
    if name in UNITS and text.replace(".", "", 1).isdigit():
        return [_(UNITS[name]).format(number=text)]
    return [_(WORDS.get(text, text))]


def _context(site: Site, machine: Machine, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    care = machine.care
    plan = [(when, book.procedures[name]) for when, name in (
        (_("daily"), care.daily), (_("weekly"), care.weekly), (_("monthly"), care.monthly)) if name] if care else []
    return {"machine": machine, "figures": figures(machine), "plan": plan,
            "parts": [(name, book.parts[name]) for name in machine.parts]}
