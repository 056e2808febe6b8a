"""The environment in .venv: made once from the locks, known by its stamp, made anew when in doubt.

The stamp inside the folder (`macros.stamp`) is taken away before anything is changed and written last, so
that a start that was cut off leaves a folder without a stamp, which the next start throws away.
"""

import importlib.util
import json
import os
import re
import shutil
import sys
from pathlib import Path

from macros import running, stamp
from macros.console import NEEDED, ROOT, Stop, disk_full, passing, say
from macros.locking import only_one
from macros.stamp import STAMP, tag
from macros.words import _

_WHAT = re.compile(r"(Collecting|Building wheel|Preparing metadata)\b")


def python_in(folder: Path) -> Path:
    """The interpreter of the environment in `folder`."""
    return Path(stamp.interpreter(str(folder)))


def read_stamp(folder: Path) -> dict[str, str]:
    """The stamp of the environment in `folder`; empty when there is none or it cannot be used."""
    try:
        says = json.loads((folder / STAMP).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return says if isinstance(says, dict) and python_in(folder).exists() else {}


def folder_for(root: Path = ROOT) -> Path:
    """The environment's folder for the running Python: .venv, or .venv-3.13 when .venv is another Python's.

    So two Pythons can take turns without making their environments anew each time.
    """
    first = root / ".venv"
    made_by = read_stamp(first).get("python")
    if made_by is None or made_by == tag():
        return first
    return root / stamp.other()


def digest(lock: Path) -> str:
    """What ties an environment to a lock. Raises: Stop where there is no such file."""
    try:
        return stamp.digest(lock)
    except FileNotFoundError:
        raise Stop(
            _("{file} is missing: fetch it again from where the handbook came from.").format(file=lock)
        ) from None


def ensure(tests: bool = False, root: Path = ROOT) -> Path:
    """The interpreter of a whole environment, set up first where it is not whole yet.

    `tests`: with what the tests need. Raises: Stop (no room, no network, no ensurepip, ...).
    """
    wanted = {"python": tag(), "site": digest(root / "requirements.lock")}
    if tests:
        wanted["tests"] = digest(root / "requirements-test.lock")
    folder = folder_for(root)
    if _holds(folder, wanted):
        return python_in(folder)
    waiting = _("Another start is setting up; waiting for it to finish.")
    with only_one(root / ".cache" / "setup.lock", lambda: say(waiting)):
        folder = folder_for(root)
        if not _holds(folder, wanted):
            _set_up(folder, wanted, root)
    return python_in(folder)


def _holds(folder: Path, wanted: dict[str, str]) -> bool:
    """Whether the environment in `folder` is whole for what is wanted."""
    says = read_stamp(folder)
    return all(says.get(key) == value for key, value in wanted.items())


def _set_up(folder: Path, wanted: dict[str, str], root: Path) -> None:
    """Make or complete the environment in `folder` and stamp it."""
    says = read_stamp(folder)
    if not _holds(folder, {key: wanted[key] for key in ("python", "site")}):
        _make(folder, root)
        _install(folder, root / "requirements.lock", _("install what the site is built with"), root)
        says = {"python": wanted["python"], "site": wanted["site"]}
    (folder / STAMP).unlink(missing_ok=True)
    if "tests" in wanted:
        _install(folder, root / "requirements-test.lock", _("install what the tests need"), root)
        says["tests"] = wanted["tests"]
    temporary = folder / (STAMP + ".new")
    temporary.write_text(json.dumps(says, indent=1) + "\n", "utf-8")
    temporary.replace(folder / STAMP)


def _room(root: Path) -> None:
    """Refuse before an hour of downloads rather than after it."""
    if shutil.disk_usage(root).free < NEEDED:
        raise disk_full(root)


def _make(folder: Path, root: Path) -> None:
    """An empty environment in `folder`, whatever was there before."""
    if folder.exists() or folder.is_symlink():
        say(_("{folder} is incomplete or out of date: making it anew.").format(folder=folder.name))
        if folder.is_dir() and not folder.is_symlink():
            shutil.rmtree(folder)
        else:
            folder.unlink()
    _room(root)
    for module in ("venv", "ensurepip"):
        if importlib.util.find_spec(module) is None:
            raise no_ensurepip(module)
    version = ".".join(map(str, sys.version_info[:3]))
    say(_("Making {folder} with Python {version}.").format(folder=folder.name, version=version))
    # Inside an environment, its base Python makes the new one: the old may be the folder just removed.
    base = getattr(sys, "_base_executable", None) or sys.executable
    try:
        running.run(
            [base, "-m", "venv", folder],
            doing=_("make {folder}").format(folder=folder.name),
            cwd=root,
            env=environment(),
            log=root / ".cache" / "setup.log",
            notice=lambda line: None,
        )
    except Stop:
        if "ensurepip" in (root / ".cache" / "setup.log").read_text("utf-8", "replace"):
            raise no_ensurepip("ensurepip") from None
        raise


def no_ensurepip(module: str) -> Stop:
    """The line for a Python that cannot make environments."""
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return Stop(
        _(
            "This Python ({python}) lacks its module {module}, which makes environments: on Debian and "
            "Ubuntu install the package python{version}-venv, elsewhere a Python that has it, and start "
            "again."
        ).format(python=sys.executable, module=module, version=version)
    )


def _install(folder: Path, lock: Path, doing: str, root: Path) -> None:
    """Install exactly what `lock` lists, each file checked against its hash."""
    number = sum(1 for line in lock.read_text("utf-8").splitlines() if re.match(r"[A-Za-z0-9]", line))
    say(_("Installing up to {number} packages from {lock}.").format(number=number, lock=lock.name))

    def notice(line: str) -> None:
        if _WHAT.match(line.strip()):
            passing(line.split(" (from")[0][:160])
        elif line.startswith("Installing collected"):
            passing(_("unpacking all of them"))
        elif "Retrying" in line:
            passing(_("no answer from the package index, trying again"))

    pip = [
        python_in(folder),
        "-m",
        "pip",
        "--no-input",
        "--disable-pip-version-check",
        "install",
        "--progress-bar",
        "off",
        "--no-deps",
        "--require-hashes",
        "-r",
        lock,
    ]
    running.run(
        pip, doing=doing, cwd=root, env=environment(), log=root / ".cache" / "setup.log", notice=notice
    )


def environment() -> dict[str, str]:
    """The process's environment without what would lead an installer out of its folder."""
    env = {
        key: value
        for key, value in os.environ.items()
        if key
        not in (
            "PYTHONHOME",
            "PYTHONPATH",
            "PIP_TARGET",
            "PIP_PREFIX",
            "PIP_ROOT",
            "PIP_REQUIRE_VIRTUALENV",
            "PIP_NO_DEPS",
            "PIP_DRY_RUN",
            "__PYVENV_LAUNCHER__",
        )
    }
    env.update(PIP_USER="0", PYTHONUTF8="1")
    return env


def site_packages(folder: Path) -> Path:
    """Where the environment in `folder` keeps its packages."""
    if os.name == "nt":
        return folder / "Lib" / "site-packages"
    return folder / "lib" / f"python{sys.version_info[0]}.{sys.version_info[1]}" / "site-packages"
