"""What of an answer is the customer's to see: never what the office alone is told."""

from decimal import Decimal

import pytest

from calculators import calculate, calculator, calculators
from macros.pages.visits import customers

PRICE = calculator("parts-cost")


def test_every_calculator_is_decided():
    shown = customers()
    assert list(shown) == [one.id for one in calculators()]
    for one in calculators():
        assert set(shown[one.id]["figures"]) <= {figure.name for figure in one.figures if not figure.office}


@pytest.mark.parametrize("inputs", [PRICE.example, *(inputs for _name, inputs in PRICE.examples)])
def test_what_only_the_office_is_answered_is_for_the_office(inputs: dict):
    answers = [calculate(PRICE.id, {**inputs, "audience": audience}) for audience in ("office", "customer")]
    office, customer = (set(one.get("figures", ())) for one in answers)
    assert set(customers()[PRICE.id]["figures"]) & (office - customer) == set()
    assert office - customer <= {figure.name for figure in PRICE.figures if figure.office}


def test_what_tells_a_cost_is_not_shown_and_its_sentence_neither():
    assert customers()["parts-cost"] == {"says": False, "figures": ["gross", "net", "tax", "parts", "labour", "call_out"]}
    assert customers()["renewal-interval"]["says"] is False
    assert not {"cost_rate", "run_to_failure_rate"} & set(customers()["renewal-interval"]["figures"])
    assert {id for id, one in customers().items() if one["says"]} == {
        one.id for one in calculators()} - {"parts-cost", "renewal-interval"}


def test_a_changed_cost_changes_nothing_that_the_customer_sees():
    line = {"part": "hose", "price": "20.00", "cost": "12.00"}
    inputs = {"lines": [line], "tax_rate": 20, "audience": "office"}
    other = {**inputs, "lines": [{**line, "cost": str(Decimal(line["cost"]) * 3)}]}
    one, another = (calculate(PRICE.id, each)["figures"] for each in (inputs, other))
    assert one["cost"] != another["cost"]
    assert [one.get(name) for name in customers()[PRICE.id]["figures"]] == [another.get(name) for name in customers()[PRICE.id]["figures"]]
