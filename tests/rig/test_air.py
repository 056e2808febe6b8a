"""The rig's air path judged: against fluids, published rows, the orifice formula, conservation of air, plain laws."""

import ast
import csv
import math
import random
from dataclasses import replace
from pathlib import Path

import pytest
from fluids import one_phase_dP
from fluids.flow_meter import differential_pressure_meter_solver
from scipy.optimize import brentq

from tests.rig import airpath
from tests.rig.model import air, gauge, hose
from tests.rig.model.machine import load_all

ROOT = Path(__file__).parents[2]
MACHINES = load_all(ROOT / "content")
SEA = hose.Air.at(0, 20)


def rows(name: str) -> list[dict[str, str]]:
    with (ROOT / "tests" / "reference" / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


LEAK, ORIFICE = rows("leak.csv"), rows("orifice_plate.csv")


def row(begins: str) -> dict[str, str]:
    found, = (one for one in LEAK if one["case"].startswith(begins))
    return found


def faulty(seed: int, count: int = 150) -> list[airpath.Specimen]:
    """Machines of both makes with one to four leaks and blockages, and blades that gape or are clogged."""
    rng, made = random.Random(seed), []
    for number in range(count):
        specimen = airpath.make(rng, MACHINES[number % len(MACHINES)], (0.6, 1.01))
        faults = [airpath.leak(rng, rng.randrange(-1, 3), (1, 20)) for _n in range(rng.randint(1, 2))]
        stuck = [airpath.blockage(rng, rng.randrange(3), (0.2, 0.9)) for _n in range(rng.randint(0, 2))]
        made.append(specimen.with_faults(*faults, *stuck).narrowed(rng.uniform(0.1, 4)))
    return made


# ---- the rig shares nothing with what it judges ----

@pytest.mark.parametrize("path", sorted((ROOT / "tests" / "rig" / "model").glob("*.py")), ids=lambda p: p.stem)
def test_the_model_takes_nothing_from_the_program(path: Path) -> None:
    names = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
        elif isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
    assert names
    assert not [n for n in names if n.split(".")[0] in ("calculators", "macros") or n.startswith("tests.calculators")]


# ---- pipe ----

@pytest.mark.parametrize("flow", [5, 20, 60, 100, 150])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 0.02, 0.05])
def test_hose_against_fluids(flow: float, roughness: float) -> None:
    mass = 1.2 * flow / 3600
    pipe = hose.Pipe(0.038, 1.5, roughness)
    expected = one_phase_dP(m=mass, rho=SEA.density(), mu=SEA.viscosity, D=0.038, roughness=roughness * 0.038, L=1.5)
    assert pipe.loss(mass, 0.0, SEA, SEA.viscosity) == pytest.approx(expected, rel=1e-9)
    assert pipe.loss(mass, 0.0, SEA, SEA.viscosity, 0.5) == pytest.approx(expected / 2, rel=1e-9)


def test_hose_against_the_published_row() -> None:
    pipe = hose.Pipe(0.0381, 1.5)
    found = pipe.loss(1.2 * 60 / 3600, 0.0, SEA, 1.81e-5)
    assert found == pytest.approx(float(row("hose 38.1 mm")["expected"]), rel=1e-4)


def test_thinner_air_takes_more_pressure_for_the_same_mass() -> None:
    pipe = hose.Pipe(0.038, fixed=2.0)
    outside, inside = (pipe.loss(0.02, vacuum, SEA, SEA.viscosity) for vacuum in (0.0, 15e3))
    assert inside / outside == pytest.approx(101325 / (101325 - 15e3), rel=1e-9)


def test_an_open_bore_is_no_blockage_and_a_narrow_one_costs_more() -> None:
    losses = [hose.Blockage(1, 0.5, opening).loss(0.02, 0.0, SEA, 0.038) for opening in (0.9999, 0.8, 0.6, 0.4, 0.2)]
    assert losses[0] == pytest.approx(0, abs=1.0)
    assert losses == sorted(losses)


