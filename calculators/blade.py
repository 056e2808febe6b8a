"""The bent blade: from the trail of its edge to the height it has come down, and back.

The blade is a thin strip of free length L, held upright at its clamp, its edge dragged along the floor.
*Trail* W is how far the edge lies behind the place where it would hang straight; *height* h is how much
lower the clamp has come than with the strip straight. Both follow from the elastica, the exact shape of a
thin elastic strip, and their relation needs neither stiffness nor load.

Side load (``side``, the floor's drag; Bisshopp & Drucker, Quarterly of Applied Mathematics 3, 1945): with
the edge's angle θ0 from upright, m = sin θ0, s = m(1 − u²) and c = √(1 − s²), over u from 0 to 1

    W/L = ∫(s/c)du / ∫(1/c)du        h/L = ∫((1 − c)/c)du / ∫(1/c)du        P·L²/(E·I) = 2m·(∫(1/c)du)²

End load (``end``, the floor's push; the strut after buckling, Timoshenko & Gere, Theory of Elastic
Stability, 2.7): with p = sin(θ0/2), r = √(1 − p²sin²ψ), over ψ from 0 to π/2

    W/L = 2p / ∫(1/r)dψ              h/L = ∫(2p²sin²ψ/r)dψ / ∫(1/r)dψ

For small bends h is 0.6·W²/L and (π²/16)·W²/L. A real edge is loaded both ways at once. Beyond three
quarters of the free length the strip pressed endwise lies on its face; nothing is answered there.
"""

import bisect
import math
from functools import cache, lru_cache

from .numeric import gauss, root

#: The largest trail over free length that is answered; pressed endwise the strip lies flat at 0.762.
MOST_TRAIL = 0.75

#: The two ways of loading the edge.
LOADS = ("side", "end")

#: Stretches of the table in which a root is looked for.
ROWS = 128

_WIDEST = {"side": 0.975, "end": 0.725}  # sin θ0 and sin(θ0/2), each a little beyond MOST_TRAIL


class TooMuchBend(ValueError):
    """The blade would lie on its face: no trail and no height belong together there."""


@cache
def _nodes(count: int) -> tuple[tuple[float, float], ...]:
    """1 − u² and the weight at each of Gauss and Legendre's points u from 0 to 1."""
    return tuple((1 - ((1 + x) / 2) ** 2, weight / 2) for x, weight in gauss(count))


def _side(m: float) -> tuple[float, float]:
    length = back = down = 0.0
    for share, weight in _nodes(32):
        s = m * share
        c = math.sqrt(1 - s * s)
        piece = weight / c
        length += piece
        back += piece * s
        down += piece * s * s / (1 + c)  # (1 − c)/c without losing digits at small bends
    return back / length, down / length


def _end(p: float) -> tuple[float, float]:
    """By the arithmetic-geometric mean (NIST DLMF 19.8): ∫(1/r)dψ = π/(2·mean), and h/L = Σ 2ⁿ·cₙ² with c₀ = p."""
    a, b, c, power, down = 1.0, math.sqrt((1 - p) * (1 + p)), p, 1.0, 0.0
    while c > 1e-17 * p:
        down += power * c * c
        a, b, c, power = (a + b) / 2, math.sqrt(a * b), c * c / (4 * (a + b) / 2), power * 2
    return 4 * p * a / math.pi, down


@lru_cache(maxsize=16)  # a root is asked for again where it was found
def bent(parameter: float, load: str = "side") -> tuple[float, float]:
    """Trail and height over free length for a tip angle: `parameter` is sin θ0 (side) or sin(θ0/2) (end)."""
    return _side(parameter) if load == "side" else _end(parameter)


@lru_cache(maxsize=2)
def _rows(load: str) -> tuple[list[float], list[tuple[float, float]]]:
    """Parameters from 0 to the widest, and trail and height at each: between two of them a root is soon found."""
    parameters = [_WIDEST[load] * i / ROWS for i in range(ROWS + 1)]
    return parameters, [bent(x, load) for x in parameters]


@lru_cache(maxsize=256)
def _solve(wanted: float, which: int, load: str) -> float:
    parameters, found = _rows(load)
    above = min(max(1, bisect.bisect_left(found, wanted, key=lambda pair: pair[which])), len(found) - 1)
    ends = found[above - 1][which] - wanted, found[above][which] - wanted
    return root(lambda x: bent(x, load)[which] - wanted, parameters[above - 1], parameters[above], ends=ends)


def _check(free_length: float, load: str) -> None:
    if not free_length > 0 or load not in LOADS:
        raise ValueError(f"free length {free_length!r}, load {load!r}")


def height(trail: float, free_length: float, load: str = "side") -> float:
    """How much the clamp has come down, in metres, when the edge trails by `trail` (0 to 0.75 L, metres).

    Raises `TooMuchBend` beyond that, `ValueError` for a negative trail or a length not above 0.
    """
    _check(free_length, load)
    ratio = trail / free_length
    if not ratio >= 0:
        raise ValueError(f"trail {trail!r}")
    if ratio > MOST_TRAIL * (1 + 1e-9):
        raise TooMuchBend(f"trail {trail!r} on a free length of {free_length!r}")
    return free_length * bent(_solve(ratio, 0, load), load)[1] if ratio else 0.0


@lru_cache(maxsize=2)
def _most_height(load: str) -> float:
    return bent(_solve(MOST_TRAIL, 0, load), load)[1]


def most_height(free_length: float, load: str = "side") -> float:
    """The height, in metres, at the largest trail that is answered."""
    _check(free_length, load)
    return free_length * _most_height(load)


def trail(height: float, free_length: float, load: str = "side") -> float:
    """How far the edge trails, in metres, when the clamp has come down by `height` (metres).

    A height of 0 or less is a blade that does not touch: 0. Raises `TooMuchBend` beyond `most_height`.
    """
    _check(free_length, load)
    ratio = height / free_length
    if ratio > _most_height(load) * (1 + 1e-9):
        raise TooMuchBend(f"height {height!r} on a free length of {free_length!r}")
    return free_length * bent(_solve(ratio, 1, load), load)[0] if ratio > 0 else 0.0


def tip_angle(trail: float, free_length: float, load: str = "side") -> float:
    """The edge's angle from upright, in radians, at this `trail` (metres)."""
    _check(free_length, load)
    if not 0 <= trail <= free_length * MOST_TRAIL * (1 + 1e-9):
        raise TooMuchBend(f"trail {trail!r} on a free length of {free_length!r}")
    parameter = _solve(trail / free_length, 0, load) if trail else 0.0
    return math.asin(parameter) * (1 if load == "side" else 2)


def shape(trail: float, free_length: float, count: int = 16) -> list[tuple[float, float]]:
    """The strip under a side load as `count` + 1 points (back, down) in metres from the clamp to the edge."""
    m = math.sin(tip_angle(trail, free_length))
    if m == 0:
        return [(0.0, free_length * i / count) for i in range(count + 1)]

    pieces = gauss(8)
    steps, length = [], 0.0
    for i in range(count):  # u is 1 at the clamp and 0 at the edge
        middle, half = 1 - (i + 0.5) / count, 0.5 / count
        reach = 0.0
        for x, weight in pieces:
            u = middle + half * x
            s = m * (1 - u * u)
            piece = weight * half / math.sqrt(1 - s * s)
            length += piece
            reach += piece * s
        steps.append(reach)
    points, back = [(0.0, 0.0)], 0.0
    for i, reach in enumerate(steps):
        back += reach / length
        points.append((back * free_length, (i + 1) / count / length * free_length))
    return points
