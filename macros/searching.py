"""The index of the search, made at build time by the modules that read it in the reader's browser.

``search/`` in the site holds those modules, MiniSearch, the stems and the silent words of the handbook's language, and
``index.json``. The same documents give the same bytes.
"""

import json
import shutil
import subprocess
from collections.abc import Iterable
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
    """Put the search into the built `site`: its modules and the index of `documents`.

    `documents`: see `macros.pages.find.documents`; `synonyms`: groups of phrases that mean the same; `packages`: npm's
    folder of packages. Raises: Stop when a package is missing or the index cannot be made.
    """
    folder = site / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
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
    (folder / "index.json").write_text(_index(folder, documents, synonyms), "utf-8")


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


def _index(folder: Path, documents: Iterable[dict[str, Any]], synonyms: Iterable[Iterable[str]]) -> str:
    """The text of index.json, made by Node with the modules in `folder`."""
    given = json.dumps({"documents": list(documents), "synonyms": [list(group) for group in synonyms]}, ensure_ascii=False)
    # The modules are published without a package.json, of which Node would warn.
    command = [str(setup_npm.node()), "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON", str(MAKER), str(folder.resolve())]
    ran = subprocess.run(command, input=given, capture_output=True, text=True, encoding="utf-8", check=False)
    if ran.returncode:
        reason = next((line for line in ran.stderr.splitlines() if "Error" in line), "") or ran.stderr.strip()[-300:]
        raise Stop(_("The search cannot be made: {reason}").format(reason=reason))
    return ran.stdout
