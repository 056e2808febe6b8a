"""The verbs of handbook.py: what each takes, and what carries it out.

Imports stay inside the verbs: the command line is judged before anything is set up, and `serve`
with nothing changed starts without MkDocs.
"""

import argparse
import difflib
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from macros import publish_line, sharing
from macros.audience import AUDIENCES, DEFAULT
from macros.console import ROOT, Stop, command, say
from macros.words import _

if TYPE_CHECKING:
    from macros.model import Handbook
    from macros.problems import Problem

BUILDING = ("serve", "build", "test", "bench", "publish")
"""Verbs that need what the browser takes from npm."""

TESTING = ("test", "bench")
"""Verbs that need what the tests need."""

BENCHES = ("pace", "reading", "python", "answer", "search", "offline", "build", "rig", "record")
"""What `bench` can run; the benchmarks stand in tests/bench, which nothing imports."""

WRONG_USE = 2
"""Exit status for a command line that cannot be carried out."""

DEFAULT_PORT = 8765

EDIT_PORT = 8766
"""Another one than the published handbook's, since what a reader saved from there answers in the pages' place."""


def verbs() -> dict[str, str]:
    """Every verb and what it does."""
    return {
        "serve": _("build the handbook when something changed, and serve it on 127.0.0.1"),
        "build": _("check the content and build the handbook into site/"),
        "check": _("check the content and list every problem"),
        "test": _("run the tests"),
        "bench": _("run the benchmarks: how fast it is beside others; by name, how far the answers can be trusted"),
        "calc": _("answer one calculation on the command line"),
        "publish": _("build the handbook and put it in place for a web server: whole, or not at all"),
        "doctor": _("look at a handbook's live address, and say what to mend"),
        "labels": _("make a page of QR labels for machines and shelves, to be printed"),
        "counts": _("put a company's own job counts (CSV) into symptoms.yml"),
        "new": _("begin a procedure, machine, part or symptom, or a handbook of your own; what comes out passes check"),
        "renew": _("bring a content folder of an older version up to date; it shows first what it will change"),
        "diff": _("list what a reader finds new since an edition: procedures, steps, figures, safety messages"),
        "edition": _("keep what this edition says, so that the next ones can say what is new"),
        "schema": _("write the schemas of the content's files, for completion and help in an editor"),
    }


class Parser(argparse.ArgumentParser):
    """Refuses in one line, without the usage block before it."""

    def error(self, message: str) -> NoReturn:
        raise Stop(
            _("{program}: {message}. See: python3 handbook.py --help").format(
                program=self.prog, message=message.rstrip(".")
            ),
            WRONG_USE,
        )


