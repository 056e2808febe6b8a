"""Looks for amounts of money in every byte of a site, however they are written or packed.

Archives (wheels, zips) and compressed files are opened, one in another too.
"""

import base64
import gzip
import io
import json
import re
import zipfile
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

GROUPS = ("", ",", ".", "'", "’", " ", "\u00a0", "\u202f", "\u2009", "&nbsp;", "&#160;", "&#8239;", "&#x202f;")
"""What may stand between groups of three digits: by itself, as an entity."""


_HASH = re.compile(rb"(?<![0-9A-Za-z])(?:[0-9a-f]{16}|[0-9a-f]{64})(?![0-9A-Za-z])")
"""SHA-256, whole or its first 16 digits: the digits of any amount may stand in it by chance."""


def renderings(amount: str) -> set[str]:
    """How an amount is usually written: 12.5, 12.50, 12,50, 1250, 1,234.50, 1 234,50 ... (a currency may stand beside
    it)."""
    value = Decimal(amount)
    whole, _dot, fraction = f"{value:.2f}".partition(".")
    grouped = {sep.join(re.findall(r"\d{1,3}(?=(?:\d{3})*$)", whole)) for sep in GROUPS}
    ends = {fraction, *([fraction[0]] if fraction.endswith("0") else [])}
    found = {f"{front}{point}{end}" for front in grouped for point in (".", ",", "&#44;", "&#46;") for end in ends}
    found.add(whole + fraction)  # in cents
    if len(whole) > 4:
        found |= grouped  # rounded: with fewer digits it could stand for anything
    return found


def disguises(text: str) -> Iterator[bytes]:
    """A rendering as bytes: plain, as JSON and scripts escape it, in UTF-16, percent-encoded, in base64 at any
    place."""
    plain = text.encode()
    yield from (plain, json.dumps(text)[1:-1].encode(), text.encode("utf-16-le"))
    yield "".join(ch if ch.isascii() and ch.isalnum() else "".join(f"%{byte:02X}" for byte in ch.encode())
                  for ch in text).encode()
    for before in range(3):
        coded = base64.b64encode(b"\0" * before + plain).rstrip(b"=")
        # The first characters hold bits of what stands before, the last may hold bits of what comes after.
        inner = coded[(before * 8 + 5) // 6: (before + len(plain)) * 8 // 6]
        if len(inner) >= 6:
            yield inner


def search(site: Path, amounts: list[str]) -> list[tuple[str, str]]:
    """(file, amount) for every amount found in a file of `site`; a packed file is named "archive!name"."""
    looked_for = {amount: sorted({one for text in renderings(amount) for one in disguises(text)}) for amount in amounts}
    patterns = {amount: re.compile(b"|".join(map(re.escape, ones))) for amount, ones in looked_for.items()}
    return [(name, amount) for name, data in opened(site) for amount,
            pattern in patterns.items() if pattern.search(data)]


def opened(site: Path) -> Iterator[tuple[str, bytes]]:
    """Name and bytes of every file, and of what is packed in it. Names count as content too."""
    for path in sorted(site.rglob("*")):
        if path.is_file():
            name = path.relative_to(site).as_posix()
            yield name, _HASH.sub(b"", name.encode())
            yield from unpacked(name, path.read_bytes())


def unpacked(name: str, data: bytes) -> Iterator[tuple[str, bytes]]:
    """A file, and the files in it where it is an archive or compressed."""
    # Files of the folder edition are held in scripts, as base64 of gzip: what it unpacks to is looked at, not how it is
    # packed.
    held = re.compile(rb"H4sI[0-9A-Za-z+/]{40,}={0,2}")
    yield name, _HASH.sub(b"", held.sub(b"", data))
    if data[:2] == b"\x1f\x8b":
        yield from unpacked(f"{name}!", gzip.decompress(data))
    elif data[:4] == b"PK\3\4":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for inner in archive.namelist():
                yield f"{name}!{inner}", _HASH.sub(b"", inner.encode())
                yield from unpacked(f"{name}!{inner}", archive.read(inner))
    else:
        for coded in held.findall(data):
            yield from unpacked(f"{name}!base64", gzip.decompress(base64.b64decode(coded)))
