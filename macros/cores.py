"""Work for all cores of the machine: jobs in processes beside this one, which share what was read before they began."""

import multiprocessing
import os
import sys
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from typing import TypeVar

Result = TypeVar("Result")


def number() -> int:
    """How many jobs can run at once: 1 where a process cannot share what it has with another (Windows), or has threads."""
    if sys.platform in ("win32", "darwin") or threading.active_count() > 1:
        return 1  # forking is not safe there; one after another gives the same results
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def together(jobs: Sequence[Callable[[], Result]]) -> list[Result]:
    """The results of all jobs, in their order. The first runs here, the others beside it where there are cores for them.

    A job that runs beside leaves nothing here but its result, which goes by way of pickle. What a job raises is raised here.
    """
    if len(jobs) < 2 or number() < 2:
        return [job() for job in jobs]
    others = [beside(job) for job in jobs[1:]]
    results = [(jobs[0](), None), *(ended() for ended in others)]
    failed = next((error for _result, error in results if error is not None), None)
    if failed is not None:
        raise failed
    return [result for result, _error in results]


def beside(job: Callable[[], Result]) -> Callable[[], tuple[Result | None, Exception | None]]:
    """Begin a job in a process beside this one. What is returned waits for its end, and has its result and what it raised."""
    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=_send, args=(job, there), daemon=True)
    process.start()
    there.close()

    def ended() -> tuple[Result | None, Exception | None]:
        try:
            found = here.recv()
        except EOFError:
            process.join()
            found = None, RuntimeError(f"a process beside this one ended with {process.exitcode}")
        process.join()
        here.close()
        return found

    return ended


def _send(job: Callable[[], Result], there: Connection) -> None:
    try:
        answer = job(), None
    except Exception as error:  # noqa: BLE001  (it is raised again where the result is wanted)
        answer = None, error
    there.send(answer)
    there.close()


def shares(items: Sequence[Result]) -> list[Sequence[Result]]:
    """`items` parted into as many runs, in their order, as jobs can run at once; at least one, of equal length."""
    parts = max(1, min(number(), len(items) // LEAST))
    size = -(-len(items) // parts) if items else 1
    return [items[start:start + size] for start in range(0, len(items), size)] or [items]


def dealt(items: Sequence[Result]) -> list[Sequence[Result]]:
    """`items` dealt out like cards to as many jobs as can run at once: equal shares where neighbours cost the like."""
    parts = len(shares(items))
    return [items[start::parts] for start in range(parts)]


LEAST = 100
"""So many items are worth a process of their own."""
