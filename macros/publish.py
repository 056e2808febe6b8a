"""The verb publish: build the handbook and put it in place whole, or return to the edition before."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

from macros import building, placing
from macros.audience import DEFAULT
from macros.console import Stop, from_os_error, say
from macros.locking import only_one
from macros.words import _


def run(content: Path, folder: Path, address: str | None, audience: str = DEFAULT, replace: bool = False) -> int:
    """Build when something changed, and publish to `folder`. Returns the exit status.

    `address`: where readers find it; without one it is where it was the last time, at first the root of its server.
    `replace`: be there what may, another handbook, or one for other readers.
    """
    with _ours(folder):
        status = building.build(content, quietly=True, audience=audience)
        if status:
            return status
        site = building.place(audience)[0]
        if not replace:
            _compare(placing.about(site), placing.in_use(folder), content, folder)
        placed = placing.put(site, folder, urlsplit(address).path if address else None)
    if not placed.changed:
        say(_("Edition {number} is in place already: {folder}.").format(number=placed.number, folder=placed.folder))
    else:
        say(_("Published edition {number}, {files} files: {folder}.").format(
            number=placed.number, files=placed.files, folder=placed.folder))
    if placing.by_links(folder):
        say(_("The server serves {served}.").format(served=placing.served(folder)))
    else:
        say(_("{folder} is on a disk where no link can be put in the place of another, so marks say which edition the "
              "server serves. The settings that are printed for this folder from now on know that: python3 handbook.py "
              "publish {folder} --address URL --settings nginx (or caddy)").format(folder=folder))
    say(_("To return to the edition before: python3 handbook.py publish {folder} --back").format(folder=folder))
    _keep(content)
    return 0


def _compare(new: placing.About | None, there: placing.About | None, content: Path, folder: Path) -> None:
    """Whether what is to be published may take the place of what is there. Raises: Stop when that can be a mistake."""
    if new is None or there is None:
        return
    if there.name and new.name and there.name != new.name:
        raise Stop(_('{folder} holds the handbook "{there}", and the content in {content} is "{new}"; nothing was '
                     'changed. '
                     "Name the other content by --content, or publish to a folder of its own. If this is its new name: "
                     "--replace").format(folder=folder, there=there.name, content=content, new=new.name))
    if there.audience and new.audience and there.audience != new.audience:
        raise Stop(_("{folder} holds an edition for {there}, and this one is for {new}; nothing was changed. Publish "
                     "it to a folder and an address of its own, or, if it is to be in the place of the other: "
                     "--replace").format(
                         folder=folder, there=there.audience, new=new.audience))
    if new.number < there.number:
        raise Stop(_("{folder} holds edition {there}, and the content in {content} is edition {new}; nothing was "
                     "changed. To return to the edition before: --back. If this one is to be in its place all the "
                     "same: --replace").format(folder=folder, there=there.number, content=content, new=new.number))


def _keep(content: Path) -> None:
    """Keep what the edition says beside its content, or say why the next one cannot tell what is new."""
    from macros.editions import keeping

    line = keeping.published(content)
    if line:
        say(line)


def back(folder: Path) -> int:
    """Return to the edition before the one in use."""
    if not (folder / placing.NOTE).is_file():
        raise Stop(_("Nothing was published in {folder}.").format(folder=folder))
    with _ours(folder):
        placed = placing.back(folder)
    say(_("Edition {number} is in use again: {folder}.").format(number=placed.number, folder=placed.folder))
    return 0


def to_zip(content: Path, file: Path, audience: str) -> int:
    """Build when something changed, and write the folder edition to `file`. Returns the exit status."""
    from macros import stick
    from macros.check import load_and_check

    status = building.build(content, quietly=True, audience=audience)
    if status:
        return status
    handbook, _problems = load_and_check(content)
    try:
        number = stick.write(building.place(audience)[0], file, handbook.name if handbook else "")
    except OSError as error:
        raise from_os_error(error) from None
    say(_("Wrote {file}: {number} files. Unpack it to a disk or a memory stick, and double-click {start}.").format(
        file=file, number=number, start=stick.START))
    _keep(content)
    return 0


def settings(server: str, folder: Path, address: str, sign_on: str | None) -> int:
    """Print the settings with which `server` serves what is published in `folder`."""
    from macros import settings as made

    print(made.text(server, folder, address, sign_on), end="")
    return 0


@contextmanager
def _ours(folder: Path) -> Iterator[None]:
    """Hold the folder, which is ours; what the system refuses becomes one line. Raises: Stop."""
    if os.name != "nt":
        os.umask(0o022)  # the server is seldom the one who publishes, and must read what is written
    try:
        placing.own(folder)
        with only_one(folder / placing.LOCK,
                      lambda: say(_("Another publish is at work there; waiting for it to finish."))):
            yield
    except OSError as error:
        raise refusal(error, folder) from None


def refusal(error: OSError, folder: Path) -> Stop:
    """The line for what the system refused while publishing to `folder`."""
    if folder not in Path(error.filename or folder).absolute().parents and Path(error.filename or folder) != folder:
        raise error  # of the build: it has a line of its own
    stays = _("The edition in use is as it was; the next publish goes on from here.")
    if error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", None)):
        why = _("There is no room left in {folder}. Free some.").format(folder=folder)
    elif error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        why = _("{place} may not be written ({reason}). Give yourself access to it.").format(
            place=error.filename or folder, reason=error.strerror)
    else:
        why = _("{place}: {reason}.").format(place=error.filename or folder, reason=error.strerror or error)
    return Stop(f"{why} {stays}")
