"""A symptom of the content as the table of faults that the calculator `fault-order` takes."""

from typing import Any

from macros.model import Symptom

#: Stands in a check's `likely` for every cause that is not named.
ELSE = "else"


def likely(symptom: Symptom, check: str, cause: str) -> dict[str, float]:
    """Result -> percentage of a check under a cause; empty where the content says nothing."""
    table = symptom.checks[check].likely
    row = table.get(cause, table.get(ELSE, {}))
    return {result: float(row.get(result) or 0) for result in symptom.checks[check].results}


def faults(symptom: Symptom) -> dict[str, Any]:
    """The field `faults` of `fault-order`: causes with weights and minutes, checks with minutes and shares.

    Results go by their words, so that the calculator's sentences can be read aloud.
    """
    return {
        "causes": [{"cause": name, "title": cause.title, "weight": float(cause.share), "minutes": float(cause.minutes)}
                   for name, cause in symptom.causes.items()],
        "checks": [{"check": name, "title": check.title, "minutes": float(check.minutes), "likely": [
            {"cause": cause, "result": check.results[result], "share": round(percent / 100, 6)}
            for cause in symptom.causes for result, percent in likely(symptom, name, cause).items()]}
            for name, check in symptom.checks.items()],
    }
