"""The figures of a machine, by section: part of the content's types (see `macros.model`)."""

from dataclasses import dataclass

from calculators import thread
from macros.fields import Checked, Choice, ListOf, Measure, Number, Object, Standing, Type, Whole, of
from macros.words import mark


@dataclass
class Reading(Standing):
    """A vacuum read at a station when the machine was well."""

    station: str = of(Choice(("motor-inlet", "tank-port", "hose-end", "squeegee-outlet")), required=True)
    vacuum: str = of(Measure("pressure", "kPa", 0, 101), required=True)
    state: str = of(Choice(("sealed", "flowing")), default="sealed")


def _mm(low: float, high: float) -> Measure:
    return Measure("length", "mm", low, high)


_THREAD = Checked(thread.parse, mark("a thread such as M10, M10x1.25 or 3/8-16 UNC"), r"[0-9]|[^\u0000-\u007f]")

#: Figures of a machine that calculators know, by section; each is kept as it was written.
FIGURES: dict[str, dict[str, Type]] = {
    "squeegee": {"width": _mm(100, 3000), "chord": _mm(100, 3000), "radius": _mm(100, 10000),
                 "free_length": _mm(5, 200), "thickness": _mm(1, 20), "edges": Whole(1, 8), "flat_limit": _mm(0.1, 10),
                 "bend_wanted": _mm(0.1, 100), "bend_tolerance": _mm(0.1, 20)},
    "wheels": {"thread": _THREAD, "flats": Whole(2, 12), "lever_ratio": Number(0.1, 10), "track": _mm(50, 3000),
               "engaged": _mm(0, 200), "into_body": Choice(("clockwise", "anticlockwise"))},
    "tilt": {"thread": _THREAD, "arm": _mm(5, 1000), "flats": Whole(2, 12), "engaged": _mm(0, 300),
             "clockwise": Choice(("nose-up", "nose-down"))},
    "vacuum": {"sealed": Measure("pressure", "kPa", 1, 101), "open_flow": Measure("flow", "m3/h", 1, 2000),
               "healthy": ListOf(Object(Reading))},
    "hose": {"bore": _mm(10, 200), "length": _mm(100, 20000), "wall": Choice(("smooth", "corrugated"))},
    "battery": {"cells": Whole(1, 120), "capacity": Measure("charge", "Ah", 1, 5000),
                "capacity_hours": Measure("time", "h", 0.1, 100), "full_gravity": Number(1.2, 1.35),
                "charger": Choice(("IU", "IUI", "W"))},
    "recovery": {"healthy_share": Measure("ratio", "%", 1, 100)},
}
