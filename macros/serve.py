"""Serve the built handbook on this machine, as a real web server should serve it.

The types, the headers and the caching are those that any server of the handbook is to send (`web`); tests serve
through here too.
"""

import errno
import os
import posixpath
import socketserver
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import unquote, urlsplit

from macros.console import Stop, say
from macros.web import HEADERS, TYPES, caching
from macros.words import _

HOST = "127.0.0.1"


class Server(ThreadingHTTPServer):
    """Serves one folder under one base path.

    `types` are sent in place of TYPES' own (to try out a server with wrong ones). `before` is called with
    each request's handler first, and answers the request itself when it returns True.
    """

    daemon_threads = True
    # On Windows the option lets two programs share one port, so that the second seems to work.
    allow_reuse_address = os.name != "nt"

    def __init__(
        self, folder: Path, port: int, base: str = "/", types: Mapping[str, str] | None = None
    ) -> None:
        self.folder = folder.resolve()
        self.base = base if base.endswith("/") else base + "/"
        self.types = {**TYPES, **(types or {})}
        self.before: Callable[[Handler], bool] | None = None
        self._thread: threading.Thread | None = None
        super().__init__((HOST, port), Handler, bind_and_activate=False)
        try:
            self.server_bind()
        except BaseException:
            self.server_close()
            raise

    def server_bind(self) -> None:
        """Bind without asking a name server for this machine's name, which may take long and is not used."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = HOST, self.server_address[1]

    @property
    def url(self) -> str:
        """The address of the home page."""
        return f"http://{HOST}:{self.server_address[1]}{self.base}"

    def start(self) -> "Server":
        """Serve in a thread of its own."""
        self.server_activate()
        self._thread = threading.Thread(
            target=self.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True
        )
        self._thread.start()
        return self

    def close(self) -> None:
        """Stop serving and give the port back."""
        if self._thread is not None:
            self.shutdown()
            self._thread.join()
        self.server_close()

    def __exit__(self, *details: object) -> None:
        self.close()

    def handle_error(self, request: object, client_address: object) -> None:
        """A reader who goes away in the middle of an answer is no error worth a line."""


def serve_folder(
    folder: Path, port: int = 0, base: str = "/", types: Mapping[str, str] | None = None
) -> Server:
    """Serve `folder` in a thread, on any free port unless one is given; `close()` ends it."""
    return Server(Path(folder), port, base, types).start()


class Handler(BaseHTTPRequestHandler):
    """Answers GET and HEAD from the server's folder."""

    server: Server
    protocol_version = "HTTP/1.1"
    server_version = "handbook"
    sys_version = ""
    timeout = 60
    # Head and body are two writes; the second would wait, some 40 ms, until the browser has said that it has the first.
    disable_nagle_algorithm = True

    def do_GET(self) -> None:
        """The file, or why not."""
        if self.server.before is not None and self.server.before(self):
            return
        path = urlsplit(self.path).path
        if not path.startswith(self.server.base):
            self.redirect(self.server.base) if path == "/" else self._missing()
            return
        file = locate(self.server.folder, path[len(self.server.base) :])
        if file is None:
            self._missing()
        elif file.is_dir():
            self.redirect(posixpath.basename(path) + "/")
        else:
            self._file(file, HTTPStatus.OK)

    do_HEAD = do_GET

    def _refuse_method(self) -> None:
        """Nothing is ever sent to this server."""
        self.close_connection = True
        self.reply(HTTPStatus.METHOD_NOT_ALLOWED, b"", {"Allow": "GET, HEAD", "Connection": "close"})

    do_POST = do_PUT = do_DELETE = do_PATCH = do_OPTIONS = _refuse_method

    def redirect(self, to: str) -> None:
        """Say that it is at another address."""
        self.reply(HTTPStatus.MOVED_PERMANENTLY, b"", {"Location": to, "Cache-Control": "no-cache"})

    def _missing(self) -> None:
        page = self.server.folder / "404.html"
        if page.is_file():
            self._file(page, HTTPStatus.NOT_FOUND)
        else:
            self.reply(
                HTTPStatus.NOT_FOUND,
                _("There is no such page.").encode(),
                {"Content-Type": TYPES[".txt"], "Cache-Control": "no-cache"},
            )

    def _file(self, file: Path, status: HTTPStatus) -> None:
        with open(file, "rb") as opened:
            facts = os.fstat(opened.fileno())
            tag = f'"{facts.st_mtime_ns:x}-{facts.st_size:x}"'
            headers = {
                "Content-Type": self.server.types.get(file.suffix.lower(), "application/octet-stream"),
                "Cache-Control": caching(file.relative_to(self.server.folder).as_posix()),
                "ETag": tag,
            }
            if status is HTTPStatus.OK and tag in self.headers.get("If-None-Match", ""):
                self.reply(HTTPStatus.NOT_MODIFIED, None, headers)
            else:
                self.reply(status, opened.read(), headers)

    def reply(self, status: int, body: bytes | None, headers: Mapping[str, str]) -> None:
        """Send an answer, with the headers that every answer has; no body at all where it is None."""
        self.send_response(status)
        for name, value in {**HEADERS, **headers}.items():
            self.send_header(name, value)
        if body is not None:
            self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if body and self.command != "HEAD":
            self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        """Quiet: a page makes dozens of requests."""


def locate(folder: Path, path: str) -> Path | None:
    """The file (or folder, for an address without its last slash) in `folder` for an address's `path`.

    None when there is none, and for every path that leads out of the folder.
    """
    name = unquote(path)
    if "\0" in name or "\\" in name or ":" in name or any(part in ("..", ".") for part in name.split("/")):
        return None
    file = folder.joinpath(*[part for part in name.split("/") if part])
    try:
        file = file.resolve()
        if file != folder and folder not in file.parents:
            return None
        if file.is_dir() and (name.endswith("/") or not name):
            file = file / "index.html"
        elif name.endswith("/"):
            return None
        return file if file.is_file() or (file / "index.html").is_file() else None
    except OSError:
        return None


def run(content: Path, port: int, audience: str) -> int:
    """Build when something changed, then serve until Ctrl+C. Returns the exit status."""
    from macros import building

    with port_refusals(port):
        # Before a long build rather than after it.
        server = Server(building.place(audience)[0], port)
    try:
        status = building.build(content, quietly=True, audience=audience)
        if status:
            return status
        with port_refusals(port):
            server.server_activate()
        print(_("Serving the handbook at {url} (Ctrl+C ends it).").format(url=server.url), flush=True)
        server.serve_forever()
    except KeyboardInterrupt:
        say(_("Ended."))
    finally:
        server.server_close()
    return 0


@contextmanager
def port_refusals(port: int) -> Iterator[None]:
    """Turn the system's refusal of a port into one line. Raises: Stop."""
    try:
        yield
    except OSError as error:
        if error.errno in (errno.EADDRINUSE, getattr(errno, "WSAEADDRINUSE", None)):
            raise Stop(
                _(
                    "Port {port} on {host} is taken by another program. Choose another: "
                    "python3 handbook.py serve --port {other}"
                ).format(port=port, host=HOST, other=port + 1 if port < 65535 else port - 1)
            ) from None
        if error.errno in (errno.EACCES, errno.EPERM):
            raise Stop(
                _(
                    "Port {port} is not open to ordinary users. Choose another: "
                    "python3 handbook.py serve --port {other}"
                ).format(port=port, other=8765)
            ) from None
        raise
