"""The verb labels: a page of QR labels for machines and for the shelves where parts are kept, to be printed.

A code holds the address of a page of the published handbook. Scanned, it opens that page, from the edition
saved on the device where there is no signal; a machine's page then has the machine chosen.
"""

import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from macros.console import Stop, say
from macros.words import _

CHOSEN = "?chosen"
"""After the address of a machine's page: choose this machine. See site_overrides/app/chosen.js."""

OURS = '<meta name="generator" content="handbook labels">'
"""Stands in every file that this verb writes; only such a file is written over."""

WRONG_USE = 2

LONGEST = 300
"""Characters of an address, at most: a code with more is too fine to be printed on a label and read with a glove on."""


@dataclass(frozen=True)
class Label:
    """One label: the code as SVG, the address in it, what a person reads, and the shelf where there is one."""

    code: str
    address: str
    title: str
    line: str
    shelf: str = ""


def address(text: str | None, what: str = "labels: --address") -> str:
    """Where the handbook is published, with its last slash; `what` was given. Raises: Stop with status 2."""
    ask = _("Say where the handbook is published, such as {option}https://handbook.example/scrubbers/").format(
        option="--address " if what.endswith("--address") else "")
    if not text:
        raise Stop(_("{what} is missing. {ask}").format(what=what, ask=ask), WRONG_USE)
    try:
        parts = urlsplit(text)
        whole = bool(parts.scheme in ("http", "https") and parts.hostname and (parts.port is None or parts.port > 0))
    except ValueError:
        parts, whole = urlsplit(""), False
    if not whole or not text.isascii() or re.search(r"[\s\"<>\\^`{|}]", text):
        raise Stop(_("{what} {given} is not an address of a page. {ask}").format(what=what, given=text, ask=ask),
                   WRONG_USE)
    if parts.query or parts.fragment or parts.username is not None or parts.path.endswith(".html"):
        raise Stop(_("{what} {given} must be the folder that holds the home page, without ? or # or a name "
                     "before an @. {ask}").format(what=what, given=text, ask=ask), WRONG_USE)
    if len(text) > LONGEST:
        raise Stop(_("{what} has {number} characters, takes {most} at most.").format(
            what=what, number=len(text), most=LONGEST), WRONG_USE)
    return text.rstrip("/") + "/"


def target(out: Path) -> Path:
    """The file to be written. Raises: Stop with status 2 when it cannot be, or holds something else than labels."""
    if out.suffix.lower() not in (".html", ".htm"):
        raise Stop(_("labels: --out {file} must end in .html: a page that any browser prints, to paper or to "
                     "PDF.").format(
            file=out), WRONG_USE)
    if not out.absolute().parent.is_dir():
        raise Stop(_("labels: --out {file}: there is no folder {folder}; make it first.").format(
            file=out, folder=out.absolute().parent), WRONG_USE)
    try:
        kept = out.is_dir() or (out.exists() and OURS not in out.read_text("utf-8", "replace"))
    except OSError:
        kept = True
    if kept:
        raise Stop(_("labels: --out {file} is there and holds no labels; give another name, nothing was "
                     "changed.").format(
            file=out), WRONG_USE)
    return out


def run(content: Path, where: str, out: Path) -> int:
    """Write the page of labels. Returns 0, or 1 when the content has problems.

    `where`: the handbook's address as `address` gives it. Raises: Stop.
    """
    from macros import cli
    from macros.check import load_and_check
    from macros.pages.site import Site, environment
    from macros.words import catalogue

    handbook, problems = load_and_check(content)
    if problems or handbook is None:
        return cli.check(content, as_json=False)
    catalogue.use(handbook.language)
    site = Site(handbook)
    machines = [label(f"{where}machines/{id}/{CHOSEN}", one.title, one.kind) for id, one in handbook.machines.items()]
    parts = sorted((label(f"{where}parts/{id}/", one.title, one.number, one.shelf or "") for id,
                    one in handbook.parts.items()),
                   key=lambda one: (not one.shelf, one.shelf))
    page = environment(site).get_template("labels.html").render(
        where=where, ours=OURS, groups=[(_("Machines"), machines), (_("Shelves"), parts)])
    written = out.with_name(out.name + ".new")
    written.write_text(page + "\n", "utf-8")
    written.replace(out)
    if where.startswith("http:"):
        say(_("The address begins with http: a browser saves the handbook on a device only from https."))
    say(_("Wrote {file}. Labels for machines: {machines}; for shelves: {parts}. Print it at 100 % on A4 or "
          "Letter.").format(
        file=out, machines=len(machines), parts=len(parts)))
    return 0


def label(address: str, title: str, line: str, shelf: str = "") -> Label:
    """A label whose code holds `address`.

    A quarter of the code may be soiled or torn and it is still read (level Q of ISO/IEC 18004).
    """
    import segno
    from markupsafe import Markup

    code = segno.make(address, error="q", boost_error=False, micro=False)
    return Label(Markup(code.svg_inline(border=4, omitsize=True, svgclass=None, lineclass=None)), address, title, line,
                 shelf)
