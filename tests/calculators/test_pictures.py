"""The picture is of this answer: other inputs, another picture."""

from itertools import combinations

import pytest

from calculators import REGISTER, calculate, calculator


def leading(one, result) -> tuple:
    """What a reader takes from an answer at first: its outcome and its first figure."""
    first = next(figure.name for figure in one.figures if not figure.minor)
    return result["outcome"], result["figures"].get(first, {}).get("value")


@pytest.mark.parametrize("id", list(REGISTER))
def test_answers_that_differ_have_pictures_that_differ(id):
    one = calculator(id)
    results = [calculate(id, inputs) for inputs in [one.example, *(inputs for _name, inputs in one.examples)]]
    answered = [result for result in results if "refused" not in result]
    pairs = [(a, b) for a, b in combinations(answered, 2) if leading(one, a) != leading(one, b)]
    assert pairs, "the examples have answers that differ"
    for a, b in pairs:
        assert a["picture"] != b["picture"], (a["answer"], b["answer"])


@pytest.mark.parametrize("id", list(REGISTER))
def test_the_description_of_the_picture_changes_with_it(id):
    one = calculator(id)
    results = [calculate(id, inputs) for inputs in [one.example, *(inputs for _name, inputs in one.examples)]]
    said = {result["picture"].partition("<desc")[2].partition("</desc>")[0] for result in results if "refused" not in result}
    assert len(said) > 1 and all(said)
