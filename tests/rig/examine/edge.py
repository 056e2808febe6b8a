"""The life of an edge: one to six readings with a loupe, the hours told against the hours that it truly took."""

import numpy

from calculators import calculate
from tests.rig.examine.setting import figures
from tests.rig.mark import Mark, share
from tests.rig.model.machine import Machine
from tests.rig.model.wear import Edge, edge

SHARES = (0.1, 0.85)
"""When an edge is read: at chance times within these shares of its life."""

COUNTS = range(1, 7)


def examine(machine: Machine, count: int, seed: int, shuffled: bool = False) -> list[Mark]:
    """Marks of the forecast: is the true hour in the range, how far off is it, and how far off is the old habit."""
    chance, known = numpy.random.default_rng([seed, 4, *machine.id.encode()]), figures(machine, "edge-life")
    limit = machine.flat_limit * 1e3
    edges = [edge(chance, limit) for _edge in range(count)]
    readings = [_readings(one, limit, COUNTS[number % len(COUNTS)], chance) for number, one in enumerate(edges)]
    if shuffled:
        # the readings of an edge read as often, so that each count keeps its edges
        readings = readings[len(COUNTS):] + readings[:len(COUNTS)]
    inside, early, off, straight, single = 0, 0, [], [], []
    for one, rows in zip(edges, readings, strict=True):
        true = one.hours(limit)
        typed = [{"hours": round(t, 1), "flat": round(f, 2)} for t, f in rows]
        result = calculate("edge-life", {**known, "readings": typed})
        found = result["figures"]["edge_hours"]
        held = found["low"] <= true and ("high" not in found or true <= found["high"])
        inside += held
        early += true < found["low"]
        off.append(abs(found["value"] / true - 1))
        straight.append(abs(result["figures"]["straight_line_hours"]["value"] / true - 1))
        if len(rows) == 1:
            single.append(held)
    return [share("edge-range", inside, count, least=0.85, most=0.95),
            share("edge-range-one-reading", sum(single), len(single), least=0.85, most=0.95),
            share("edge-gone-before-range", early, count, most=0.075),
            Mark("edge-forecast-off", float(numpy.mean(off)), count),
            Mark("edge-straight-line", float(numpy.mean(straight)), count)]


def _readings(one: Edge, limit: float, number: int, chance: numpy.random.Generator) -> list[tuple[float, float]]:
    """Hours, and widths in mm that are not all 0, at chance times of the edge's life."""
    while True:
        hours = sorted(chance.uniform(*SHARES, number) * one.hours(limit))
        rows = [(t, one.read(t, chance)) for t in hours]
        if any(flat > 0 for _t, flat in rows):
            return rows
