"""Work for all cores of the machine: jobs in processes beside this one, which share what was read before they began."""

import multiprocessing
import os
import sys
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from typing import Any, TypeVar

Result = TypeVar("Result")
Packed = TypeVar("Packed")


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


def lots(items: Sequence[Result]) -> list[Sequence[Result]]:
    """`items` parted, in their order, into what is taken in one go (see `begin`)."""
    size = max(LEAST // LOTS, -(-len(items) // MOST_LOTS))
    return [items[start:start + size] for start in range(0, len(items), size)]


def begin(jobs: Sequence[Callable[[], Result]],
          pack: Callable[[Result], Packed]) -> Callable[[], list[tuple[Result | Packed, bool]]]:
    """Begin jobs, at most `MOST_LOTS`, in processes beside this one, where there are cores and enough jobs for them.

    What is returned takes its part of the jobs that nobody has begun, waits for the others, and has the results in the order of the
    jobs, each with whether it was made beside: such a one is what `pack` made of it. Whoever is free takes the next job, so that
    nobody waits long for a core that is slower.
    """
    processes = min(number(), len(jobs) // LOTS)
    if processes < 2:
        return lambda: [(job(), False) for job in jobs]
    numbers, there = os.pipe()  # a byte for each job: whoever reads it has the job
    os.write(there, bytes(range(len(jobs))))
    os.close(there)

    def taken(made: Callable[[Callable[[], Result]], Any]) -> dict[int, Any]:
        return {byte[0]: made(jobs[byte[0]]) for byte in iter(lambda: os.read(numbers, 1), b"")}

    others = [beside(lambda: taken(lambda job: pack(job()))) for _process in range(processes - 1)]

    def ended() -> list[tuple[Result | Packed, bool]]:
        results = {number: (result, False) for number, result in taken(lambda job: job()).items()}
        os.close(numbers)
        for other in others:
            found, error = other()
            if error is not None:
                raise error
            results.update((number, (result, True)) for number, result in found.items())
        return [results[number] for number in range(len(jobs))]

    return ended


LEAST = 100
"""So many items are worth a process of their own."""

LOTS = 8
"""Into so many lots are they parted."""

MOST_LOTS = 256
"""As many as there are numbers in a byte."""
