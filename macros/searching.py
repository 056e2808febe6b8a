"""The index of the search, made at build time by the modules that read it in the reader's browser.

``search/`` in the site holds those modules, MiniSearch, the stems and the silent words of the handbook's language,
``index.json``, and under a hash its parts, of which a question needs a few. The same documents give the same bytes.
"""

import json
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from babel.core import Locale, UnknownLocaleError

from macros import setup_npm
from macros.console import ROOT, Stop
from macros.words import _

FOLDER = "search"
OWN = ROOT / "site_overrides" / FOLDER
MAKER = Path(__file__).with_suffix(".mjs")

#: What stands in for a language without stems or silent words: every word is then taken as it is.
PLAIN = {"stemmers": "export const stemmer = (word) => word;\n", "stopwords": "export const stopwords = [];\n"}


def put(site: Path, documents: Iterable[dict[str, Any]], synonyms: Iterable[Iterable[str]], language: str,
        packages: Path = setup_npm.NODE_MODULES) -> None:
    """Put the search into the built `site`: its modules and the index of `documents`; see `making`."""
    put_modules(site, language, packages)
    with making(documents, synonyms, language, packages) as search:
        search.put_index(site)


def put_modules(site: Path, language: str, packages: Path = setup_npm.NODE_MODULES) -> None:
    """Put the modules that read the index into the built `site`. Raises: Stop when a package is missing."""
    (site / FOLDER).mkdir(parents=True, exist_ok=True)
    _modules(site / FOLDER, language, packages)


@contextmanager
def making(documents: Iterable[dict[str, Any]], synonyms: Iterable[Iterable[str]], language: str,
           packages: Path = setup_npm.NODE_MODULES) -> Iterator["Making"]:
    """The index of `documents` while Node makes it, beside what is done meanwhile.

    `documents`: see `macros.pages.find.documents`; `synonyms`: groups of phrases that mean the same; `packages`: npm's
    folder of packages. Raises: Stop when a package is missing.
    """
    with tempfile.TemporaryDirectory() as folder:
        modules = Path(folder, "modules")
        modules.mkdir()
        _modules(modules, language, packages)
        given = Path(folder, "documents.json")
        given.write_text(json.dumps({"documents": list(documents), "synonyms": [list(group) for group in synonyms]},
                                    ensure_ascii=False), "utf-8")
        # The modules are published without a package.json, of which Node would warn.
        made = Path(folder, "made")
        made.mkdir()
        command = [str(setup_npm.node()), "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON",
                   *map(str, (MAKER, modules, given, made))]
        with open(Path(folder, "said"), "w+b") as said:
            process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=said)
            try:
                yield Making(Path(folder), process)
            finally:
                process.kill()
                process.wait()


@dataclass
class Making:
    """An index that is being made in `folder` by `process`."""

    folder: Path
    process: subprocess.Popen[bytes]

    def put_index(self, site: Path) -> None:
        """Put the index into the built `site` as soon as it is made. Raises: Stop when it cannot be."""
        if self.process.wait():
            said = (self.folder / "said").read_text("utf-8", "replace")
            reason = next((line for line in said.splitlines() if "Error" in line), "") or said.strip()[-300:]
            raise Stop(_("The search cannot be made: {reason}").format(reason=reason))
        for earlier in (site / FOLDER).glob("[0-9a-f]" * 16):
            shutil.rmtree(earlier)
        shutil.copytree(self.folder / "made", site / FOLDER, dirs_exist_ok=True)


def _modules(folder: Path, language: str, packages: Path) -> None:
    for module in OWN.glob("*.js"):
        shutil.copyfile(module, folder / module.name)
    _copy(packages / "minisearch" / "dist" / "es" / "index.js", folder / "minisearch.js")
    _copy(packages / "minisearch" / "LICENSE.txt", folder / "minisearch-license.txt")
    for kind, name in (("stemmers", "stemmer.js"), ("stopwords", "stopwords.js")):
        package = packages / "@orama" / kind
        module = _of_language(package, language)
        if module is None:
            (folder / name).write_text(PLAIN[kind], "utf-8")
        else:
            _copy(module, folder / name)
            _copy(package / "LICENSE.md", folder / "orama-license.txt")


def _copy(source: Path, target: Path) -> None:
    try:
        shutil.copyfile(source, target)
    except OSError as error:
        raise Stop(_("The search cannot be made: {file} is missing. Run python3 handbook.py build, which fetches it.").format(
            file=error.filename)) from error


def _of_language(package: Path, language: str) -> Path | None:
    """The module of `package` for a language, which it names in English ("./german"); None where it has none."""
    try:
        exports = json.loads((package / "package.json").read_text("utf-8"))["exports"]
    except OSError as error:
        raise Stop(_("The search cannot be made: {file} is missing. Run python3 handbook.py build, which fetches it.").format(
            file=error.filename)) from error
    try:
        name = (Locale.parse(language, sep="-").get_language_name("en") or "").lower()
    except (UnknownLocaleError, ValueError):
        return None
    found = exports.get(f"./{name}")
    return package / found["import"] if found else None
