"""Serves handbook and peers alike: texts packed by gzip as web servers do, every byte sent counted."""

import gzip
import time
from pathlib import Path

from macros.serve import Handler, Server, locate
from macros.web import caching

PACKED = {".html", ".js", ".mjs", ".css", ".json", ".wasm", ".svg", ".xml", ".txt", ".webmanifest"}
"""Endings of what gzip makes smaller; the rest is packed already."""

LARGE = 100_000
"""Bytes of a file that is packed before the first is asked for it, since packing would be in its time."""

_packed: dict[tuple[Path, int], bytes] = {}


class Counted(Server):
    """A server that knows how many bytes of bodies it sent, and for which addresses."""

    def __init__(self, folder: Path, any_script: bool = False) -> None:
        """`any_script`: without the handbook's content policy, which the theme's own pages would not work under."""
        super().__init__(folder, 0)
        self.policy = {"Content-Security-Policy": "frame-ancestors 'none'"} if any_script else {}
        self.sent: list[tuple[str, int]] = []
        self.before = self._answer
        self._asked = time.monotonic()
        for file in self.folder.rglob("*"):
            if file.suffix in PACKED and file.stat().st_size > LARGE:
                packed(file)
        self.start()

    def bytes(self, since: int = 0) -> int:
        """Bytes of bodies sent after the first `since` answers."""
        return sum(size for _path, size in self.sent[since:])

    def rest(self, seconds: float = 1) -> None:
        """Wait until nothing was asked for `seconds`."""
        while time.monotonic() - self._asked < seconds:
            time.sleep(seconds / 10)

    def _answer(self, handler: Handler) -> bool:
        self._asked = time.monotonic()
        path = handler.path.split("?")[0]
        file = locate(self.folder, path[len(self.base):]) if path.startswith(self.base) else None
        if file is None or file.is_dir():
            return False
        facts = file.stat()
        tag = f'"{facts.st_mtime_ns:x}-{facts.st_size:x}"'
        headers = {**self.policy, "Content-Type": self.types.get(file.suffix, "application/octet-stream"), "ETag": tag,
                   "Cache-Control": caching(file.relative_to(self.folder).as_posix()), "Vary": "Accept-Encoding"}
        if tag in handler.headers.get("If-None-Match", ""):
            handler.reply(304, None, headers)
            return True
        body = packed(file) if file.suffix in PACKED else file.read_bytes()
        if file.suffix in PACKED:
            headers["Content-Encoding"] = "gzip"
        self.sent.append((path, len(body)))
        handler.reply(200, body, headers)
        self._asked = time.monotonic()
        return True


def packed(file: Path) -> bytes:
    """A file packed, once in a run."""
    key = file.resolve(), file.stat().st_mtime_ns
    if key not in _packed:
        _packed[key] = gzip.compress(file.read_bytes(), 9, mtime=0)
    return _packed[key]
