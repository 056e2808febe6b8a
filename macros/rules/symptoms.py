"""A symptom leads to a cause and a remedy: its figures make sense, and its checks tell its causes apart."""

from itertools import combinations

from macros.faults import ELSE, likely
from macros.model import Handbook, Symptom
from macros.problems import Problem, meant
from macros.words import _

#: A check tells two causes apart when its results differ by at least this much (total variation, percent).
TELLS = 30
#: Percentages of one row may miss 100 by this much.
SLACK = 0.51


def check(handbook: Handbook) -> list[Problem]:
    """Problems of causes, checks and how likely results are."""
    problems = []
    for symptom in handbook.symptoms.values():
        found = [*_names(symptom), *_sums(symptom), *_weights(symptom)]
        problems += found or _told_apart(symptom)
    return problems


def _names(symptom: Symptom) -> list[Problem]:
    problems = []
    for name, one in symptom.checks.items():
        if one is None:
            continue
        for cause, row in one.likely.items():
            if cause != ELSE and cause not in symptom.causes:
                problems.append(Problem(one.place(f"likely/{cause}"), "unknown-cause", _(
                    '"{name}" is not a cause of this symptom').format(name=cause), "", meant(cause, [*symptom.causes, ELSE])))
            for result in row:
                if result not in one.results:
                    problems.append(Problem(one.place(f"likely/{cause}/{result}"), "unknown-result", _(
                        '"{name}" is not a result of the check {check}').format(name=result, check=name), "",
                        meant(result, list(one.results))))
        if ELSE not in one.likely:
            for cause in symptom.causes:
                if cause not in one.likely:
                    problems.append(Problem(one.place("likely"), "likely", _(
                        "the check {check} does not say how likely its results are with {cause}").format(
                            check=name, cause=cause), _("a row for each cause, or one for else"),
                        _("add the row, or one for else")))
    return problems


def _sums(symptom: Symptom) -> list[Problem]:
    problems = []
    for name, one in symptom.checks.items():
        for cause, row in (one.likely.items() if one is not None else ()):
            total = sum(float(value or 0) for value in row.values())
            if abs(total - 100) > SLACK:
                problems.append(Problem(one.place(f"likely/{cause}"), "likely", _(
                    "the results of {check} add up to {total} % with {cause}").format(
                        check=name, total=f"{total:g}", cause=cause), _("percentages that add up to 100")))
    return problems


def _weights(symptom: Symptom) -> list[Problem]:
    if any(cause is not None and float(cause.share or 0) > 0 for cause in symptom.causes.values()):
        return []
    return [Problem(symptom.place("causes"), "likely", _("no cause of this symptom ever occurs"),
                    _("at least one share above 0"))]


def _told_apart(symptom: Symptom) -> list[Problem]:
    """Pairs of causes that no check tells apart; a reader would be left between them."""
    problems = []
    for one, other in combinations(symptom.causes, 2):
        best = max((_difference(symptom, name, one, other) for name in symptom.checks), default=0)
        if best < TELLS:
            problems.append(Problem(symptom.place(f"causes/{other}"), "told-apart", _(
                'no check tells "{one}" from "{other}": at most {best} % of results differ').format(
                    one=symptom.causes[one].title, other=symptom.causes[other].title, best=f"{best:.0f}"),
                _("a check whose results differ by {least} % or more between them").format(least=TELLS),
                _("add such a check, or make the two one cause"), about=symptom.id))
    return problems


def _difference(symptom: Symptom, name: str, one: str, other: str) -> float:
    """Total variation between the results of a check under two causes, in percent."""
    a, b = likely(symptom, name, one), likely(symptom, name, other)
    return sum(abs(a[result] - b[result]) for result in a) / 2
