"""Files named by their content: pages name the new place, the same content gives the same name."""

import re
from pathlib import Path

from macros import naming


def site(folder: Path, script: str = "1") -> Path:
    """A site with one page at home and one below it."""
    for name, text in {"index.html": '<link href="./look/look.css"><script src="./app/boot.js"></script>',
                       "a/b/index.html": '<link href="../../look/look.css"><script src="../../app/boot.js"></script>',
                       "404.html": '<script src="/app/boot.js"></script><a href="app/boot.js.html">',
                       "app/boot.js": script, "app/main.js": "2", "app/words.json": "{}", "record/store.js": "5", "search/engine.js": "8", "search/index.json": "{}", "record/visit.schema.json": "{}", "sw.js": "6",
                       "runtime/0123456789abcdef/pyodide.js": "7", "look/look.css": "3", "look/foot.css": "9", "look/icon.svg": "4"}.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    naming.by_content(folder)
    return folder


def names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_pages_name_what_was_moved(tmp_path: Path):
    made = site(tmp_path)
    assert {"index.html", "a/b/index.html", "404.html", "look/icon.svg"} <= names(made)
    [boot] = [name for name in names(made) if name.endswith("boot.js")]
    [sheet] = [name for name in names(made) if name.endswith("look.css")]
    assert re.fullmatch(r"scripts/[0-9a-f]{16}/app/boot\.js", boot) and naming.is_named(boot)
    assert re.fullmatch(r"look/[0-9a-f]{16}/look\.css", sheet) and naming.is_named(sheet)
    assert {"main.js", "words.json"} <= {path.name for path in (made / boot).parent.iterdir()}
    assert ((made / boot).parent.parent / "record" / "store.js").is_file(), "folders of scripts stay beside one another"
    assert {"sw.js", "search/index.json", "runtime/0123456789abcdef/pyodide.js"} <= names(made)
    assert (made / "record" / "visit.schema.json").is_file() and (made / "look" / "foot.css").is_file() and not (made / "app").exists()
    assert (made / "index.html").read_text("utf-8") == f'<link href="./{sheet}"><script src="./{boot}"></script>'
    assert (made / "a/b/index.html").read_text("utf-8") == f'<link href="../../{sheet}"><script src="../../{boot}"></script>'
    assert (made / "404.html").read_text("utf-8") == f'<script src="/{boot}"></script><a href="app/boot.js.html">'
    assert not naming.is_named("look/icon.svg") and not naming.is_named("x/" + boot)


def test_the_name_follows_the_content_and_nothing_else(tmp_path: Path):
    first, again, other = (names(site(tmp_path / name, text)) for name, text in (("1", "a"), ("2", "a"), ("3", "b")))
    assert first == again
    assert {name.split("/")[0] for name in first ^ other} == {"scripts"}
