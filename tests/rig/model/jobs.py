"""Jobs: a symptom, its hidden cause and what every check would show, drawn from the content's own tables.

Read with pyyaml alone, nothing of `calculators/` or `macros/`: the rig must not share a mistake with what it judges.
A machine shows every symptom once; its cause is drawn by the cause's share, and the result of every check by its
percentage under that cause, before anybody looks. So the advice, the best order and the written order live the very
same job, and a check that is looked at twice shows the same thing.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import yaml

WELL = {
    "streaks": ("gone", "square", "whole", "even"),
    "middle": ("gone", "even", "alike", "flat"),
    "ends": ("even", "alike", "dry"),
    "side": ("gone", "level", "alike", "whole", "firm"),
    "turns": ("free", "whole", "dry", "dry"),
    "whole": ("tight", "held", "light", "full", "as-inlet", "as-port", "as-hose", "both"),
    "thin-sound": ("strong", "strong", "round", "fine"),
    "silent": ("low", "charged", "few", "whole", "there"),
    "smear": ("right", "alike"),
    "foam": ("right", "listed", "clear", "clean"),
    "smell": ("clean", "dry", "clear", "none"),
}
"""For each symptom, in the order of its checks: the result of a machine that has nothing wrong there."""


@dataclass(frozen=True)
class Check:
    """A check of a symptom: minutes, the ids of its results, and for each result its probability under each cause."""

    id: str
    minutes: float
    results: tuple[str, ...]
    likely: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Symptom:
    """A symptom of content/symptoms.yml: causes with shares that sum to 1, minutes of remedies, checks as written."""

    id: str
    causes: tuple[str, ...]
    shares: tuple[float, ...]
    remedies: tuple[float, ...]
    checks: tuple[Check, ...]

    def well(self) -> tuple[int, ...]:
        """Index of the result of each check that shows nothing wrong. Raises: KeyError for a symptom not in `WELL`."""
        if self.id not in WELL:
            raise KeyError(f"{self.id}: say in WELL which result of each check shows nothing wrong")
        return tuple(check.results.index(result) for check, result in zip(self.checks, WELL[self.id], strict=True))


@dataclass(frozen=True)
class Job:
    """One job: its symptom, the hidden causes (one or two, by index), and what each check shows (by index)."""

    symptom: Symptom
    causes: tuple[int, ...]
    shows: tuple[int, ...]


def read(content: Path) -> list[Symptom]:
    """The symptoms of a content folder, in their written order."""
    held = yaml.safe_load((content / "symptoms.yml").read_text("utf-8"))["symptoms"]
    return [_symptom(name, raw) for name, raw in held.items()]


def _symptom(name: str, raw: dict) -> Symptom:
    causes = tuple(raw["causes"])
    counts = [float(raw["causes"][cause]["share"]) for cause in causes]
    return Symptom(name, causes, tuple(count / sum(counts) for count in counts),
                   tuple(float(raw["causes"][cause]["minutes"]) for cause in causes),
                   tuple(_check(check, row, causes) for check, row in raw["checks"].items()))


def _check(name: str, raw: dict, causes: tuple[str, ...]) -> Check:
    results = tuple(raw["results"])
    under = [raw["likely"].get(cause, raw["likely"].get("else")) for cause in causes]
    rows = tuple(tuple(float(cell.get(result, 0)) / sum(cell.values()) for cell in under) for result in results)
    return Check(name, float(raw["minutes"]), results, rows)


def draw(symptoms: Sequence[Symptom], machines: int, seed: int) -> list[Job]:
    """Every symptom once on each of so many machines, one cause each.

    The jobs of a symptom are drawn evenly over all that a job can be: its line from 0 to 1 is cut into the causes by
    share, each of those into the results of the first check, and so on; one place is drawn from each of `machines`
    equal slices of the line, and the order shuffled. So each kind of job comes as often as it should, to within two.
    """
    rng = random.Random(seed)
    jobs = []
    for symptom in symptoms:
        places = [(number + rng.random()) / machines for number in range(machines)]
        rng.shuffle(places)
        for place in places:
            cause, place = _cut(symptom.shares, place)
            shows = []
            for check in symptom.checks:
                result, place = _cut([row[cause] for row in check.likely], place)
                shows.append(result)
            jobs.append(Job(symptom, (cause,), tuple(shows)))
    return jobs


def with_second(job: Job, rng: random.Random) -> Job:
    """The job with a second cause of the same symptom at work, drawn by share among the others.

    What is wrong shows, whichever cause makes it so: a check shows nothing wrong only where it would do so under each
    of the two causes (streaks are gone after litter is shaken off only if no nick makes them as well). Where the two
    make it show two different wrongs, either is seen, evenly.
    """
    first = job.causes[0]
    others = [0.0 if number == first else share for number, share in enumerate(job.symptom.shares)]
    second, _place = _cut([share / sum(others) for share in others], rng.random())
    shows = tuple(
        other if one == well else one if other in (well, one) else (one, other)[rng.random() < 0.5]
        for one, other, well in zip(job.shows, _shows(job.symptom, second, rng), job.symptom.well(), strict=True))
    return Job(job.symptom, (first, second), shows)


def other_result(check: Check, result: int, rng: random.Random) -> int:
    """A result of the check that is not this one, evenly: what a slip of the hand writes down."""
    others = [number for number in range(len(check.results)) if number != result]
    return others[int(rng.random() * len(others))]


def _shows(symptom: Symptom, cause: int, rng: random.Random) -> tuple[int, ...]:
    return tuple(_cut([row[cause] for row in check.likely], rng.random())[0] for check in symptom.checks)


def _cut(shares: Sequence[float], place: float) -> tuple[int, float]:
    """The index whose part of the line from 0 to 1 holds `place`, and the place within that part, from 0 to 1."""
    reached = 0.0
    for number, share in enumerate(shares):
        if share > 0 and place < reached + share:
            return number, (place - reached) / share
        reached += share
    return max(number for number, share in enumerate(shares) if share > 0), 0.0  # `reached` may miss 1 by rounding
