"""The verb doctor: looks at a handbook's live address, and says what to mend, one line each with what to do."""

import gzip
import hashlib
import json
import re
import ssl
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from http.client import HTTPException
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

from macros import naming, placing, web
from macros.console import Stop, command, passing, say
from macros.words import _

WRONG = 2
"""Exit status for an address that cannot be looked at."""

WITHIN = 30
"""Seconds that one answer may take."""

LONGEST = 64 << 20
"""Bytes of an answer, at most; the largest file of an edition has a sixth of it."""

MISSING = "there-is-no-such-page-here/at-all/"


@dataclass(frozen=True)
class Answer:
    """What came for one address. `body` is unpacked; `packed` says whether it came compressed."""

    url: str
    status: int
    headers: Any
    body: bytes
    packed: bool


class Unreachable(Exception):
    """Nothing came; the text says why."""


class _Straight(urllib.request.HTTPRedirectHandler):
    """Does not follow redirects: they are looked at."""

    def redirect_request(self, *_given: Any, **_more: Any) -> None:
        return None


def ask(url: str) -> Answer:
    """Ask for one address as a browser does, without following redirects. Raises: Unreachable."""
    asked = urllib.request.Request(url, headers={"Accept-Encoding": "gzip", "User-Agent": "handbook-doctor",
                                                 "Accept": "*/*"})
    try:
        try:
            reply = urllib.request.build_opener(_Straight).open(asked, timeout=WITHIN)
        except urllib.error.HTTPError as error:
            reply = error
        with reply:
            body = reply.read(LONGEST)
            packed = "gzip" in (reply.headers.get("Content-Encoding") or "")
            return Answer(url, reply.status, reply.headers, gzip.decompress(body) if packed else body, packed)
    except urllib.error.URLError as error:
        reason = error.reason
        if isinstance(reason, ssl.SSLCertVerificationError):
            why = _("its certificate is not trusted ({reason})").format(reason=reason.verify_message)
            raise Unreachable(why) from None
        raise Unreachable(str(getattr(reason, "strerror", None) or reason)) from None
    except (OSError, HTTPException, EOFError) as error:
        raise Unreachable(str(error) or type(error).__name__) from None


@dataclass
class Findings:
    """What was found: what to do -> the addresses it is about, in the order in which they were found."""

    lines: list[str] = field(default_factory=list)
    _many: dict[tuple[str, str], list[str]] = field(default_factory=dict)

    def add(self, line: str) -> None:
        """One thing to mend."""
        self.lines.append(line)

    def about(self, found: str, mend: str, url: str) -> None:
        """Something that may be found of many files, told once."""
        self._many.setdefault((found, mend), []).append(url)

    def told(self) -> list[str]:
        """One line for each, with what to do."""
        return [*self.lines, *(
            _("{found} ({number}, first {first}). {mend}").format(found=found, number=len(urls), first=urls[0] or "./",
                                                                  mend=mend)
            for (found, mend), urls in self._many.items())]


def run(url: str, content: Path | None = None) -> int:
    """Look at the handbook at `url` and say what to mend: 0 nothing, 1 something, 2 when it cannot be looked at.

    `content`: the folder that it was made from, for saying when the two are not the same edition.
    """
    say(_("Looking at {url}").format(url=url))
    home, listed, findings = begin(url)
    if content is not None:
        _edition(listed, content, findings)
    for number, name in enumerate(look(home, listed, findings), 1):
        if sys.stderr.isatty():
            passing(f"{number}/{len(listed['files'])} {name}")
    lines = findings.told()
    for line in lines:
        print(line)
    if lines:
        say(_("{number} things to mend at {url}.").format(number=len(lines), url=home) if len(lines) > 1
            else _("1 thing to mend at {url}.").format(url=home))
        return 1
    say(_("Nothing to mend: edition {edition}, all {files} files as they are to be.").format(
        edition=listed["edition"], files=len(listed["files"])))
    return 0


def _edition(listed: dict[str, Any], content: Path, findings: Findings) -> None:
    """Whether the edition that is there is the content's own. Raises: Stop where the content cannot be read."""
    from macros.editions.keeping import sound

    handbook = sound(content)
    there, own = (listed["edition"], listed["date"]), (handbook.edition, str(handbook.date))
    if there != own:
        findings.add(_("Edition {there} of {day} is there, and the content in {folder} is edition {own} of {own_day}. "
                       "Publish it: {command}").format(
                           there=there[0], day=there[1], folder=content, own=own[0], own_day=own[1],
                           command=command("publish FOLDER", content)))


