"""The rig's squeegee is judged first: its blade by published values, its body by what three supports must do."""

import csv
import math
from pathlib import Path

import numpy
import pytest
from scipy import integrate

from tests.rig.model import elastica
from tests.rig.model.machine import load_all
from tests.rig.model.spanner import READ, Technician
from tests.rig.model.squeegee import PLACES, Squeegee, built, drawing, level

ROOT = Path(__file__).resolve().parents[2]
MACHINES = load_all(ROOT / "content")
ROWS = {row["inputs"]: row["expected"] for row in csv.DictReader((ROOT / "tests/reference/blade.csv").open())}
ACROSS = math.pi / 2

machines = pytest.mark.parametrize("machine", MACHINES, ids=[machine.id for machine in MACHINES])


def test_the_blade_bends_as_published():
    # Bisshopp and Drucker: tip deflection and shortening over length at alpha = 1, and the small-bend coefficient.
    trail, height = (float(number) for number in ROWS["alpha=1"].split(","))
    assert elastica.trail(numpy.array([height]), ACROSS, numpy.zeros(1))[0] == pytest.approx(trail, abs=2e-4)
    small = numpy.array([float(ROWS["W/L = 0.1"])])
    assert elastica.trail(small, ACROSS, numpy.zeros(1))[0] == pytest.approx(0.1, abs=2e-4)
    # Timoshenko and Gere: pressed endwise, a strut just after buckling shortens by (π²/16)·W²/L.
    endwise = elastica.trail(numpy.array([math.pi**2 / 16 * 0.01]), 1e-9, numpy.zeros(1))[0]
    assert endwise == pytest.approx(0.1, abs=5e-4)


@pytest.mark.parametrize("push", [0.3, 0.9, ACROSS])
@pytest.mark.parametrize("clamp", [-0.05, 0.0, 0.04])
@pytest.mark.parametrize("edge", [0.25, 0.7, 1.2])
def test_the_blade_solves_the_differential_equation(push, clamp, edge):
    # Oracle: scipy's solve_ivp from the edge to the clamp, at any line of push and any inclination of the clamp.
    def slopes(_s, y):
        return [y[1], -math.sin(y[0] + push), math.sin(y[0]), math.cos(y[0])]

    def at_clamp(_s, y):
        return y[0] - clamp

    at_clamp.terminal = True
    found = integrate.solve_ivp(slopes, (0, 50), [edge, 0, 0, 0], events=at_clamp, method="DOP853",
                                rtol=1e-10, atol=1e-12)
    back, down, length = *found.y[2:, -1], found.t[-1]
    trail, height = elastica.bent(numpy.array([edge]), push, numpy.array([clamp]))
    assert trail[0] == pytest.approx(back / length - math.sin(clamp), abs=1e-7)
    assert height[0] == pytest.approx(math.cos(clamp) - down / length, abs=1e-7)
    assert elastica.trail(height, push, numpy.array([clamp]))[0] == pytest.approx(trail[0], abs=1e-3)


def test_a_strip_that_does_not_touch_does_not_bend_and_one_on_its_face_bends_no_further():
    trails = elastica.trail(numpy.array([-0.1, 0.0, 0.6, 0.9]), ACROSS, numpy.zeros(4))
    assert trails[:2].tolist() == [0, 0] and trails[2] <= trails[3] < 0.9


@machines
def test_the_body_stands_on_its_three_supports(machine):
    # Whatever is turned: over each wheel the body stands as high as its stem holds it, and at the bolt it is off the
    # carrier's plane, which keeps its inclination, by the bolt's length; the supports keep their distances.
    chance = numpy.random.default_rng(1)
    for _case in range(50):
        build = built(machine, chance)
        squeegee = Squeegee(build, *(build.length - chance.uniform(0, 8e-3, 2)), chance.uniform(-6e-3, 6e-3))
        left, right, bolt = squeegee.supports
        assert [left[2], right[2]] == pytest.approx([squeegee.left, squeegee.right], abs=1e-12)
        assert numpy.linalg.norm(right - left) == pytest.approx(build.track)
        assert numpy.linalg.norm(bolt - (left + right) / 2) == pytest.approx(abs(build.arm + build.wheel_line))
        turn, height = squeegee.pose
        assert turn @ turn.T == pytest.approx(numpy.eye(3), abs=1e-12)
        # the bolt's tip lies in the carrier's plane, which goes through the hinge and rolls with the body
        tip = bolt + turn @ [0, 0, -squeegee.bolt]
        assert tip[2] == pytest.approx(height, abs=1e-12)


@machines
def test_what_the_screws_do_in_the_limit(machine):
    # Both stems alike move every place alike; one stem lifts its own side about the other wheel; the tilt turns about
    # the blade's ends and moves the middle by the sagitta times the sine.
    build = drawing(machine)
    here = Squeegee(build, build.length - 2e-3, build.length - 2e-3, 0.0)
    step = machine.wheel_pitch / machine.wheel_flats
    assert here.turned(3, 3).heights - here.heights == pytest.approx(numpy.full(PLACES, 3 * step), abs=1e-12)
    one = here.turned(left=3).heights - here.heights
    assert one == pytest.approx(3 * step * (0.5 - build.places / build.track), abs=1e-5)
    tilted = here.turned(tilt=6)
    sine = math.sin(math.atan(machine.tilt_pitch / machine.tilt_arm))
    sagitta = machine.radius - math.sqrt(machine.radius**2 - machine.chord**2 / 4)
    moved = tilted.heights - here.heights
    assert [moved[0], moved[-1]] == pytest.approx([0, 0], abs=build.length * sine**2)
    assert moved[PLACES // 2] == pytest.approx(sagitta * sine, abs=build.length * sine**2)


@machines
def test_a_level_squeegee_is_level_and_its_mirror_bends_as_its_mirror(machine):
    chance = numpy.random.default_rng(2)
    for _case in range(10):
        squeegee = level(built(machine, chance), machine.bend_wanted)
        assert squeegee.three == pytest.approx(numpy.full(3, machine.bend_wanted), abs=1e-5)
    drawn = level(drawing(machine), machine.bend_wanted)
    assert drawn.turned(left=4, tilt=2).bends == pytest.approx(drawn.turned(right=4, tilt=2).bends[::-1], abs=1e-9)


@machines
def test_the_ruler_is_within_its_error(machine):
    chance = numpy.random.default_rng(3)
    squeegee = level(built(machine, chance), machine.bend_wanted).turned(2, -1, 3)
    shares = numpy.linspace(-0.5, 0.5, 5)
    true = numpy.array([squeegee.bend_at(share * machine.chord) for share in shares])
    off = [numpy.abs(Technician(chance).reads(squeegee, shares) - true).max() for _technician in range(200)]
    assert READ * 0.8 < max(off) <= READ + 1e-9