def parser() -> argparse.ArgumentParser:
    """The command line of all verbs but calc, which has its own."""
    top = Parser(
        prog="handbook.py",
        description=_("The handbook: build it, serve it, check it, calculate with it."),
        allow_abbrev=False,
    )
    group = top.add_subparsers(dest="verb", metavar=_("VERB"), parser_class=Parser)
    made = {
        name: group.add_parser(name, help=says, description=says, allow_abbrev=False)
        for name, says in verbs().items()
    }
    made["counts"].add_argument(
        "file", metavar=_("FILE"), type=Path,
        help=_("CSV with the columns symptom, cause, count and, if known, minutes")
    )
    made["bench"].add_argument(
        "names", metavar=_("NAME"), nargs="*",
        help=_("benchmarks to run (default: all that are timed, in one table): {names}").format(
            names=", ".join(BENCHES))
    )
    made["bench"].add_argument(
        "--cases", type=_cases,
        help=_("machines of each make (or kills of the browser), fewer or more than the whole run has; nothing is "
               "written then")
    )
    made["bench"].add_argument("--turns", type=_cases,
                               help=_("how often each side of a comparison is measured (default: 5)"))
    made["bench"].add_argument(
        "--out", metavar=_("FILE"), type=Path, help=_("file for the table: JSON when it ends in .json, else Markdown"))
    made["new"].add_argument("kind", metavar=_("KIND"), choices=("procedure", "machine", "part", "symptom", "handbook"),
                             help=_("procedure, machine, part, symptom or handbook"))
    made["new"].add_argument("id", metavar=_("ID"),
                             help=_("its id, such as renew-lid-seal; of a handbook: the folder to make"))
    for option, says in (
        ("title", _("its title (default: asked for, or made from the id)")),
        ("group", _("the heading of a procedure")), ("number", _("the number of a part")),
        ("machine", _("the machine that a part is fitted to")), ("procedure", _("the procedure that mends a symptom")),
        ("drawing", _("the drawing of a symptom")), ("company", _("the company of a handbook")),
        ("accent", _("the colour of a handbook, such as #5A2D7E"))):
        made["new"].add_argument(f"--{option}", metavar=_("TEXT"), default="", help=says)
    for name in ("serve", "build", "publish", "check", "counts", "bench", "labels", "schema", "new", "renew", "diff",
                 "edition"):
        made[name].add_argument(
            "--content",
            metavar=_("DIR"),
            type=Path,
            default=ROOT / "content",
            help=_("folder of the content (default: content/ beside handbook.py)"),
        )
    form = made["check"].add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help=_("print the problems as JSON"))
    form.add_argument("--annotations", action="store_true", help=_(
        "print the problems as lines that CI services turn into annotations (::error file=...)"))
    form.add_argument("--explain", metavar=_("KIND"), help=_("say what a kind of problem means, with an example"))
    made["labels"].add_argument(
        "--address", metavar=_("URL"), help=_("where the handbook is published: the address of its home page")
    )
    made["labels"].add_argument(
        "--out", metavar=_("FILE"), type=Path, default=Path("labels.html"),
        help=_("page to write (default: labels.html); print it on A4 or Letter")
    )
    made["serve"].add_argument("--edit", action="store_true", help=_(
        "renew the pages in the browser as soon as the content is saved, and show its problems there"))
    for name in ("serve", "build", "publish"):
        made[name].add_argument("--for", dest="audience", choices=AUDIENCES, default=DEFAULT, help=_(
            "who reads it: field (the default), office (with costs) or customer"))
    made["build"].add_argument("--share", type=_share, metavar=_("K/N"), help=_(
        "make only share K of N of the site, for one of several CI jobs; needs --out"))
    made["build"].add_argument("--out", metavar=_("DIR"), type=Path, help=_("with --share: the folder for it"))
    made["build"].add_argument("--join", metavar=_("DIR"), type=Path, nargs="+", help=_("put shares together into site/, and build nothing"))
    publish_line.arguments(made["publish"], made["doctor"])
    made["serve"].add_argument(
        "--port",
        type=_port,
        help=_("port to serve on (default: {port}, with --edit {other}; 0: any free one)").format(
            port=DEFAULT_PORT, other=EDIT_PORT),
    )
    made["renew"].add_argument("--yes", action="store_true", help=_("change it without asking"))
    made["renew"].add_argument("--undo", action="store_true",
                               help=_("put the files back as they were before the last time"))
    made["test"].add_argument(
        "--no-browser", action="store_true", help=_("leave out the tests that drive a browser")
    )
    made["test"].add_argument(
        "--no-webkit", action="store_true", help=_("leave out the tests that drive WebKit")
    )
    made["diff"].add_argument("edition", metavar=_("EDITION"), type=_edition,
                              help=_("the number of the edition to compare with"))
    made["diff"].add_argument("--json", action="store_true", help=_("print the changes as JSON"))
    made["edition"].add_argument("edition", metavar=_("EDITION"), type=_edition, nargs="?", help=_(
        "an older edition to be kept, from the folder's history (default: the one that the content is)"))
    made["test"].add_argument("--content", metavar=_("DIR"), type=Path, default=None, help=_(
        "test the pages of this content folder instead, by what holds for every handbook"))
    made["test"].epilog = _("Everything else is handed to pytest, e.g. -k edge_life or a test file.")
    return top


