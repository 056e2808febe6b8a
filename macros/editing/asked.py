"""What ``serve --edit`` makes when it is asked for: pages, and a while after the last change the index of the search."""

import contextlib
import time
from pathlib import Path

from macros import searching
from macros.console import Stop, say
from macros.model import Handbook
from macros.pages import find
from macros.pages.frame import Frame
from macros.pages.site import Site

QUIET = 1.0
"""Seconds without another change, after which the search is brought up to date."""


class Pages:
    """The pages of the handbook as it is now, in the frame of the last build."""

    def __init__(self) -> None:
        self.site: Site | None = None
        self._frame: Frame | None = None
        self._built: frozenset[str] = frozenset()

    def __bool__(self) -> bool:
        return self.site is not None

    def __contains__(self, url: str) -> bool:
        return self.site is not None and url in self.site.pages

    def use(self, made: tuple[Site, Frame]) -> None:
        """What a build made."""
        self.site, self._frame = made
        self._built = frozenset(self.site.pages)

    def renew(self, handbook: Handbook) -> None:
        """The handbook says something else now."""
        assert self.site is not None
        self.site = Site(handbook, self.site.audience)

    def page(self, url: str) -> str | None:
        """The page at an address relative to home; None when there is none."""
        site = self.site
        if site is None or self._frame is None or url not in site.pages:
            return None
        return self._frame.around(site.pages[url], site.render(site.pages[url]))

    def gone(self, url: str) -> bool:
        """Whether the last build had a page there, and now there is none."""
        return url in self._built and url not in self


class Index:
    """The index of the search, made again by Node once nothing more is changed, and put into the site that is served."""

    def __init__(self) -> None:
        self._wanted: Site | None = None
        self._since = 0.0
        self._open = contextlib.ExitStack()
        self._making: searching.Making | None = None

    def renew(self, site: Site | None) -> None:
        """The pages say something else now."""
        self.forget()
        self._wanted, self._since = site, time.monotonic()

    def forget(self) -> None:
        """Leave what was begun."""
        self._wanted = self._making = None
        self._open.close()

    close = forget

    def look(self, folder: Path | None) -> None:
        """Begin, go on, or put the index into the site in `folder`, whichever it is time for."""
        site = self._wanted
        if site is None or folder is None or time.monotonic() - self._since < QUIET:
            return
        try:
            if self._making is None:
                book = site.handbook
                self._making = self._open.enter_context(searching.making(find.documents(site), book.synonyms.groups, book.language))
            elif self._making.process.poll() is not None:
                self._making.put_index(folder)
                self.forget()
        except Stop as stop:
            say(str(stop))
            self.forget()
