"""Sites in which the same documents are searched: by the handbook, by the theme's own search, by Pagefind."""

import json
import shutil
import subprocess
from collections.abc import Iterator
from html import escape
from pathlib import Path
from typing import Any

from macros import building, offline, searching
from macros.check import load_and_check
from macros.console import Stop
from macros.pages import find
from macros.pages.site import Site
from tests.bench import making, peers, plain, sites


def documents(number: int) -> tuple[list[dict[str, Any]], list[list[str]]]:
    """What a handbook of `number` procedures is searched for, and its synonyms."""
    handbook, problems = load_and_check(sites.made(number))
    if problems or handbook is None:
        raise Stop(f"the made handbook of {number} procedures has problems: {problems[:1]}")
    return list(find.documents(Site(handbook))), [list(group) for group in handbook.synonyms.groups]


class Searched:
    """Three sites with the documents of a handbook of `number` procedures; made once, then kept."""

    def __init__(self, number: int) -> None:
        self.number = number
        made_from = building.inputs_hash(sites.made(number)) + Path(__file__).read_text("utf-8")
        self._documents: tuple[list[dict[str, Any]], list[list[str]]] | None = None
        self.ours = sites.kept(f"search-{number}-ours", made_from, self._ours)
        self.theme = sites.kept(f"search-{number}-theme", made_from, self._theme)
        self.pagefind = None
        if packages := peers.packages():
            self.pagefind = sites.kept(f"search-{number}-pagefind", made_from, lambda folder: self._pagefind(folder, packages))

    @property
    def documents(self) -> list[dict[str, Any]]:
        """The documents, read once."""
        self._documents = self._documents or documents(self.number)
        return self._documents[0]

    def _ours(self, folder: Path) -> None:
        """The demo's site with the index of all documents in the place of its own."""
        shutil.copytree(sites.own(making.DEMO), folder)
        shutil.rmtree(folder / "search")
        made = folder / "made"
        given = self.documents
        assert self._documents is not None
        searching.put(made, given, self._documents[1], "en")
        (folder / "search").mkdir()
        for path in (made / "search").iterdir():
            if path.is_dir() or path.name == "index.json":
                shutil.move(path, folder / "search" / path.name)
        shutil.rmtree(made)
        edition = json.loads((folder / offline.LIST).read_text("utf-8"))
        offline.write(folder, edition["edition"], edition["date"])

    def _theme(self, folder: Path) -> None:
        """A small plain site with the list of all documents in the place of its own, in the form that the theme reads."""
        plain.write(folder, plain.pages(sites.own(making.DEMO)), pruned=True)
        built = plain.build(folder)
        file = built / "search" / "search_index.json"
        own = json.loads(file.read_text("utf-8"))
        file.write_text(json.dumps({"config": own["config"], "docs": list(_sections(self.documents))}, separators=(",", ":")), "utf-8")

    def _pagefind(self, folder: Path, packages: Path) -> None:
        """A page for each document, read by Pagefind's program."""
        pages = folder / "pages"
        for number, one in enumerate(self.documents):
            page = pages / str(number // 100) / f"{number}.html"
            page.parent.mkdir(parents=True, exist_ok=True)
            parts = "".join(f"<h2>{escape(head)}</h2><p>{escape(text)}</p>" for _lead, head, text, _at in one["places"])
            page.write_text(f'<!doctype html><html lang="en"><title>{escape(one["title"])}</title><body><h1>{escape(one["title"])}</h1>'
                            f"<p>{escape(' '.join(one['told']))}</p>{parts}", "utf-8")
        program = next((file for file in packages.glob("@pagefind/*/bin/pagefind*") if file.suffix in ("", ".exe")), None)
        if program is None:
            raise Stop("Pagefind has no program for this system")
        program.chmod(0o755)
        subprocess.run([program, "--site", pages, "--output-path", folder / "pagefind"], check=True, stdout=subprocess.DEVNULL)
        shutil.rmtree(pages)
        for file in peers.HERE.glob("pagefind*"):
            shutil.copyfile(file, folder / file.name)


def _sections(given: list[dict[str, Any]]) -> Iterator[dict[str, str]]:
    """Pages and their sections, as the theme's search lists them."""
    for one in given:
        yield {"location": one["url"], "title": escape(one["title"]), "text": f"<p>{escape(' '.join(one['told']))}</p>"}
        for number, (_lead, head, text, anchor) in enumerate(one["places"]):
            place = one["url"].split("#")[0] + (anchor or f"#part-{number}")
            yield {"location": place, "title": escape(head), "text": f"<p>{escape(text)}</p>"}
