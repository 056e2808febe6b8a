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
    found = ask(faults=one_to_one(numbers(row["probabilities"]), numbers(row["minutes"])), enough=100,
                certain_only=True)
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
    found = ask(faults=one_to_one(weights, minutes), enough=100, certain_only=True)
    assert found.figures["expected_minutes"] / 60 == pytest.approx(float(best), rel=1e-9)


def random_table(rng, causes, checks, results=2, enough=0.95, besides=0.0, certain_only=False):
    weights = d.normal([rng.uniform(0.05, 1) for _ in range(causes)])
    made = []
    for _ in range(checks):
        rows = [[rng.choice((0.02, 0.1, 0.5, 0.9)) for _ in range(causes)] for _ in range(results)]
        sums = [sum(row[i] for row in rows) for i in range(causes)]
        made.append(d.Check(rng.randint(1, 15), tuple(tuple(row[i] / sums[i] for i in range(causes)) for row in rows)))
    return d.Table(weights, tuple(rng.randint(5, 40) for _ in range(causes)), tuple(made), enough,
                   besides, certain_only)


def exhaustive(table, p, left):
    """Cost and minutes by trying every policy, written without the module's search or its memory."""
    stands_out, options = max(p) >= table.enough - 1e-9, []
    for c in left if not (table.certain_only and stands_out) else ():
        check, cost, minutes, tells = table.checks[c], table.checks[c].minutes, table.checks[c].minutes, False
        for row in check.likely:
            joint = [a * b for a, b in zip(p, row, strict=True)]
            chance = sum(joint)
            after = [j / chance for j in joint]
            tells = tells or max(abs(a - b) for a, b in zip(after, p, strict=True)) > 1e-9
            onward = exhaustive(table, after, left - {c})
            cost, minutes = cost + chance * onward[0], minutes + chance * onward[1]
        if tells:
            options.append((cost, minutes))
    if not table.certain_only or not options:
        options.append(_remedies_by_every_order(table, p))
    return min(options)


def in_written_order(table, p, left):
    """Expected minutes with every check made as it is written, until one cause stands out."""
    if max(p) >= table.enough - 1e-9 or not left:
        return _remedies_by_every_order(table, p)[1]
    check, total = table.checks[left[0]], table.checks[left[0]].minutes
    for row in check.likely:
        joint = [a * b for a, b in zip(p, row, strict=True)]
        total += sum(joint) * in_written_order(table, [j / sum(joint) for j in joint], left[1:])
    return total


def _remedies_by_every_order(table, p):
    """Cost and minutes of the remedies in vain, in the order that costs least."""
    return min(tuple(sum(p[i] * sum(table.remedies[j] + extra for j in order[:k]) for k, i in enumerate(order))
                     for extra in (table.besides, 0.0)) for order in permutations(range(len(p))))


