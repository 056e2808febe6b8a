"""Export and import: held against the published schema by two validators made apart; what is no such file is refused."""

import base64
import json
from typing import Any

import pytest
from jsonschema import Draft7Validator

from tests.record.conftest import Node
from tests.record.visits import Visit, empty, full, moment

ABOUT = {"made": moment(200), "edition": 3}
PICTURE = base64.b64encode(bytes(range(256)) * 300).decode()

Schema = dict[str, Any]


def exported(node: Node, *visits: Visit, photographs: dict[str, str] | None = None, enough: float = 1e9) -> list[str]:
    return node.do("files", visits=visits, photographs=photographs or {}, about=ABOUT, enough=enough)


def imported(node: Node, schema: Schema, text: str | bytes) -> dict[str, Any]:
    data = base64.b64encode(text.encode() if isinstance(text, str) else text).decode()
    return node.do("read", data=data, schema=schema)


def test_the_schema_is_one(schema: Schema):
    Draft7Validator.check_schema(schema)


def test_what_is_exported_is_as_the_schema_says_and_comes_back_whole(node: Node, schema: Schema):
    visits = [full(), empty("v-2"), full("v-3", edition=None, photographs=[])]
    [text] = exported(node, *visits, photographs={"v-1-photo": PICTURE})
    file = json.loads(text)
    assert list(Draft7Validator(schema).iter_errors(file)) == []
    assert file["visits"][0]["photographs"][0]["data"] == PICTURE
    back = imported(node, schema, text)
    assert back["edition"] == 3
    assert [one["visit"] for one in back["visits"]] == visits
    assert back["visits"][0]["photographs"] == {"v-1-photo": {"type": "image/png", "data": PICTURE}}


@pytest.mark.parametrize("unread", [
    {"unread": {"machine.hours": "1,284"}}, {"parts": [full()["parts"][0] | {"unread": "a few"}]}], ids=str)
def test_what_is_no_number_travels_as_typed_in_a_format_that_older_editions_refuse_by_its_number(
    node: Node, schema: Schema, unread: dict[str, Any]
):
    [plain], [text] = exported(node, full()), exported(node, full(), full("v-2", **unread))
    assert (json.loads(plain)["version"], json.loads(text)["version"]) == (1, 2)
    assert list(Draft7Validator(schema).iter_errors(json.loads(text))) == []
    assert imported(node, schema, text)["visits"][1]["visit"] == full("v-2", **unread)


def test_no_visit_at_all_is_a_file_too(node: Node, schema: Schema):
    [text] = exported(node)
    assert imported(node, schema, text)["visits"] == []


def test_a_photograph_whose_bytes_are_gone_keeps_its_entry(node: Node, schema: Schema):
    [text] = exported(node, full())
    [back] = imported(node, schema, text)["visits"]
    assert back["visit"] == full() and back["photographs"] == {}


def test_much_is_parted_into_files_that_each_are_whole(node: Node, schema: Schema):
    visits = [full(f"v-{n}") for n in range(5)]
    texts = exported(node, *visits, photographs={f"v-{n}-photo": PICTURE for n in range(5)}, enough=150_000)
    assert len(texts) == 3
    assert [one["visit"] for text in texts for one in imported(node, schema, text)["visits"]] == visits


@pytest.mark.parametrize("text, why", [
    ("", "empty"), ("%PDF-1.7", "foreign"), ("[]", "foreign"), ("null", "foreign"), ("3", "foreign"), ("{}", "foreign"),
    ('{"kind": "handbook-remarks", "version": 1}', "foreign"), (b"\xff\xd8\xff\xe0", "foreign"),
    ('{"kind": "handbook-visits"}', "damaged"), ('{"kind": "handbook-visits", "version": "1"}', "damaged"),
])
def test_what_is_no_export_is_refused(node: Node, schema: Schema, text: str | bytes, why: str):
    assert imported(node, schema, text)["refused"]["why"] == why


def test_a_newer_format_is_refused_by_its_number_whatever_else_it_holds(node: Node, schema: Schema):
    text = '{"kind": "handbook-visits", "version": 3, "journeys": []}'
    assert imported(node, schema, text) == {"refused": {"why": "newer", "detail": "3"}}


@pytest.mark.parametrize("part", [0.02, 0.5, 0.99])
def test_a_file_cut_off_is_damaged(node: Node, schema: Schema, part: float):
    [text] = exported(node, full(), full("v-2"))
    assert imported(node, schema, text[:max(60, int(len(text) * part))])["refused"] == {"why": "damaged", "detail": ""}


def test_too_large_a_file_is_not_even_read(node: Node, schema: Schema):
    assert node.do("read", size=100_000_001, schema=schema) == {"refused": {"why": "large", "detail": ""}}


def broken(where: str, value: object) -> Any:
    """An export with `value` at the path `where`, or without it when the value is `...`."""
    visit = full()
    visit["photographs"][0]["data"] = "AAAA"
    file = {"kind": "handbook-visits", "version": 1, **ABOUT, "visits": [visit]}
    *path, last = [int(part) if part.isdigit() else part for part in where.split("/")]
    at: Any = file
    for part in path:
        at = at[part]
    if value is ...:
        del at[last]
    else:
        at[last] = value
    return file


@pytest.mark.parametrize("where, value", [
    ("visits", {}), ("made", "yesterday"), ("edition", "3"), ("more", 1), ("visits/0/id", 7), ("visits/0/id", ""),
    ("visits/0/changed", "2026-11-01"), ("visits/0/ended", 3), ("visits/0/removed", ...), ("visits/0/when", "1.11.2026"),
    ("visits/0/cost", "3.00"), ("visits/0/machine/hours", "1284"), ("visits/0/steps/0/at", None), ("visits/0/steps/1/done", "yes"),
    ("visits/0/answers/0/id", ...), ("visits/0/answers/0/figures/0/text", 8.9), ("visits/0/parts/0/count", -1),
    ("visits/0/photographs/0/type", "text/html"), ("visits/0/photographs/0/data", "not base64!"),
    ("visits/0/photographs/0/data", ...), ("visits/0/remarks/0/text", None),
    ("visits/0/unread", {}), ("visits/0/unread", {"notes": "x"}), ("visits/0/unread", {"minutes": 7}), ("visits/0/parts/0/unread", ""),
])
def test_the_validators_agree_on_what_is_damaged_and_the_place_is_named(
    node: Node, schema: Schema, where: str, value: object
):
    file = broken(where, value)
    errors = list(Draft7Validator(schema).iter_errors(file))
    assert errors
    refused = imported(node, schema, json.dumps(file))["refused"]
    assert refused["why"] == "damaged"
    place = where if value is not ... and where not in ("more", "visits/0/cost") else where.rpartition("/")[0]
    assert refused["detail"] in (place, where) or isinstance(value, dict) and refused["detail"].startswith(f"{where}/")


def test_base64_that_is_cut_off_is_damaged(node: Node, schema: Schema):
    text = json.dumps(broken("visits/0/photographs/0/data", "AAAAA"))
    assert imported(node, schema, text)["refused"]["why"] == "damaged"
