"""Tools that talk a lot: why they failed, in one line."""

from pathlib import Path

import pytest

from macros import running
from macros.console import Stop


@pytest.mark.parametrize(
    ("said", "means"),
    [
        ("OSError: [Errno 28] No space left on device", "no room left on the disk"),
        ("npm error code ENOSPC", "no room left on the disk"),
        ("[WinError 112] There is not enough space on the disk", "no room left on the disk"),
        (
            "WARNING: Retrying after connection broken by 'NewConnectionError(...)'\n"
            "ERROR: Could not find a version that satisfies the requirement x",
            "no connection",
        ),
        ("npm error code EAI_AGAIN", "no connection"),
        ("npm error code ENOTFOUND", "no connection"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE", "its hash differs"),
        ("npm error code EINTEGRITY", "its hash differs"),
        (
            "ERROR: No matching distribution found for x==1.0",
            "No matching distribution found for x==1.0 (details: log)",
        ),
        ("npm error something odd\nnpm error more", "something odd (details: log)"),
        ("", "it ended with status 3 (details: log)"),
    ],
)
def test_why_a_tool_failed(said: str, means: str) -> None:
    line = str(running.why(said, "do it", 3, Path("log")))
    assert means in line and "\n" not in line


def test_tool_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(Stop, match="does not start"):
        running.run(
            [tmp_path / "nothing"], doing="x", cwd=tmp_path, env={}, log=tmp_path / "log", notice=print
        )