# ---- holes ----

def test_leak_against_the_orifice_formula() -> None:
    """28.350 m3/h through 1 cm2 at 10 kPa, less the expansion of ISO 5167."""
    given = row("orifice flow Cd 0.61")
    expands = 1 - 0.351 * (1 - (1 - 10e3 / 101325) ** (1 / 1.4))
    hole = air.Leak(0, 0.5, float(given["hole_mm"]) * 1e-3, 0.61)
    assert hole.flow(10e3, SEA) / 1.2 * 3600 == pytest.approx(float(given["expected"]) * expands, rel=1e-4)


def test_leak_against_the_published_mass_flow() -> None:
    """The row of fluids' meter, and the solver itself at other holes; its own coefficient is 0.598 to 0.602."""
    given = row("orifice mass flow")
    assert air.Leak(0, 0.5, 0.010, 0.60).flow(10e3, SEA) == pytest.approx(float(given["expected"]), rel=0.005)
    for millimetres in (10, 15, 20):
        whole = differential_pressure_meter_solver(D=0.4, D2=millimetres * 1e-3, P1=101325, P2=101325 - 15e3, rho=1.2,
                                                   mu=1.81e-5, k=1.4, meter_type="ISO 5167 orifice", taps="corner")
        assert air.Leak(0, 0.5, millimetres * 1e-3, 0.60).flow(15e3, SEA) == pytest.approx(whole, rel=0.005)


@pytest.mark.parametrize("given", ORIFICE, ids=lambda given: given["diameter_in"])
def test_leak_against_the_orifice_plate_of_vacuum_cleaners(given: dict[str, str]) -> None:
    """The plates' flow in cubic feet a minute: their coefficient is 0.59 to 0.60 before the expansion."""
    hole = air.Leak(0, 0.5, float(given["diameter_in"]) * 0.0254, 0.597)
    cubic_feet = hole.flow(float(given["vacuum_inh2o"]) * 249.08891, SEA) / 1.2 / 0.3048**3 * 60
    assert cubic_feet == pytest.approx(float(given["flow_cfm"]), rel=0.02)


@pytest.mark.parametrize("given", [one for one in LEAK if one["case"].startswith("sealed vacuum left")],
                         ids=lambda given: given["hole_mm"])
def test_sealed_vacuum_left_by_a_hole(given: dict[str, str]) -> None:
    """The published balance has no expansion: with it a little less air enters and up to 6 % less is lost."""
    motor = air.Motor(20e3, 150 / 3600, air.power(1.0))
    path = air.AirPath(motor, SEA, (hose.Pipe(0.038),) * 3, 4e-4,
                       leaks=(air.Leak(0, 0.5, float(given["hole_mm"]) * 1e-3, 0.61),))
    lost = (20e3 - path.sealed(1).stations[1]) / 1e3 / (20 - float(given["expected"]))
    assert 0.94 < lost < 1.0


# ---- air is conserved ----

def inflow(hole: air.Leak, vacuum: float, around: hose.Air) -> float:
    """The orifice formula with expansion, written out."""
    expands = 1 - 0.351 * (1 - (1 - vacuum / around.pressure) ** (1 / 1.4))
    return hole.cd * expands * math.pi / 4 * hole.diameter**2 * math.sqrt(2 * vacuum * around.density())


