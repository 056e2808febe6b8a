"""The sites that are measured: the handbook of a content folder, handbooks made for it, plain peers. Built once, then kept."""

import hashlib
import shutil
from collections.abc import Callable
from pathlib import Path

from macros import building
from macros.console import CACHE, Stop
from tests.bench import making, plain

KEPT = CACHE / "bench"


def own(content: Path) -> Path:
    """The site of a content folder, built when something changed. Raises: Stop when the content has problems."""
    if building.build(content, quietly=True):
        raise Stop("the content has problems: nothing is measured")
    return building.SITE


def made(number: int) -> Path:
    """The content folder of a handbook of `number` procedures (see making.py)."""
    def fill(folder: Path) -> None:
        making.make(folder, number)

    made_from = [file.read_text("utf-8") for file in (Path(making.__file__), *building.files_of(making.DEMO)) if file.suffix != ".png"]
    return kept(f"content-{number}", "".join(made_from), fill)


def built(number: int) -> Path:
    """The site of a handbook of `number` procedures."""
    content = made(number)
    return kept(f"site-{number}", building.inputs_hash(content), lambda folder: building.with_mkdocs(content, folder))


def peer(number: int, pruned: bool = True) -> Path:
    """The same procedures as a plain site of the theme, as far as the demo's pages, repeated with other names, are the same."""
    pages = list(plain.pages(own(making.DEMO)))

    def fill(folder: Path) -> None:
        plain.write(folder, plain.as_many(pages, number), pruned)
        plain.build(folder)

    kind = "pruned" if pruned else "flat"
    return kept(f"plain-{number}-{kind}", repr(pages) + Path(plain.__file__).read_text("utf-8"), fill) / "site"


def kept(name: str, made_from: str, fill: Callable[[Path], object]) -> Path:
    """The folder `name`, filled anew when what it is made from has changed."""
    folder, stamp = KEPT / name, KEPT / f"{name}.stamp"
    digest = hashlib.sha256(made_from.encode()).hexdigest()
    if not (folder.is_dir() and stamp.is_file() and stamp.read_text() == digest):
        print(f"Making what is measured: {name}.", flush=True)
        shutil.rmtree(folder, ignore_errors=True)
        KEPT.mkdir(parents=True, exist_ok=True)
        stamp.unlink(missing_ok=True)
        fill(folder)
        stamp.write_text(digest)
    return folder
