"""Settings for the web servers nginx and Caddy, from the one source of what is sent (`web`)."""

import re
from pathlib import Path
from urllib.parse import urlsplit

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from macros import naming, placing, pointing, web
from macros.console import Stop
from macros.words import _

SERVERS = {"nginx": "nginx.conf", "caddy": "Caddyfile"}
"""Each server, and the template of its settings."""

WRONG_USE = 2


def text(server: str, folder: Path, address: str, sign_on: str | None = None) -> str:
    """The settings with which `server` serves what was published in `folder` at `address`.

    `sign_on`: the address of the company's own sign-on, asked about each request. Raises: Stop with status 2.
    """
    parts, served = urlsplit(address), folder.resolve() / placing.SERVED
    marks = pointing.marks(folder.resolve())
    if marks:
        served = folder.resolve() / placing.EDITIONS / pointing.PLACES[0]
    if re.search(r"[\s\"'{};$#\\]", served.as_posix()):
        raise Stop(_("publish: {folder} has a space or a sign in its path that settings of servers do not take; "
                     "publish to another folder.").format(folder=folder), WRONG_USE)
    if re.search(r"[^\w./:~%-]", address):
        raise Stop(_("publish: --address {given} has a sign that settings of servers do not take.").format(
            given=address), WRONG_USE)
    asked = _sign_on(sign_on)
    types: dict[str, list[str]] = {}
    for ending, type_ in web.TYPES.items():
        types.setdefault(type_, []).append(ending.removeprefix("."))
    tls = parts.scheme == "https"
    env = Environment(loader=FileSystemLoader(Path(__file__).parent / "servers"), undefined=StrictUndefined,
                      autoescape=False,
                      trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True)
    return env.get_template(SERVERS[server]).render(
        address=address, folder=folder.resolve().as_posix(), served=served.as_posix(), marks=marks, base=parts.path,
        host=parts.hostname, tls=tls,
        port=parts.port or (443 if tls else 80), site=f"{parts.scheme}://{parts.netloc}", named=naming.PATTERN,
        ask=web.ASK,
        forever=web.FOREVER, headers=web.HEADERS, types=types, page_type=web.TYPES[".html"], sign_on=sign_on or "",
        sign_on_host=f"{asked.scheme}://{asked.netloc}" if asked else "",
        sign_on_path=(asked.path or "/") if asked else "")


def _sign_on(given: str | None):
    """The parts of the sign-on's address; None without one. Raises: Stop with status 2."""
    if not given:
        return None
    try:
        parts = urlsplit(given)
        plain = not re.search(r"[^\w./:~%-]", given)
        if parts.scheme in ("http", "https") and parts.hostname and plain and parts.port != 0:
            return parts
    except ValueError:
        pass
    raise Stop(_("publish: --sign-on {given} is not an address such as "
                 "http://127.0.0.1:9091/check").format(given=given), WRONG_USE)
