"""MkDocs' hooks: the one file that knows MkDocs. Content in, the handbook's own pages out.

Nothing of the content folder is published but guides and their pictures: the YAML holds costs.
"""

import logging
import os
import sys
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import urlsplit

# The `mkdocs` command does not put the project on the path by itself.
_ROOT = str(Path(__file__).resolve().parent.parent)
if _ROOT not in sys.path:
    sys.path.insert(0, _ROOT)

# Material prints a notice about a later major version of MkDocs; it says nothing about this build.
os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")

import jinja2  # noqa: E402
from mkdocs.config.defaults import MkDocsConfig  # noqa: E402
from mkdocs.exceptions import Abort  # noqa: E402
from mkdocs.plugins import event_priority  # noqa: E402
from mkdocs.structure.files import File, Files  # noqa: E402
from mkdocs.structure.nav import Navigation  # noqa: E402
from mkdocs.structure.pages import Page  # noqa: E402

from macros import offline, runtime  # noqa: E402
from macros.check import load_and_check  # noqa: E402
from macros.console import Stop  # noqa: E402
from macros.pages import shell  # noqa: E402
from macros.pages.drawings import BadDrawing  # noqa: E402
from macros.pages.site import Site  # noqa: E402
from macros.words import _, catalogue  # noqa: E402

log = logging.getLogger("mkdocs.handbook")

GUIDES = "guides"
"""Folder of the content with pages written in Markdown."""

THEME_PARTS = ("app", "look")
"""Folders of site_overrides that are published, besides sw.js and icon.svg."""

_site: Site | None = None


def _now() -> Site:
    assert _site is not None, "on_config comes first"
    return _site


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Read and check the content. Raises: Abort after saying every problem."""
    global _site
    content = Path(config.docs_dir)
    handbook, problems = load_and_check(content)
    for problem in problems:
        log.error(problem.with_source(content.resolve().parent))
    if problems or handbook is None:
        raise Abort(_("Not built: {number} problems in the content.").format(number=len(problems)))
    texts = catalogue.use(handbook.language)
    try:
        _site = Site(handbook, texts)
    except BadDrawing as bad:
        raise Abort(str(bad)) from None
    config.site_name = handbook.name
    config.theme["language"] = handbook.language
    # It would hold the day of the build, and there is no search engine to read it.
    config.theme.static_templates.discard("sitemap.xml")
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Take out what must not or need not be published, add the pages and files made from the content."""
    for file in list(files):
        if not _published(PurePosixPath(file.src_uri), file.src_dir == config.docs_dir):
            files.remove(file)
    for page in _now().pages.values():
        files.append(File.generated(config, f"{page.address}index.md", content="\n"))
    for name, content in _now().files().items():
        files.append(File.generated(config, name, content=content))
    return files


def _published(path: PurePosixPath, of_content: bool) -> bool:
    top = path.parts[0]
    if of_content:
        return top == GUIDES and path.suffix not in (".yml", ".yaml")
    return top in THEME_PARTS and len(path.parts) > 1 or str(path) in ("sw.js", "icon.svg")


def on_env(env: jinja2.Environment, config: MkDocsConfig, files: Files) -> jinja2.Environment:
    """Words of the page's frame in the handbook's language."""
    env.add_extension("jinja2.ext.i18n")
    env.install_gettext_callables(_, lambda one, more, n: _(one if n == 1 else more), newstyle=True)  # type: ignore[attr-defined]
    return env


def on_page_markdown(markdown: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """The titles of our own pages."""
    ours = _now().pages.get(page.url.removeprefix("./"))
    if ours is not None:
        page.meta["title"] = ours.title
    return markdown


def on_page_content(html: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """Our own pages come from our own templates; guides stay as Markdown made them."""
    ours = _now().pages.get(page.url.removeprefix("./"))
    return html if ours is None else _refusing(lambda: _now().html(ours))


def _refusing(make: Callable[[], str]) -> str:
    try:
        return make()
    except BadDrawing as bad:
        raise Abort(str(bad)) from None


def on_page_context(context: dict[str, Any], page: Page, config: MkDocsConfig, nav: Navigation) -> dict[str, Any]:
    """What the page's frame shows: edition, machines, the way back."""
    url = page.url.removeprefix("./")
    return {**context, "frame": _now().frame(url, str(page.title or ""))}


def on_template_context(context: dict[str, Any], template_name: str, config: MkDocsConfig) -> dict[str, Any]:
    """The same for 404.html, which may be shown at any address: its links start at the server's root."""
    return {**context, "frame": _missing_page(config)}


def on_post_page(output: str, page: Page, config: MkDocsConfig) -> str:
    """Take the theme's unused parts out."""
    return shell.finished(output, _now().frame(page.url.removeprefix("./"), str(page.title or "")))


def on_post_template(output: str, template_name: str, config: MkDocsConfig) -> str:
    """The same for 404.html."""
    return shell.finished(output, _missing_page(config))


def _missing_page(config: MkDocsConfig) -> shell.Frame:
    root = urlsplit(config.site_url or "").path.rstrip("/") + "/"
    return _now().frame("404.html", _("There is no such page"), root=root)


@event_priority(-100)
def on_post_build(config: MkDocsConfig) -> None:
    """Last of all: the browser's Python, then the list of the edition's files."""
    site = Path(config.site_dir)
    handbook = _now().handbook
    try:
        runtime.put(site)
    except Stop as stop:
        raise Abort(str(stop)) from None
    offline.write(site, handbook.edition, str(handbook.date))
