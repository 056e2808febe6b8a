"""What the commands say on a terminal, and how they fail: one clear line, never a traceback.

Answers go to standard output; progress and failures go to standard error, so that
``handbook.py check --json`` can be piped.
"""

import errno
import os
import shlex
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from macros.words import _

ROOT = Path(__file__).resolve().parent.parent
"""The handbook's own folder: where handbook.py stands."""

CACHE = ROOT / ".cache"
"""What the commands keep between starts; may be thrown away at any time."""

INTERRUPTED = 130
"""Exit status after Ctrl+C, as shells have it."""


class Stop(Exception):
    """A command cannot go on. `str` is the one line shown; `status` is the exit status."""

    def __init__(self, line: str, status: int = 1) -> None:
        super().__init__(line)
        self.status = status


def command(words: str, content: Path) -> str:
    """What to type for the verb `words`, with the folder where it is not the handbook's own content."""
    own = content.resolve() == ROOT / "content"
    return f"python3 handbook.py {words}" + ("" if own else f" --content {shlex.quote(str(content))}")


def say(line: str) -> None:
    """Tell what is going on, at once."""
    _line_over()
    print(line, file=sys.stderr, flush=True)


_passing = 0


def passing(line: str) -> None:
    """Progress that the next line replaces on a terminal, and an ordinary line elsewhere."""
    global _passing
    text = "  " + " ".join(line.split())
    if not sys.stderr.isatty():
        print(text, file=sys.stderr, flush=True)
        return
    text = text[: shutil.get_terminal_size().columns - 1]
    print("\r" + text.ljust(_passing), end="", file=sys.stderr, flush=True)
    _passing = len(text)


def _line_over() -> None:
    """Clear a passing line, so that what follows starts on a line of its own."""
    global _passing
    if _passing:
        print("\r" + " " * _passing + "\r", end="", file=sys.stderr, flush=True)
        _passing = 0


def disk_full(place: str | os.PathLike[str] | None = None) -> Stop:
    """The line for a full disk; `place` is the file or folder that was being written."""
    free = _(
        "There is no room left on the disk, writing {place}. Free some space (a first start needs about "
        "{need} MB) and start again: it goes on by itself."
    )
    return Stop(free.format(place=place or ROOT, need=NEEDED >> 20))


NEEDED = 700 << 20
"""Bytes that a first start takes: environment, browser runtime and site, rounded up."""


def from_os_error(error: OSError) -> Stop:
    """One line for whatever the operating system refused."""
    place = error.filename if error.filename is not None else ROOT
    if (
        error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", None))
        or getattr(error, "winerror", None) == 112
    ):
        return disk_full(place)
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return Stop(
            _(
                "{place} may not be written or read ({reason}). Give yourself access to it, or copy the "
                "handbook to a folder of your own."
            ).format(place=place, reason=error.strerror)
        )
    return Stop(_("{place}: {reason}.").format(place=place, reason=error.strerror or error))


TRACE = "HANDBOOK_TRACE"
"""Environment variable that, when set, shows the whole way to a fault of the program's own."""


def from_fault(fault: Exception) -> Stop:
    """One line for a fault of the program's own: what and where."""
    from traceback import extract_tb

    if isinstance(fault, ModuleNotFoundError) and _environment_lost(fault.name or ""):
        return Stop(
            _("{folder} has lost {name}. Start again: it is made anew.").format(
                folder=Path(sys.prefix).name, name=fault.name
            )
        )
    frames = extract_tb(fault.__traceback__)
    ours = [frame for frame in frames if frame.filename.startswith(str(ROOT))] or frames
    place = f"{ours[-1].filename}:{ours[-1].lineno}"
    what = " ".join(f"{type(fault).__name__}: {fault}".split())
    return Stop(
        _(
            "A fault of the handbook's own at {place}: {what}. Please report it; with {variable}=1 the next "
            "start shows all of it."
        ).format(place=place, what=what, variable=TRACE)
    )


def _environment_lost(module: str) -> bool:
    """Whether the environment made here lacks a package; its stamp is taken off, so it is made anew."""
    from macros.stamp import STAMP

    folder = Path(sys.prefix)
    if ROOT not in folder.parents or module.partition(".")[0] in ("", "macros", "calculators"):
        return False
    (folder / STAMP).unlink(missing_ok=True)
    return True


@contextmanager
def one_line() -> Iterator[None]:
    """Turn what stops a command into its one line and exit status.

    Raises: SystemExit with the status of `Stop`, 1 for a refusal of the operating system or a fault,
    `INTERRUPTED` after Ctrl+C, 141 when the reader of our output went away.
    """
    try:
        yield
        sys.stdout.flush()
    except KeyboardInterrupt:
        say(_("Stopped. The next start goes on from here."))
        raise SystemExit(INTERRUPTED) from None
    except BrokenPipeError:
        # Keeps the interpreter from complaining about the same pipe when it flushes at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(141) from None
    except Stop as stop:
        say(str(stop))
        raise SystemExit(stop.status) from None
    except OSError as error:
        say(str(from_os_error(error)))
        raise SystemExit(1) from None
    except Exception as fault:
        if os.environ.get(TRACE):
            raise
        say(str(from_fault(fault)))
        raise SystemExit(1) from None
