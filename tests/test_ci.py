""".ci/run: every Python that is there runs the tests, and the worst of them counts."""

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def ci(folder: Path, programs: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """Run .ci/run with nothing but `programs` (name -> shell script) on the PATH."""
    for name, script in programs.items():
        (folder / name).write_text("#!/bin/sh\n" + script, "utf-8")
        (folder / name).chmod(0o755)
    for name in ("dirname", "env", "tail"):
        found = shutil.which(name)
        assert found
        (folder / name).symlink_to(found)
    bash = shutil.which("bash")
    assert bash
    return subprocess.run(
        [bash, str(ROOT / ".ci" / "run")],
        env={"PATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def python(version: str, status: int = 0) -> str:
    """A pretended Python that knows its version and ends a test run with `status`."""
    return f'[ "$1" = -c ] && {{ echo {version}; exit 0; }}\necho "ran {version} $*"\nexit {status}\n'


MANAGED = '[ "$PYENV_VERSION" = 3.13.9 ] || { echo "not chosen" >&2; exit 127; }\n'


@pytest.mark.parametrize(
    ("programs", "status", "says"),
    [
        (
            {"python3": python("3.11.2")},
            0,
            ["ran 3.11.2 handbook.py test", "Python 3.13: not on the PATH, not run"],
        ),
        ({"python3": python("3.13.1"), "python3.13": python("3.13.1", 1)}, 0, ["Python 3.13.1: passed"]),
        (
            {"python3": python("3.11.2"), "python3.13": python("3.13.1")},
            0,
            ["ran 3.11.2 handbook.py test", "ran 3.13.1 handbook.py test"],
        ),
        (
            {"python3": python("3.11.2", 1), "python3.13": python("3.13.1")},
            1,
            ["3.11.2: FAILED", "3.13.1: passed"],
        ),
        (
            {"python3": python("3.11.2"), "python3.13": python("3.13.1", 1)},
            1,
            ["3.11.2: passed", "3.13.1: FAILED"],
        ),
        (
            {"python3": python("3.11.2"), "python3.13": MANAGED + python("3.13.9"), "pyenv": "echo 3.13.9\n"},
            0,
            ["ran 3.13.9 handbook.py test"],
        ),
        (
            {"python3": python("3.11.2"), "python3.13": "exit 127\n"},
            0,
            ["Python 3.13: not on the PATH, not run"],
        ),
        ({"python3": "exit 127\n"}, 1, ["nothing was tested"]),
    ],
)
def test_ci_runs_every_python_that_is_there(
    tmp_path: Path, programs: dict[str, str], status: int, says: list[str]
) -> None:
    done = ci(tmp_path, programs)
    assert done.returncode == status, done.stdout + done.stderr
    for words in says:
        assert words in done.stdout
