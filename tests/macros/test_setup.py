"""The set-up: what is made, when it is made anew, and one line for each way in which it can fail.

The installer itself runs on a lock of one tiny package made here, so that no test fetches anything.
"""

import base64
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import threading
import zipfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from macros import console, running, setup_env, setup_npm
from macros.console import Stop

NAME = "handbook_set_up_sample"


def make_wheel(folder: Path) -> Path:
    """A whole wheel of one module, written by hand."""
    files = {
        f"{NAME}.py": "VALUE = 7\n",
        f"{NAME}-1.0.dist-info/METADATA": f"Metadata-Version: 2.1\nName: {NAME}\nVersion: 1.0\n",
        f"{NAME}-1.0.dist-info/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = f"{NAME}-1.0.dist-info/RECORD"
    lines = [
        f"{name},sha256={base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b'=').decode()},"
        f"{len(text)}"
        for name, text in files.items()
    ]
    wheel = folder / f"{NAME}-1.0-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        for name, text in {**files, record: "\n".join([*lines, f"{record},,"]) + "\n"}.items():
            archive.writestr(name, text)
    return wheel


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A handbook's folder with a lock of one package, and an installer that knows only that package."""
    folder = tmp_path / "handbook"
    fill_root(folder)
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(folder / "wheels"))
    monkeypatch.setenv("PIP_NO_CACHE_DIR", "1")
    return folder


def fill_root(folder: Path) -> None:
    """Write the locks, and the wheel they name."""
    (folder / "wheels").mkdir(parents=True)
    digest = hashlib.sha256(make_wheel(folder / "wheels").read_bytes()).hexdigest()
    lock = f"{NAME.replace('_', '-')}==1.0 \\\n    --hash=sha256:{digest}\n"
    (folder / "requirements.lock").write_text(lock, "utf-8")
    (folder / "requirements-test.lock").write_text(lock, "utf-8")


class Tools:
    """Stands in for venv and pip: makes an interpreter's file, notes each call, fails when told to."""

    def __init__(self) -> None:
        self.calls: list[str] = []
        self.failure: Callable[[], BaseException] | None = None

    def __call__(self, command: Sequence[str | Path], **_others: Any) -> str:
        words = [str(word) for word in command]
        if "venv" in words:
            self.calls.append("venv")
            python = setup_env.python_in(Path(words[-1]))
            python.parent.mkdir(parents=True)
            python.write_text("", "utf-8")
        else:
            self.calls.append(Path(words[-1]).name)
            if self.failure is not None:
                raise self.failure()
        return ""


@pytest.fixture
def tools(monkeypatch: pytest.MonkeyPatch) -> Tools:
    made = Tools()
    monkeypatch.setattr(running, "run", made)
    return made


SITE, TESTS = "requirements.lock", "requirements-test.lock"


