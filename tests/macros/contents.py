"""A small sound content folder, and copies of it with one thing changed."""

import shutil
from pathlib import Path

SMALL = Path(__file__).parent / "small"
DEMO = Path(__file__).parents[2] / "content"


def changed(folder: Path, file: str, old: str, new: str) -> Path:
    """A copy of the small content in `folder`, with `old` in one file replaced by `new` (once)."""
    content = folder / "content"
    shutil.copytree(SMALL, content)
    path = content / file
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{old!r} is not in {file}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return content


def with_files(folder: Path, files: dict[str, bytes | None]) -> Path:
    """A copy of the small content in `folder` with `files` put in; those that are None are taken out."""
    content = folder / "content"
    shutil.copytree(SMALL, content)
    for name, data in files.items():
        path = content / name
        if data is None:
            path.unlink()
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return content


def put(content: Path, file: str, old: str, new: str) -> None:
    """Put `new` for the first `old` in a file of the folder `content`."""
    text = (content / file).read_text("utf-8")
    assert old in text
    (content / file).write_text(text.replace(old, new, 1), "utf-8")