@pytest.mark.parametrize("seed", [1, 2])
def test_what_the_motor_moves_is_what_comes_in(seed: int) -> None:
    """Sealed at each station and flowing: the fan's mass flow is the sum of holes and open end, to 1e-9."""
    for specimen in faulty(seed):
        path = specimen.path
        for state in (*(path.sealed(n) for n in range(air.STATIONS)), path.flowing()):
            entered = math.fsum(inflow(hole, vacuum, path.air) for hole, vacuum, _flow in state.inflows) + state.end[1]
            if entered == 0:
                assert state.fan == pytest.approx(path.motor.sealed)
                continue
            moved = brentq(lambda q, path=path, state=state: path.motor.vacuum(q) - state.fan,
                           0, 2 * path.motor.open_flow, xtol=1e-18, rtol=1e-15)
            assert moved * path.air.density() == pytest.approx(entered, rel=1e-9)
        vacuum, flow = path.flowing().end
        assert flow == pytest.approx(inflow(air.Leak(3, 0, math.sqrt(4 * path.opening / math.pi), path.opening_cd),
                                            vacuum, path.air), rel=1e-9)


def test_every_hole_on_the_way_is_counted() -> None:
    for specimen in faulty(3, 40):
        path = specimen.path
        assert {hole for hole, _v, _f in path.flowing().inflows} == set(path.leaks)
        for station in range(air.STATIONS):
            assert {hole for hole, _v, _f in path.sealed(station).inflows} == {
                hole for hole in path.leaks if hole.stretch < station}


def test_each_hole_sees_a_vacuum_between_its_stations() -> None:
    for specimen in faulty(4, 60):
        state = specimen.path.flowing()
        for hole, vacuum, _flow in state.inflows:
            near = state.stations[hole.stretch] if hole.stretch >= 0 else state.fan
            far = state.stations[hole.stretch + 1]
            assert far - 1e-6 <= vacuum <= near + 1e-6


# ---- laws ----

def test_vacuum_never_grows_away_from_the_motor() -> None:
    for specimen in faulty(5):
        for values in (specimen.path.survey(), specimen.path.flowing().stations):
            assert all(far <= near + 1e-6 for near, far in zip(values, values[1:], strict=False))


def test_a_hole_lowers_what_lies_beyond_it_and_a_larger_one_more() -> None:
    rng = random.Random(6)
    for machine in MACHINES * 20:
        well = airpath.make(rng, machine)
        where = rng.randrange(3)
        surveys = [well.path.survey()] + [well.with_faults(air.Leak(where, 0.4, d, 0.61)).path.survey()
                                          for d in (4e-3, 8e-3, 16e-3)]
        for less, more in zip(surveys, surveys[1:], strict=False):
            assert less[: where + 1] == more[: where + 1]
            assert all(high > low for high, low in zip(less[where + 1:], more[where + 1:], strict=True))


def test_a_blockage_raises_the_flowing_vacuum_before_it_and_lowers_it_beyond() -> None:
    rng = random.Random(7)
    for machine in MACHINES * 20:
        well = airpath.make(rng, machine)
        where = rng.randrange(3)
        was = well.path.flowing().stations
        for opening in (0.6, 0.3, 0.0):
            now = well.with_faults(hose.Blockage(where, 0.5, opening)).path.flowing().stations
            assert all(a > b for a, b in zip(now[: where + 1], was, strict=False))
            assert all(a < b for a, b in zip(now[where + 1:], was[where + 1:], strict=True))
        assert now[where + 1:] == (0.0,) * (air.STATIONS - 1 - where)


def test_a_gap_lowers_every_flowing_vacuum_and_no_sealed_one() -> None:
    rng = random.Random(8)
    for machine in MACHINES * 10:
        well = airpath.make(rng, machine)
        gapped = well.narrowed(2)
        assert all(a < b for a, b in zip(gapped.path.flowing().stations, well.path.flowing().stations, strict=True))
        assert gapped.path.survey() == well.path.survey()


def test_a_partial_blockage_does_not_show_sealed() -> None:
    """Where nothing comes in beyond it; a complete one hides all beyond it."""
    rng = random.Random(9)
    well = replace(airpath.make(rng, MACHINES[0]).path, leaks=())
    for stretch in range(3):
        partial = replace(well, blockages=(hose.Blockage(stretch, 0.5, 0.2),))
        assert partial.survey() == well.survey()
        whole = replace(well, blockages=(hose.Blockage(stretch, 0.5, 0.0),)).survey()
        assert whole[: stretch + 1] == well.survey()[: stretch + 1]
        assert whole[stretch + 1:] == (0.0,) * (3 - stretch)


