"""A squeegee on the floor: a rigid body on two wheels and a tilt bolt, a rubber blade in an arc behind it.

Axes in metres: x to the right, y to the back, z up, the floor at z = 0. In the body's own axes the blade is clamped
along an arc through (±chord/2, 0, 0) whose middle lies the sagitta behind; each piece of it hangs down at right angles.
The wheels stand on the floor under (±track/2, wheel_line, 0); a stem turned into the body brings it down on its wheel.
The body is hinged to its carrier on the line through the blade's ends; the tilt bolt pushes it off the carrier at its
arm ahead of the hinge. The carrier hangs on the machine and keeps its own inclination while it rises and falls.

The body is placed by rotations; where the blade then stands, and how far each piece bends, follows from that alone.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy

from tests.rig.model import elastica
from tests.rig.model.machine import Machine

PLACES = 21
"""How many places along the blade are looked at, from end to end."""

SCREWS = ("left-wheel", "right-wheel", "tilt")


@dataclass(frozen=True)
class Build:
    """One machine as it was built and has aged; what the handbook does not know of it. Lengths in m, angles in rad."""

    chord: float
    radius: float
    track: float
    wheel_line: float
    wheel_step: float
    tilt_step: float
    arm: float
    length: float
    rake: float
    push: float
    body: numpy.ndarray
    worn: numpy.ndarray

    @property
    def places(self) -> numpy.ndarray:
        """The places looked at, in m from the middle."""
        return numpy.linspace(-self.chord / 2, self.chord / 2, PLACES)


def drawing(machine: Machine) -> Build:
    """The machine as drawn: every figure as the handbook has it, blade upright, dragged along the floor."""
    stem = machine.wheel_pitch * machine.lever_ratio / machine.wheel_flats
    return Build(machine.chord, machine.radius, machine.track, 0.0, stem, machine.tilt_pitch / machine.tilt_flats,
                 machine.tilt_arm, machine.free_length, 0.0, numpy.pi / 2, numpy.zeros(PLACES), numpy.zeros(PLACES))


def built(machine: Machine, chance: numpy.random.Generator) -> Build:
    """A machine of the make, with the scatter of manufacture and of its floor.

    Lever ratio ±3 %, radius of the arc ±2 %, arm of the tilt bolt ±2 %, track ±3 mm, wheels up to 15 mm off the hinge's
    line, free length ±0.5 mm, body and blade straight to ±0.1 mm, blade raked by up to ±1°; and the floor's push on the
    edge anywhere from 10° off endwise to wholly along the floor.
    """
    drawn = drawing(machine)
    low = chance.uniform(-1, 1, 4) * 1e-4
    return replace(
        drawn, radius=max(drawn.radius * chance.uniform(0.98, 1.02), drawn.chord / 2 * 1.001),
        track=drawn.track + chance.uniform(-3e-3, 3e-3), wheel_line=chance.uniform(-15e-3, 15e-3),
        wheel_step=drawn.wheel_step * chance.uniform(0.97, 1.03), arm=drawn.arm * chance.uniform(0.98, 1.02),
        length=drawn.length + chance.uniform(-0.5e-3, 0.5e-3), rake=numpy.radians(chance.uniform(-1, 1)),
        push=numpy.radians(chance.uniform(10, 90)),
        body=numpy.interp(numpy.linspace(-1, 1, PLACES), numpy.linspace(-1, 1, 4), low))


@dataclass(frozen=True)
class Squeegee:
    """A build with its screws where they stand.

    ``left`` and ``right``: how far the body stands above the floor at its wheels, in m. ``bolt``: how far the tilt bolt
    holds the body off its carrier, in m, + nose up.
    """

    build: Build
    left: float
    right: float
    bolt: float

    def turned(self, left: float = 0.0, right: float = 0.0, tilt: float = 0.0) -> "Squeegee":
        """The squeegee after so many flats: the stems + into the body, the bolt + nose up."""
        build = self.build
        return replace(self, left=self.left - left * build.wheel_step, right=self.right - right * build.wheel_step,
                       bolt=self.bolt + tilt * build.tilt_step)

    @cached_property
    def pose(self) -> tuple[numpy.ndarray, float]:
        """The rotation from the body's axes into the floor's, and the height of the body's middle in m.

        Pitch first: the bolt, at right angles to the body, holds it off the carrier's plane by its length at its arm.
        Roll and height then: both wheels on the floor.
        """
        build = self.build
        pitch = numpy.arctan2(self.bolt, build.arm)
        c, s = numpy.cos(pitch), numpy.sin(pitch)
        pitched = numpy.array([[1, 0, 0], [0, c, s], [0, -s, c]])
        roll = numpy.arcsin((self.right - self.left) / build.track)
        c, s = numpy.cos(roll), numpy.sin(roll)
        rolled = numpy.array([[c, 0, -s], [0, 1, 0], [s, 0, c]])
        turn = rolled @ pitched
        wheel = turn @ numpy.array([-build.track / 2, build.wheel_line, 0.0])
        return turn, self.left - wheel[2]

    @property
    def supports(self) -> numpy.ndarray:
        """The body's points over the left wheel, over the right wheel and at the bolt, in the floor's axes: rows, m."""
        build = self.build
        turn, height = self.pose
        points = [[-build.track / 2, build.wheel_line, 0], [build.track / 2, build.wheel_line, 0], [0, -build.arm, 0]]
        return (turn @ numpy.array(points).T).T + [0, 0, height]

    @cached_property
    def heights(self) -> numpy.ndarray:
        """How far the straight blade would reach under the floor at each place, in m; below 0 it stands clear."""
        return self._hang(slice(None))[0]

    @cached_property
    def bends(self) -> numpy.ndarray:
        """How far the edge trails at each place, in m."""
        return self._bends(slice(None))

    @property
    def three(self) -> numpy.ndarray:
        """How far the edge trails at the left end, in the middle and at the right end, in m."""
        return self._bends([0, PLACES // 2, PLACES - 1])

    def _bends(self, which: slice | list[int]) -> numpy.ndarray:
        heights, rakes = self._hang(which)
        length = (self.build.length - self.build.worn)[which]
        return length * elastica.trail(heights / length, self.build.push, rakes)

    def _hang(self, which: slice | list[int]) -> tuple[numpy.ndarray, numpy.ndarray]:
        """Height, and inclination of the clamp across the blade, at some of the places."""
        build, xs = self.build, self.build.places[which]
        turn, height = self.pose
        behind = numpy.sqrt(build.radius**2 - xs**2) - numpy.sqrt(build.radius**2 - build.chord**2 / 4)
        clamps = (turn @ numpy.stack([xs, behind, build.body[which]]))[2] + height
        across = numpy.stack([xs / build.radius, numpy.sqrt(1 - (xs / build.radius) ** 2), numpy.zeros(len(xs))])
        raked = across * numpy.sin(build.rake) - numpy.array([[0.0], [0.0], [1.0]]) * numpy.cos(build.rake)
        hang = turn @ raked  # the way that the straight strip points
        rakes = numpy.arctan2(numpy.sum(hang * across, axis=0), -hang[2])
        return (build.length - build.worn[which]) * numpy.cos(rakes) - clamps, rakes

    def bend_at(self, x: float) -> float:
        """The bend at a place, in m from the middle."""
        return float(numpy.interp(x, self.build.places, self.bends))


def level(build: Build, wanted: float) -> Squeegee:
    """The squeegee with its screws turned until both ends and the middle bend by `wanted`, to a hundredth of a mm.

    Raises: ValueError where no setting does that.
    """
    here = Squeegee(build, build.length, build.length, 0.0).turned(*[2e-3 / build.wheel_step] * 2)
    slopes = None
    for step in range(40):
        off = here.three - wanted
        if numpy.abs(off).max() < 1e-5:
            return here
        if step % 8 == 1 or slopes is None:
            slopes = numpy.array([(here.turned(**{screw: 0.2}).three - here.three) / 0.2
                                  for screw in ("left", "right", "tilt")]).T
        here = here.turned(*numpy.linalg.solve(slopes, -off))
    raise ValueError(f"no setting bends this blade by {wanted} m at its ends and in its middle")
