"""Every page of a handbook written into the built site, on all cores."""

import gc
import hashlib
from collections.abc import Iterable, Sequence
from pathlib import Path

from macros import cores
from macros.pages.frame import Frame
from macros.pages.site import Page, Site

Written = dict[str, tuple[str, int]]
"""Name of each file -> SHA-256 in hexadecimal and size in bytes."""


def write(site: Site, pages: Sequence[Page], frame: Frame, target: Path) -> Written:
    """Write `pages` of `site` into the folder `target`; what was written."""
    for made_once in ("walk", "uses", "terms"):  # before the work is parted, so that no part makes it again
        getattr(site, made_once)
    gc.freeze()  # what was read stays: it need not be looked through again and again
    parts = max(1, min(cores.number(), len(pages) // cores.LEAST))
    jobs = [lambda start=start: _write(site, frame, target, pages[start::parts]) for start in range(parts)]
    written: Written = {}
    for one in cores.together(jobs):
        written |= one
    return written


def _write(site: Site, frame: Frame, target: Path, pages: Iterable[Page]) -> Written:
    written: Written = {}
    for page in pages:
        name = f"{page.url}index.html"
        data = frame.around(page, site.render(page)).encode()
        path = target / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        written[name] = hashlib.sha256(data).hexdigest(), len(data)
    return written
