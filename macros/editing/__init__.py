"""``serve --edit``: the handbook while it is written.

What is saved is checked at once, and the pages that are open renew themselves: each is made when it is asked for, so that a page
is there as soon in a handbook of thousands as in one of twenty. While the content is wrong they show its problems above the last
page that was in order. The script and the style for that are here, beside the code: they are put into pages as this server sends
them, and are no part of any build.
"""

import json
import shutil
import tempfile
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

from macros import building
from macros.check import load_and_check
from macros.console import CACHE, Stop, say
from macros.editing.asked import Index, Pages
from macros.model import Handbook
from macros.problems import Problem
from macros.serve import TYPES, Handler, Server, locate, port_refusals
from macros.words import _

OWN = "~edit/"
"""Where the addresses of this mode begin; no page of a handbook can have one of these."""

FILES = ("editing.js", "editing.css")
BETWEEN = 0.2
"""Seconds between two looks at the content folder."""

State = dict[str, tuple[int, int]]
"""Path of each file of the content -> when it was written, and its size."""

LONGEST = 20.0
"""Seconds after which a page that waits for news is told that there are none."""


@dataclass(frozen=True)
class News:
    """What an open page is told: `turn` grows with each news, `built` is the build that pages are of now, `html` what to show."""

    turn: int
    built: int
    html: str = ""


class Editing:
    """Watches a content folder, builds what is in order, and answers the requests of open pages."""

    def __init__(self, content: Path) -> None:
        self.content = content
        CACHE.mkdir(exist_ok=True)
        self.folder = Path(tempfile.mkdtemp(prefix="edit-", dir=CACHE))
        # A page that a server before this one sent knows another number, and renews itself.
        start = int(time.time())
        self.news = News(start, start)
        self._sites: list[Path] = []
        self._changed = threading.Condition()
        self._seen: State | None = None
        self._pages = Pages()
        self._index = Index()
        self._waiting: set[str] = set()

    @property
    def site(self) -> Path | None:
        """The last build that was in order; None before the first."""
        return self._sites[-1] if self._sites else None

    def close(self) -> None:
        """Take away what was built."""
        self._index.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    # ---- the content ----

    def look(self) -> bool:
        """Check and show what was saved since the last look; whether there was anything."""
        now = self._state()
        if now == self._seen:
            self._index.look(self.site)
            return False
        if self._seen is not None:
            while (again := self._settled()) != now:  # an editor may still be writing
                now = again
        before, self._seen = self._seen or {}, now
        changed = {name for name in now.keys() | before.keys() if now.get(name) != before.get(name)}
        self._waiting |= changed
        began = time.monotonic()
        handbook, problems = load_and_check(self.content)
        if problems or handbook is None:
            self._tell(_problems(problems, self.content), self.news.built)
            for problem in problems:
                print(problem.with_source(self.content.resolve().parent), flush=True)
            say(_("Not in order; the last pages that were stay. Mend it and save."))
            return True
        if self._pages and all(map(self._made_when_asked, self._waiting)):
            self._pages.renew(handbook)
            self._index.renew(self._pages.site)
            self._tell("", self.news.built + 1)
        elif not self._build(handbook):
            return True
        self._waiting.clear()
        say(_("Shown after {seconds} s.").format(seconds=f"{time.monotonic() - began:.1f}"))
        return True

    def _made_when_asked(self, name: str) -> bool:
        """Whether a change of the file is seen in nothing but pages, which are made when they are asked for."""
        inside = Path(name).relative_to(self.content)
        return inside.parts[0] in ("procedures", "machines", "guides", "drawings") or inside.name in (
            "parts.yml", "tools.yml", "symptoms.yml", "glossary.yml", "hazards.yml", "synonyms.yml", "words.yml")

    def _build(self, handbook: Handbook) -> bool:
        """Build all; whether MkDocs took it."""
        built = self.news.built + 1
        fresh, said = self.folder / str(built), []
        try:
            made = building.with_mkdocs(self.content, fresh, tell=said.append, handbook=handbook)
        except Stop as stop:
            shutil.rmtree(fresh, ignore_errors=True)
            self._tell(_refused([*said, str(stop)]), self.news.built)
            say("\n".join([*said, str(stop)]))
            return False
        self._sites.append(fresh)
        self._pages.use(made)
        self._index.forget()
        self._tell("", built)
        for old in self._sites[:-2]:  # a page of the one before may still be loading
            self._sites.remove(old)
            shutil.rmtree(old, ignore_errors=True)
        return True

    def _state(self) -> State:
        found = {}
        for path in building.files_of(self.content):
            try:
                facts = path.stat()
            except OSError:  # it was there a moment ago
                continue
            found[str(path)] = facts.st_mtime_ns, facts.st_size
        return found

    def _settled(self) -> State:
        time.sleep(BETWEEN / 2)
        return self._state()

    # ---- the pages ----

    def _tell(self, html: str, built: int) -> None:
        with self._changed:
            self.news = News(self.news.turn + 1, built, html)
            self._changed.notify_all()

    def answer(self, handler: Handler) -> bool:
        """For `Server.before`: answer what this mode answers itself; False leaves the request to the server."""
        server, parts = handler.server, urlsplit(handler.path)
        if not parts.path.startswith(server.base):
            return False
        name = parts.path.removeprefix(server.base)
        if name == f"{OWN}now":
            self._now(handler, parse_qs(parts.query).get("turn", [""])[0])
        elif name.startswith(OWN) and name.removeprefix(OWN) in FILES:
            file = Path(__file__).parent / name.removeprefix(OWN)
            _send(handler, 200, file.read_bytes(), TYPES[file.suffix])
        elif name == "sw.js":  # nothing is saved on the author's own device: it would answer in the pages' place
            _send(handler, 404, b"", TYPES[".js"])
        elif self.site is None:
            _send(handler, 503, self._marked(_BARE.format(title=escape(_("The handbook"))), server.base), TYPES[".html"])
        else:
            server.folder = self.site.resolve()
            page = self._pages.page(name)
            if page is not None:
                _send(handler, 200, self._marked(page, server.base), TYPES[".html"])
                return True
            if f"{name}/" in self._pages:
                handler.redirect(f"{name.rpartition('/')[2]}/")
                return True
            return self._file(handler, None if self._pages.gone(name) else locate(server.folder, name))
        return True

    def _file(self, handler: Handler, file: Path | None) -> bool:
        missing = file is None
        file = handler.server.folder / "404.html" if file is None else file
        if file.suffix != ".html" or not file.is_file():
            return False
        _send(handler, 404 if missing else 200, self._marked(file.read_text("utf-8"), handler.server.base), TYPES[".html"])
        return True

    def _marked(self, html: str, base: str) -> bytes:
        """A page with this mode's script and style, which know from which build it is."""
        own = (f'<link rel="stylesheet" href="{base}{OWN}editing.css">\n'
               f'<script type="module" src="{base}{OWN}editing.js?built={self.news.built}"></script>\n</head>')
        return html.replace("</head>", own, 1).encode()

    def _now(self, handler: Handler, turn: str) -> None:
        """The news, as soon as there are others than those that the page knows."""
        with self._changed:
            self._changed.wait_for(lambda: str(self.news.turn) != turn, LONGEST)
            news = self.news
        _send(handler, 200, json.dumps({"turn": news.turn, "built": news.built, "html": news.html}).encode(), TYPES[".json"])


