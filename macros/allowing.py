"""Rules of judgement switched off for one place, with a reason: ``allow`` in the file where the place is.

    allow:
      - {rule: sentence-length, at: read-port, because: the maker's own wording, which the customer insists on}

`at` is the id of the step, part, zone, message, symptom or word, or a figure such as ``squeegee.radius``; without it
the rule is off for the file. Rules that keep hands safe, and what the program needs to read the content, stay on.
"""

from collections.abc import Sequence

from macros.model import Allowed, Handbook
from macros.problems import Problem, meant
from macros.words import _

#: The rules that may be switched off: each is a matter of judgement. None of the state walk or the messages is here.
JUDGEMENT = (
    "sentence-length", "verb-first", "one-instruction", "condition-first", "word-choice", "unit-writing",
    "contradiction",
    "unused-part", "unused-tool", "unused-zone", "unused-message", "step-without-drawing", "review", "told-apart",
)


def allow(handbook: Handbook, problems: Sequence[Problem]) -> list[Problem]:
    """The problems that remain, and those of the switches themselves: unknown rules, and switches that do nothing."""
    switches = [one for one in handbook.allowed if one.rule in JUDGEMENT and one.because]
    idle = dict.fromkeys(range(len(switches)))
    left = []
    for problem in problems:
        by = [n for n, one in enumerate(switches) if one.at_file == problem.file and one.rule == problem.rule
              and one.where in ("", problem.about)] if problem.rule in JUDGEMENT else []
        if not by:
            left.append(problem)
        for number in by:
            idle.pop(number, None)
    for one in handbook.allowed:
        if one.rule and one.rule not in JUDGEMENT:
            left.append(Problem(one.place("rule"), "allow", _('the rule "{rule}" cannot be switched off').format(
                rule=one.rule[:60]), _("one of: {rules}").format(rules=", ".join(JUDGEMENT)),
                meant(one.rule, JUDGEMENT)))
    for number in idle:
        one = switches[number]
        left.append(Problem(one.at, "allow", _('nothing here breaks the rule "{rule}"').format(rule=one.rule),
                            _("switches that are needed"), _("take it out, or mend the name under at")))
    return left
