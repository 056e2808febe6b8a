"""The schemas beside the content: ``schema/KIND.json``, and the first line of each content file that names its own.

Nothing asks a network: an editor's YAML support follows the relative name in the first line.
"""

import json
from collections.abc import Iterator
from pathlib import Path

from macros.folder import FILES, FOLDERS
from macros.schema import schemas

FOLDER = "schema"
_MARK = "# yaml-language-server: $schema="


def texts() -> dict[str, str]:
    """File name -> text of every schema."""
    return {f"{kind}.json": json.dumps(one, indent=1, ensure_ascii=False) + "\n" for kind, one in schemas().items()}


def first_line(name: str) -> str:
    """The first line of a content file; `name` is its path in the folder, such as ``machines/m.yml``."""
    folder, _slash, file = name.rpartition("/")
    return f"{_MARK}../{FOLDER}/{folder.removesuffix('s')}.json" if folder else (
        f"{_MARK}{FOLDER}/{file.removesuffix('.yml')}.json")


def stale(content: Path) -> list[str]:
    """The schemas in a content folder that are not those of this program; none where there is no such folder."""
    folder = content / FOLDER
    return [] if not folder.is_dir() else [name for name, text in texts().items() if _read(folder / name) != text]


def write(content: Path) -> list[Path]:
    """Write what is not current, and put the first line into files that name no schema; what was written.

    Nothing else of a content file is changed. Raises: OSError.
    """
    written = write_schemas(content)
    for path in _files(content):
        raw = path.read_bytes()
        mark, body = (raw[:3], raw[3:]) if raw.startswith(b"\xef\xbb\xbf") else (b"", raw)
        start = body.split(b"\n", 1)[0]
        wanted = first_line(path.relative_to(content).as_posix()).encode()
        if start.rstrip(b"\r") == wanted:
            continue
        end = b"\r\n" if start.endswith(b"\r") else b"\n"
        if start.startswith(_MARK.encode()):
            body = body.partition(b"\n")[2]
        _replace(path, mark + wanted + end + body)
        written.append(path)
    return written


def write_schemas(content: Path) -> list[Path]:
    """Write the schemas alone, those that are not current; what was written. Raises: OSError."""
    written = []
    (content / FOLDER).mkdir(exist_ok=True)
    for name, text in texts().items():
        path = content / FOLDER / name
        if _read(path) != text:
            _replace(path, text.encode())
            written.append(path)
    return written


def _files(content: Path) -> Iterator[Path]:
    """The content's YAML files. A link is left alone: what it leads to may be anybody's."""
    for path in [*(content / name for name in FILES), *(p for f in FOLDERS for p in sorted((content / f).glob("*.yml")))]:
        if path.is_file() and not path.is_symlink():
            yield path


def _replace(path: Path, raw: bytes) -> None:
    """Put a file in place whole: a run that is cut off leaves the one before."""
    fresh = path.with_name(path.name + ".new")
    fresh.write_bytes(raw)
    fresh.replace(path)


def _read(path: Path) -> str | None:
    try:
        return path.read_bytes().decode()
    except (OSError, UnicodeDecodeError):
        return None
