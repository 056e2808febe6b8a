"""nginx and Caddy out of Debian's packages, started with the settings that publish prints."""

import os
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from macros import debian, settings
from macros.serve import HOST

PACKAGES = {"nginx": "nginx", "caddy": "caddy"}


def program(server: str) -> str:
    """The server's program. A test that cannot get it has not run, and a run with such a test has failed."""
    found = debian.fetched(PACKAGES[server], server)
    if found is None:
        pytest.skip(f"not run: {server} is not installed, and Debian's package cannot be got here")
    return found


def free_port() -> int:
    with socket.socket() as one:
        one.bind((HOST, 0))
        return one.getsockname()[1]


@contextmanager
def running(server: str, web: Path, base: str, work: Path, sign_on: str | None = None) -> Iterator[str]:
    """The handbook published in `web`, served by `server` under `base`: its address. `work` is for the server's own files."""
    address = f"http://{HOST}:{free_port()}{base}"
    given = work / "settings"
    work.mkdir()
    given.write_text(settings.text(server, web, address, sign_on), "utf-8")
    with started(server, given, work, address):
        yield address


@contextmanager
def started(server: str, given: Path, work: Path, address: str) -> Iterator[None]:
    """`server` with the settings in the file `given`, until the end; it answers at `address`."""
    work.mkdir(exist_ok=True)
    command = _nginx(given, work) if server == "nginx" else _caddy(given)
    log = open(work / "log", "wb")
    env = {**os.environ, "XDG_DATA_HOME": str(work), "XDG_CONFIG_HOME": str(work), "HOME": str(work)}
    child = subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT, env=env, cwd=work)
    try:
        _wait(child, address, work)
        yield
    finally:
        child.send_signal(signal.SIGTERM)
        child.wait()
        log.close()


def _nginx(given: Path, work: Path) -> list[str]:
    """nginx with these settings alone, in the foreground, everything it writes in `work`."""
    user = "user root;\n" if os.geteuid() == 0 else ""  # tests' folders are closed to others
    (work / "nginx.conf").write_text(
        f"{user}daemon off;\nworker_processes 1;\nerror_log stderr;\npid {work}/nginx.pid;\nevents {{}}\nhttp {{\n    access_log off;\n"
        + "".join(f"    {name}_temp_path {work}/{name};\n" for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi"))
        + f"    include {given};\n}}\n", "utf-8")
    return [program("nginx"), "-p", str(work), "-c", str(work / "nginx.conf"), "-e", "stderr"]


def _caddy(given: Path) -> list[str]:
    """Caddy with these settings, without its own interface for orders, which every one of them would open at one port."""
    config = given.with_name("Caddyfile")
    config.write_text("{\n\tadmin off\n\tauto_https off\n}\n" + given.read_text("utf-8"), "utf-8")
    return [program("caddy"), "run", "--config", str(config), "--adapter", "caddyfile"]


def _wait(child: subprocess.Popen, address: str, work: Path) -> None:
    host, port = address.split("/")[2].split(":")
    for _again in range(600):
        if child.poll() is not None:
            break
        with socket.socket() as one:
            if one.connect_ex((host, int(port))) == 0:
                return
        time.sleep(0.05)
    raise AssertionError(f"{work}: it did not start: {(work / 'log').read_text('utf-8', 'replace')}")


