"""The command line of the verbs publish and doctor: what they take, what is refused, and what carries it out."""

import argparse
from pathlib import Path

from macros.console import Stop
from macros.words import _

VERBS = ("publish", "doctor")

WRONG_USE = 2


def arguments(publish: argparse.ArgumentParser, doctor: argparse.ArgumentParser) -> None:
    """What the two take."""
    doctor.add_argument("url", metavar=_("URL"), help=_("the address of the home page"))
    doctor.add_argument("--content", metavar=_("DIR"), type=Path, default=None, help=_(
        "folder of the content: say too when it is not the edition that is there"))
    publish.add_argument("folder", metavar=_("FOLDER"), type=Path, nargs="?", help=_(
        "folder to publish to: new, or published to before"))
    publish.add_argument("--back", action="store_true", help=_("return to the edition before the one in use"))
    publish.add_argument("--replace", action="store_true", help=_(
        "publish even where another handbook is in use, one for other readers, or a later edition"))
    publish.add_argument("--address", metavar=_("URL"), help=_(
        "where readers find it, such as https://handbook.example/scrubbers/ (default: the root of its server)"))
    publish.add_argument("--zip", metavar=_("FILE"), type=Path, help=_(
        "write the folder edition instead: a zip that is unpacked to a memory stick and opened without a server"))
    publish.add_argument("--settings", choices=("nginx", "caddy"), help=_(
        "print a web server's settings for FOLDER and --address, and do nothing else"))
    publish.add_argument("--sign-on", metavar=_("URL"), help=_(
        "with --settings: the company's own sign-on, asked by the server about each request"))


def judge(chosen: argparse.Namespace) -> None:
    """Refuse what cannot be carried out, before anything is set up. Raises: Stop with status 2."""
    from macros import labels

    if chosen.verb == "doctor":
        chosen.url = labels.address(chosen.url, "doctor: URL")
        return
    if (chosen.folder is None) == (chosen.zip is None):
        raise Stop(_("publish: say where to: a FOLDER for a web server, or --zip FILE.zip for a memory stick."),
                   WRONG_USE)
    if chosen.zip:
        from macros import stick

        chosen.zip = stick.target(chosen.zip)
    if chosen.address or chosen.settings:
        chosen.address = labels.address(chosen.address, "publish: --address")
    if chosen.sign_on and not chosen.settings:
        raise Stop(_("publish: --sign-on is for --settings: it stands in the server's settings."), WRONG_USE)


def run(chosen: argparse.Namespace) -> int:
    """Carry it out, in the environment. Returns the exit status."""
    if chosen.verb == "doctor":
        from macros import doctor

        return doctor.run(chosen.url, chosen.content)
    from macros import publish

    if chosen.zip:
        return publish.to_zip(chosen.content, chosen.zip, chosen.audience)
    if chosen.settings:
        return publish.settings(chosen.settings, chosen.folder, chosen.address, chosen.sign_on)
    if chosen.back:
        return publish.back(chosen.folder)
    return publish.run(chosen.content, chosen.folder, chosen.address, chosen.audience, chosen.replace)
