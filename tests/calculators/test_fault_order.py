"""`fault-order` and `diagnosis` against exhaustive search, exact fractions and published orders."""

import csv
import random
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import diagnosis as d
from calculators.fault_order import CALCULATOR, _likely
from calculators.form import Refused, read

from .outside import held

REFERENCE = list(csv.DictReader((Path(__file__).parents[1] / "reference/fault_order.csv").open()))


def numbers(text):
    return [float(x) for x in text.split(",")]


def ask(**inputs):
    return CALCULATOR.run(read(CALCULATOR.fields, inputs))


def one_to_one(probabilities, minutes):
    """Causes that each have a check of their own, which finds it for certain."""
    names = [f"c{i}" for i in range(len(minutes))]
    return {"causes": [{"cause": n, "weight": p, "minutes": 0} for n, p in zip(names, probabilities, strict=True)],
            "checks": [{"check": n, "minutes": m, "likely": _likely(**{x: float(x == n) for x in names})}
                       for n, m in zip(names, minutes, strict=True)]}


def test_the_published_order_by_minutes_over_probability():
    held("fault-order", "checks", "published: Kalagnanam and Henrion, reference/fault_order.csv")
    row = REFERENCE[0]  # Kalagnanam & Henrion: order 3, 2, 1; 10.0 minutes
    order, minutes = d.ratio_order(numbers(row["probabilities"]), numbers(row["minutes"]))
    assert [i + 1 for i in order] == [3, 2, 1] and minutes == pytest.approx(10.0)
    assert f"{minutes:.1f} minutes" in row["expected"]


def test_the_last_cause_needs_no_check():
    row = REFERENCE[1]  # brute force: the second check only, 2 minutes
    found = ask(faults=one_to_one(numbers(row["probabilities"]), numbers(row["minutes"])), enough=100)
    assert found.tables["checks"][0]["check"] == "c1"
    assert found.figures["expected_minutes"] == pytest.approx(2 * 60)


@settings(derandomize=True, max_examples=60)
@given(st.lists(st.tuples(st.integers(1, 50), st.integers(1, 30)), min_size=2, max_size=6))
def test_one_to_one_checks_against_every_order(pairs):
    held("fault-order", "expected_minutes", "every order of the checks", causes=len(pairs))
    weights, minutes = zip(*pairs, strict=True)
    total = sum(weights)
    # Oracle: every order of all checks but the last cause's, which elimination names.
    best = min(
        sum(Fraction(weights[i], total) * sum(minutes[j] for j in order[:min(k, len(order) - 2) + 1])
            for k, i in enumerate(order))
        for order in permutations(range(len(pairs))))
    found = ask(faults=one_to_one(weights, minutes), enough=100)
    assert found.figures["expected_minutes"] / 60 == pytest.approx(float(best), rel=1e-9)


def random_table(rng, causes, checks, results=2, enough=0.95):
    weights = d.normal([rng.uniform(0.05, 1) for _ in range(causes)])
    made = []
    for _ in range(checks):
        rows = [[rng.choice((0.02, 0.1, 0.5, 0.9)) for _ in range(causes)] for _ in range(results)]
        sums = [sum(row[i] for row in rows) for i in range(causes)]
        made.append(d.Check(rng.randint(1, 15), tuple(tuple(row[i] / sums[i] for i in range(causes)) for row in rows)))
    return d.Table(weights, tuple(rng.randint(5, 40) for _ in range(causes)), tuple(made), enough)


def exhaustive(table, p, left):
    """Expected minutes by trying every policy, written without the module's search or its memory."""
    if max(p) >= table.enough - 1e-9:
        return 0.0
    options = []
    for c in left:
        check, total, tells = table.checks[c], table.checks[c].minutes, False
        for row in check.likely:
            joint = [a * b for a, b in zip(p, row, strict=True)]
            chance = sum(joint)
            after = [j / chance for j in joint]
            tells = tells or max(abs(a - b) for a, b in zip(after, p, strict=True)) > 1e-9
            total += chance * exhaustive(table, after, left - {c})
        if tells:
            options.append(total)
    return min(options) if options else _remedies_by_every_order(p, table.remedies)


