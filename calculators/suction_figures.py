"""Figures of the suction path: resistance against the healthy machine, the fan's share, the hole of a segment."""

from . import air
from .suction_path import SAME, Reading, Segment


def resistance_ratio(segment: Segment, last: tuple[Reading, Reading] | None, full: float | None,
                     error: float) -> tuple[float, float, float | None] | None:
    """Resistance of a flowing segment over its healthy one, with low and high (`None`: no upper bound).

    ``R/Rh = (dp/dph) (Qh/Q)^2``. The flows come from the motor's straight line through the reading nearest
    the motor, ``Qh/Q = (P0 - ph)/(P0 - p)``, when its sealed vacuum `full` is known; else from the last
    station, ``(Qh/Q)^2 = ph/p``, as long as nothing changed beyond it. `last` is that pair of readings (now,
    healthy), the first station's with `full`. The range moves every reading by its error.
    """
    if not segment.healthy or last is None:
        return None
    four = (segment.near, segment.far, *segment.healthy, *last)
    if any(r.vacuum is None for r in four):
        return None
    near, far, near_well, far_well, at, at_well = (r.vacuum or 0.0 for r in four)

    def flows(now: float, well: float) -> float | None:
        top, bottom = (full - well, full - now) if full is not None else (well, now)
        if top <= SAME or bottom <= SAME:
            return None
        return (top / bottom) ** 2 if full is not None else top / bottom

    value = flows(at, at_well)
    if value is None or near_well - far_well <= SAME:
        return None
    value *= max(0.0, near - far) / (near_well - far_well)
    way = error if full is not None else -error
    slow, fast = flows(at + way, at_well - way), flows(at - way, at_well + way)
    least, most = max(0.0, near - far - 2 * error), max(0.0, near - far + 2 * error)
    well_least, well_most = near_well - far_well - 2 * error, near_well - far_well + 2 * error
    low = least / well_most * fast if fast is not None else 0.0
    high = most / well_least * slow if slow is not None and well_least > SAME else None
    return value, min(low, value), None if high is None else max(high, value)


def fan_share(first: Reading, full: float) -> tuple[float, float, float]:
    """First reading over the sealed vacuum at this air density, with low and high."""
    middle = first.vacuum if first.vacuum is not None else (first.low + first.high) / 2
    return middle / full, max(0.0, first.low) / full, first.high / full


def hole(segment: Segment, first: Reading, healthy_first: Reading | None, fan: air.Fan, rho: float,
         ambient: float, error: float) -> tuple[float, float, float] | None:
    """The hole of a sealed segment read by gauge, as (diameter, low, high) in m; see `air.hole_between`."""
    if segment.near.vacuum is None or segment.far.vacuum is None or first.vacuum is None:
        return None
    if segment.far.vacuum <= error + SAME:
        return None  # nothing comes through: no hole can be told from that
    well, well_first = None, None
    if segment.healthy and segment.healthy[0].vacuum and segment.healthy[1].vacuum:
        well = air.Pair(segment.healthy[0].vacuum, segment.healthy[1].vacuum, error)
        well_first = healthy_first.vacuum if healthy_first and healthy_first.vacuum else well.near
    return air.hole_between(air.Pair(segment.near.vacuum, segment.far.vacuum, error), first.vacuum, fan, rho,
                            ambient, well, well_first)
