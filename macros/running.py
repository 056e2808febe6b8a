"""Run a tool that talks a lot, show where it is, and keep what it said for when it fails."""

import os
import re
import subprocess
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from macros import locking
from macros.console import Stop, disk_full, from_os_error
from macros.words import _

Notice = Callable[[str], None]
"""Given each line a tool prints, as it comes."""

_FULL = re.compile(r"no space left on device|errno 28|\bENOSPC\b|not enough space|disk quota exceeded", re.I)
_NETWORK = re.compile(
    r"NewConnectionError|ConnectTimeout|ReadTimeout|NameResolutionError|name resolution|Max retries exceeded"
    r"|ProxyError|SSLError|Connection refused|Connection reset|Network is unreachable|connection broken"
    r"|RemoteDisconnected|IncompleteRead|CERTIFICATE"
    # With no retries asked for, this is all that pip says; a locked version cannot be missing from an index.
    r"|from versions: none"
    r"|ENOTFOUND|EAI_AGAIN|ECONNREFUSED|ECONNRESET|ETIMEDOUT|EHOSTUNREACH|ENETUNREACH|ERR_SOCKET_TIMEOUT",
)
_HASH = re.compile(r"DO NOT MATCH THE HASHES|EINTEGRITY")
_REFUSED = re.compile(r"^(?:ERROR|npm error|npm ERR!):?\s*(?P<what>\S.*)$", re.M)


def run(
    command: Sequence[str | Path],
    *,
    doing: str,
    cwd: Path,
    env: Mapping[str, str],
    log: Path,
    notice: Notice,
) -> str:
    """Run `command` to its end, its two outputs as one text, and return the last 400 lines of it.

    `doing` completes "could not ...". The whole output is kept in the file `log`.
    Raises: Stop with one line that says why, when the command fails or cannot start.
    """
    last: deque[str] = deque(maxlen=400)
    log.parent.mkdir(parents=True, exist_ok=True)
    try:
        child = subprocess.Popen(
            [str(part) for part in command],
            cwd=cwd,
            env=dict(env),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            pass_fds=() if os.name == "nt" else tuple(locking.HELD),
        )
    except OSError as error:
        raise Stop(
            _("Could not {doing}: {program} does not start ({reason}).").format(
                doing=doing, program=command[0], reason=error.strerror or error
            )
        ) from None
    try:
        assert child.stdout is not None
        with open(log, "w", encoding="utf-8") as kept:
            for line in child.stdout:
                last.append(line)
                kept.write(line)
                notice(line.rstrip())
        status = child.wait()
    except OSError as error:
        # The log itself may be what the full disk refuses.
        _end(child)
        raise from_os_error(error) from None
    except BaseException:
        _end(child)
        raise
    said = "".join(last)
    if status:
        raise why(said, doing, status, log)
    return said


def _end(child: subprocess.Popen[str]) -> None:
    child.kill()
    child.wait()


def why(said: str, doing: str, status: int, log: Path) -> Stop:
    """The one line for a tool that ended with `status` after saying `said`."""
    if _FULL.search(said):
        return disk_full()
    if _HASH.search(said):
        return Stop(
            _(
                "Could not {doing}: a file that was fetched is not the one that was locked (its hash "
                "differs). Start again; if it stays so, the package index or the proxy hands out altered "
                "files. Details: {log}"
            ).format(doing=doing, log=log)
        )
    if _NETWORK.search(said):
        return Stop(
            _(
                "Could not {doing}: no connection to the package index. Look to the network (and to the "
                "proxy and index settings of pip and npm), then start again: it goes on by itself. "
                "Details: {log}"
            ).format(doing=doing, log=log)
        )
    lines = [match["what"] for match in _REFUSED.finditer(said)]
    reason = lines[0] if lines else _("it ended with status {status}").format(status=status)
    return Stop(
        _("Could not {doing}: {reason} (details: {log}).").format(
            doing=doing, reason=reason.strip().rstrip("."), log=log
        )
    )
