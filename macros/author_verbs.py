"""The verbs that write in a content folder, or compare it: what each says at the terminal, and its exit status."""

import argparse
import sys
from pathlib import Path

from macros.console import Stop, command, say
from macros.words import _


def counts(file: Path, content: Path) -> int:
    """Update the shares and minutes of causes; 1 when a row cannot be taken, and then nothing is changed."""
    from macros import counts as counting

    try:
        said = counting.update(file, content / "symptoms.yml")
    except counting.Refused as refused:
        for line in refused.lines:
            print(line, file=sys.stderr)
        say(_("Nothing was changed."))
        return 1
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(
            file=error.filename or file, why=error.strerror or error)) from None
    for line in said:
        print(line)
    say(_("{number} figures changed in {file}.").format(number=len(said), file=content / "symptoms.yml"))
    return 0


def schema(content: Path) -> int:
    """Write the schemas beside the content, and name them in the first lines of its files."""
    from macros import schema_files

    try:
        written = schema_files.write(content)
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(
            file=error.filename or content, why=error.strerror or error)) from None
    for path in written:
        print(path)
    say(_("{number} files written; editors with support for YAML now complete and explain the content.").format(
        number=len(written)) if written else _("The schemas are current."))
    return 0


def new(chosen: argparse.Namespace) -> int:
    """Begin a procedure, machine, part or symptom, or a whole handbook. Raises: Stop."""
    from macros import new as beginning

    if chosen.kind == "handbook":
        return new_handbook(chosen)
    wanted = beginning.Wanted(chosen.kind, chosen.id, chosen.title, chosen.group, chosen.number, chosen.machine,
                              chosen.procedure, chosen.drawing)
    try:
        written = beginning.make(wanted, chosen.content, beginning.on_terminal)
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(
            file=error.filename or chosen.content, why=error.strerror or error)) from None
    for path in written:
        print(path)
    say(_("Put your own words and figures in, then: {command}").format(command=command("check", chosen.content)))
    return 0


def new_handbook(chosen: argparse.Namespace) -> int:
    """Make a content folder of a company's own. Raises: Stop."""
    from macros import starting
    from macros.new import on_terminal

    folder = Path(chosen.id)
    try:
        made = starting.make(starting.Wanted(folder, chosen.title, chosen.company, chosen.accent), on_terminal)
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(
            file=error.filename or folder, why=error.strerror or error)) from None
    for path in made:
        print(path)
    say(_("Everything in it is invented: put your own in its place. Begin with its README.md, and look at it with: "
          "{command}").format(command=command("serve --edit", folder)))
    return 0


def renew(chosen: argparse.Namespace) -> int:
    """Bring a content folder up to date, or back. Raises: Stop."""
    from macros import renew as renewing

    def agreed(question: str) -> bool:
        return sys.stdin.isatty() and input(f"{question} [y/N] ").strip().lower() in ("y", "yes")

    try:
        status, lines = renewing.run(chosen.content, chosen.yes, chosen.undo, agreed)
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(
            file=error.filename or chosen.content, why=error.strerror or error)) from None
    for line in lines[:-1]:
        print(line)
    say(lines[-1])
    return status


def editions(chosen: argparse.Namespace) -> int:
    """Say what is new since an edition, or keep one. Raises: Stop."""
    from macros.editions import keeping, listing

    try:
        if chosen.verb == "diff":
            for line in listing.diff(chosen.content, chosen.edition, chosen.json):
                print(line)
            return 0
        file, written = keeping.keep(chosen.content, chosen.edition)
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(
            file=error.filename or chosen.content, why=error.strerror or error)) from None
    print(file)
    say(_("Kept. Raise edition and date in handbook.yml before the next change.") if written
        else _("It was kept already, just so."))
    return 0
