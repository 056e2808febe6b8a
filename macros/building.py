"""Build the handbook into site/ (site-AUDIENCE/ for another audience): check, MkDocs into a temporary folder, swapped
in whole.

A stamp in .cache says from which inputs site/ was made, so that `serve` builds only when something
changed. It is kept outside site/, which holds nothing but what is published.
"""

import hashlib
import json
import logging
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from macros.audience import DEFAULT
from macros.console import CACHE, ROOT, Stop, say
from macros.locking import only_one
from macros.words import _

if TYPE_CHECKING:
    from macros.model import Handbook
    from macros.pages.frame import Frame
    from macros.pages.site import Site
    from macros.sharing import Share

SITE = ROOT / "site"
STAMP = CACHE / "site.json"

INPUTS = ("calculators", "macros", "site_overrides", "mkdocs.yml", "pyproject.toml", "requirements.lock")
"""What the site is made from besides the content."""

_LEFT_OUT = {"__pycache__", "node_modules", ".git", ".cache"}


def files_of(place: Path) -> Iterator[Path]:
    """Every file that counts in `place` (a file or a folder), in an order that stays."""
    if place.is_file():
        yield place
        return
    for folder, folders, names in os.walk(place):
        folders[:] = sorted(name for name in folders if name not in _LEFT_OUT)
        for name in sorted(names):
            if not name.endswith((".pyc", ".swp", "~")):
                yield Path(folder, name)


def inputs_hash(content: Path, root: Path = ROOT, placed: bool = True) -> str:
    """SHA-256 over the names and bytes of everything the site is made from, and the Python that makes it.

    `placed`: the same content in another folder is something else.
    """
    total = hashlib.sha256(f"{sys.implementation.cache_tag}\0{content.resolve() if placed else ''}\0".encode())
    idle = _idle(content.resolve())
    for place in [content.resolve(), *(root / name for name in INPUTS)]:
        for file in files_of(place):
            if file in idle:
                continue
            total.update(str(file.relative_to(place.parent)).encode() + b"\0")
            total.update(hashlib.sha256(file.read_bytes()).digest())
    return total.hexdigest()


def _idle(content: Path) -> set[Path]:
    """Editions kept in the content that no page is made from: those that are not older than the content itself. So
    `publish` can keep the edition that it has just built, and the site stays current."""
    from macros.editions import summary
    from macros.load import parse

    try:
        root, _problems = parse((content / "handbook.yml").read_text("utf-8-sig"), "handbook.yml")
        number = int(root.entries["edition"][1].text)
    except (OSError, ValueError, KeyError, AttributeError):
        return set()  # check will say what is wrong
    return {file for kept, file in summary.files(content).items() if kept >= number}


def site_hash(site: Path) -> str | None:
    """SHA-256 of the built site's own list of its files; None when there is no whole site."""
    try:
        return hashlib.sha256((site / "edition.json").read_bytes()).hexdigest()
    except OSError:
        return None


def place(audience: str) -> tuple[Path, Path]:
    """Folder and stamp of the site for `audience`: site/, and site-office/ and the like."""
    if audience == DEFAULT:
        return SITE, STAMP
    return SITE.with_name(f"{SITE.name}-{audience}"), STAMP.with_name(f"{STAMP.stem}-{audience}.json")


def is_current(content: Path, root: Path = ROOT, audience: str = DEFAULT) -> bool:
    """Whether the site for `audience` was built from exactly the present inputs."""
    site, kept = place(audience)
    try:
        stamp = json.loads(kept.read_text("utf-8"))
    except (OSError, ValueError):
        return False
    found = site_hash(site)
    return found is not None and stamp == {"inputs": inputs_hash(content, root), "site": found} and is_whole(site)


def is_whole(site: Path) -> bool:
    """Whether every file of the site's own list is there with its size."""
    listed = json.loads((site / "edition.json").read_bytes()).get("files", ())
    try:
        return all((site / one["url"] / ("index.html" if one["url"].endswith("/") else "")).stat().st_size
                   == one["bytes"]
                   for one in listed)
    except OSError:
        return False


