"""Files named by their content: what stands under a hash never changes, so that it may be kept for ever.

``scripts/HASH/`` holds the scripts, ``look/HASH/`` the style sheet, ``runtime/HASH/`` Python, ``search/HASH/`` the parts of
the search's index. A page names its
scripts by the hash, so that it is never answered with those of another edition, and a server that still has
the folder of the edition before answers the pages that are open.
"""

import hashlib
import re
import shutil
from collections.abc import Mapping, Set
from pathlib import Path

PATTERN = r"(?:scripts|look|runtime|search)/[0-9a-f]{16}/"
"""A regular expression for the beginning of such an address, relative to home; servers' settings take it as it is."""

STAYS = ("search/index.json", "record/visit.schema.json", "look/foot.css")
"""Stand beside scripts and style sheet under addresses of their own: the index changes with the content and the foot of
printed pages with the edition, and with their names every page would; the schema of visits is for others to read."""

_NAMED = re.compile(PATTERN)


def is_named(url: str) -> bool:
    """Whether the address `url`, relative to home, is one whose content never changes."""
    return _NAMED.match(url) is not None


def by_content(site: Path) -> dict[str, str]:
    """Move scripts and style sheet of the built `site` under a hash, and name them so in every page that is there;
    where each was, and where it is.

    Folders of scripts stay beside one another, since they name each other's files.
    """
    scripts = [path for path in sorted(site.rglob("*.js")) if path.parent != site
               and path.relative_to(site).parts[0] != "runtime"]
    beside = [path for folder in {path.parent for path in scripts} for path in folder.iterdir() if path.is_file()]
    sheets = list((site / "look").glob("*.css"))
    stay = {site / name for name in STAYS}
    places = _moved(site, site, "scripts", set(beside) - stay) | _moved(site, site / "look", "look", set(sheets) - stay)
    for page in site.rglob("*.html"):
        page.write_text(named(page.read_text("utf-8"), places), "utf-8")
    return places


def named(html: str, places: Mapping[str, str]) -> str:
    """The page `html` with each file of `places` named as it is now, after the way to home (see `Frame` for a way of
    any depth)."""
    names = re.compile(r'((?:src|href)="(?:/|\./|(?:\.\./)+|\ue000))({})"'.format("|".join(map(re.escape, places))))
    return names.sub(lambda found: f'{found[1]}{places[found[2]]}"', html)


def _moved(site: Path, top: Path, to: str, moving: Set[Path]) -> dict[str, str]:
    """Move files to `to`/HASH/, as they stand below `top`; where each was in the `site`, and where it is."""
    total = hashlib.sha256()
    for path in sorted(moving):
        total.update(f"{path.relative_to(top).as_posix()}\0{hashlib.sha256(path.read_bytes()).hexdigest()}\n".encode())
    folder, places = site / to / total.hexdigest()[:16], {}
    for path in sorted(moving):
        target = folder / path.relative_to(top)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.move(path, target)
        places[path.relative_to(site).as_posix()] = target.relative_to(site).as_posix()
        if path.parent not in (site, site / "look") and not any(path.parent.iterdir()):
            path.parent.rmdir()
    return places
