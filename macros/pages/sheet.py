"""What a template has at hand while one page is made: addresses, drawings, signs, ids of its own."""

from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from macros.pages import drawings, signs
from macros.words import _

if TYPE_CHECKING:
    from macros.pages.site import Site

TEMPLATES = Path(__file__).parent / "templates"


def environment() -> Environment:
    """Templates with everything escaped, and the catalogue's words."""
    made = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True, extensions=["jinja2.ext.i18n"])
    made.install_gettext_callables(_, lambda one, more, n: _(one if n == 1 else more), newstyle=True)  # type: ignore[attr-defined]
    return made


class Sheet:
    """One page while it is made. `base`: relative address of home, ends with a slash."""

    def __init__(self, site: "Site", base: str):
        self.site = site
        self.base = base
        self._drawn: dict[str, int] = {}

    def to(self, kind: str, id: str) -> str:
        """Address of a page, relative to this one: `to("procedures", "make-safe")`."""
        return f"{self.base}{kind}/{id}/"

    def drawing(self, name: str) -> Markup:
        """A drawing of the content, its ids unique on this page. Raises: BadDrawing."""
        return Markup(self.site.drawings.inline(name, self._next(name)))

    def picture(self, svg: str) -> Markup:
        """A calculator's picture, its ids unique on this page."""
        if not svg:
            return Markup("")
        name = drawings.name_of(svg)
        return Markup(drawings.numbered(svg, name, self._next(name)))

    def caption(self, name: str) -> str:
        """What a drawing of the content is, in its own words."""
        return self.site.drawings.title(name)

    def sign(self, id: str) -> Markup:
        """A safety sign as SVG with its name."""
        return Markup(signs.svg(id))

    def alert(self, signal: str) -> Markup:
        """The triangle of a signal word's panel; empty for NOTICE."""
        return Markup(signs.alert(signal))

    def _next(self, name: str) -> int:
        self._drawn[name] = self._drawn.get(name, 0) + 1
        return self._drawn[name]
