"""Python for the reader's browser: Pyodide's files and our wheel, put under one hash in the site.

``runtime/HASH/`` holds the loader, the WebAssembly, the memory of a started Python with the calculators in it, and for
a start without that memory the standard library, the lock file and the wheel. HASH is made from their contents, so a
page can never run a loader of one version on the standard library of another. ``runtime.json`` says where they are,
what each file's hash is and which are for the stock start alone.

Pyodide's version stands in ``site_overrides/app/package.json`` and nowhere else.
"""

import base64
import hashlib
import json
import os
import re
import shutil
import sys
import zipfile
from dataclasses import dataclass
from email.parser import BytesParser
from pathlib import Path
from typing import Any

from macros import building, running, setup_env, wheel
from macros.console import CACHE, ROOT, Stop, passing, say
from macros.locking import only_one
from macros.setup_npm import NODE_MODULES, node_in
from macros.words import _

STDLIB = "python_stdlib.zip"
FILES = ("pyodide.js", "pyodide.asm.js", "pyodide.asm.wasm", STDLIB)
"""What is taken from the package: loader, its second part, WebAssembly, standard library."""

SNAPSHOT = "memory.zst"
"""The memory of a started Python, without what the program holds and without its zeros, packed; see macros/snapshot.mjs."""

DECODER = ("zstddec/dist/zstddec.mjs", "zstd.wasm")
"""What unpacks it in the worker: the script in the folder of npm's packages that holds it, and its name beside the runtime."""

SHARED = "memory.js"
"""The script of site_overrides/app that takes the program and the zeros out of the memory and puts them back."""

LIBRARIES = {
    "zstddec/LICENSE": "zstddec-license.txt",
    "idb/build/index.js": "idb.js", "idb/LICENSE": "idb-license.txt",
    **{f"@cfworker/json-schema/dist/esm/{name}.js": f"json-schema/{name}.js" for name in (
        "index", "deep-compare-strict", "dereference", "format", "pointer", "types", "ucs2-length", "validate", "validator")},
    "@cfworker/json-schema/package.json": "json-schema/package.json",  # names author and licence
}
"""What the scripts of the page use from npm: file in the folder of packages -> name in the site's app/."""

MAKER = Path(__file__).with_name("snapshot.mjs")
"""The script for Node that makes the snapshot."""

PLACELESS = {"TZ": "UTC", "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8"}
"""Zone and language of the Python whose memory is kept: those of the machine that builds would be in its bytes."""

LOCK = "pyodide-lock.json"
"""The runtime's list of packages, here cut down to our own wheel."""


@dataclass(frozen=True)
class Runtime:
    """What the browser runs.

    `path`: folder in the site, "runtime/HASH/"; `pyodide`, `python`: versions; `wheel`: file name;
    `files`: name of each file in the folder -> its SHA-256 in base64, as `integrity` takes it; `stock`: those of
    them that only a start without the snapshot needs; `info`: what the lock file says of the runtime itself.
    """

    path: str
    pyodide: str
    python: str
    wheel: str
    files: dict[str, str]
    stock: list[str]
    info: dict[str, str]

    def as_json(self) -> dict[str, Any]:
        """The content of runtime.json."""
        return {"path": self.path, "pyodide": self.pyodide, "python": self.python, "wheel": self.wheel,
                "files": self.files, "stock": self.stock, "info": self.info}


