"""An edition of a content folder, from its own file or from the folder's version control (git)."""

import io
import subprocess
import tarfile
import tempfile
from pathlib import Path
from typing import Any

from macros import renew
from macros.check import load_and_check
from macros.console import Stop
from macros.editions import summary
from macros.load import parse
from macros.model import MODEL
from macros.words import _


def find(content: Path, edition: int) -> tuple[dict[str, Any], str]:
    """The summary of an edition, and where it was found. Raises: Stop with one line, OSError."""
    file = summary.files(content).get(edition)
    if file is not None:
        try:
            return summary.read(file), str(file)
        except summary.Unreadable as why:
            raise Stop(_("{file} cannot be read: {why}.").format(file=file, why=why)) from None
    commit = _commit(content, edition)
    if commit is None:
        kept = ", ".join(map(str, summary.files(content))) or _("none")
        raise Stop(_("Edition {edition} is not known: it is not among the editions kept in {folder} ({kept}), and no "
                     "commit of the folder's history has it in handbook.yml.").format(edition=edition,
                                                                                      folder=content / summary.FOLDER,
                                                                                      kept=kept))
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder) / "content"
        there.mkdir()
        _unpack(content, commit, there)
        return _summary(there, edition, commit), _("commit {commit}").format(commit=commit[:12])


def _summary(content: Path, edition: int, commit: str) -> dict[str, Any]:
    """The summary of a folder as it was, brought up to date first where it is older than the program."""
    try:
        version, changes, _why = renew.plan(content)
        if version < MODEL:
            renew.carry_out(content, version, changes)
        # Rules have grown since: what they would say of that day's content keeps nobody from comparing it.
        handbook, problems = load_and_check(content)
        if handbook is None:
            raise Stop(_("The content in {folder} could not be read.").format(folder=commit[:12]))
        return summary.of(handbook)
    except (Stop, KeyError, AttributeError, StopIteration) as error:
        raise Stop(_("Edition {edition} was found in commit {commit}, but cannot be read by this program: "
                     "{why}").format(
            edition=edition, commit=commit[:12], why=error)) from None


def _commit(content: Path, edition: int) -> str | None:
    """The last commit whose handbook.yml has this edition; None without one, and without version control."""
    listed = _git(content, "log", "--format=%H", "--", "handbook.yml")
    for commit in (listed or b"").decode().split():
        text = _git(content, "show", f"{commit}:./handbook.yml")
        root, _problems = parse(text.decode("utf-8-sig", "replace"), "handbook.yml") if text else (None, [])
        found = root.entries.get("edition") if root is not None and root.kind == "map" else None
        if found is not None and found[1].text == str(edition):
            # Later commits of other files are of the same edition until handbook.yml has another one.
            return _last_of(content, commit)
    return None


def _last_of(content: Path, commit: str) -> str:
    """The last commit of the folder before the next one that changes handbook.yml."""
    later = (_git(content, "log", "--format=%H", "--reverse", f"{commit}..HEAD", "--", "handbook.yml")
             or b"").decode().split()
    until = f"{later[0]}^" if later else "HEAD"
    last = (_git(content, "log", "-1", "--format=%H", until, "--", ".") or b"").decode().strip()
    return last or commit


def _unpack(content: Path, commit: str, target: Path) -> None:
    """The folder's files of a commit. Raises: Stop."""
    packed = _git(content, "archive", "--format=tar", commit, ".")
    if packed is None:
        raise Stop(_("The files of commit {commit} cannot be read from the folder's "
                     "history.").format(commit=commit[:12]))
    try:
        with tarfile.open(fileobj=io.BytesIO(packed)) as tar:
            tar.extractall(target, filter="data")
    except tarfile.TarError as error:
        raise Stop(_("The files of commit {commit} cannot be read from the folder's "
                     "history.").format(commit=commit[:12])) from error


def _git(content: Path, *arguments: str) -> bytes | None:
    """What git says in the folder; None where there is no git, or it refuses."""
    try:
        done = subprocess.run(["git", "-C", str(content), *arguments], capture_output=True, check=False, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.stdout if done.returncode == 0 else None
