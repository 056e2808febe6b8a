"""The same content gives the same bytes: two builds that differ in folder, time, zone, language, hash seed and order of
files."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

from macros.console import ROOT
from tests import program

ELSEWHERE = '''
# Another machine: its clock is a year ahead, and its disk names files in another order.
import os, time
_time, _listdir, _scandir = time.time, os.listdir, os.scandir
time.time = lambda: _time() + 366 * 86400
os.listdir = lambda *given: _listdir(*given)[::-1]
class Reversed:
    def __init__(self, *given):
        with _scandir(*given) as found:
            self.left = iter(list(found)[::-1])
    def __iter__(self): return self
    def __next__(self): return next(self.left)
    def __enter__(self): return self
    def __exit__(self, *details): self.close()
    def close(self): pass
os.scandir = Reversed
'''

BUILD = """
import os
from pathlib import Path
from macros import building, placing, stick
os.umask({umask})
building.with_mkdocs(Path("content"), Path("site"), "office")
stick.write(Path("site"), Path("handbook.zip"), "Small handbook")
placing.own(Path("web"))
placing.put(Path("site"), Path("web"))
"""


def machine(folder: Path, age: int) -> Path:
    """The program and the small content in a folder of its own, every file `age` seconds old."""
    program.copied(folder, age)
    shutil.copytree(ROOT / "tests" / "macros" / "pages" / "content", folder / "content")
    return folder


def hashes(folder: Path) -> dict[str, str]:
    made = [folder / "handbook.zip", *(folder / "site").rglob("*"), *(folder / "web").rglob("*")]
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in made
            if path.is_file()}


def test_two_machines_build_the_same_bytes(tmp_path: Path):
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "sitecustomize.py").write_text(ELSEWHERE, "utf-8")
    first, second = machine(tmp_path / "one", 0), machine(tmp_path / "far" / "away" / "two words", 90_000_000)
    plain = {name: value for name,
             value in os.environ.items() if name not in ("SOURCE_DATE_EPOCH", "TZ", "LANG", "LC_ALL")}
    builds = [
        (first, {"TZ": "UTC", "LANG": "C.UTF-8", "PYTHONHASHSEED": "1"}, "0o022"),
        (second, {"TZ": "Pacific/Auckland", "LANG": "tr_TR.UTF-8", "LC_ALL": "tr_TR.UTF-8", "PYTHONHASHSEED": "2",
                  "USER": "somebody",
                  "PYTHONPATH": str(tmp_path / "elsewhere"), "HOSTNAME": "elsewhere"}, "0o077")]
    running = [subprocess.Popen([sys.executable, "-c", BUILD.format(umask=umask)], cwd=folder, env=plain | more,
                                stdout=subprocess.PIPE, stderr=subprocess.STDOUT) for folder, more, umask in builds]
    for child in running:
        said = child.communicate()[0].decode()
        assert child.returncode == 0, said
    one, two = hashes(first), hashes(second)
    assert len(one) > 100 and any(name.endswith(".whl") for name in one)
    assert {name for name in one if one[name] != two.get(name)} == set() and set(one) == set(two)
    bill = json.loads((first / "site" / "bom.json").read_text("utf-8"))
    assert bill["metadata"]["timestamp"] == "2026-11-25T00:00:00Z"
