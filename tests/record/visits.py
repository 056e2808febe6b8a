"""Visits for tests: one that has everything, and others made at random."""

import copy
from typing import Any

from hypothesis import strategies as st

LISTS = ("seen", "steps", "answers", "parts", "remarks", "photographs")

Visit = dict[str, Any]


def moment(number: int) -> str:
    """A moment; a larger number is later."""
    return f"2026-11-{1 + number // 1440:02d}T{number // 60 % 24:02d}:{number % 60:02d}:00.000Z"


def empty(id: str, **more: Any) -> Visit:
    """A visit of which nothing is entered but what `more` says."""
    at = moment(0)
    return {"kind": "visit", "version": 1, "id": id, "edition": 1, "begun": at, "changed": at, "ended": None, "customer": "",
            "machine": {"id": "ride-on-90", "title": "Ride-on, 90 cm squeegee", "serial": "", "hours": None}, "who": "",
            "when": "2026-11-01", "seen": [], "steps": [], "answers": [], "parts": [], "minutes": None, "price": None,
            "notes": "", "remarks": [], "photographs": [], "remains": "", "removed": [], **more}


def full(id: str = "v-1", **more: Any) -> Visit:
    """A visit of which everything is entered; the ids of its entries begin with its own."""
    result = {"calculator": "suction-drop", "outcome": "found", "figures": {"hole": {"value": 0.0089, "unit": "m"}, "worst": "hose"}}
    return copy.deepcopy(empty(
        id, changed=moment(90), ended=moment(91), customer="TH-0119", who="R. Ames", minutes=75, price="194.81 EUR",
        notes="The hose rubs on the frame,\n\"behind\" the tank port.", remains="Turn the rear blade by January.",
        machine={"id": "ride-on-90", "title": "Ride-on, 90 cm squeegee", "serial": "7", "hours": 1284},
        seen=[{"id": f"{id}-seen", "at": moment(1), "symptom": "whole", "title": "Leaves water over the whole width"}],
        steps=[{"id": f"{id}-step-{n}", "at": moment(2 + n), "procedure": "survey-suction", "procedureTitle": "Survey the suction",
                "step": step, "title": title, "done": done}
               for n, (step, title, done) in enumerate((("key-out", "Take the key out.", True), ("read", "Read the gauge.", True),
                                                        ("write", "Write it down.", False)))],
        answers=[{"id": f"{id}-answer", "at": moment(10), "calculator": "suction-drop", "title": "Where is the suction lost?",
                  "procedure": "survey-suction", "step": "read", "inputs": {"readings": [{"vacuum": "19.4 kPa"}]},
                  "answer": "Most of the suction is lost in the hose.", "result": result,
                  "figures": [{"name": "hole", "title": "a hole of", "text": "8.9 mm"},
                              {"name": "worst", "title": "worst", "text": "hose"}]}],
        parts=[{"id": f"{id}-part", "at": moment(20), "part": "recovery-hose", "number": "NQ-3201",
                "title": "Recovery hose, 38 mm", "count": 2}],
        remarks=[{"id": f"{id}-remark", "at": moment(30), "procedure": "survey-suction", "procedureTitle": "Survey the suction",
                  "step": "read", "title": "Read the gauge.", "text": "This bolt is 13 mm on this one."}],
        photographs=[{"id": f"{id}-photo", "at": moment(40), "type": "image/png", "width": 1, "height": 1,
                      "about": "The hose behind the tank port"}],
    ) | more)


_moments = st.integers(0, 6).map(moment)


@st.composite
def copies(draw: st.DrawFn, id: str = "v") -> Visit:
    """A copy of the visit `id` as some device may hold it: a few entries from a small stock, so that copies overlap."""
    removed = draw(st.sets(st.sampled_from([f"{name}-{n}" for name in LISTS for n in range(3)]), max_size=4))
    lists = {}
    for name in LISTS:
        numbers = draw(st.sets(st.integers(0, 2)))
        lists[name] = [{"id": f"{name}-{n}", "at": draw(_moments), "text": draw(st.sampled_from("ab"))}
                       for n in sorted(numbers) if f"{name}-{n}" not in removed]
    return empty(id, changed=draw(_moments), notes=draw(st.sampled_from("ab")), who=draw(st.sampled_from("ab")),
                 removed=sorted(removed), **lists)
