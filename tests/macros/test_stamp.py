"""The stamp of an environment: what says at every start whether it is whole."""

import json
import shutil
from pathlib import Path

from macros import setup_env, stamp
from macros.stamp import STAMP


def an_environment(folder: Path, **says: str) -> Path:
    """A stamped folder with an interpreter; `says`: what its stamp says otherwise."""
    python = Path(stamp.interpreter(str(folder)))
    python.parent.mkdir(parents=True)
    python.write_text("")
    own = {"python": stamp.tag(), "site": stamp.digest(folder.parent / "requirements.lock")}
    (folder / STAMP).write_text(json.dumps({**own, **says}, indent=1) + "\n", "utf-8")
    return folder


def test_the_environment_that_is_whole_is_the_one_that_would_be_set_up(tmp_path: Path) -> None:
    (tmp_path / "requirements.lock").write_text("one==1\r\n")
    first = tmp_path / ".venv"
    assert stamp.whole(str(tmp_path)) == ""
    an_environment(first)
    assert stamp.whole(str(tmp_path)) == str(first) == str(setup_env.folder_for(tmp_path))
    (tmp_path / "requirements.lock").write_text("one==1\n")
    assert stamp.whole(str(tmp_path)) == str(first), "line ends set aside"
    (tmp_path / "requirements.lock").write_text("one==2\n")
    assert stamp.whole(str(tmp_path)) == ""
    shutil.rmtree(first)
    an_environment(first, python="another")
    second = tmp_path / stamp.other()
    assert stamp.whole(str(tmp_path)) == "" and setup_env.folder_for(tmp_path) == second
    an_environment(second)
    assert stamp.whole(str(tmp_path)) == str(second)
    (first / STAMP).unlink()
    assert stamp.whole(str(tmp_path)) == "" and setup_env.folder_for(tmp_path) == first
    shutil.rmtree(first)
    an_environment(first)
    Path(stamp.interpreter(str(first))).unlink()
    assert stamp.whole(str(tmp_path)) == ""
