"""handbook.py as it is started: refusals, old Pythons, taken ports; the account of tests that did not run."""

import ast
import json
import os
import shutil
import socket
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from macros import cli, console
from macros.launch import AT_ONCE, INSIDE
from macros.stamp import STAMP

ROOT = Path(__file__).resolve().parent.parent


def start(*arguments: str, inside: bool = False, **env: str) -> subprocess.CompletedProcess[str]:
    """Start handbook.py; `inside` as the launcher does once the environment is there."""
    full = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", **({INSIDE: "1"} if inside else {}), **env}
    return subprocess.run(
        [sys.executable, str(ROOT / "handbook.py"), *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=full,
        timeout=120,
        check=False,
    )


def one_line(text: str) -> str:
    """The text, which must be a single line and no traceback."""
    assert text.count("\n") == 1 and text.endswith("\n"), text
    assert "Traceback" not in text
    return text.strip()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "serve, build, check, test, bench, calc"),
        (["buid"], "Did you mean build?"),
        (["frobnicate"], "serve, build, check, test, bench, calc"),
        (["serve", "--prot", "9000"], "--prot"),
        (["serve", "--port", "http"], "a port from 0 to 65535"),
        (["serve", "--port", "65536"], "a port from 0 to 65535"),
        (["serve", "--port"], "--port"),
        (["check", "--content", "no-such-folder"], "no-such-folder is not a folder"),
        (["build", "extra"], "extra"),
    ],
)
def test_wrong_use_is_refused_before_anything_is_set_up(arguments: list[str], says: str) -> None:
    done = start(*arguments)
    assert done.returncode == 2
    assert says in one_line(done.stderr)
    assert done.stdout == ""


def test_verbs_that_need_the_environment_alone_go_on_in_it_before_anything_else_is_looked_at() -> None:
    assert {*AT_ONCE} == cli.verbs().keys() - {*cli.BUILDING, *cli.TESTING, "calc"}
    loaded = subprocess.run([sys.executable, "-c", "import sys, macros.launch; print(*sys.modules)"], cwd=ROOT, text=True,
                            capture_output=True, check=True).stdout.split()
    assert {name for name in loaded if name.startswith(("macros.", "calculators"))} == {"macros.launch", "macros.stamp"}


def test_help_names_every_verb() -> None:
    done = start("--help")
    assert done.returncode == 0
    for verb in ("serve", "build", "check", "test", "calc"):
        assert f"    {verb} " in done.stdout


@pytest.mark.parametrize("version", [(3, 10, 13), (3, 6, 0), (2, 7, 18)])
def test_python_too_old_is_refused_in_one_line(version: tuple[int, int, int]) -> None:
    code = (
        f"import runpy, sys; sys.version_info = {version!r}; sys.argv = ['handbook.py', 'serve'];"
        f"runpy.run_path({str(ROOT / 'handbook.py')!r}, run_name='__main__')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert one_line(done.stderr).startswith(f"handbook.py: this is Python {version[0]}.{version[1]}, ")
    assert "3.11" in done.stderr


def test_old_pythons_can_read_the_launcher() -> None:
    source = (ROOT / "handbook.py").read_bytes()
    source.decode("ascii")  # Python 2 refuses anything else without a coding line
    ast.parse(source, feature_version=(3, 4))


def test_taken_port_is_said_before_anything_is_built(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as holder:
        port = holder.getsockname()[1]
        done = start("serve", "--port", str(port), "--content", str(tmp_path), inside=True)
    assert done.returncode == 1
    line = one_line(done.stderr)
    assert f"Port {port} " in line and f"--port {port + 1}" in line


def test_fault_of_our_own_is_one_line_and_can_be_seen_whole() -> None:
    code = "import sys; from macros.console import one_line\nwith one_line():\n    [].pop()"
    for env, traceback in (({}, False), ({"HANDBOOK_TRACE": "1"}, True)):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=False,
            cwd=ROOT,
            env={**os.environ, **env},
        )
        assert done.returncode == 1
        assert ("Traceback" in done.stderr) is traceback
        assert "IndexError" in done.stderr


@pytest.mark.parametrize("module, lost", [("yaml", True), ("yaml.nodes", True), ("macros.gone", False)])
def test_environment_that_lost_a_package_is_made_anew(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    module: str,
    lost: bool,
) -> None:
    kept = tmp_path / ".venv" / STAMP
    kept.parent.mkdir()
    kept.write_text("{}")
    monkeypatch.setattr(console, "ROOT", tmp_path)
    monkeypatch.setattr(sys, "prefix", str(kept.parent))

    def said() -> str:
        with pytest.raises(SystemExit, match="1"), console.one_line():
            raise ModuleNotFoundError(f"No module named {module!r}", name=module)
        return one_line(capsys.readouterr().err)

    assert said().startswith(f".venv has lost {module}.") is lost
    assert kept.exists() is not lost
    monkeypatch.setattr(sys, "prefix", "/usr")  # a Python that is not ours is left as it is
    assert "handbook's own" in said()


CASES = {
    "test_plain.py": "def test_passes(): pass\n",
    "test_skip.py": "import pytest\n@pytest.mark.skip\ndef test_skipped(): pass\n",
    "test_skip_inside.py": "import pytest\ndef test_skips_itself(): pytest.skip('no')\n",
    "test_skip_file.py": "import pytest\npytest.importorskip('no_such_module')\ndef test_never(): pass\n",
    "browser/test_page.py": "def test_page(): pass\ndef test_other(): pass\n",
    "test_marked.py": "import pytest\n@pytest.mark.browser\ndef test_drives(): pass\n",
}


def run_cases(folder: Path, names: list[str], *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run `names` of CASES under the project's own conftest.py."""
    tests = folder / "tests"
    tests.mkdir()
    shutil.copy(ROOT / "tests" / "conftest.py", tests)
    (folder / "pytest.ini").write_text(
        "[pytest]\nmarkers =\n    browser: x\n    webkit: x\naddopts = --import-mode=importlib\n", "utf-8"
    )
    for name in names:
        (tests / name).parent.mkdir(exist_ok=True)
        (tests / name).write_text(CASES[name], "utf-8")
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *arguments],
        cwd=folder,
        text=True,
        capture_output=True,
        check=False,
    )