def test_motor_curves_fall_all_the_way() -> None:
    rng = random.Random(10)
    bows = []
    for _n in range(400):
        curve = airpath.curve(rng)
        values = [curve(x / 50) for x in range(51)]
        assert values[0] == pytest.approx(1) and values[-1] == pytest.approx(0, abs=1e-12)
        assert all(a > b for a, b in zip(values, values[1:], strict=False))
        bows.append(values[25] - 0.5)
    assert sum(abs(bow) < 1e-12 for bow in bows) > 50
    assert min(bows) < -0.02 and max(bows) > 0.09


def test_a_slower_motor_makes_less_in_proportion_at_every_hole() -> None:
    """Vacuum goes with the square of the speed, flow with the speed; but for expansion a hole takes the same share."""
    path = replace(airpath.make(random.Random(11), MACHINES[0]).path, leaks=(air.Leak(0, 0.5, 8e-3, 0.61),))
    slow = replace(path, motor=path.motor.at_speed(0.9))
    assert slow.sealed(3).stations[3] / path.sealed(3).stations[3] == pytest.approx(0.81, rel=2e-3)


def test_thin_air() -> None:
    """Standard air at sea level; 83,524 Pa at 1,600 m (U.S. Standard Atmosphere 1976, geometric height)."""
    assert SEA.density() == pytest.approx(1.2, rel=1e-12)
    high = hose.Air.at(1600, 20)
    assert high.pressure == pytest.approx(83524, rel=1e-4)
    assert high.density() / SEA.density() == pytest.approx(high.pressure / 101325, rel=1e-12)


# ---- gauges and hands ----

@pytest.mark.parametrize("normal", [True, False])
@pytest.mark.parametrize("resolution", airpath.RESOLUTIONS)
def test_a_gauge_is_never_off_by_more_than_it_says(normal: bool, resolution: float) -> None:
    rng = random.Random(12)
    one = gauge.Gauge(250, resolution, normal)
    wrong = [one.read(rng, true) - true for true in (rng.uniform(1e3, 20e3) for _n in range(2000))]
    assert max(abs(error) for error in wrong) <= 250 + 1e-9
    assert max(wrong) > 200 and min(wrong) < -200


def test_small_errors_are_the_more_frequent_ones_of_a_bell_shaped_gauge() -> None:
    """About 68 % within half the bound, against 50 % where every error is as likely."""
    rng = random.Random(15)
    inside = [sum(abs(gauge.Gauge(250, 0.0, normal).read(rng, 9e3) - 9e3) < 125 for _n in range(4000)) / 4000
              for normal in (True, False)]
    assert inside == [pytest.approx(0.683, abs=0.03), pytest.approx(0.5, abs=0.03)]


def test_a_constant_error_is_the_same_at_every_reading() -> None:
    exact = gauge.Gauge(0.0)
    rng = random.Random(13)
    assert replace(exact, offset=400).read(rng, 12e3) == 12.4e3
    assert replace(exact, scale=0.95).read(rng, 12e3) == pytest.approx(11.4e3)
    assert replace(exact, offset=-400).read(rng, 300) == 0.0


def test_hands_differ_and_feel_an_order() -> None:
    rng = random.Random(14)
    people = [gauge.Hand.of(rng) for _n in range(200)]
    shares = [n / 50 for n in range(51)]
    for hand in people:
        steady = replace(hand, unsteady=0.0)
        felt = [gauge.GRADES.index(steady.feel(rng, share)) for share in shares]
        assert felt == sorted(felt) and felt[0] == 0 and felt[-1] == 3
    assert len({replace(hand, unsteady=0.0).feel(rng, 0.74) for hand in people}) == 2