def build(content: Path, audience: str = DEFAULT, quietly: bool = False) -> int:
    """Check the content and build the site for `audience`, unless it is current, be it that another start has just
    built it.

    Returns 0, or 1 when the content has problems. `quietly`: of a site that is current nothing is said.
    """
    from macros import cli
    from macros.check import load_and_check

    site, kept = place(audience)
    waiting = _("Another start is building; waiting for it to finish.")
    with only_one(CACHE / "build.lock", lambda: say(waiting)):
        if is_current(content, ROOT, audience):
            if not quietly:
                say(_("{folder} is up to date: nothing has changed since it was built.").format(folder=site))
            return 0
        inputs = inputs_hash(content, ROOT)
        say(_("Checking the content in {folder}.").format(folder=content))
        handbook, problems = load_and_check(content)
        if cli.report(content, handbook, problems):
            say(_("Not built: mend the problems above first."))
            return 1
        fresh = CACHE / "site.new"
        shutil.rmtree(fresh, ignore_errors=True)
        try:
            say(_("Building the pages."))
            with_mkdocs(content, fresh, audience, handbook=handbook)
            swap(fresh, site)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
        kept.write_text(json.dumps({"inputs": inputs, "site": site_hash(site)}), "utf-8")
    number = sum(1 for _file in files_of(site))
    say(_("Built {folder}: {number} files.").format(folder=site, number=number))
    return 0


def swap(fresh: Path, site: Path) -> None:
    """Put the whole folder `fresh` in the place of `site`; a failure leaves the old one."""
    old = fresh.with_name("site.old")
    shutil.rmtree(old, ignore_errors=True)
    if site.exists():
        site.rename(old)
    try:
        fresh.rename(site)
    except OSError:
        if old.exists():
            old.rename(site)
        raise
    shutil.rmtree(old, ignore_errors=True)


class _Lines(logging.Handler):
    """Passes on MkDocs' warnings and errors, one line each."""

    def __init__(self, tell: Callable[[str], object]) -> None:
        super().__init__(logging.WARNING)
        self._tell = tell

    def emit(self, record: logging.LogRecord) -> None:
        self._tell(record.getMessage())


def with_mkdocs(content: Path, target: Path, audience: str = DEFAULT, tell: Callable[[str], object] = say,
                handbook: "Handbook | None" = None, share: "Share | None" = None) -> "tuple[Site, Frame] | None":
    """Run MkDocs' own strict build of `content` for `audience` into the folder `target`; the pages and their frame,
    which its hooks hand over.

    `tell` gets what MkDocs complains of, by lines. `handbook`: the content as read, when it has just been checked;
    `share`: only that share of it (`macros.sharing`).

    Raises: Stop when MkDocs refuses; the reasons were said line by line before.
    """
    # MkDocs' theme prints a notice about a later major version at import; it says nothing about this build.
    os.environ["NO_MKDOCS_2_WARNING"] = "1"
    from mkdocs.commands.build import build as mkdocs_build
    from mkdocs.config import load_config
    from mkdocs.exceptions import MkDocsException

    log = logging.getLogger("mkdocs")
    lines = _Lines(tell)
    log.addHandler(lines)
    log.propagate = False
    try:
        config = load_config(
            str(ROOT / "mkdocs.yml"), strict=True, docs_dir=str(content.resolve()), site_dir=str(target),
            extra={"audience": audience, "share": share, "checked": None if handbook is None else (handbook, [])},
        )
        config.plugins.on_startup(command="build", dirty=False)
        try:
            mkdocs_build(config)
        finally:
            config.plugins.on_shutdown()
        return config.extra.get("made")
    except (MkDocsException, SystemExit) as refusal:
        raise Stop(_("Not built: {reason}").format(reason=" ".join(str(refusal).split()))) from refusal
    finally:
        log.removeHandler(lines)
        log.propagate = True
