"""Costs are for the office: no byte of the other editions holds one, and the search would find it if it did."""

import base64
import gzip
import json
import shutil
import zipfile
from pathlib import Path

import pytest

from macros import audience, building, cli, placing, setup_npm, stick
from macros.audience import CUSTOMER, FIELD, OFFICE
from macros.editions import keeping
from tests.macros import leaks
from tests.macros.pages.dom import parse

SMALL = Path(__file__).parent / "pages" / "content"

COSTS = {"lid-seal": "7771.93", "hose": "73196.50"}
"""Amounts that stand nowhere else by chance; the second has a nought that may be left out."""

EARLIER = {"cost": "61937.48", "price": "51826.39", "shelf": "Y-86420-P"}
"""What an edition before said of a part."""


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The small handbook, whole with Python for the browser, as it is published for each audience."""
    setup_npm.ensure()
    folder = tmp_path_factory.mktemp("audiences")
    content = folder / "content"
    shutil.copytree(SMALL, content)
    parts = (content / "parts.yml").read_text("utf-8")
    assert COSTS["lid-seal"] in parts and "8882.47" in parts
    parts = parts.replace("8882.47", COSTS["hose"]).replace("number: X-2001", "number: NQ-3201, shelf: Z-97531-Q")
    (content / "parts.yml").write_text(parts, "utf-8")
    _an_earlier_edition(content)
    found = {}
    for name in audience.AUDIENCES:
        building.with_mkdocs(content, folder / name, name)
        placing.own(folder / f"web-{name}")
        placing.put(folder / name, folder / f"web-{name}")
        found[name] = folder / f"web-{name}"
    return found


def _an_earlier_edition(content: Path) -> None:
    """Keep the edition before, in which each part had another cost, price and shelf."""
    now = {name: (content / name).read_text("utf-8") for name in ("parts.yml", "handbook.yml")}
    earlier = now["parts.yml"].replace(COSTS["hose"], EARLIER["cost"]).replace("48.00", EARLIER["price"]).replace(
        "Z-97531-Q", EARLIER["shelf"])
    (content / "parts.yml").write_text(earlier, "utf-8")
    (content / "handbook.yml").write_text(now["handbook.yml"].replace("edition: 7", "edition: 6"), "utf-8")
    keeping.keep(content, None)
    for name, text in now.items():
        (content / name).write_text(text, "utf-8")
    kept = (content / "editions" / "6.json").read_text("utf-8")
    assert EARLIER["shelf"] in kept and EARLIER["cost"] not in kept and EARLIER["price"] not in kept


@pytest.mark.parametrize("readers", [FIELD, CUSTOMER])
def test_no_byte_of_what_the_field_and_the_customer_get_holds_a_cost(sites: dict[str, Path], readers: str):
    looked = {name.split("!")[0].rsplit("/", 1)[-1] for name, _data in leaks.opened(sites[readers])}
    assert {"edition.json", "index.json", "sw.js", "pyodide.asm.wasm", "python_stdlib.zip", "index.html.gz",
            "publish.json"} <= looked
    assert any(name.endswith(".whl") for name in looked)
    assert leaks.search(sites[readers], [*COSTS.values(), EARLIER["cost"], EARLIER["price"]]) == []


def test_no_byte_of_the_customers_folder_edition_holds_a_cost(sites: dict[str, Path], tmp_path: Path):
    stick.write((sites[CUSTOMER] / "site").resolve(), tmp_path / "handbook.zip", "Small handbook")
    assert leaks.search(tmp_path, list(COSTS.values())) == []
    assert any("!base64!" in name for name, _data in leaks.opened(tmp_path)), "files held in scripts are opened"


def test_the_office_has_each_of_them_and_the_search_finds_them(sites: dict[str, Path]):
    found = [one for part in ("parts", "calculators")
             for one in leaks.search(sites[OFFICE] / "site" / part, list(COSTS.values()))]
    assert {amount for _name, amount in found} == set(COSTS.values())
    pages = {name for name, _amount in found}
    assert any(name.endswith("lid-seal/index.html") for name in pages)
    assert any(name.endswith("lid-seal/index.html.gz!") for name in pages), "compressed files are opened"
    assert any(name.endswith("parts-cost/index.html") for name in pages)


@pytest.mark.parametrize("written", [
    "12345.50", "12345.5", "12345,50", "12 345,5", "12,345.50", "12.345,50", "12\u202f345,50", "12&nbsp;345.50",
    "1234550",
    "EUR 12,345.50", "\u20ac12345.50", "12345.50\u00a0\u20ac", "12'345.50", "12\u2019345.50", "12,346"[:2] + ",345"])
def test_the_search_finds_an_amount_however_it_is_written_and_packed(tmp_path: Path, written: str):
    text = f"<td>{written}</td>"
    for number, data in enumerate((text.encode(), json.dumps({"a": text}).encode(), gzip.compress(text.encode()),
                                   base64.b64encode(text.encode()), base64.b64encode(b"x" + text.encode()),
                                   base64.b64encode(b"xy" + text.encode()),
                                   b'f("' + base64.b64encode(gzip.compress(text.encode() + bytes(range(256))))
                                   + b'")')):
        folder = tmp_path / str(number)
        folder.mkdir()
        (folder / "file.bin").write_bytes(data)
        assert leaks.search(folder, ["12345.50"]), data
    folder = tmp_path / "packed"
    folder.mkdir()
    with zipfile.ZipFile(folder / "inner.whl", "w", zipfile.ZIP_DEFLATED) as inner:
        inner.writestr("a.py", text)
    with zipfile.ZipFile(folder / "outer.zip", "w") as outer:
        outer.write(folder / "inner.whl", "inner.whl")
    (folder / "inner.whl").unlink()
    assert leaks.search(folder, ["12345.50"])


def test_the_search_does_not_cry_wolf(tmp_path: Path):
    (tmp_path / "file").write_text("12.34 550 112345 x 23455 12 34550 1.2345.5", "utf-8")
    assert leaks.search(tmp_path, ["12345.50"]) == [("file", "12345.50")], "12345 rounded, in a longer number"
    (tmp_path / "file").write_text("12.34 550 11234 x 23455 99 34550 1.2345", "utf-8")
    assert leaks.search(tmp_path, ["12345.50"]) == []


def page(sites: dict[str, Path], readers: str, url: str):
    return parse((sites[readers] / "site" / url / "index.html").read_text("utf-8").removeprefix("<!doctype html>"))


def test_the_office_reads_cost_margin_and_markup_of_a_part(sites: dict[str, Path]):
    said = page(sites, OFFICE, "parts/lid-seal").tags("dl")[0].text
    # (12.40 - 7771.93) / 12.40 and (12.40 - 7771.93) / 7771.93, in percent
    assert "7771.93 EUR" in said and "\u221262576.9" in said.replace("\u202f", "") and "\u221299.8" in said
    for readers in (FIELD, CUSTOMER):
        said = page(sites, readers, "parts/lid-seal").tags("dl")[0].text
        assert "Cost" not in said and "argin" not in said and "12.40 EUR" in said


def test_the_calculator_asks_costs_of_the_office_alone_and_answers_with_the_margin(sites: dict[str, Path]):
    office = page(sites, OFFICE, "calculators/parts-cost")
    names = {one.get("name") for one in office.all() if one.get("name")}
    assert {"audience", "target_margin", "lines/0/cost"} <= names
    [data] = [json.loads(one.text) for one in office.tags("script") if one.get("type") == "application/json"]
    worked = next(iter(data["worked"].values()))
    assert worked["inputs"]["audience"] == "office"
    # The worked example has a hose of the number that stands in the content, with a cost: it is sold below it.
    assert [row.get("cost") for row in worked["inputs"]["lines"]] == [None, COSTS["hose"]]
    assert {"cost", "margin_share", "markup_share"} <= {one["name"] for one in worked["shown"]["figures"]}
    for readers in (FIELD, CUSTOMER):
        tree = page(sites, readers, "calculators/parts-cost")
        names = {one.get("name") for one in tree.all() if one.get("name")}
        assert not names & {"audience", "target_margin"} and not any(name.endswith("/cost") for name in names)
        assert "lines/0/price" in names
        [data] = [json.loads(one.text) for one in tree.tags("script") if one.get("type") == "application/json"]
        assert "x-private" not in json.dumps(data) and "audience" not in data["fields"]["properties"]


def test_the_customer_is_not_told_what_is_kept_where(sites: dict[str, Path]):
    for readers, told in ((OFFICE, True), (FIELD, True), (CUSTOMER, False)):
        everything = b"".join(data for _name, data in leaks.opened(sites[readers] / "site"))
        assert (b"Z-97531-Q" in everything) == (EARLIER["shelf"].encode() in everything) == told, readers
        said = page(sites, readers, "new").text
        assert "another price" in said and ("Kept at" in said) == told


def test_every_edition_says_for_whom_it_is(sites: dict[str, Path]):
    for readers, says in ((OFFICE, "the office: with costs"), (FIELD, "the field: without"),
                          (CUSTOMER, "the customer: without")):
        assert says in page(sites, readers, "saved").text
        assert json.loads((sites[readers] / "site" / "edition.json").read_text("utf-8"))["for"] == readers
        assert len(list((sites[readers] / "site").rglob("procedures/*/index.html"))) == 3, "no procedure is left out"


def test_unless_it_is_said_an_edition_is_for_the_field():
    assert cli.parse(["build"]).audience == cli.parse(["serve"]).audience == FIELD
    assert cli.parse(["publish", "web", "--for", "office"]).audience == OFFICE
    assert building.place(FIELD) == (building.SITE, building.STAMP)
    assert len({building.place(name) for name in audience.AUDIENCES}) == 3