@pytest.mark.parametrize("certain_only", (False, True))
@pytest.mark.parametrize("seed", range(12))
def test_small_tables_against_exhaustive_search_over_all_policies(seed, certain_only):
    held("fault-order", "expected_minutes expected_minutes_by_habit", "exhaustive search over all policies", seed=seed)
    rng = random.Random(seed)
    table = random_table(rng, rng.randint(2, 4), rng.randint(1, 4), rng.choice((2, 3)), besides=rng.choice((0.0, 8.0)),
                         certain_only=certain_only)
    left = frozenset(range(len(table.checks)))
    search = d.Search(table)
    values, exact = search.next(table.weights, left)
    assert exact
    best = min(values.values(), default=search.mend(table.weights))
    assert best == pytest.approx(exhaustive(table, list(table.weights), left), rel=1e-9)
    assert search.by_habit(table.weights, sorted(left)) == pytest.approx(
        in_written_order(table, list(table.weights), sorted(left)), rel=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_one_step_of_look_ahead_stays_near_the_exact_order(monkeypatch, seed):
    # The bound of 5 % is the one that the advice is held to as a whole; measured on these tables: 0 to 1.1 %.
    certain_only = bool(seed % 2)
    table = random_table(random.Random(100 + seed), 6, 5, besides=0.0 if certain_only else 10.0,
                         certain_only=certain_only)
    left = frozenset(range(5))
    exact, is_exact = d.Search(table).values(table.weights, left)
    assert is_exact
    monkeypatch.setattr(d, "MOST_STATES", 0)
    search = d.Search(table)
    near, is_exact = search.values(table.weights, left)
    assert not is_exact
    assert min(exact.values()).cost * (1 - 1e-9) <= min(near.values()).cost <= min(exact.values()).cost * 1.05
    if certain_only:  # the written order stops where this one does, so it cannot be better
        assert search.by_habit(table.weights, sorted(left)) >= min(exact.values()).minutes * (1 - 1e-9)


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
    assert found == {"found": "found", "seen once": "likely", "mended in vain": "check-next",
                     "cannot tell": "cannot-tell", "contradiction": "contradiction"}
    assert ask(**CALCULATOR.example).outcome == "check-next"


def test_what_hangs_on_one_look_is_only_likely():
    seen_once = dict(CALCULATOR.examples)["seen once"]
    result = ask(**seen_once)
    assert result.answer == "Likely, 97 %: drain cap leaks. To be certain, look once more: Feel the drain cap."
    assert result.tables["again"][0] == {"check": "feel-cap", "title": "Feel the drain cap", "result": "yes"}

    # Independent of `again`: a result carries the finding when 95 % is not reached without it.
    for row in seen_once["found"]:
        rest = [one for one in seen_once["found"] if one is not row]
        top = ask(faults=seen_once["faults"], found=rest).tables["causes"][0]
        carries = top["cause"] != "drain-cap" or top["probability"] < 0.95
        assert carries == (row["check"] in {one["check"] for one in result.tables["again"]})


def test_every_result_that_carries_the_finding_is_looked_at_twice():
    inputs = dict(CALCULATOR.examples)["seen once"]
    looked = []
    while (result := ask(**inputs)).outcome == "likely":
        check = result.tables["again"][0]["check"]
        assert check not in looked
        looked.append(check)
        inputs = {**inputs, "found": [{**row, "again": row["check"] in looked} for row in inputs["found"]]}
    assert result.outcome == "found" and looked[0] == "feel-cap"


def test_a_cause_mended_in_vain_is_as_if_it_had_never_been_possible():
    faults, found = EXAMPLE["faults"], [{"check": "port-strong", "result": "yes"}]
    others = {"checks": faults["checks"], "causes": [
        {**row, "weight": 0 if row["cause"] == "hose-split" else row["weight"]} for row in faults["causes"]]}
    in_vain = ask(faults=faults, found=found, mended=[{"cause": "hose-split"}])
    never = ask(faults=others, found=found)
    assert in_vain.tables["checks"] == never.tables["checks"]
    assert in_vain.tables["causes"][0]["cause"] == "outlet-blocked"
    assert [row["cause"] for row in in_vain.tables["causes"]] == [row["cause"] for row in never.tables["causes"]]
    assert [row["probability"] for row in in_vain.tables["causes"]] == pytest.approx(
        [row["probability"] for row in never.tables["causes"]])


def test_every_cause_mended_in_vain_leads_back_to_the_checks():
    result = ask(faults=EXAMPLE["faults"], mended=[{"cause": row["cause"]} for row in EXAMPLE["faults"]["causes"]])
    assert result.outcome == "contradiction" and "look for two faults" in result.answer


def two_causes(share, minutes_of_the_check, remedies=(20, 30)):
    return {"causes": [{"cause": name, "title": name, "weight": weight, "minutes": minutes} for name, weight, minutes in
                       zip("ab", (share, 100 - share), remedies, strict=True)],
            "checks": [{"check": "x", "title": "Look", "minutes": minutes_of_the_check, "likely": _likely(a=1, b=0)}]}


def test_a_check_is_made_only_where_it_saves_more_than_it_takes():
    # a first: in vain in 30 of 100, 20 minutes and 10 besides: 9 minutes expected. The check leaves no doubt.
    assert ask(faults=two_causes(70, 8.9)).outcome == "check-next"
    result = ask(faults=two_causes(70, 9.1))
    assert (result.outcome, result.answer) == (
        "likely", "Mend this first, then test: a (70 %). No check that is left saves more minutes than it takes.")
    assert [row["cause"] for row in result.tables["remedies"]] == ["a", "b"]
    assert ask(faults=two_causes(70, 9.1), besides="11 min").outcome == "check-next"
    assert ask(faults=two_causes(70, 600), certain_only=True).outcome == "check-next"
    assert ask(faults=two_causes(96, 0), certain_only=True).outcome == "found"


def test_the_cheapest_chance_is_mended_first_and_named():
    result = ask(faults=two_causes(40, 5, remedies=(5, 50)), cannot=[{"check": "x"}])  # 15 / 0.4 before 60 / 0.6
    assert (result.outcome, result.answer) == (
        "cannot-tell", "No check is left that tells a (40 %) from b (60 %). Mend a first, then test.")


def test_a_contradiction_names_the_two_that_clash():
    result = ask(**dict(CALCULATOR.examples)["contradiction"])
    assert result.tables["clash"] == [{"check": "x", "result": "yes"}, {"check": "y", "result": "no"}]


EXAMPLE = CALCULATOR.example


@pytest.mark.parametrize("change, field", [
    ({"found": [{"check": "nope", "result": "yes"}]}, "found/0/check"),
    ({"found": [{"check": "look-lid", "result": "maybe"}]}, "found/0/result"),
    ({"found": [{"check": "look-lid", "result": "no"}] * 2}, "found/1/check"),
    ({"mended": [{"cause": "nope"}]}, "mended/0/cause"),
    ({"mended": [{"cause": "lid-seal"}] * 2}, "mended/1/cause"),
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
