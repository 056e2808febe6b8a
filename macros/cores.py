"""Work for all cores of the machine: jobs in processes beside this one, which share what was read before they began."""

import multiprocessing
import os
import pickle
import sys
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from typing import Any, TypeVar

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
    context = multiprocessing.get_context("fork")
    beside = []
    for job in jobs[1:]:
        here, there = context.Pipe(duplex=False)
        process = context.Process(target=_send, args=(job, there), daemon=True)
        process.start()
        there.close()
        beside.append((process, here))
    results, failed = [jobs[0]()], None
    for process, here in beside:
        try:
            result, error = _received(here)
        except EOFError:
            result, error = None, RuntimeError(f"a process beside this one ended with {process.exitcode}")
        process.join()
        results.append(result)
        failed = failed or error
    if failed is not None:
        raise failed
    return results


def _send(job: Callable[[], Result], there: Connection) -> None:
    try:
        result, error = job(), None
    except Exception as failure:  # noqa: BLE001  (it is raised again where the result is wanted)
        result, error = None, failure
    # A list goes item by item: a pickle of very many objects takes twice as long as many pickles.
    many = isinstance(result, list)
    there.send((len(result) if many else None, error))
    for one in result if many else [result]:
        there.send_bytes(pickle.dumps(one, pickle.HIGHEST_PROTOCOL))
    there.close()


def _received(here: Connection) -> tuple[Any, Exception | None]:
    """What `_send` sent. Raises: EOFError."""
    number, error = here.recv()
    found = [pickle.loads(here.recv_bytes()) for _one in range(1 if number is None else number)]
    return found[0] if number is None else found, error


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