def in_written_order(table, p, left):
    """Expected minutes with every check made as it is written, until one cause stands out."""
    if max(p) >= table.enough - 1e-9:
        return 0.0
    if not left:
        return _remedies_by_every_order(p, table.remedies)
    check, total = table.checks[left[0]], table.checks[left[0]].minutes
    for row in check.likely:
        joint = [a * b for a, b in zip(p, row, strict=True)]
        total += sum(joint) * in_written_order(table, [j / sum(joint) for j in joint], left[1:])
    return total


def _remedies_by_every_order(p, remedies):
    return min(sum(p[i] * sum(remedies[j] for j in order[:k]) for k, i in enumerate(order))
               for order in permutations(range(len(p))))


@pytest.mark.parametrize("seed", range(12))
def test_small_tables_against_exhaustive_search_over_all_policies(seed):
    held("fault-order", "expected_minutes expected_minutes_by_habit", "exhaustive search over all policies", seed=seed)
    rng = random.Random(seed)
    table = random_table(rng, rng.randint(2, 4), rng.randint(1, 4), rng.choice((2, 3)))
    left = frozenset(range(len(table.checks)))
    values, exact = d.Search(table).values(table.weights, left)
    assert exact
    assert d.Search(table).by_habit(table.weights, sorted(left)) == pytest.approx(
        in_written_order(table, list(table.weights), sorted(left)), rel=1e-9)
    assert min(values.values(), default=_remedies_by_every_order(table.weights, table.remedies)) == pytest.approx(
        exhaustive(table, list(table.weights), left), rel=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_one_step_of_look_ahead_stays_near_the_exact_order(monkeypatch, seed):
    # The bound of 5 % is the one that the advice is held to as a whole; measured on these tables: 0 to 1.6 %.
    table = random_table(random.Random(100 + seed), 6, 5)
    left = frozenset(range(5))
    exact, _is_exact = d.Search(table).values(table.weights, left)
    monkeypatch.setattr(d, "MOST_STATES", 0)
    search = d.Search(table)
    near, is_exact = search.values(table.weights, left)
    assert not is_exact
    assert min(near.values()) >= min(exact.values()) * (1 - 1e-9)
    assert min(near.values()) <= min(exact.values()) * 1.05
    assert search.by_habit(table.weights, sorted(left)) >= min(exact.values()) * (1 - 1e-9)


@settings(derandomize=True, max_examples=100)
@given(st.data())
def test_posterior_is_bayes_in_exact_fractions(data):
    held("fault-order", "top_probability causes", "exact fractions: Bayes")
    causes = data.draw(st.integers(2, 5))
    weights = data.draw(st.lists(st.integers(1, 99), min_size=causes, max_size=causes))
    shares = data.draw(st.lists(st.lists(st.integers(1, 99), min_size=causes, max_size=causes), min_size=1, max_size=4))
    names = [f"c{i}" for i in range(causes)]
    faults = {"causes": [{"cause": n, "weight": w} for n, w in zip(names, weights, strict=True)],
              "checks": [{"check": f"k{k}", "minutes": 1,
                          "likely": _likely(**{n: s / 100 for n, s in zip(names, row, strict=True)})}
                         for k, row in enumerate(shares)]}
    found = ask(faults=faults, found=[{"check": f"k{k}", "result": "yes"} for k in range(len(shares))], enough=100)
    joint = [Fraction(w) for w in weights]
    for row in shares:
        joint = [j * Fraction(s, 100) for j, s in zip(joint, row, strict=True)]
    expected = {n: float(j / sum(joint)) for n, j in zip(names, joint, strict=True)}
    got = {row["cause"]: row["probability"] for row in found.tables["causes"]}
    for name, value in expected.items():
        assert got.get(name, 0.0) == pytest.approx(value, abs=2e-9)
    assert found.figures["top_probability"] == pytest.approx(max(expected.values()), abs=2e-9)


def test_outcomes_of_the_examples():
    found = {name: ask(**inputs).outcome for name, inputs in CALCULATOR.examples}
    assert found == {"found": "found", "cannot tell": "cannot-tell", "contradiction": "contradiction"}
    assert ask(**CALCULATOR.example).outcome == "check-next"


def test_a_contradiction_names_the_two_that_clash():
    result = ask(**dict(CALCULATOR.examples)["contradiction"])
    assert result.tables["clash"] == [{"check": "x", "result": "yes"}, {"check": "y", "result": "no"}]


EXAMPLE = CALCULATOR.example


@pytest.mark.parametrize("change, field", [
    ({"found": [{"check": "nope", "result": "yes"}]}, "found/0/check"),
    ({"found": [{"check": "look-lid", "result": "maybe"}]}, "found/0/result"),
    ({"found": [{"check": "look-lid", "result": "no"}] * 2}, "found/1/check"),
    ({"faults": {"causes": [{"cause": "a", "weight": 0}], "checks": []}}, "faults/causes"),
    ({"faults": {"causes": [{"cause": "a", "weight": 1}] * 2, "checks": []}}, "faults/causes/1/cause"),
    ({"faults": {"causes": [{"cause": "a", "weight": 1}], "checks": [
        {"check": "x", "minutes": 1, "likely": [{"cause": "a", "result": "yes", "share": 0.7}]}]}},
     "faults/checks/0/likely"),
    ({"faults": {"causes": [{"cause": "a", "weight": 1}], "checks": [
        {"check": "x", "minutes": 1, "likely": _likely(b=1.0)}]}}, "faults/checks/0/likely/0/cause"),
    ({"faults": 3}, "faults"),
])
def test_refusals(change, field):
    with pytest.raises(Refused) as refused:
        ask(**{**EXAMPLE, "found": [], **change})
    assert field in [r.field for r in refused.value.refusals]


@pytest.mark.parametrize("seed", range(25))
def test_posterior_against_the_exact_inference_of_pgmpy(seed):
    """A network of one cause and its checks, asked by pgmpy's variable elimination after some results."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    rng = random.Random(500 + seed)
    table = random_table(rng, rng.randint(2, 6), rng.randint(1, 5), rng.choice((2, 3)))
    causes = [f"c{i}" for i in range(len(table.weights))]
    names = [f"k{k}" for k in range(len(table.checks))]
    network = DiscreteBayesianNetwork([("cause", name) for name in names])
    network.add_cpds(TabularCPD("cause", len(causes), [[w] for w in table.weights]), *(
        TabularCPD(name, len(check.likely), [list(row) for row in check.likely], ["cause"], [len(causes)])
        for name, check in zip(names, table.checks, strict=True)))
    results = {name: rng.randrange(len(check.likely)) for name, check in zip(names, table.checks, strict=True)
               if rng.random() < 0.7}
    expected = VariableElimination(network).query(["cause"], evidence=results, show_progress=False).values

    faults = {"causes": [{"cause": c, "weight": w} for c, w in zip(causes, table.weights, strict=True)],
              "checks": [{"check": name, "minutes": 1, "likely": [
                  {"cause": c, "result": f"r{r}", "share": row[i]}
                  for r, row in enumerate(check.likely) for i, c in enumerate(causes)]}
                  for name, check in zip(names, table.checks, strict=True)]}
    found = ask(faults=faults, enough=100,
                found=[{"check": name, "result": f"r{r}"} for name, r in results.items()])
    held("fault-order", "causes top_probability", "pgmpy: variable elimination", causes=len(causes), checks=len(names))
    got = {row["cause"]: row["probability"] for row in found.tables["causes"]}
    for cause, value in zip(causes, expected, strict=True):
        assert got.get(cause, 0.0) == pytest.approx(float(value), abs=2e-9)
    assert found.figures["top_probability"] == pytest.approx(float(max(expected)), abs=2e-9)
