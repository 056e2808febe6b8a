"""The only file that knows MkDocs: has it make the frame of the handbook's pages, and takes out what must not be published.

MkDocs calls the functions below by their names. It builds what authors write in Markdown beside the YAML, copies files, and
renders the theme's page once, as the frame of all pages that `macros.pages` makes. It knows where those will be, so that links to
them are checked; they are written by `macros.pages.writing`, since MkDocs holds every page in memory and renders one at a time.
"""

import shutil
import sys
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page

# `mkdocs` is a program of its own, which does not look for modules beside mkdocs.yml.
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from macros import audience, bill, naming, offline, own_mark, runtime, searching  # noqa: E402
from macros.check import load_and_check  # noqa: E402
from macros.console import Stop  # noqa: E402
from macros.pages import files, find, shell, visits, writing  # noqa: E402
from macros.pages import frame as framing  # noqa: E402
from macros.pages.frame import Frame  # noqa: E402
from macros.pages.site import Link, Site  # noqa: E402
from macros.words import _, catalogue  # noqa: E402

PUBLISHED = (".md", ".svg", ".png", ".jpg", ".jpeg", ".webp")
"""What of the content folder may be published as it is, besides the pages made from it."""

NOT_PUBLISHED = ("README.md", own_mark.FILE, *own_mark.PICTURES)
"""What is for the authors alone, and the mark, which has an address of its own."""

FRAME = "~frame.md"
"""The page that MkDocs makes for the frame's sake; it is not published."""

_site: Site
_texts: dict[str, str]
_frame: str


class Made(File):
    """A page that MkDocs only knows of: others may link to it."""

    def is_documentation_page(self) -> bool:
        return False

    def copy_file(self, dirty: bool = False) -> None:
        """Written later."""


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Read and check the content, unless that has just been done. Raises: PluginError with every problem, one a line."""
    global _site, _texts
    content = Path(config.docs_dir)
    handbook, problems = config.extra.get("checked") or load_and_check(content)
    if problems or handbook is None:
        parent = content.resolve().parent
        lines = [problem.with_source(parent) for problem in problems]
        raise PluginError("\n".join([_("The content has problems ({number}):").format(number=len(lines)), *lines]))
    readers = config.extra.get("audience", audience.DEFAULT)
    if readers not in audience.AUDIENCES:
        raise PluginError(_("There is no audience {given!r}; there are: {names}.").format(
            given=readers, names=", ".join(audience.AUDIENCES)))
    _texts = catalogue.use(handbook.language)
    _site = Site(handbook, readers)
    config.site_name = handbook.name
    config.theme["language"] = handbook.language
    # The list for search engines holds the day of the build; the same content must give the same bytes.
    config.theme.static_templates.discard("sitemap.xml")
    return config


def on_files(files_: Files, config: MkDocsConfig) -> Files:
    """Take out what is not published, put in what is made from the content."""
    content, own = Path(config.docs_dir).resolve(), Path(config.theme.custom_dir).resolve()
    for file in list(files_):
        if not _stays(file, content, own):
            files_.remove(file)
    icons = files.own_icons(_site.handbook)
    for name in icons.keys() | files.lacking(_site.handbook):
        if stock := files_.get_file_from_path(name):
            files_.remove(stock)
    for name, picture in icons.items():
        files_.append(File.generated(config, name, content=picture))
    for page in _site.pages.values():
        if files_.get_file_from_path(page.source):
            raise PluginError(_("{file}: the handbook makes the page {url} by itself; rename this file.").format(
                file=page.source, url=page.url or "./"))
        files_.append(Made(page.source, None, config.site_dir, True, dest_uri=f"{page.url}index.html"))
    files_.append(_generated(config, FRAME, ""))
    made = {
        "look/look.css": files.stylesheet(own / "look", _site.handbook),
        files.FOOT: files.foot(_site.handbook),
        "manifest.webmanifest": files.manifest(_site.handbook),
        visits.SCHEMA: files.schema(own),
        **({"app/words.json": files.words(_texts)} if _texts else {}),
        **files.figures(_site),
        **files.known(_site),
    }
    for name, text in made.items():
        files_.append(_generated(config, name, text))
    return files_


def _generated(config: MkDocsConfig, name: str, text: str) -> File:
    # Navigation is not rendered: in every page it would make the site grow with the square of its pages.
    level = InclusionLevel.NOT_IN_NAV if name.endswith(".md") else InclusionLevel.INCLUDED
    return File.generated(config, name, content=text, inclusion=level)


def _stays(file: File, content: Path, own: Path) -> bool:
    """Whether a file of the content, of site_overrides or of the theme is published."""
    source = Path(file.abs_src_path or "").resolve()
    if file.src_dir and Path(file.src_dir).resolve() == content:
        # A link in the folder could lead anywhere; YAML holds costs; drawings stand inside the pages, guides become pages.
        return (source.is_relative_to(content) and source.suffix.lower() in PUBLISHED
                and not file.src_uri.startswith(("drawings/", "guides/")) and file.src_uri not in NOT_PUBLISHED)
    # Of the theme nothing is loaded; of our own the style sheets are published as one, the search comes with its index, and
    # folder/ is for editions without a server.
    return (source.is_relative_to(own) and not any(source.is_relative_to(own / name) for name in (searching.FOLDER, "folder"))
            and source.suffix not in (".css", ".json", ".map") and source.name != "package.json")


def on_page_content(html: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """The frame has a place for the content; another page is as Markdown gave it."""
    return framing.CONTENT if page.file.src_uri == FRAME else html


def on_env(env: Any, config: MkDocsConfig, files: Files) -> Any:
    """What the theme's templates need to know of the handbook."""
    env.globals.update(_=_, handbook=_site.handbook, site=_site)
    return env


