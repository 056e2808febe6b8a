"""The frame around every page of the handbook: the theme's page rendered once, with places for what differs from page to page."""

from dataclasses import dataclass

from markupsafe import escape

from macros.pages.shell import without_empty_lines
from macros.pages.site import Page

#: Stand in the frame for what a page puts there. Characters of Unicode's private use area, which `check` refuses in content.
BASE, TITLE, REMEMBERED, BACK_URL, BACK_TITLE, CONTENT = "\ue000\ue001\ue002\ue003\ue004\ue005"

_REMEMBER = f' data-remember="{REMEMBERED}"'


@dataclass(frozen=True)
class Frame:
    """The frame as HTML, and the handbook's name, with which every title ends."""

    html: str
    name: str

    def around(self, page: Page, content: str) -> str:
        """The whole page with its `content`."""
        html = self.html if page.url and page.label else self.html.replace(_REMEMBER, "")
        for place, text in ((BASE, page.base), (REMEMBERED, str(escape(page.title))), (TITLE, str(escape(title(page, self.name)))),
                            (BACK_URL, page.back.url), (BACK_TITLE, str(escape(page.back.title)))):
            html = html.replace(place, text)
        before, _content, after = html.partition(CONTENT)
        return f"{before}{without_empty_lines(content).rstrip()}{after}"


def title(page: Page, name: str) -> str:
    """What stands in the browser's title."""
    return f"{page.title} – {name}" if page.url else name
