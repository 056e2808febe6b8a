"""A lock between two starts of the handbook: held by a process, gone with it."""

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

if os.name == "nt":
    import msvcrt

    def _take(file: IO[bytes]) -> None:
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _take(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


HELD: set[int] = set()
"""The locks' files that are open now. Tools started under a lock are given them on systems that can, so that
a tool which outlives a killed start still keeps the next start out of its folder."""


@contextmanager
def only_one(path: Path, waiting: Callable[[], None], pause: float = 0.3) -> Iterator[None]:
    """Hold the lock file `path`; when another process has it, call `waiting` once and wait for it.

    The operating system frees the lock when its holder ends, however it ends, so that a start that
    was cut off leaves nothing to clear away. Raises OSError when the file cannot be made.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "ab") as file:
        told = False
        while True:
            try:
                _take(file)
                break
            except (BlockingIOError, PermissionError):
                if not told:
                    waiting()
                    told = True
                time.sleep(pause)
        HELD.add(file.fileno())
        try:
            yield
        finally:
            HELD.discard(file.fileno())