def on_page_context(context: dict[str, Any], page: Page, config: MkDocsConfig, nav: Any) -> dict[str, Any]:
    """The way to home, the way back, and whether the page is remembered as opened."""
    if page.file.src_uri == FRAME:
        context.update(base=framing.BASE, title=framing.TITLE, remembered=framing.REMEMBERED, own=True,
                       back=Link(framing.BACK_URL, framing.BACK_TITLE))
    else:
        context.update(base=_base(page), title=f"{page.title} – {_site.handbook.name}", remembered=page.title, own=False,
                       back=Link("find/", _("Find")))
    return context


def _base(page: Page) -> str:
    return "../" * page.url.count("/") or "./"


def on_template_context(context: dict[str, Any], template_name: str, config: MkDocsConfig) -> dict[str, Any]:
    """The page for a missing address may be asked for at any depth, so it has no way to home but the server's root."""
    context.update(base=context.get("base_url", "").rstrip("/") + "/", back=Link("", _("the floor")), own=False, remembered="")
    return context


def on_post_page(output: str, page: Page, config: MkDocsConfig) -> str:
    """Take out what the theme puts outside of its blocks; the frame is kept, and no page of its own."""
    global _frame
    if page.file.src_uri != FRAME:
        return _finished(output, _base(page))
    _frame = _finished(output, framing.BASE)
    return ""


def on_post_template(output: str, template_name: str, config: MkDocsConfig) -> str:
    """The same for the page for a missing address."""
    return _finished(output, "/")


def _finished(output: str, base: str) -> str:
    try:
        return shell.finished(output, base, _site.handbook.edition, _site.handbook.language)
    except shell.ThemeChanged as lack:
        raise PluginError(_("The theme's page has changed: nothing in it is like {pattern}. Look at "
                            "macros/pages/shell.py.").format(pattern=lack)) from None


@event_priority(-100)
def on_post_build(config: MkDocsConfig) -> None:
    """Add Python for the browser, the search, the pages, and last of all the list of every file. Raises: PluginError."""
    site, book, share = Path(config.site_dir), _site.handbook, config.extra.get("share")
    try:
        bill.put(site, book, runtime.put(site))
        searching.put_modules(site, book.language)
        frame = Frame(naming.named(_frame, naming.by_content(site)), book.name)
        config.extra["made"] = _site, frame
        if share is not None and not share.first:  # of the rest, this share needed the names alone
            shutil.rmtree(site)
            writing.write(_site, share.pages(_site.pages.values()), frame, site)
            return
        with searching.making(find.documents(_site), book.synonyms.groups, book.language) as search:
            pages = list(_site.pages.values()) if share is None else share.pages(_site.pages.values())
            written = writing.write(_site, pages, frame, site)
            search.put_index(site)
        if share is None:
            offline.write(site, book.edition, str(book.date), _site.audience, written)
    except Stop as stop:
        raise PluginError(str(stop)) from stop
