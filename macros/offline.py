"""The list of an edition's files, by which a reader's device saves the handbook file by file.

``edition.json`` holds number, date and every file with its hash and size. The edition's id is made from
that list, so a device can tell a whole edition from a part of one, and this edition from any other.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatch
from pathlib import Path
from types import MappingProxyType
from typing import Any

LIST = "edition.json"

LEFT_OUT = (LIST, "sw.js", "*.map", "sitemap.xml", "sitemap.xml.gz", "404.html", ".*")
"""Not saved on devices: what only servers, search engines and debuggers read."""

NOTHING: Mapping[str, tuple[str, int]] = MappingProxyType({})

SHELL = ("index.html", "saved/index.html", "scripts/*", "look/*")
"""Saved first, so that an edition that is not whole yet can say so without signal."""


@dataclass(frozen=True)
class File:
    """One file: `url` relative to the site, `sha256` in hexadecimal, size in bytes, whether of the shell."""

    url: str
    sha256: str
    bytes: int
    shell: bool

    def as_json(self) -> dict[str, Any]:
        plain: dict[str, Any] = {"url": self.url, "sha256": self.sha256, "bytes": self.bytes}
        return plain | {"shell": True} if self.shell else plain


@dataclass(frozen=True)
class Edition:
    """An edition's number, date and files, from which `id` follows; and for whom it is."""

    number: int
    date: str
    files: tuple[File, ...]
    audience: str = ""

    @property
    def id(self) -> str:
        """SHA-256, 16 digits, over number, date and each file's hash, size and address."""
        lines = [f"{self.number} {self.date}\n", *(f"{f.sha256} {f.bytes} {f.url}\n" for f in self.files)]
        return hashlib.sha256("".join(lines).encode()).hexdigest()[:16]

    def as_json(self) -> dict[str, Any]:
        """The content of edition.json."""
        return {"edition": self.number, "date": self.date, "id": self.id, "for": self.audience,
                "bytes": sum(file.bytes for file in self.files), "files": [file.as_json() for file in self.files]}


def write(site: Path, number: int, date: str, audience: str = "", known: Mapping[str, tuple[str, int]] = NOTHING) -> Edition:
    """List everything in the built `site` and write the list into it; to be called last of all.

    The same files give the same list. `date` is the edition's own, ISO 8601. `known`: hash and size of files just written.
    """
    edition = Edition(number, date, tuple(files(site, known)), audience)
    text = json.dumps(edition.as_json(), ensure_ascii=False, separators=(",", ":")).replace('{"url"', '\n{"url"')
    (site / LIST).write_text(text + "\n", "utf-8")
    return edition


def files(site: Path, known: Mapping[str, tuple[str, int]] = NOTHING) -> Iterator[File]:
    """The files of `site` to save, by address; a page's address is its folder's, with the slash."""
    found = []
    for path in site.rglob("*"):
        name = path.relative_to(site).as_posix()
        if path.is_file() and not any(fnmatch(name, pattern) or fnmatch(path.name, pattern) for pattern in LEFT_OUT):
            found.append((address(name), name, path))
    for url, name, path in sorted(found):
        sha256, size = known.get(name) or _facts(path.read_bytes())
        yield File(url, sha256, size, any(fnmatch(name, p) for p in SHELL))


def _facts(data: bytes) -> tuple[str, int]:
    return hashlib.sha256(data).hexdigest(), len(data)


def address(name: str) -> str:
    """Where a file is found, relative to the site: `procedures/x/index.html` -> `procedures/x/`, home -> "./"."""
    if name == "index.html":
        return "./"
    return name.removesuffix("index.html") if name.endswith("/index.html") else name