def test_real_environment_is_made_once_and_recovers_from_a_cut_off_start(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    python = setup_env.ensure(root=root)
    said = capsys.readouterr().err
    assert "Making .venv with Python" in said and "Installing" in said
    assert has_package(python)
    assert setup_env.site_packages(python.parent.parent).joinpath(f"{NAME}.py").is_file()

    # Nothing left to do: no tool may be started.
    with monkeypatch.context() as nothing:
        nothing.setattr(running, "run", None)
        assert setup_env.ensure(root=root) == python
    assert capsys.readouterr().err == ""

    # As an interrupted start leaves it: no stamp, half of the files.
    (root / ".venv" / setup_env.STAMP).unlink()
    setup_env.site_packages(root / ".venv").joinpath(f"{NAME}.py").unlink()
    assert not has_package(python)
    assert has_package(setup_env.ensure(root=root))
    assert ".venv is incomplete" in capsys.readouterr().err


def has_package(python: Path) -> bool:
    """Whether the environment can import the package of the lock."""
    return (
        subprocess.run(
            [python, "-c", f"import {NAME}; assert {NAME}.VALUE == 7"], capture_output=True, check=False
        ).returncode
        == 0
    )


def test_altered_package_is_refused(root: Path) -> None:
    with zipfile.ZipFile(next((root / "wheels").glob("*.whl")), "a") as archive:
        archive.writestr("other.py", "")
    with pytest.raises(Stop) as refused:
        setup_env.ensure(root=root)
    assert "its hash differs" in str(refused.value)
    assert not (root / ".venv" / setup_env.STAMP).exists()


def test_no_network_is_one_line_and_the_next_start_recovers(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as cut:
        cut.delenv("PIP_NO_INDEX")
        cut.delenv("PIP_FIND_LINKS")
        cut.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/simple")  # the discard port: nobody listens
        cut.setenv("PIP_RETRIES", "0")
        with pytest.raises(Stop) as refused:
            setup_env.ensure(root=root)
    assert "no connection to the package index" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert has_package(setup_env.ensure(root=root))


def test_npm_without_network_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = tmp_path / "site_overrides" / "app"
    app.mkdir(parents=True)
    for lock in ("package.json", "package-lock.json"):
        shutil.copy(setup_npm.APP / lock, app)
    monkeypatch.setenv("npm_config_registry", "http://127.0.0.1:9/")
    monkeypatch.setenv("npm_config_cache", str(tmp_path / "cache"))
    monkeypatch.setenv("npm_config_fetch_retries", "0")
    with pytest.raises(Stop) as refused:
        setup_npm.ensure(root=tmp_path)
    assert "no connection to the package index" in str(refused.value)
    assert not (tmp_path / ".cache" / "npm" / "stamp").exists()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A folder with room for 1 MB where a disk of its own can be made; else one is pretended full."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = shutil.which("mount")
    made = (
        mount is not None
        and subprocess.run(
            [mount, "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder], capture_output=True, check=False
        ).returncode
        == 0
    )
    try:
        yield folder
    finally:
        if made:
            subprocess.run(["umount", folder], check=True)


def test_full_disk_is_one_line_and_the_next_start_recovers(
    root: Path, small_disk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    handbook = small_disk / "handbook"
    shutil.copytree(root, handbook)
    real_disk = os.path.ismount(small_disk)
    with monkeypatch.context() as full:
        full.setattr(setup_env, "NEEDED", 0)  # so that the disk itself refuses, not the look at it beforehand
        if not real_disk:
            full.setattr(running, "run", out_of_room)
        with pytest.raises(Stop) as refused:
            setup_env.ensure(root=handbook)
    assert "no room left on the disk" in str(refused.value)
    assert "\n" not in str(refused.value)
    if real_disk:
        subprocess.run(["mount", "-o", "remount,size=200m", small_disk], check=True)
    monkeypatch.setattr(setup_env, "NEEDED", 0)
    assert has_package(setup_env.ensure(root=handbook))


def out_of_room(command: Sequence[str | Path], **_others: Any) -> str:
    """What a tool does on a full disk."""
    raise running.why("OSError: [Errno 28] No space left on device", "install", 1, Path("log"))


def test_too_little_room_is_said_beforehand(
    root: Path, tools: Tools, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(setup_env, "NEEDED", shutil.disk_usage(root).total + 1)
    with pytest.raises(Stop, match="no room left on the disk"):
        setup_env.ensure(root=root)
    assert tools.calls == []


def test_full_disk_outside_a_tool_is_the_same_line(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended, console.one_line():
        raise OSError(28, "No space left on device", "site/index.html")
    assert ended.value.code == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "site/index.html" in said and "no room left on the disk" in said


def test_tests_are_added_when_asked_for(root: Path, tools: Tools) -> None:
    setup_env.ensure(root=root)
    assert tools.calls == ["venv", SITE]
    setup_env.ensure(root=root, tests=True)
    assert tools.calls == ["venv", SITE, TESTS]
    setup_env.ensure(root=root, tests=True)
    setup_env.ensure(root=root)
    assert tools.calls == ["venv", SITE, TESTS]


def test_changed_lock_makes_it_anew(root: Path, tools: Tools) -> None:
    setup_env.ensure(root=root, tests=True)
    with open(root / SITE, "a", encoding="utf-8") as lock:
        lock.write("# one more\n")
    setup_env.ensure(root=root)
    assert tools.calls == ["venv", SITE, TESTS, "venv", SITE]


def test_line_ends_of_a_lock_change_nothing(root: Path, tools: Tools) -> None:
    setup_env.ensure(root=root)
    lock = root / SITE
    lock.write_bytes(lock.read_bytes().replace(b"\n", b"\r\n"))
    setup_env.ensure(root=root)
    assert tools.calls == ["venv", SITE]


@pytest.mark.parametrize("tests", [False, True])
def test_interrupted_install_leaves_no_stamp(root: Path, tools: Tools, tests: bool) -> None:
    if tests:  # the environment was whole, and what the tests need is being added
        setup_env.ensure(root=root)
    tools.failure = KeyboardInterrupt
    with pytest.raises(KeyboardInterrupt):
        setup_env.ensure(root=root, tests=tests)
    assert setup_env.read_stamp(root / ".venv") == {}
    tools.failure = None
    tools.calls.clear()
    setup_env.ensure(root=root, tests=tests)
    assert tools.calls == ["venv", SITE] + [TESTS] * tests


@pytest.mark.parametrize(
    "leave",
    [
        lambda folder: folder.mkdir(),
        lambda folder: folder.write_text("a file"),
        lambda folder: folder.symlink_to("nowhere"),
        lambda folder: (folder.mkdir(), (folder / setup_env.STAMP).write_text("{")),
        lambda folder: (folder.mkdir(), (folder / setup_env.STAMP).write_text("[]")),
    ],
)
def test_whatever_stands_in_its_place_is_made_anew(
    root: Path, tools: Tools, leave: Callable[[Path], object]
) -> None:
    leave(root / ".venv")
    setup_env.ensure(root=root)
    assert tools.calls == ["venv", SITE]


def test_environment_whose_python_is_gone_is_made_anew(root: Path, tools: Tools) -> None:
    setup_env.ensure(root=root).unlink()
    setup_env.ensure(root=root)
    assert tools.calls == ["venv", SITE, "venv", SITE]


def test_two_pythons_take_turns_without_making_anything_anew(
    root: Path, tools: Tools, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = setup_env.ensure(root=root)
    monkeypatch.setattr(setup_env, "tag", lambda: "cpython-399-linux")
    other = setup_env.ensure(root=root)
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    assert (own.parent.parent.name, other.parent.parent.name) == (".venv", f".venv-{version}")
    setup_env.ensure(root=root)
    monkeypatch.undo()
    assert setup_env.folder_for(root) == root / ".venv"
    assert tools.calls == ["venv", SITE, "venv", SITE]


def test_no_ensurepip_is_one_line(root: Path, tools: Tools, monkeypatch: pytest.MonkeyPatch) -> None:
    found = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "ensurepip" else found(name)
    )
    with pytest.raises(Stop) as refused:
        setup_env.ensure(root=root)
    assert f"python{sys.version_info[0]}.{sys.version_info[1]}-venv" in str(refused.value)
    assert tools.calls == []


def test_missing_lock_is_one_line(root: Path, tools: Tools) -> None:
    (root / SITE).unlink()
    with pytest.raises(Stop, match="requirements.lock is missing"):
        setup_env.ensure(root=root)


def test_two_starts_at_once_set_up_once(root: Path, tools: Tools) -> None:
    threads = [threading.Thread(target=setup_env.ensure, kwargs={"root": root}) for _number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert tools.calls == ["venv", SITE]


def test_installer_is_not_led_out_of_its_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PYTHONHOME", "PYTHONPATH", "PIP_TARGET", "PIP_PREFIX", "PIP_REQUIRE_VIRTUALENV"):
        monkeypatch.setenv(name, "/elsewhere")
    monkeypatch.setenv("PIP_USER", "1")
    monkeypatch.setenv("PIP_INDEX_URL", "kept")
    env = setup_env.environment()
    assert "/elsewhere" not in env.values()
    assert (env["PIP_USER"], env["PIP_INDEX_URL"]) == ("0", "kept")
