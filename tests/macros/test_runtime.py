"""The browser's Python: one hash over its files, the calculators alone in the wheel, the same bytes every time."""

import ast
import hashlib
import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from macros import offline, runtime, setup_npm, wheel
from macros.console import ROOT, Stop


@pytest.fixture(scope="session")
def packages() -> Path:
    """npm's folder of packages."""
    return setup_npm.ensure()


@pytest.fixture(scope="session")
def made(packages: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The runtime's folder, made anew."""
    folder = tmp_path_factory.mktemp("runtime")
    runtime.make(folder, packages, runtime.pinned(packages))
    return folder


@pytest.fixture(scope="session")
def plain_wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel with sources in it, as any Python takes it."""
    return wheel.build(tmp_path_factory.mktemp("wheel"))


def test_everything_is_made_the_same_again(made: Path, packages: Path, tmp_path: Path):
    runtime.make(tmp_path, packages, runtime.pinned(packages))
    assert {f.name: f.read_bytes() for f in made.iterdir()} == {f.name: f.read_bytes() for f in tmp_path.iterdir()}


def test_the_wheel_has_a_standard_name_and_the_calculators_alone(made: Path):
    file = next(made.glob("*.whl"))
    name, version, python, abi, platform = file.stem.split("-")  # PEP 427
    assert (name, version, abi, platform) == ("handbook_calculators", "1.0.0", "none", "any")
    assert python in ("py3", "cp313")
    with zipfile.ZipFile(file) as archive:
        tops = {entry.split("/")[0] for entry in archive.namelist()}
        assert tops == {"calculators", "handbook_calculators-1.0.0.dist-info"}
        facts = archive.read("handbook_calculators-1.0.0.dist-info/WHEEL").decode()
        assert f"Tag: {python}-none-any" in facts
        record = archive.read("handbook_calculators-1.0.0.dist-info/RECORD").decode().splitlines()
        assert sorted(line.split(",")[0] for line in record) == sorted(archive.namelist())


def test_byte_code_where_it_fits_and_sources_elsewhere(made: Path):
    with zipfile.ZipFile(next(made.glob("*.whl"))) as archive:
        endings = {Path(name).suffix for name in archive.namelist() if name.startswith("calculators/")}
    assert endings == ({".pyc"} if sys.version_info[:2] == (3, 13) else {".py"})
    with zipfile.ZipFile(made / runtime.STDLIB) as archive:
        endings = {Path(name).suffix for name in archive.namelist() if name.startswith("json/") and "." in name}
    assert endings == ({".pyc"} if sys.version_info[:2] == (3, 13) else {".py"})
    assert {file.suffix for file in made.iterdir()} == {".js", ".wasm", ".zip", ".whl", ".json", ".zst"}, "nothing left over"


def test_every_module_imports_alone_in_an_isolated_interpreter(plain_wheel: Path, tmp_path: Path):
    with zipfile.ZipFile(plain_wheel) as archive:
        archive.extractall(tmp_path)
    modules = sorted(".".join(file.relative_to(tmp_path).with_suffix("").parts).removesuffix(".__init__")
                     for file in tmp_path.rglob("*.py"))
    assert "calculators.quantity" in modules
    for module in modules:
        # -I: no site-packages of the user, no current folder; -S: no site-packages at all.
        code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); import {module}"
        ran = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=False)
        assert ran.returncode == 0, f"{module}: {ran.stderr}"


def test_the_calculators_import_the_standard_library_and_themselves_alone(plain_wheel: Path):
    with zipfile.ZipFile(plain_wheel) as archive:
        for name in archive.namelist():
            if name.endswith(".py"):
                for imported in imports(archive.read(name)):
                    assert imported in sys.stdlib_module_names | {"calculators"}, f"{name} imports {imported}"


def imports(source: bytes) -> set[str]:
    """Top-level names that a module imports from elsewhere, wherever in it the import stands."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level:
            found.add(node.module.split(".")[0])
    return found


def test_imports_are_found_wherever_they_stand():
    assert imports(b"import a.b, c\ndef f():\n    from d.e import g\nfrom . import h\n") == {"a", "c", "d"}


def test_a_start_from_memory_carries_no_more_than_a_stock_one(made: Path, packages: Path):
    described = json.loads((made / "runtime.json").read_text("utf-8"))
    assert described["stock"] == sorted((runtime.STDLIB, runtime.LOCK, described["wheel"]))
    lean = sum((made / name).stat().st_size for name in described["files"] if name not in described["stock"])
    # As the package itself starts: its standard library and its list of packages, and our wheel.
    stock = sum((packages / "pyodide" / name).stat().st_size for name in (*runtime.FILES, runtime.LOCK))
    assert lean <= stock + (made / described["wheel"]).stat().st_size


def test_the_lock_file_names_our_wheel_with_its_hash(made: Path):
    lock = json.loads((made / runtime.LOCK).read_text("utf-8"))
    (name, entry), = lock["packages"].items()
    assert name == "handbook-calculators"
    assert entry["imports"] == ["calculators"]
    assert entry["depends"] == []
    assert entry["sha256"] == hashlib.sha256((made / entry["file_name"]).read_bytes()).hexdigest()


def test_the_entry_is_as_the_lock_files_own_library_has_it(made: Path):
    if sys.version_info < (3, 12):
        # The library for older Pythons asks for a field that this runtime's lock file has no more.
        lock = json.loads((made / runtime.LOCK).read_text("utf-8"))
        assert "version" not in lock["info"]
        return
    from pyodide_lock import PyodideLockSpec

    spec = PyodideLockSpec.from_json(made / runtime.LOCK)
    spec.check_wheel_filenames()
    assert spec.packages["handbook-calculators"].install_dir == "site"


def test_the_folder_is_named_after_every_file_in_it(made: Path):
    described = json.loads((made / "runtime.json").read_text("utf-8"))
    assert sorted(described["files"]) == sorted(f.name for f in made.iterdir() if f.name != "runtime.json")
    assert set(runtime.FILES) < set(described["files"])
    assert described["path"] == f"runtime/{runtime.content_hash(described['files'])}/"
    for name in described["files"]:
        changed = {**described["files"], name: "another"}
        assert runtime.content_hash(changed) != runtime.content_hash(described["files"]), name


def copied(packages: Path, target: Path) -> Path:
    """npm's folder of packages with small stand-ins for the large files."""
    (target / "pyodide").mkdir(parents=True)
    for name in (*runtime.FILES, runtime.LOCK, "package.json"):
        source = packages / "pyodide" / name
        if source.suffix in (".wasm", ".zip"):
            (target / "pyodide" / name).write_bytes(b"")
        else:
            shutil.copyfile(source, target / "pyodide" / name)
    return target


def test_another_version_than_the_pinned_one_fails(packages: Path, tmp_path: Path):
    folder = copied(packages, tmp_path)
    version = runtime.pinned(folder)
    package = folder / "pyodide" / "package.json"
    package.write_text(package.read_text("utf-8").replace(version, "0.1.0"), "utf-8")
    with pytest.raises(Stop, match=rf"is version 0\.1\.0, and .*package\.json asks for {version}: run"):
        runtime.pinned(folder)


@pytest.mark.parametrize("name", ["pyodide.js", "pyodide.asm.js"])
def test_a_loader_of_another_version_fails(packages: Path, tmp_path: Path, name: str):
    folder = copied(packages, tmp_path)
    version = runtime.pinned(folder)
    loader = folder / "pyodide" / name
    loader.write_text(loader.read_text("utf-8").replace(f'"{version}"', '"0.1.0"'), "utf-8")
    with pytest.raises(Stop, match=f"{name} is not of version {version}: remove"):
        runtime.pinned(folder)


@pytest.mark.parametrize("name", [*runtime.FILES, runtime.LOCK])
def test_a_missing_file_is_named(packages: Path, tmp_path: Path, name: str):
    folder = copied(packages, tmp_path)
    (folder / "pyodide" / name).unlink()
    with pytest.raises(Stop, match=f"lacks {name}. Run python3 handbook.py build"):
        runtime.pinned(folder)


def test_a_decoder_that_is_not_where_it_was_is_said(packages: Path, tmp_path: Path):
    assert runtime.decoder(packages / runtime.DECODER[0]).startswith(b"\0asm")
    other = tmp_path / "other.mjs"
    other.write_text('const program = "AGFzbQ==";\n', "utf-8")
    with pytest.raises(Stop, match=r"other\.mjs does not hold the decoder that unpacks Python's memory"):
        runtime.decoder(other)


def test_the_version_stands_in_one_place():
    app = ROOT / "site_overrides" / "app"
    pinned = json.loads((app / "package.json").read_text("utf-8"))["dependencies"]["pyodide"]
    places = [ROOT / "mkdocs.yml", ROOT / "pyproject.toml", *(ROOT / "macros").rglob("*.py"), *app.glob("*.js"),
              *(ROOT / "site_overrides").rglob("*.html")]
    found = [str(file) for file in places if file.is_file() and pinned in file.read_text("utf-8")]
    assert not found


def test_put_into_a_site(packages: Path, tmp_path: Path):
    (tmp_path / "app").mkdir()
    (tmp_path / "app" / "package.json").write_text("{}")
    (tmp_path / "runtime" / "old").mkdir(parents=True)
    put = runtime.put(tmp_path, packages)
    assert not (tmp_path / "runtime" / "old").exists()
    assert not (tmp_path / "app" / "package.json").exists()
    for name, digest in put.files.items():
        assert runtime.integrity(tmp_path / put.path / name) == digest
    assert json.loads((tmp_path / "runtime.json").read_text("utf-8")) == put.as_json()
    for name in ("idb.js", "json-schema/index.js"):
        assert (tmp_path / "app" / name).is_file()
    assert {file.url for file in offline.files(tmp_path)} >= {f"{put.path}{name}" for name in put.files}
