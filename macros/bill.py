"""What an edition holds: a bill of materials (CycloneDX 1.6) and the licence of everything that is shipped.

``bom.json`` and ``licences/`` in the site; the page ``licences/`` shows both. Versions are those of the locks.
"""

import base64
import json
import shutil
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path
from typing import Any

from macros.console import ROOT, Stop
from macros.model import Handbook
from macros.runtime import Runtime
from macros.setup_npm import NODE_MODULES
from macros.words import _

BILL, FOLDER = "bom.json", "licences"
TEXTS = Path(__file__).parent / "licences"
"""Texts of licences that no package brings along."""

OWN, THEME, PYTHON = "handbook-generator", "mkdocs-material", "cpython"


@dataclass(frozen=True)
class Component:
    """Something that is shipped: its name, version ("" where its packager does not say), SPDX licence, the name of its
    licence's text in `licences/`, what it is here for, and its package URL."""

    name: str
    version: str
    licence: str
    text: str
    says: str
    purl: str = ""

    @property
    def url(self) -> str:
        """Where the text of the licence is, relative to home."""
        return f"{FOLDER}/{self.text}.txt"


def components(root: Path = ROOT) -> Iterator[Component]:
    """Everything that is shipped besides the content, the handbook's own first."""
    version = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    yield Component(OWN, version, "Apache-2.0", OWN, _("calculators, pages, scripts and look"))
    lock = json.loads((root / "site_overrides" / "app" / "package-lock.json").read_text("utf-8"))["packages"]
    for name in lock[""]["dependencies"]:
        found = lock[f"node_modules/{name}"]
        yield Component(name, found["version"], found["license"], _slug(name), _says(name),
                        f"pkg:npm/{name.replace('@', '%40')}@{found['version']}")
    yield Component(PYTHON, "", "PSF-2.0", PYTHON, _("the language of the calculators, as Pyodide brings it"))
    for name, licence in (("emscripten", "MIT"), ("musl", "MIT"), ("libffi", "MIT"), ("zlib", "Zlib"),
                          ("bzip2", "bzip2-1.0.6")):
        yield Component(name, "", licence, "pyodide-libraries", _("a library in Pyodide"))
    theme = metadata.version(THEME)
    yield Component(THEME, theme, "MIT", THEME, _("the frame of each page's HTML"), f"pkg:pypi/{THEME}@{theme}")


def _says(name: str) -> str:
    """What an npm package is here for."""
    known = {"pyodide": _("Python for the browser"), "minisearch": _("the index of the search"),
             "zstddec": _("unpacks the kept memory of Python"),
             "idb": _("the way into the device's own database"),
             "@cfworker/json-schema": _("visits from other devices held against their schema")}
    return known.get(name) or (_("words and stems of the search") if name.startswith("@orama/")
                               else _("used by the scripts"))


def _slug(name: str) -> str:
    return name.replace("@", "").replace("/", "-")


def put(site: Path, book: Handbook, runtime: Runtime | None, packages: Path = NODE_MODULES, root: Path = ROOT) -> None:
    """Put the bill and the texts of the licences into the built `site`. Raises: Stop when a text is missing."""
    (site / FOLDER).mkdir(exist_ok=True)
    listed = list(components(root))
    for one in listed:
        shutil.copyfile(_text(one, packages, root), site / one.url)
    (site / BILL).write_text(json.dumps(bill(listed, book, runtime), ensure_ascii=False, indent=1) + "\n", "utf-8")


def _text(one: Component, packages: Path, root: Path) -> Path:
    """The file with the text of a component's licence."""
    if one.name == OWN:
        return root / "LICENSE"
    if one.name == THEME:
        files = [file for file in metadata.files(THEME) or () if file.name == "LICENSE" and "dist-info" in str(file)]
        return Path(str(files[0].locate()))
    kept = TEXTS / f"{one.text}.txt"
    found = [kept] if kept.is_file() else sorted((packages / one.name).glob("LICENSE*"))
    if not found:
        raise Stop(_("{name} brings no text of its licence: put it into {folder}.").format(name=one.name, folder=TEXTS))
    return found[0]


def bill(listed: list[Component], book: Handbook, runtime: Runtime | None) -> dict[str, Any]:
    """The bill of materials. The same edition gives the same bill: its time is the edition's date."""
    made = []
    for one in listed:
        version = runtime.python if runtime and one.name == PYTHON else one.version
        entry: dict[str, Any] = {"type": "library", "bom-ref": one.name, "name": one.name}
        if version:
            entry["version"] = version
        entry |= {"description": one.says, **_licence(one)}
        if one.purl:
            entry["purl"] = one.purl
        if runtime and one.name in ("pyodide", OWN):
            ours = one.name == OWN
            entry["components"] = [
                {"type": "file", "bom-ref": f"{runtime.path}{name}", "name": name,
                 "hashes": [{"alg": "SHA-256", "content": base64.b64decode(digest).hex()}]}
                for name, digest in sorted(runtime.files.items()) if (name == runtime.wheel) == ours]
        made.append(entry)
    return {
        "bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1,
        "metadata": {"timestamp": f"{book.date}T00:00:00Z",
                     "component": {"type": "application", "bom-ref": "handbook", "name": book.name,
                                   "version": str(book.edition)}},
        "components": made,
        "dependencies": [{"ref": "handbook", "dependsOn": [one.name for one in listed]}],
    }


def _licence(one: Component) -> dict[str, Any]:
    """The licence as the bill has it; several that hold together are an expression, which has no address of its own there."""
    if " " not in one.licence:
        return {"licenses": [{"license": {"id": one.licence, "url": one.url}}]}
    return {"licenses": [{"expression": one.licence}], "externalReferences": [{"type": "license", "url": one.url}]}