def put(site: Path, packages: Path = NODE_MODULES, root: Path = ROOT) -> Runtime:
    """Put the runtime, and the libraries that the scripts of the page use, into the built `site`.

    `packages` is npm's folder of packages. Raises: Stop when they are missing or do not fit each other.
    """
    folder = prepared(packages, root)
    runtime = Runtime(**json.loads((folder / "runtime.json").read_text("utf-8")))
    target = site / runtime.path
    shutil.rmtree(target.parent, ignore_errors=True)
    target.mkdir(parents=True)
    for name in runtime.files:
        shutil.copyfile(folder / name, target / name)
    shutil.copyfile(folder / "runtime.json", site / "runtime.json")
    for source, name in LIBRARIES.items():
        (site / "app" / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(packages / source, site / "app" / name)
    for name in ("package.json", "package-lock.json", SHARED):
        # MkDocs copies everything beside the scripts; these are for building, or stand beside the runtime.
        (site / "app" / name).unlink(missing_ok=True)
    return runtime


def prepared(packages: Path = NODE_MODULES, root: Path = ROOT) -> Path:
    """A folder with the runtime's files and its runtime.json, made when the calculators changed."""
    version = pinned(packages, root)
    key = _key(version, root)
    folder = CACHE / "runtime" / key
    with only_one(CACHE / "runtime.lock", lambda: say(_("Another start is building; waiting for it to finish."))):
        if not (folder / "runtime.json").is_file():
            fresh = folder.with_name("new")
            shutil.rmtree(fresh, ignore_errors=True)
            fresh.mkdir(parents=True)
            make(fresh, packages, version, root)
            shutil.rmtree(folder, ignore_errors=True)
            fresh.rename(folder)
            for other in folder.parent.iterdir():
                if other != folder:
                    shutil.rmtree(other, ignore_errors=True)
    return folder


def _key(version: str, root: Path) -> str:
    """What the prepared folder depends on."""
    total = hashlib.sha256(f"{version}\0{sys.version}\0".encode())
    for place in (root / "calculators", root / "pyproject.toml", root / "LICENSE", Path(__file__), Path(wheel.__file__),
                  MAKER, root / "site_overrides" / "app" / SHARED):
        for file in building.files_of(place):
            total.update(str(file.relative_to(place.parent)).encode() + b"\0")
            total.update(hashlib.sha256(file.read_bytes()).digest())
    return total.hexdigest()[:16]


def pinned(packages: Path, root: Path = ROOT) -> str:
    """Pyodide's version, the same in our package.json, in the installed package and in its loader.

    Raises: Stop when the package is missing or of another version.
    """
    ours = root / "site_overrides" / "app" / "package.json"
    wanted = json.loads(ours.read_text("utf-8"))["dependencies"]["pyodide"]
    package = packages / "pyodide"
    lacking = [name for name in (*FILES, LOCK, "package.json") if not (package / name).is_file()]
    if lacking:
        raise Stop(_("The browser's Python is not there: {folder} lacks {names}. Run python3 handbook.py build, which "
                     "fetches it.").format(folder=package, names=", ".join(lacking)))
    found = json.loads((package / "package.json").read_text("utf-8"))["version"]
    if found != wanted:
        raise Stop(_("The browser's Python in {folder} is version {found}, and {file} asks for {wanted}: run "
                     "python3 handbook.py build, which fetches it.").format(
                         folder=package, found=found, file=ours, wanted=wanted))
    for name in ("pyodide.js", "pyodide.asm.js"):
        if f'"{wanted}"' not in (package / name).read_text("utf-8"):
            raise Stop(_("{file} is not of version {wanted}: remove {folder} and build again.").format(
                file=package / name, wanted=wanted, folder=packages))
    return wanted


def make(folder: Path, packages: Path, version: str, root: Path = ROOT) -> Runtime:
    """Fill the empty `folder` with the runtime's files, our wheel and runtime.json."""
    package = packages / "pyodide"
    lock = json.loads((package / LOCK).read_text("utf-8"))
    python = lock["info"]["python"]
    for name in FILES:
        shutil.copyfile(package / name, folder / name)
    (folder / DECODER[1]).write_bytes(decoder(packages / DECODER[0]))
    shutil.copyfile(root / "site_overrides" / "app" / SHARED, folder / SHARED)
    built = wheel.build(folder, root)
    write_lock(folder / LOCK, lock["info"], entry(built), built)
    _snapshot(folder, package / STDLIB, built, root)
    # Compiling the standard library here halves the time that Python takes to start without the snapshot.
    wheel.compiled(folder / STDLIB, python)
    plain = entry(built)
    used = wheel.compiled(built, python)
    if used != built:
        built.unlink()
    write_lock(folder / LOCK, lock["info"], plain, used)
    stock = sorted((STDLIB, LOCK, used.name))
    files = {name: integrity(folder / name) for name in sorted((*FILES, DECODER[1], SHARED, SNAPSHOT, LOCK, used.name))}
    runtime = Runtime(path=f"runtime/{content_hash(files)}/", pyodide=version, python=python, wheel=used.name,
                      files=files, stock=stock, info=lock["info"])
    (folder / "runtime.json").write_text(json.dumps(runtime.as_json(), indent=1) + "\n", "utf-8")
    return runtime


def decoder(script: Path) -> bytes:
    """The WebAssembly that `script` holds as a text in base64. Raises: Stop when it holds none.

    Taken out, since the script would fetch it from an address that the handbook's content policy refuses.
    """
    found = re.search(r'^const wasm = "([A-Za-z0-9+/]+=*)";$', script.read_text("utf-8"), re.MULTILINE)
    if found is None:
        raise Stop(_("{file} does not hold the decoder that unpacks Python's memory: the version in {lock} is not one that is "
                     "known here.").format(file=script, lock="site_overrides/app/package-lock.json"))
    return base64.b64decode(found[1])


def _snapshot(folder: Path, stdlib: Path, sources: Path, root: Path) -> None:
    """Write the snapshot of a Python that has imported the wheel `sources` into `folder`. Raises: Stop."""
    node, _npm = node_in(setup_env.site_packages(Path(sys.prefix)))
    passing(_("memory of a started Python"))
    running.run([node, MAKER, folder, stdlib, sources, root / "site_overrides" / "app" / SHARED, folder / SNAPSHOT],
                doing=_("start Python for the browser once"), cwd=folder, env={**os.environ, **PLACELESS}, log=CACHE / "snapshot.log",
                notice=lambda line: None)


def entry(built: Path) -> dict[str, Any]:
    """The lock file's entry for a wheel, as `pyodide lockfile add-wheels` writes it.

    Written here because that command refuses byte-compiled wheels, and because its library for older
    Pythons does not read this runtime's lock file.
    """
    with zipfile.ZipFile(built) as archive:
        names = archive.namelist()
        place = next(name for name in names if name.endswith(".dist-info/METADATA"))
        facts = BytesParser().parsebytes(archive.read(place))
    needs = facts.get_all("Requires-Dist") or []
    if needs:
        raise Stop(_("The calculators may need nothing but the standard library, and pyproject.toml asks for "
                     "{names}.").format(names=", ".join(needs)))
    tops = sorted({name.split("/")[0] for name in names if name.endswith(".py")})
    return {"name": facts["Name"], "version": facts["Version"], "install_dir": "site", "package_type": "package",
            "imports": tops, "depends": []}


def write_lock(file: Path, info: dict[str, Any], plain: dict[str, Any], used: Path) -> None:
    """Write the lock file with one package, the wheel `used`."""
    digest = hashlib.sha256(used.read_bytes()).hexdigest()
    package = {**plain, "file_name": used.name, "sha256": digest, "unvendored_tests": False}
    file.write_text(json.dumps({"info": info, "packages": {plain["name"]: package}}, sort_keys=True, indent=1) + "\n",
                    "utf-8")


def integrity(file: Path) -> str:
    """SHA-256 of a file as the web's `integrity` attribute has it, without the prefix: base64."""
    return base64.b64encode(hashlib.sha256(file.read_bytes()).digest()).decode()


def content_hash(files: dict[str, str]) -> str:
    """The folder's name: from names and hashes of all its files, so that all change together."""
    text = "".join(f"{name} {digest}\n" for name, digest in sorted(files.items()))
    return hashlib.sha256(text.encode()).hexdigest()[:16]
