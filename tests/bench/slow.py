"""A slow tablet: every process that draws pages stopped three quarters of the time.

The browser's own throttling reaches no worker. Here the whole process is stopped and let go by signals, 2 ms on and 6 ms
off, with all its threads: page, workers (the shared one too) and compositor. A program of its own keeps the beat, so that
the one that measures does not disturb it; it looks for new processes at each beat.
"""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from macros.console import ROOT

ON, OFF = 0.002, 0.006
"""Seconds that the processes run, and that they stand still."""

SHARE = ON / (ON + OFF)
"""The share of the time that is left to them."""

WAKING = 0.0002
"""Seconds from the signal to go on until their threads do, in which they stand still too. With it a loop of a page has 0.25 of a core,
by the kernel's count; without, 0.228."""


@contextmanager
def slowed(browser: int | None) -> Iterator[None]:
    """While it lasts, what draws pages under the process `browser` runs a quarter of the time; None: as always."""
    if browser is None:
        yield
        return
    beat = subprocess.Popen([sys.executable, "-m", "tests.bench.slow", str(browser)], cwd=ROOT, stdin=subprocess.PIPE,
                            stdout=subprocess.PIPE)
    try:
        assert beat.stdout is not None and beat.stdin is not None
        beat.stdout.readline()
        yield
    finally:
        beat.stdin.close()
        beat.wait()
        beat.stdout.close()


def drawing(browser: int) -> Iterator[int]:
    """The processes under `browser` that draw pages and run their workers: of Chromium and of WebKitGTK."""
    return (process for process in _under(browser) if _draws(process))


def _under(process: int) -> Iterator[int]:
    for child in _children(process):
        yield child
        yield from _under(child)


def _children(process: int) -> list[int]:
    try:
        return [int(child) for task in os.listdir(f"/proc/{process}/task")
                for child in Path(f"/proc/{process}/task/{task}/children").read_text().split()]
    except OSError:
        return []  # it has ended


def _called(process: int) -> bytes:
    try:
        return Path(f"/proc/{process}/cmdline").read_bytes()
    except OSError:
        return b""


def _draws(process: int) -> bool:
    called = _called(process)
    return b"--type=renderer" in called or b"WebKitWebProcess" in called.split(b"\0")[0]


def _parents(browser: int) -> list[int]:
    """The processes that Chromium forks its drawing processes from."""
    return [process for process in _under(browser) if _parent(process)]


def _parent(process: int) -> bool:
    return b"--type=zygote" in _called(process)


def _send(number: int, processes: set[int]) -> None:
    for process in list(processes):
        try:
            os.kill(process, number)
        except ProcessLookupError:
            processes.discard(process)


def _beat(browser: int) -> None:
    """Stop and let go until standard input ends; nothing stays stopped."""
    # Before all else, where it is allowed: a beat that waits for a core leaves what is stopped so for many beats.
    with contextlib.suppress(OSError):
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(1))
    os.set_blocking(0, False)
    known = set(drawing(browser))
    parents, seen, walk = _parents(browser), [], _under(browser)
    print("going", flush=True)
    try:
        begun = time.monotonic()
        while not _ended():
            _send(signal.SIGSTOP, known)
            fresh = {child for parent in parents for child in _children(parent) if child not in known and _draws(child)}
            # One process of the tree at a beat: all of it would take longer than a beat, and what is stopped would stay so.
            if (process := next(walk, None)) is None:
                parents, seen, walk = seen, [], _under(browser)
            elif _parent(process):
                seen.append(process)
            elif process not in known and _draws(process):
                fresh.add(process)
            _send(signal.SIGSTOP, fresh)
            known |= fresh
            _until(begun + OFF - WAKING)
            _send(signal.SIGCONT, known)
            begun = max(begun + OFF, time.monotonic()) + ON
            _until(begun)
    finally:
        _send(signal.SIGCONT, known | set(drawing(browser)))


def _until(moment: float) -> None:
    time.sleep(max(0, moment - time.monotonic()))


def _ended() -> bool:
    try:
        return os.read(0, 1) == b""
    except BlockingIOError:
        return False


if __name__ == "__main__":
    _beat(int(sys.argv[1]))
