"""What the handbook is measured against in a browser: small pages of this folder, served with packages from npm."""

import shutil
from pathlib import Path

from macros import setup_npm
from macros.console import CACHE, Stop

HERE = Path(__file__).parent

FOR_BENCH = setup_npm.Wanted("tests/bench/npm", "npm-bench", "Fetching what the benchmarks measure against by npm.")


def packages() -> Path | None:
    """The folder of npm's packages that only benchmarks use; None where they cannot be fetched, which is said."""
    try:
        return setup_npm.ensure(wanted=FOR_BENCH)
    except Stop as lack:
        print(f"Left out what needs them: {lack}")
        return None


def folder() -> Path:
    """A folder to be served: the pages beside this file, the stock runtime with our wheel, MicroPython where it is had."""
    made = CACHE / "bench" / "peers"
    shutil.rmtree(made, ignore_errors=True)
    made.mkdir(parents=True)
    for file in HERE.glob("*.*"):
        if file.suffix in (".html", ".js"):
            shutil.copyfile(file, made / file.name)
    shutil.copytree(setup_npm.NODE_MODULES / "pyodide", made / "pyodide")
    found = packages()
    if found:
        shutil.copytree(found / "@micropython" / "micropython-webassembly-pyscript", made / "micro")
    return made
