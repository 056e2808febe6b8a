"""The bill of materials and the licences: everything that is shipped, valid CycloneDX, texts that are there."""

import hashlib
import json
from pathlib import Path

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

from macros import bill, runtime, setup_npm
from macros.check import load_and_check
from macros.console import ROOT, Stop

SMALL = Path(__file__).parent / "pages" / "content"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site with Python for the browser, the bill and the licences."""
    folder = tmp_path_factory.mktemp("bill")
    setup_npm.ensure()
    book = load_and_check(SMALL)[0]
    bill.put(folder, book, runtime.put(folder))
    return folder


def read(site: Path) -> dict:
    return json.loads((site / bill.BILL).read_text("utf-8"))


def test_the_bill_is_valid_cyclonedx(site: Path):
    """Held against the published schema, as the cyclonedx library carries it."""
    validator = JsonStrictValidator(SchemaVersion.V1_6)
    assert validator.validate_str((site / bill.BILL).read_text("utf-8")) is None
    assert validator.validate_str(json.dumps({**read(site), "specVersion": 7})) is not None


def test_it_lists_everything_that_npm_and_python_bring(site: Path):
    named = {one["name"]: one for one in read(site)["components"]}
    wanted = json.loads((ROOT / "site_overrides" / "app" / "package.json").read_text("utf-8"))["dependencies"]
    for name, version in wanted.items():
        assert named[name]["version"] == version
        assert named[name]["purl"] == f"pkg:npm/{name.replace('@', '%40')}@{version}"
        package = json.loads((setup_npm.NODE_MODULES / name / "package.json").read_text("utf-8"))
        [found] = named[name]["licenses"]
        assert (found["expression"] if " " in package["license"] else found["license"]["id"]) == package["license"]
    assert set(named) >= {bill.OWN, bill.THEME, "cpython", "emscripten", "musl", "zlib"}
    assert named["cpython"]["version"] == json.loads((site / "runtime.json").read_text("utf-8"))["python"]
    assert read(site)["metadata"]["component"]["name"] == "Small handbook <b>of tests</b>"


def test_hashes_are_those_of_the_files(site: Path):
    files = [file for one in read(site)["components"] for file in one.get("components", ())]
    assert len(files) == sum(path.is_file() for path in (site / "runtime").rglob("*"))
    for file in files:
        assert hashlib.sha256((site / file["bom-ref"]).read_bytes()).hexdigest() == file["hashes"][0]["content"]
    [wheel] = [one["components"][0]["name"] for one in read(site)["components"] if one["name"] == bill.OWN]
    assert wheel.endswith(".whl")


def test_every_licence_has_its_text(site: Path):
    begins = {"Apache-2.0": "Apache License", "MIT": "Permission is hereby granted", "BSD-3-Clause": "BSD License", "ISC": "ISC License",
              "PSF-2.0": "PYTHON SOFTWARE FOUNDATION LICENSE",
              "MPL-2.0": "Mozilla Public License", "Zlib": "zlib, Zlib licence",
              "bzip2-1.0.6": "bzip2, its own licence"}
    for one in bill.components():
        for licence in one.licence.split(" AND "):
            assert begins[licence] in (site / one.url).read_text("utf-8"), one.name
    assert len(list((site / bill.FOLDER).iterdir())) == len({one.text for one in bill.components()})


def test_a_package_without_a_text_stops_the_build(tmp_path: Path):
    with pytest.raises(Stop, match="brings no text of its licence"):
        bill._text(bill.Component("left-out", "1", "MIT", "left-out", ""), tmp_path, ROOT)
