"""The lock between two starts: who waits, and that nothing keeps it after its holder is gone."""

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from macros import locking
from macros.console import ROOT


def test_lock_waits_and_says_so_once(tmp_path: Path) -> None:
    order: list[str] = []
    waits = threading.Event()

    def second() -> None:
        with locking.only_one(tmp_path / "lock", lambda: (order.append("waits"), waits.set()), 0.01):
            order.append("second")

    with locking.only_one(tmp_path / "lock", lambda: order.append("never")):
        thread = threading.Thread(target=second)
        thread.start()
        assert waits.wait(30)
        order.append("first done")
    thread.join()
    assert order == ["waits", "first done", "second"]


def test_lock_of_a_killed_start_is_free(tmp_path: Path) -> None:
    code = (
        f"import sys, time; sys.path.insert(0, {str(ROOT)!r})\n"
        "from pathlib import Path; from macros.locking import only_one\n"
        f"with only_one(Path({str(tmp_path / 'lock')!r}), print):\n"
        "    print('held', flush=True); time.sleep(600)"
    )
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as holder:
        assert holder.stdout and holder.stdout.readline() == "held\n"
        holder.kill()
    with locking.only_one(tmp_path / "lock", lambda: pytest.fail("the lock was not freed")):
        pass


def test_tool_that_outlives_a_killed_start_keeps_the_lock(tmp_path: Path) -> None:
    tool = "import time; print('works', flush=True); time.sleep(600)"
    code = (
        f"import sys, os; sys.path.insert(0, {str(ROOT)!r})\n"
        "from pathlib import Path; from macros import locking, running\n"
        f"with locking.only_one(Path({str(tmp_path / 'lock')!r}), print):\n"
        f"    running.run([sys.executable, '-c', {tool!r}], doing='x', cwd=Path('.'), env=dict(os.environ),\n"
        f"                log=Path({str(tmp_path / 'log')!r}), notice=lambda line: print(line, flush=True))"
    )
    waits = threading.Event()
    got = threading.Event()

    def next_start() -> None:
        with locking.only_one(tmp_path / "lock", waits.set, 0.01):
            got.set()

    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as killed:
        assert killed.stdout and killed.stdout.readline() == "works\n"
        killed.kill()
        killed.wait()
        thread = threading.Thread(target=next_start)
        thread.start()
        assert waits.wait(30) and not got.is_set()
        os.killpg(killed.pid, signal.SIGKILL)  # the tool is all that is left of that session
        thread.join(30)
    assert got.is_set()