@pytest.mark.parametrize(
    ("name", "listed"),
    [
        ("test_skip.py", "tests/test_skip.py::test_skipped"),
        ("test_skip_inside.py", "tests/test_skip_inside.py::test_skips_itself"),
        ("test_skip_file.py", "test_skip_file.py"),
    ],
)
def test_skipped_test_fails_the_run(tmp_path: Path, name: str, listed: str) -> None:
    done = run_cases(tmp_path, ["test_plain.py", name])
    assert done.returncode != 0
    assert listed in done.stdout


def test_run_with_everything_run_passes(tmp_path: Path) -> None:
    done = run_cases(tmp_path, ["test_plain.py", "browser/test_page.py", "test_marked.py"])
    assert (done.returncode, "4 passed" in done.stdout) == (0, True)


def test_without_browser_says_what_did_not_run(tmp_path: Path) -> None:
    done = run_cases(tmp_path, ["test_plain.py", "browser/test_page.py", "test_marked.py"], "--no-browser")
    assert done.returncode == 0
    assert "1 passed, 3 deselected" in done.stdout
    assert "tests/browser/test_page.py: 2 not run" in done.stdout
    assert "3 browser tests were not run." in done.stdout


@pytest.fixture
def pretended(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """What the verb test would run, instead of running it; every browser is there unless a test says otherwise."""
    from macros import chromium, testing, webkit

    commands: list[list[str]] = []

    def pretend(command: list[str], **_others: object) -> subprocess.CompletedProcess[str]:
        commands.append(command[3:])
        return subprocess.CompletedProcess(command, 0)

    class Beside:
        def __init__(self, command: list[str], **_others: object) -> None:
            commands.append(command[3:])

        def wait(self) -> int:
            return 5

    monkeypatch.setattr(testing.subprocess, "run", pretend)
    monkeypatch.setattr(testing.subprocess, "Popen", Beside)
    monkeypatch.setattr(chromium, "get", lambda: "/a/chromium")
    monkeypatch.setattr(chromium, "windowless", lambda: None)
    monkeypatch.setattr(webkit, "get", lambda: webkit.WebKit("/a/driver", "/a/window", "/a/screen"))
    return commands


@pytest.mark.parametrize("lacking", ["chromium", "webkit"])
def test_a_browser_that_cannot_be_had_fails_unless_left_out_on_purpose(
    pretended: list[list[str]], lacking: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from macros import chromium, testing, webkit

    option = {"chromium": "--no-browser", "webkit": "--no-webkit"}[lacking]
    assert testing.run(False, False, ["-k", "x"]) == 0
    monkeypatch.setattr({"chromium": chromium, "webkit": webkit}[lacking], "get", lambda: None)
    assert testing.run(False, False, ["-k", "x"]) == 1
    assert "not run" in capsys.readouterr().err
    assert testing.run(lacking == "chromium", True, ["-k", "x"]) == 0
    assert pretended == [["-k", "x"], ["-k", "x", option], ["-k", "x", option]]


def test_a_whole_run_goes_in_two_lanes_and_the_first_failure_of_either_counts(pretended: list[list[str]]) -> None:
    from macros import testing

    assert testing.run(False, False, []) == 5
    assert sorted(command[:2] for command in pretended) == [["-m", "browser"], ["-m", "not browser"]]
    pretended.clear()
    assert testing.run(True, False, []) == 0
    assert pretended == [["--no-browser"]]


def test_stand_in_of_a_browser_is_not_taken_for_one(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from macros import chromium

    for name, status in (("chromium", 1), ("chromium-browser", 0)):
        program = tmp_path / name
        program.write_text(f"#!/bin/sh\nexit {status}\n", "utf-8")
        program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv(chromium.VARIABLE, raising=False)
    monkeypatch.setattr(chromium, "_usual_places", list)
    assert chromium.find() == str(tmp_path / "chromium-browser")


def test_browser_is_installed_from_packages_where_that_can_be_done(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from macros import chromium, debian

    installer = tmp_path / "apt-get"
    browser = tmp_path / "chromium"
    installer.write_text(
        f'#!/bin/sh\necho "$@" >>{tmp_path}/calls\n[ $1 = update ] && exit 0\n'
        f"printf '#!/bin/sh\\n' >{browser} && /bin/chmod +x {browser}\n",
        "utf-8",
    )
    installer.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv(chromium.VARIABLE, raising=False)
    monkeypatch.setattr(chromium, "_usual_places", list)
    monkeypatch.setattr(debian, "CACHE", tmp_path)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert (
        chromium.get() is None and not (tmp_path / "calls").exists()
    )  # an ordinary user is not asked for a password
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    assert chromium.get() == str(browser)
    assert (tmp_path / "calls").read_text("utf-8").splitlines() == [
        "update",
        "install -y --no-install-recommends chromium fonts-liberation",
    ]
    assert chromium.get() == str(browser)
    assert len((tmp_path / "calls").read_text("utf-8").splitlines()) == 2
    browser.unlink()
    installer.write_text("#!/bin/sh\necho 'E: Could not resolve' >&2\nexit 100\n", "utf-8")
    capsys.readouterr()
    assert chromium.get() is None
    assert "Could not install Chromium" in capsys.readouterr().err


def test_tests_drive_a_browser_without_windows_where_it_can_be_had(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from macros import chromium, debian

    def program(name: str, says: str) -> Path:
        file = tmp_path / name
        file.write_text(f"#!/bin/sh\n{says}\n", "utf-8")
        file.chmod(0o755)
        return file

    windowless = tmp_path / chromium.WINDOWLESS
    installer = program("apt-get", f'echo "$@" >>{tmp_path}/calls\n[ $1 = update ] || printf "#!/bin/sh\\nexit 0\\n" >{windowless}\n'
                                   f"/bin/chmod +x {windowless} 2>/dev/null; exit 0")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv(chromium.VARIABLE, raising=False)
    monkeypatch.setattr(debian, "CACHE", tmp_path)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert chromium.windowless() is None
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    assert chromium.windowless() == str(windowless)
    assert "chromium-headless-shell fonts-liberation" in (tmp_path / "calls").read_text("utf-8")
    program(chromium.WINDOWLESS, "exit 1")
    assert chromium.windowless() is None
    windowless.unlink()
    installer.write_text("#!/bin/sh\nexit 100\n", "utf-8")
    assert chromium.windowless() is None
    program(chromium.WINDOWLESS, "exit 0")
    monkeypatch.setenv(chromium.VARIABLE, str(installer))
    assert chromium.windowless() is None


def test_one_place_for_the_browser_runtime_and_no_addresses_in_the_locks() -> None:
    lock = json.loads((ROOT / "site_overrides" / "app" / "package-lock.json").read_text("utf-8"))
    wanted = json.loads((ROOT / "site_overrides" / "app" / "package.json").read_text("utf-8"))["dependencies"]
    for name, version in wanted.items():
        assert lock["packages"][f"node_modules/{name}"]["version"] == version  # exact, no range
    for name, entry in lock["packages"].items():
        assert "resolved" not in entry
        assert not name or entry["integrity"].startswith("sha512-")
    groups = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["dependency-groups"]
    for name, group in (("requirements.lock", "site"), ("requirements-test.lock", "tests")):
        text = (ROOT / name).read_text("utf-8")
        assert "://" not in text and "--index" not in text and "--find-links" not in text
        pinned = [line for line in text.splitlines() if line[:1].isalnum()]
        assert pinned and all("==" in line and line.endswith("\\") for line in pinned)
        for asked in groups[group]:
            assert any(line.startswith(asked.split(";")[0] + " ") for line in pinned), f"{asked}: lock it anew"
