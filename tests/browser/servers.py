"""nginx and Caddy out of Debian's packages, started with the settings that publish prints."""

import base64
import hashlib
import os
import signal
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from macros import debian, settings
from macros.serve import HOST

PACKAGES = {"nginx": "nginx", "caddy": "caddy", "openssl": "openssl"}

NAME = "handbook.example"
"""The host that certificates are for. A browser takes this machine for secure, certificate or not, and no other."""


@dataclass(frozen=True)
class Secure:
    """A server that is asked by https: its address, the certificate that vouches for its own, and what its own says."""

    address: str
    authority: Path
    certificate: Path

    def flags(self) -> tuple[str, str]:
        """With these Chromium finds the host on this machine, and takes this one certificate though nobody vouches for
        it."""
        key = _openssl("x509", "-in", self.certificate, "-noout", "-pubkey")
        key = base64.b64decode(b"".join(key.splitlines()[1:-1]))
        pin = base64.b64encode(hashlib.sha256(key).digest()).decode()
        return f"--host-resolver-rules=MAP {NAME} {HOST}", f"--ignore-certificate-errors-spki-list={pin}"


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
    """The handbook published in `web`, served by `server` under `base`: its address. `work` is for the server's own
    files."""
    address = f"http://{HOST}:{free_port()}{base}"
    given = work / "settings"
    work.mkdir()
    given.write_text(settings.text(server, web, address, sign_on), "utf-8")
    with started(server, given, work, address):
        yield address


@contextmanager
def secure(server: str, web: Path, base: str, work: Path) -> Iterator[Secure]:
    """The same by https: nginx with a certificate where its settings name one, Caddy with one that it gets by
    itself."""
    address = f"https://{NAME}:{free_port()}{base}"
    given = work / "settings"
    work.mkdir()
    text = settings.text(server, web, address)
    if server == "nginx":
        authority = own = certificate(work, NAME)
        text = beside(text, work)
    else:
        authority = work / "caddy" / "pki" / "authorities" / "local" / "root.crt"
        own = work / "caddy" / "certificates" / "local" / NAME / f"{NAME}.crt"
    given.write_text(text, "utf-8")
    with started(server, given, work, address):
        yield Secure(address, authority, own)


def certificate(folder: Path, name: str) -> Path:
    """Make a certificate for the host `name` that vouches for itself, handbook.crt, and its key beside it."""
    made = folder / "handbook.crt"
    _openssl("req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={name}", "-addext",
             f"subjectAltName=DNS:{name}", "-keyout", folder / "handbook.key", "-out", made)
    return made


def beside(text: str, folder: Path) -> str:
    """nginx's settings, with the certificate in `folder` instead of the system's own."""
    assert "/etc/ssl/handbook.crt;" in text and "/etc/ssl/handbook.key;" in text
    return text.replace("/etc/ssl/", f"{folder}/")


def _openssl(*arguments: str | Path) -> bytes:
    return subprocess.run([program("openssl"), *arguments], check=True, capture_output=True).stdout


def found_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let this process find `NAME` on this machine, as the browser does."""
    look_up = socket.getaddrinfo
    monkeypatch.setattr(socket, "getaddrinfo", lambda host, *more,
                        **named: look_up(HOST if host == NAME else host, *more, **named))


@contextmanager
def started(server: str, given: Path, work: Path, address: str) -> Iterator[None]:
    """`server` with the settings in the file `given`, until the end; it answers at `address`."""
    work.mkdir(exist_ok=True)
    command = _nginx(given, work) if server == "nginx" else _caddy(given, address)
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
        f"{user}daemon off;\nworker_processes 1;\nerror_log stderr;\npid {work}/nginx.pid;\nevents {{}}\nhttp "
        f"{{\n    access_log off;\n"
        + "".join(f"    {name}_temp_path {work}/{name};\n"
                  for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi"))
        + f"    include {given};\n}}\n", "utf-8")
    return [program("nginx"), "-p", str(work), "-c", str(work / "nginx.conf"), "-e", "stderr"]


def _caddy(given: Path, address: str) -> list[str]:
    """Caddy with these settings, without its own interface for orders, which every one of them would open at one port.

    By https it vouches for its certificates itself, since nobody else can for a machine that is not in the net, and
    leaves this machine's own list of whom it trusts alone.
    """
    config = given.with_name("Caddyfile")
    by_itself = "local_certs\n\tskip_install_trust\n\tauto_https disable_redirects"
    certificates = "auto_https off" if address.startswith("http:") else by_itself
    config.write_text(f"{{\n\tadmin off\n\t{certificates}\n}}\n{given.read_text('utf-8')}", "utf-8")
    return [program("caddy"), "run", "--config", str(config), "--adapter", "caddyfile"]


def _wait(child: subprocess.Popen, address: str, work: Path) -> None:
    port = address.split("/")[2].split(":")[1]
    for _again in range(600):
        if child.poll() is not None:
            break
        if _greets(int(port), secure=address.startswith("https:")):
            return
        time.sleep(0.05)
    raise AssertionError(f"{work}: it did not start: {(work / 'log').read_text('utf-8', 'replace')}")


def _greets(port: int, secure: bool) -> bool:
    """Whether it takes a connection; by https, whether it has a certificate to show, which Caddy makes after it takes the first."""
    try:
        with socket.create_connection((HOST, port), timeout=5) as one:
            if secure:
                context = ssl.create_default_context()
                context.check_hostname = False
                context.verify_mode = ssl.CERT_NONE  # whom it is trusted by is the tests' own matter
                context.wrap_socket(one, server_hostname=NAME).close()
            return True
    except OSError:
        return False