_BARE = '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{title}</title>\n</head>\n<body>\n</body>\n</html>\n'


def _send(handler: Handler, status: int, body: bytes, kind: str) -> None:
    handler.reply(status, body, {"Content-Type": kind, "Cache-Control": "no-store"})


def _problems(problems: Sequence[Problem], content: Path) -> str:
    """All problems as HTML, each with its place, its line and the caret."""
    root, parts = content.resolve().parent, []
    for problem in problems:
        says, _newline, source = problem.with_source(root).partition("\n")
        shown = f"<pre>{escape(source)}</pre>" if source else ""
        parts.append(f"<li><p>{escape(says)}</p>{shown}</li>")
    number = _("{number} problems.").format(number=len(problems)) if len(problems) > 1 else _("1 problem.")
    return _panel(number, "".join(parts))


def _refused(lines: Sequence[str]) -> str:
    return _panel(_("The pages cannot be made."), "".join(f"<li><p>{escape(line)}</p></li>" for line in lines))


def _panel(title: str, items: str) -> str:
    below = _("Mend it and save: this page renews itself. Below stands the last one that was in order.")
    return f"<h2>{escape(title)}</h2><p>{escape(below)}</p><ol>{items}</ol>"


def run(content: Path, port: int) -> int:
    """Serve the handbook while it is written, until Ctrl+C. Returns the exit status."""
    editing = Editing(content)
    try:
        with port_refusals(port):
            server = Server(editing.folder, port)
            server.before = editing.answer
            server.start()
        try:
            print(_("Showing the handbook at {url}: save a file, and the page renews itself (Ctrl+C ends it).").format(
                url=server.url), flush=True)
            while True:
                editing.look()
                time.sleep(BETWEEN)
        except KeyboardInterrupt:
            say(_("Ended."))
        finally:
            server.close()
    finally:
        editing.close()
    return 0
