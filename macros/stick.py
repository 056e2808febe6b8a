"""The folder edition: a zip that is unpacked to a memory stick or a disk and opened there, without a server.

Browsers load neither modules nor workers nor files by their address from a disk, but classic scripts. So the
modules stand as text in the one script that pages name, and other files (search, Python) in scripts of their own;
`site_overrides/folder/open.js` hands them out. The calculators answer from the same wheel as everywhere.
"""

import base64
import gzip
import io
import json
import os
import posixpath
import re
import zipfile
from html import escape
from pathlib import Path

from macros.console import ROOT, Stop
from macros.words import _

OPENER = ROOT / "site_overrides" / "folder" / "open.js"
INSIDE, START = "handbook", "handbook.html"
"""In the zip: the folder with everything, and the page beside it that is double-clicked."""

OURS = b"handbook, folder edition"
"""The zip's comment: only such a file is written over."""

LEFT_OUT = ("sw.js", "edition.json", "404.html", "manifest.webmanifest")
"""What only a server's edition needs."""

_HELD = (".json", ".wasm", ".whl")
_DATE = (2020, 2, 2, 0, 0, 0)
_SPECIFIER = re.compile(r"""((?:\bfrom|\bimport)\s*\(?\s*)(["'`])(\.\.?/)""")


def write(site: Path, file: Path, name: str) -> int:
    """Write the folder edition of the built `site`, a handbook called `name`, to `file`; how many files are in it.

    Raises: OSError; what was there before stays then.
    """
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.comment = OURS
        contents = {START: _start(name), **{f"{INSIDE}/{one}": text for one, text in files(site).items()}}
        for one in sorted(contents):
            entry = zipfile.ZipInfo(one, _DATE)
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            # What is held is compressed already.
            archive.writestr(entry, contents[one], compresslevel=1 if "/held/" in one else 9)
    fresh = file.with_name(f"{file.name}.new")
    try:
        fresh.write_bytes(data.getvalue())
        os.replace(fresh, file)
    finally:
        fresh.unlink(missing_ok=True)
    return len(contents)


def target(file: Path) -> Path:
    """The file to be written. Raises: Stop with status 2 when it cannot be, or holds something else."""
    if file.suffix.lower() != ".zip" or not file.absolute().parent.is_dir():
        raise Stop(_("publish: --zip {file} must end in .zip and stand in a folder that there is.").format(file=file),
                   2)
    try:
        with zipfile.ZipFile(file) as archive:
            ours = archive.comment == OURS
    except FileNotFoundError:
        return file
    except (OSError, zipfile.BadZipFile):
        ours = False
    if not ours:
        raise Stop(_("publish: --zip {file} is there and is no folder edition; give another name, nothing was "
                     "changed.").format(
            file=file), 2)
    return file


def files(site: Path) -> dict[str, bytes]:
    """Every file of the folder edition, by its name in the folder."""
    names = sorted(path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file())
    [boot] = [name for name in names if name.endswith("/app/boot.js")]
    top = boot.removesuffix("app/boot.js")
    modules = [name for name in names if name.startswith(top) and name.endswith(".js") and name != boot]
    kept = [name for name in names if name.endswith(_HELD) and name not in LEFT_OUT or name.startswith("runtime/")]
    held = {name: f"held/{number}.js" for number, name in enumerate(kept)}
    made = {place: _hold(name, (site / name).read_bytes()) for name, place in held.items()}
    scripts = {name.removeprefix(top): _module(name.removeprefix(top), (site / name).read_text("utf-8"))
               for name in modules}
    given = json.dumps({"scripts": scripts, "top": top, "files": held}, ensure_ascii=False, sort_keys=True)
    made[boot] = "\n".join([f"self.handbookHeld = {given};".replace("\u2028", "\\u2028"), OPENER.read_text("utf-8"),
                            (site / boot).read_text("utf-8")]).encode()
    for name in names:
        # What pages link to is there as a file, too.
        if name not in (*LEFT_OUT, *modules, boot) and not (name in held and name.startswith(("runtime/", "search/"))):
            data = (site / name).read_bytes()
            made[name] = _page(data.decode()).encode() if name.endswith(".html") else data
    return made


def _hold(name: str, data: bytes) -> bytes:
    packed = base64.b64encode(gzip.compress(data, 9, mtime=0)).decode()
    return f"handbookHold({json.dumps(name)}, \"{packed}\");\n".encode()


def _module(name: str, text: str) -> str:
    """A module that finds the others by the map's names, and itself where it would be."""
    folder = posixpath.dirname(name)

    def named(found: re.Match[str]) -> str:
        start = f"handbook/{folder}/" if found[3] == "./" else f"handbook/{posixpath.dirname(folder)}".rstrip("/") + "/"
        return f"{found[1]}{found[2]}{start}"

    return _SPECIFIER.sub(named, text).replace("import.meta.url", f"self.handbookAt({json.dumps(name)})")


def _page(html: str) -> str:
    """A page whose links lead to pages, not to the folders that a server would answer with their page."""
    html = re.sub(r'\s*<link rel="manifest"[^>]*>', "", html)
    return re.sub(r'(\s(?:href|action)="(?![a-z]+:|//)[^"#?]*/)(?=["#?])', r"\1index.html", html)


def _start(name: str) -> bytes:
    """The page beside the folder."""
    to = f"{INSIDE}/index.html"
    return (f'<!doctype html>\n<meta charset="utf-8">\n<meta http-equiv="refresh" content="0; '
            f'url={to}">\n<title>{escape(name)}'
            f'</title>\n<p><a href="{to}">{escape(name)}</a></p>\n').encode()
