"""The stamp of the environment in .venv, which says that everything was installed, by which Python and from which lock.

Every start reads it before it goes on in the environment: what is imported here is what that takes, and no more.
"""

import hashlib
import os
import sys

STAMP = "handbook.json"
"""Name of the stamp inside the environment."""


def tag() -> str:
    """What ties an environment to a Python: implementation, version and machine, e.g. cpython-311-linux."""
    return f"{sys.implementation.cache_tag}-{sys.platform}"


def digest(lock: str | os.PathLike[str]) -> str:
    """SHA-256 of a lock file's bytes, line ends set aside (Windows checkouts may differ in them). Raises: OSError."""
    with open(lock, "rb") as file:
        return hashlib.sha256(file.read().replace(b"\r\n", b"\n")).hexdigest()


def interpreter(folder: str) -> str:
    """The interpreter of the environment in `folder`."""
    return os.path.join(folder, *(("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")))


def other() -> str:
    """The name of the running Python's own environment, where .venv is another Python's."""
    return f".venv-{sys.version_info[0]}.{sys.version_info[1]}"


def whole(root: str) -> str:
    """The environment that is whole for the running Python, told by its stamp as text; "" where that must be looked into."""
    try:
        wanted = [_line("python", tag()), _line("site", digest(os.path.join(root, "requirements.lock")))]
        for name in (".venv", other()):
            folder = os.path.join(root, name)
            with open(os.path.join(folder, STAMP), encoding="utf-8") as file:
                text = file.read()
            if all(line in text for line in wanted) and os.path.exists(interpreter(folder)):
                return folder
            if wanted[0] in text:  # this Python's, and not whole
                return ""
    except (OSError, ValueError):
        pass
    return ""


def _line(key: str, value: str) -> str:
    return f'"{key}": "{value}"'
