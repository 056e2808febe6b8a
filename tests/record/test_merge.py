"""Merging: in any order and any number of times the same visit comes out, nothing is lost, nothing is there twice."""

import base64

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.record.conftest import Node
from tests.record.visits import LISTS, Visit, copies, empty, full, moment

# The same examples in every run; Node answers one after the other.
law = settings(derandomize=True, max_examples=200, deadline=None)


def merged(node: Node, *visits: Visit) -> Visit:
    first, *rest = visits
    for one in rest:
        first = node.call("merge", "merged", first, one)
    return first


@law
@given(copies(), copies(), copies())
def test_order_and_repetition_do_not_matter(node: Node, a: Visit, b: Visit, c: Visit):
    both = merged(node, a, b)
    assert merged(node, b, a) == both
    assert merged(node, merged(node, a, b), c) == merged(node, a, merged(node, b, c))
    assert merged(node, both, b) == merged(node, both, a) == merged(node, both, both) == both


@law
@given(copies(), copies())
def test_nothing_is_lost_and_nothing_is_there_twice(node: Node, a: Visit, b: Visit):
    both = merged(node, a, b)
    removed = {*a["removed"], *b["removed"]}
    assert set(both["removed"]) == removed
    for name in LISTS:
        ids = [one["id"] for one in both[name]]
        assert len(ids) == len(set(ids))
        assert set(ids) == {one["id"] for one in (*a[name], *b[name])} - removed
        for one in both[name]:
            copies_of_it = [other for other in (*a[name], *b[name]) if other["id"] == one["id"]]
            assert one in copies_of_it and one["at"] == max(other["at"] for other in copies_of_it)
        assert [one["at"] for one in both[name]] == sorted(one["at"] for one in both[name])
    assert both["changed"] == max(a["changed"], b["changed"])
    for later, earlier in ((a, b), (b, a)):
        if later["changed"] > earlier["changed"]:
            assert (both["notes"], both["who"]) == (later["notes"], later["who"])


def test_what_was_taken_out_on_one_device_does_not_come_back_from_another(node: Node):
    before = full()
    after = full(parts=[], removed=["v-1-part"], changed=moment(95))
    assert merged(node, after, before)["parts"] == merged(node, before, after)["parts"] == []


def test_a_text_that_is_no_number_goes_with_the_copy_changed_last(node: Node):
    typed, mended = full(unread={"machine.hours": "1,284"}), full(changed=moment(95))
    assert merged(node, typed, full(changed=moment(80)))["unread"] == {"machine.hours": "1,284"}
    assert "unread" not in merged(node, typed, mended) and merged(node, mended, typed)["machine"]["hours"] == 1284


def photographs(*visits: Visit) -> dict[str, str]:
    return {one["id"]: base64.b64encode(one["id"].encode()).decode() for visit in visits for one in visit["photographs"]}


def test_the_plan_of_an_import_counts_and_writes_only_what_is_new(node: Node):
    mine = [full("same"), full("gains"), empty("alone")]
    theirs = [full("same"), full("gains", remains="", changed=moment(99)), full("fresh"), full("fresh")]
    made = node.do("plan", mine=mine, theirs=[{"visit": one, "photographs": photographs(one)} for one in theirs])
    assert (made["fresh"], made["updated"], made["same"]) == (1, 1, 1)
    assert {one["visit"]["id"]: list(one["photographs"]) for one in made["put"]} == {
        "gains": ["gains-photo"], "fresh": ["fresh-photo"]}
    again = node.do("plan", mine=[*mine[:1], *(one["visit"] for one in made["put"])],
                    theirs=[{"visit": one, "photographs": photographs(one)} for one in theirs])
    assert again["put"] == [] and again["same"] == 3


def test_a_photograph_taken_out_here_is_not_written_again(node: Node):
    mine = full(photographs=[], removed=["v-1-photo"])
    theirs = full(notes="longer", changed=moment(99))
    [put] = node.do("plan", mine=[mine], theirs=[{"visit": theirs, "photographs": photographs(theirs)}])["put"]
    assert put["photographs"] == {} and put["visit"]["notes"] == "longer"


@law
@given(st.lists(copies("a"), max_size=2), st.lists(copies("b"), max_size=2))
def test_a_plan_carried_out_leaves_nothing_to_do(node: Node, ours: list[Visit], theirs: list[Visit]):
    many = [{"visit": one, "photographs": {}} for one in (*ours, *theirs)]
    mine = ours[:1]
    put = {one["visit"]["id"]: one["visit"] for one in node.do("plan", mine=mine, theirs=many)["put"]}
    after = list(({one["id"]: one for one in mine} | put).values())
    assert node.do("plan", mine=after, theirs=many)["put"] == []