def _port(text: str) -> int:
    """A port number. Raises: ArgumentTypeError."""
    if not text.isascii() or not text.isdigit() or int(text) > 65535:
        raise argparse.ArgumentTypeError(_("got {text!r}, takes a port from 0 to 65535").format(text=text))
    return int(text)


def _share(text: str) -> sharing.Share:
    """Which share of how many. Raises: ArgumentTypeError."""
    try:
        return sharing.understood(text)
    except ValueError:
        raise argparse.ArgumentTypeError(_("got {text!r}, takes a share such as 1/3: the first of three, of at most {most}").format(
            text=text, most=sharing.MOST)) from None


def _edition(text: str) -> int:
    """An edition's number. Raises: ArgumentTypeError."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 100_000:
        raise argparse.ArgumentTypeError(_("got {text!r}, takes the number of an edition").format(text=text))
    return int(text)


def _cases(text: str) -> int:
    """A number of machines. Raises: ArgumentTypeError."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 1_000_000:
        raise argparse.ArgumentTypeError(_("got {text!r}, takes a whole number from 1 to 1000000").format(text=text))
    return int(text)


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """The command line understood: `verb` and its options (`rest` for test).

    Raises: Stop with status 2 and one line for wrong use; SystemExit 0 after --help.
    """
    names = list(verbs())
    first = arguments[0] if arguments else ""
    if not first.startswith("-") and first not in names:
        listed = ", ".join(names)
        if not first:
            raise Stop(
                _("Say what to do: python3 handbook.py VERB, where VERB is one of {verbs}.").format(
                    verbs=listed
                ),
                WRONG_USE,
            )
        near = difflib.get_close_matches(first, names, 1)
        meant = _(" Did you mean {verb}?").format(verb=near[0]) if near else ""
        raise Stop(
            _("There is no verb {given!r}; the verbs are {verbs}.").format(given=first, verbs=listed) + meant,
            WRONG_USE,
        )
    top = parser()
    chosen, rest = top.parse_known_args(list(arguments))
    if chosen.verb is None:
        raise Stop(_("Say what to do: {verbs}.").format(verbs=", ".join(names)), WRONG_USE)
    if rest and chosen.verb != "test":
        raise Stop(
            _("handbook.py {verb} does not take {given}. See: python3 handbook.py {verb} --help").format(
                verb=chosen.verb, given=" ".join(rest)
            ),
            WRONG_USE,
        )
    chosen.rest = [word for word in rest if word != "--"]
    strange = [name for name in getattr(chosen, "names", []) if name not in BENCHES]
    if strange:
        raise Stop(
            _("There is no benchmark {given!r}; there are: {names}.").format(given=strange[0],
                                                                             names=", ".join(BENCHES)),
            WRONG_USE,
        )
    if getattr(chosen, "content", None) is not None and not chosen.content.is_dir():
        raise Stop(
            _("--content: {folder} is not a folder; give the folder that holds handbook.yml.").format(
                folder=chosen.content
            ),
            WRONG_USE,
        )
    if chosen.verb == "build" and ((chosen.share is None) != (chosen.out is None) or chosen.share and chosen.join):
        raise Stop(_("build: --share K/N and --out DIR belong together, and --join stands alone."), WRONG_USE)
    if chosen.verb in publish_line.VERBS:
        publish_line.judge(chosen)
    if chosen.verb == "labels":
        from macros import labels

        chosen.address, chosen.out = labels.address(chosen.address), labels.target(chosen.out)
    return chosen