def begin(url: str) -> tuple[str, dict[str, Any], Findings]:
    """The home page's address, the list of files there, and what was found so far. Raises: Stop with status 2."""
    findings = Findings()
    home = _home(url, findings)
    try:
        answer = ask(urljoin(home, "edition.json"))
    except Unreachable as why:
        raise Stop(_("doctor: {url} does not answer: {why}.").format(url=urljoin(home, "edition.json"), why=why),
                   WRONG) from None
    listed = _list(answer.body) if answer.status == 200 else None
    if listed is None:
        what = _sent_on(answer) or (_("status {status}").format(status=answer.status) if answer.status != 200
                                    else _("something else, perhaps a sign-in page"))
        raise Stop(_("doctor: {url} is not the list of a handbook's files: {what}. Give the address of the home page; "
                     "where a sign-on stands in front, run doctor behind it.").format(url=answer.url, what=what), WRONG)
    _headers(answer, "edition.json", findings)
    if listed.get("for") == "office":
        findings.add(_("This is the office's edition, which holds costs, and it was read without signing on. Put the "
                       "company's sign-on in front (publish --settings ... --sign-on URL), or publish the field's "
                       "edition."))
    return home, listed, findings


def _home(url: str, findings: Findings) -> str:
    """The home page's address, after at most three redirects. Raises: Stop."""
    here = url if url.endswith("/") else url + "/"
    for _again in range(4):
        try:
            answer = ask(here)
        except Unreachable as why:
            raise Stop(_("doctor: {url} does not answer: {why}.").format(url=here, why=why), WRONG) from None
        to = answer.headers.get("Location") if 300 <= answer.status < 400 else None
        if to is None:
            break
        there = urljoin(here, to)
        findings.add(_("{url} sends readers on to {there}. Give readers that address, or serve the handbook "
                       "here.").format(
            url=here, there=there))
        here = there
    if answer.status != 200:
        raise Stop(_("doctor: {url} answers with status {status}. Give the address of the home page; where a sign-on "
                     "stands in front, run doctor behind it.").format(url=here, status=answer.status), WRONG)
    parts = urlsplit(here)
    if parts.scheme == "http" and parts.hostname not in ("127.0.0.1", "localhost", "::1"):
        findings.add(_("{url} is not https, so no device can save the handbook. Get a certificate, and publish under "
                       "https.").format(
            url=here))
    return here


def _list(body: bytes) -> dict[str, Any] | None:
    try:
        listed = json.loads(body)
        lines = [f"{listed['edition']} {listed['date']}\n",
                 *(f"{file['sha256']} {file['bytes']} {file['url']}\n" for file in listed["files"])]
        return listed if hashlib.sha256("".join(lines).encode()).hexdigest()[:16] == listed["id"] else None
    except (ValueError, KeyError, TypeError):
        return None


def look(home: str, listed: dict[str, Any], findings: Findings) -> Iterator[str]:
    """Look at every file, yielding each one's address as it is done; then at what is on no list."""
    files = {file["url"]: file for file in listed["files"]}
    with ThreadPoolExecutor(4) as pool:
        for url, answer in pool.map(lambda one: (one, _asked(home, one)), files):
            yield url
            _file(url, answer, files[url], home, findings)
    _worker(home, findings)
    _folder(home, files, findings)
    _missing(home, listed, findings)


def _asked(home: str, url: str) -> Answer | str:
    try:
        return ask(urljoin(home, url))
    except Unreachable as why:
        return str(why)


def _file(url: str, answer: Answer | str, listed: dict[str, Any], home: str, findings: Findings) -> None:
    again = _("Publish again, whole, with handbook.py publish.")
    if isinstance(answer, str):
        findings.about(_("Does not answer: {why}").format(why=answer), _("Look at the server's log."), url)
        return
    to = _sent_on(answer)
    if to:
        findings.about(to, _("Answer with the file itself: devices keep no answer that was sent on."), url)
        return
    if answer.status != 200:
        findings.about(_("Missing: status {status}").format(status=answer.status), again, url)
        return
    if hashlib.sha256(answer.body).hexdigest() != listed["sha256"]:
        findings.about(_("Not the file of this edition"),
                       _("{again} The server or something before it must not change files.").format(
            again=again), url)
        return
    _headers(answer, url, findings)


