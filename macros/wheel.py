"""The wheel of the calculators: built the standard way, byte-compiled where that fits, always the same bytes.

It holds `calculators` alone, and is what runs in the reader's browser.
"""

import base64
import hashlib
import os
import re
import shutil
import sys
import zipfile
from pathlib import Path

from macros import running
from macros.console import CACHE, ROOT, passing
from macros.words import _

EPOCH = "1580601600"
"""SOURCE_DATE_EPOCH of the build: 2 February 2020, so that the wheel does not change with the day."""

_DATE = (2020, 2, 2, 0, 0, 0)


def build(target: Path, root: Path = ROOT) -> Path:
    """Build the wheel of the project in `root` into the folder `target`; its path, named as PEP 427 has it.

    Raises: Stop when the build fails.
    """
    running.run([sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", target],
                doing=_("build the calculators' wheel"), cwd=root, env=_environment(),
                log=CACHE / "wheel.log", notice=lambda line: None)
    return next(target.glob("*.whl"))


def compiled(archive: Path, python: str) -> Path:
    """`archive` (a wheel or a zip of modules) with byte code in the place of sources, beside it.

    `python` is the runtime's version, such as "3.13.2". Byte code only fits the same minor version: on
    another Python `archive` itself is returned. Raises: Stop when compiling fails.
    """
    if python.split(".")[:2] != [str(part) for part in sys.version_info[:2]]:
        return archive
    passing(_("byte code for {name}").format(name=archive.name))
    before = set(archive.parent.iterdir())
    running.run([sys.executable, "-m", "pyodide_cli", "py-compile", "--silent", "--keep", archive],
                doing=_("byte-compile {name}").format(name=archive.name), cwd=archive.parent, env=_environment(),
                log=CACHE / "byte-code.log", notice=lambda line: None)
    made = set(archive.parent.iterdir()) - before
    result = archive
    for path in made:
        if path.suffix == ".old":
            path.unlink()  # a zip keeps its name, and its sources go there
        else:
            result = path
    same_bytes(result)
    return result


def same_bytes(archive: Path) -> None:
    """Write `archive` anew with fixed dates and order, and a wheel's tag and RECORD as they now are."""
    with zipfile.ZipFile(archive) as old:
        files = {name: old.read(name) for name in old.namelist() if not name.endswith("/")}
    if archive.suffix == ".whl":
        facts = next(name.split("/")[0] for name in files if ".dist-info/" in name)
        tag = "-".join(archive.stem.split("-")[-3:]).encode()
        files[f"{facts}/WHEEL"] = re.sub(rb"(?m)^Tag: .*$", b"Tag: " + tag, files[f"{facts}/WHEEL"])
        files[f"{facts}/RECORD"] = _record(files, f"{facts}/RECORD")
    fresh = archive.with_suffix(".new")
    with zipfile.ZipFile(fresh, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, _DATE)
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, files[name])
    shutil.move(fresh, archive)


def _record(files: dict[str, bytes], own: str) -> bytes:
    """RECORD of a wheel (PEP 427): every file with its hash and size, RECORD itself without."""
    lines = []
    for name in sorted(files):
        if name == own:
            lines.append(f"{name},,")
        else:
            digest = base64.urlsafe_b64encode(hashlib.sha256(files[name]).digest()).rstrip(b"=").decode()
            lines.append(f"{name},sha256={digest},{len(files[name])}")
    return ("\n".join(lines) + "\n").encode()


def _environment() -> dict[str, str]:
    return {**os.environ, "SOURCE_DATE_EPOCH": EPOCH}