def run(chosen: argparse.Namespace) -> int:
    """Carry out what `parse` understood; to be called in the environment. Returns the exit status."""
    from macros import author_verbs

    if chosen.verb == "check" and chosen.explain:
        from macros import kinds

        print(kinds.explained(chosen.explain))
        return 0
    if chosen.verb == "check":
        return check(chosen.content, chosen.json, chosen.annotations, getattr(chosen, "alone", False))
    if chosen.verb == "build":
        if chosen.join:
            return sharing.join(chosen.join)
        if chosen.share:
            return sharing.build(chosen.content, chosen.audience, chosen.share, chosen.out)
        from macros import building

        return building.build(chosen.content, audience=chosen.audience)
    if chosen.verb == "serve" and chosen.edit:
        from macros import editing

        return editing.run(chosen.content, EDIT_PORT if chosen.port is None else chosen.port)
    if chosen.verb == "serve":
        from macros import serve

        return serve.run(chosen.content, DEFAULT_PORT if chosen.port is None else chosen.port, chosen.audience)
    if chosen.verb in publish_line.VERBS:
        return publish_line.run(chosen)
    if chosen.verb == "counts":
        return author_verbs.counts(chosen.file, chosen.content)
    if chosen.verb == "bench":
        from macros import bench

        return bench.run(chosen.names, chosen.content, chosen.cases, chosen.turns, chosen.out)
    if chosen.verb == "new":
        return author_verbs.new(chosen)
    if chosen.verb in ("diff", "edition"):
        return author_verbs.editions(chosen)
    if chosen.verb == "renew":
        return author_verbs.renew(chosen)
    if chosen.verb == "schema":
        return author_verbs.schema(chosen.content)
    if chosen.verb == "labels":
        from macros import labels

        return labels.run(chosen.content, chosen.address, chosen.out)
    from macros import testing

    return testing.run(chosen.no_browser, chosen.no_webkit, chosen.rest, chosen.content)


def check(content: Path, as_json: bool = False, annotations: bool = False, alone: bool = False) -> int:
    """List every problem of the content; 0 when there is none, else 1.

    `alone`: this process does nothing else, so that what is found may be kept for the next start (`macros.stored`).
    """
    import gc

    from macros import kept, stored

    store = stored.opened(content) if alone else None
    if alone:
        gc.disable()  # no looking for rings in a whole handbook, neither now nor at the end
    with kept.lasting_in(store):
        from macros.check import load_and_check

        status = report(content, *load_and_check(content), as_json, annotations)
        sys.stdout.flush()
        if store is not None:
            store.save()
    if alone:
        gc.freeze()
    return status


def report(content: Path, handbook: "Handbook | None", problems: "Sequence[Problem]", as_json: bool = False,
           annotations: bool = False) -> int:
    """List the problems that were found in the content; 0 when there is none, else 1."""
    from macros import schema_files

    if schema_files.stale(content):
        say(_("The schemas in {folder} are of another version of this program. To bring them up to date: "
              "{command}").format(
            folder=content / schema_files.FOLDER, command=command("schema", content)))
    if as_json:
        keys = ("file", "line", "column", "rule", "found", "expected", "hint")
        listed = [{key: _plain(getattr(problem, key)) for key in keys} for problem in problems]
        json.dump(listed, sys.stdout, ensure_ascii=False, indent=1)
        print()
        return 1 if problems else 0
    root = content.resolve().parent
    for problem in problems:
        print(problem.annotation(root) if annotations else problem.with_source(root))
    for one in sorted(handbook.allowed, key=lambda one: one.at) if handbook and not annotations else ():
        print(_("{file}:{line}: the rule {rule} is off for {place}: {reason}").format(
            file=one.at_file, line=one.line, rule=one.rule, place=one.where or _("the file"), reason=one.because))
    if problems:
        say(_("{number} problems.").format(number=len(problems)) if len(problems) > 1 else _("1 problem."))
        say(_("More of a kind: python3 handbook.py check --explain KIND; here: {kinds}").format(
            kinds=", ".join(dict.fromkeys(problem.rule for problem in problems))))
        return 1
    if handbook is None:
        raise Stop(_("The content in {folder} could not be read.").format(folder=content))
    say(
        _("The content is in order. Procedures: {procedures}; machines: {machines}.").format(
            procedures=len(handbook.procedures), machines=len(handbook.machines)
        )
    )
    return 0


def _plain(value: object) -> object:
    """A problem's value as JSON takes it."""
    return value if value is None or isinstance(value, (str, int, float, bool)) else str(value)
