"""Earlier editions can be read, and every page that one of them had still leads somewhere."""

from collections.abc import Iterator

from macros import guides
from macros.editions import summary
from macros.model import Handbook
from macros.problems import At, Problem, meant
from macros.words import _

#: Kind of a summary -> the folder of its pages. Messages and zones have no page of their own.
FOLDERS = {"procedures": "procedures", "machines": "machines", "symptoms": "seen", "parts": "parts", "guides": "guides"}


def check(handbook: Handbook) -> list[Problem]:
    """Problems of ``editions/``, of pages that are gone, and of ``moved`` in handbook.yml."""
    if handbook.unread:  # what could not be read may be what is missed
        return []
    there = {f"{FOLDERS[kind]}/{id}" for kind, held in _held(handbook).items() for id in held}
    return [*_moved(handbook, there), *_gone(handbook, there | {one.page for one in handbook.moved if one is not None})]


def _held(handbook: Handbook) -> dict[str, dict]:
    return {**{kind: getattr(handbook, kind) for kind in FOLDERS if kind != "guides"},
            "guides": guides.read(handbook)[0]}


def _gone(handbook: Handbook, known: set[str]) -> Iterator[Problem]:
    told = set()
    for number, file in reversed(summary.files(handbook.root).items()):
        name = f"{handbook.root.resolve().name}/{summary.FOLDER}/{file.name}"
        try:
            old = summary.read(file)
        except (summary.Unreadable, OSError) as why:
            yield Problem(At(name), "edition-file", getattr(why, "strerror", None) or str(why),
                          _("the file as it was written"),
                          _("put it back, or take it away and make it again: python3 handbook.py edition "
                            "{number}").format(number=number))
            continue
        for kind, folder in FOLDERS.items():
            for id in old[kind]:
                page = f"{folder}/{id}"
                if page not in known | told and number < handbook.edition:
                    told.add(page)
                    yield Problem(
                        handbook.head.place("moved"), "gone-page",
                        _("edition {number} had the page {page}/, and nothing is there now").format(number=number,
                                                                                                    page=page),
                        _("labels and bookmarks that lead somewhere"),
                        _('add to moved: - {{page: {page}, to: ...}}, or without "to" where it is gone for '
                          'good').format(page=page))


def _moved(handbook: Handbook, there: set[str]) -> Iterator[Problem]:
    seen = set()
    for one in handbook.moved:
        if one is None:
            continue
        if one.page in there or one.page in seen:
            yield Problem(one.place("page"), "moved",
                          _("the page {page}/ is there").format(page=one.page) if one.page in there
                          else _("the page {page}/ stands twice").format(page=one.page),
                          _("the address of a page that is gone, once"), _("take the line out"))
        seen.add(one.page)
        if one.to and one.to not in there:
            yield Problem(one.place("to"), "moved", _('there is no page "{page}/"').format(page=one.to),
                          _("the address of a page that is there"), meant(one.to, there))