def _headers(answer: Answer, url: str, findings: Findings) -> None:
    """Type, headers, caching and compression of a file that came as it is."""
    ending = ".html" if url.endswith("/") else "." + url.rsplit(".", 1)[-1]
    type_ = answer.headers.get("Content-Type") or _("no type")
    wanted = web.TYPES.get(ending)
    if wanted and not _same_type(type_, wanted):
        findings.about(_("Sent as {found} instead of {wanted}").format(found=type_, wanted=wanted),
                       _("Set the type of {ending} in the server's settings.").format(ending=ending), url)
    settings = _("See publish --settings.")
    for name, value in web.HEADERS.items():
        found = answer.headers.get(name)
        if found is None:
            findings.about(_("Header missing: {name}").format(name=name), _('Send "{value}". {settings}').format(
                value=value, settings=settings), url)
        elif " ".join(found.split()) != value:
            findings.about(_("Header other than it is to be: {name}: {found}").format(name=name, found=found),
                           _('Send "{value}". {settings}').format(value=value, settings=settings), url)
    caching = (answer.headers.get("Cache-Control") or "").lower()
    age = re.search(r"max-age=(\d+)", caching)
    if naming.is_named(url):
        if not age or int(age[1]) < 86400 * 30 or "no-cache" in caching or "no-store" in caching:
            findings.about(_("Named by its content, and yet not kept by browsers (Cache-Control: {found})").format(
                found=caching or _("none")), _('Send "{value}".').format(value=web.FOREVER), url)
    elif not ("no-cache" in caching or "no-store" in caching or (age and int(age[1]) == 0)):
        findings.about(_("May be kept by browsers without asking (Cache-Control: {found})").format(
            found=caching or _("none")),
                       _('Send "{value}": else readers see an old edition.').format(value=web.ASK), url)
    if ending in placing.COMPRESSED and len(answer.body) > 1400 and not answer.packed:
        findings.about(_("Not compressed"),
                       _("Let the server send the .gz file that lies beside it. {settings}").format(
            settings=settings), url)


def _same_type(found: str, wanted: str) -> bool:
    """Whether two types are one; a script may have either of its two names, and a charset is wanted where one is."""
    def parts(text: str) -> tuple[str, str]:
        main, _semicolon, rest = text.lower().replace(" ", "").partition(";")
        return main.replace("application/javascript", "text/javascript"), rest.replace('"', "")

    main, charset = parts(found)
    return main == parts(wanted)[0] and (not parts(wanted)[1] or charset == parts(wanted)[1])


def _sent_on(answer: Answer) -> str:
    """That an answer is a redirect, in words; empty when it is none."""
    if 300 <= answer.status < 400:
        return _("Sent on to {there}").format(there=urljoin(answer.url, answer.headers.get("Location") or ""))
    return ""


def _worker(home: str, findings: Findings) -> None:
    """The service worker, which is on no list: without it nothing opens without signal."""
    answer = _asked(home, "sw.js")
    mend = _("Without it no device can save the handbook. Publish again, whole, with handbook.py publish.")
    if isinstance(answer, str) or answer.status != 200 or b"respondWith" not in answer.body:
        what = answer if isinstance(answer, str) else (
            _sent_on(answer) or _("status {status}").format(status=answer.status))
        findings.about(_("Missing: {what}").format(what=what), mend, "sw.js")
    else:
        _headers(answer, "sw.js", findings)


def _folder(home: str, files: dict[str, Any], findings: Findings) -> None:
    """An address without its last slash leads to the page, at the same server and by the same protocol."""
    page = next((url for url in files if url.endswith("/") and url != "./"), None)
    answer = _asked(home, page.rstrip("/")) if page else ""
    if page is None or isinstance(answer, str):
        return
    there = urljoin(answer.url, answer.headers.get("Location") or "")
    if not (300 <= answer.status < 400) or there != urljoin(home, page):
        findings.add(_("{url} without its last slash leads to {there} (status {status}) instead of {wanted}. Let the "
                       "server send readers on to the same address with the slash; behind a proxy, without host and "
                       "port.").format(
                           url=answer.url, there=there, status=answer.status, wanted=urljoin(home, page)))


def _missing(home: str, listed: dict[str, Any], findings: Findings) -> None:
    """An address that there is not is answered with our page and status 404."""
    answer = _asked(home, MISSING)
    if isinstance(answer, str):
        return
    if answer.status != 404:
        findings.add(_("An address that there is not is answered with status {status} instead of 404. Do not send "
                       "readers to the home page: devices would keep it in the place of "
                       "files.").format(status=answer.status))
        return
    base = re.search(rb'data-base="([^"]*)"', answer.body)
    if base is None:
        findings.add(_("An address that there is not is not answered with the handbook's 404.html. Name it in the "
                       "server's settings."))
    elif base[1].decode() != urlsplit(home).path:
        findings.add(_("The page for a missing address looks for its files at {found} instead of {wanted}. Publish "
                       "with --address {url}").format(found=base[1].decode(), wanted=urlsplit(home).path, url=home))
