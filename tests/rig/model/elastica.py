"""A strip of rubber clamped at one end, its edge on the floor: how far the edge trails at a height, by the elastica.

The strip hangs from its clamp at an inclination from upright (+ its edge further back). The floor presses its edge
along a fixed line, `push` from upright: 0 is a push endwise, a right angle a drag along the floor; in between friction
does both. With χ the angle of the strip from that line, χ'' = −k² sin χ with χ' = 0 at the edge (Kirchhoff's pendulum),
and with p = sin(χ_edge/2), sin u = sin(χ_clamp/2)/p, in Legendre's integrals:

    k·L = K(p) − F(u, p)     along the line: 2(E(p) − E(u, p))/(k·L) − 1     across it: 2p·cos u/(k·L)

Everything is in lengths of the strip. Neither stiffness nor load takes part: they only set how hard the floor presses.
"""

import numpy
from scipy import special

_ROWS = numpy.linspace(0, 1, 41)[1:]
"""Where the edge points in the rows of a table: from straight on (not in it) to nearly level, as shares of the way."""


def bent(edge: numpy.ndarray, push: float, clamp: numpy.ndarray) -> tuple[numpy.ndarray, numpy.ndarray]:
    """Trail and height over length where the edge points at `edge` (rad from upright, beyond `clamp`).

    Trail: how far the edge lies behind the place where it would hang straight. Height: how much the clamp has come
    down since the straight strip touched. All angles in rad; arrays of one shape.
    """
    p = numpy.sin((edge + push) / 2)
    m = p * p
    u = numpy.arcsin(numpy.clip(numpy.sin((clamp + push) / 2) / p, -1, 1))
    length = special.ellipk(m) - special.ellipkinc(u, m)
    along = 2 * (special.ellipe(m) - special.ellipeinc(u, m)) / length - 1
    across = 2 * p * numpy.cos(u) / length
    down = along * numpy.cos(push) + across * numpy.sin(push)
    back = across * numpy.cos(push) - along * numpy.sin(push)
    return back - numpy.sin(clamp), numpy.cos(clamp) - down


def trail(height: numpy.ndarray, push: float, clamp: numpy.ndarray) -> numpy.ndarray:
    """The trail over length at each `height` over length; 0 where the strip does not touch.

    Beyond the height where the strip lies on its face the trail stays what it was there.
    """
    edges = clamp + numpy.outer(_ROWS, numpy.pi / 2 - 0.02 - clamp)
    trails, heights = bent(edges, push, clamp)
    trails = numpy.maximum.accumulate(trails)  # past its face the strip would come back
    heights = numpy.vstack([numpy.zeros(len(height)), heights])
    squares = numpy.vstack([numpy.zeros(len(height)), trails**2])
    # the height runs nearly with the square of the trail: between two rows it is taken to
    above = numpy.clip(numpy.sum(heights < height, axis=0), 1, len(_ROWS))
    columns = numpy.arange(len(height))
    low, high = heights[above - 1, columns], heights[above, columns]
    share = numpy.clip((height - low) / (high - low), 0, 1)
    return numpy.sqrt(squares[above - 1, columns] * (1 - share) + squares[above, columns] * share)
