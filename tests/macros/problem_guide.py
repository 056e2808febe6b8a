"""The author's guide to every kind of problem, from `macros.kinds` and the samples that raise each.

``python -m tests.macros.problem_guide`` writes it; a test says when it is old.
"""

import tempfile
from pathlib import Path

from macros import kinds
from macros.allowing import JUDGEMENT
from macros.check import load_and_check
from tests.macros.broken import BROKEN, FILES
from tests.macros.contents import changed, with_files

_HEAD = """\
# Every kind of problem, with an example

`python3 handbook.py check` names each problem's place, what was found, what is expected and what to do; its last line names the
kinds that occurred. Each has a page here, which `python3 handbook.py check --explain KIND` prints too.

The examples are of a small invented handbook. These pages are made by `python -m tests.macros.problem_guide`, and never
edited.
"""


def samples() -> dict[str, str]:
    """Kind -> its example as Markdown: what was done, and what `check` says of it. The first that raises only that kind."""
    found: dict[str, str] = {}
    for kind, done, files, _place, _words in FILES:
        if kind not in found:
            with tempfile.TemporaryDirectory() as folder:
                found[kind] = _shown(f"{done[:1].upper()}{done[1:]}:", with_files(Path(folder), files))
    for file, old, new, problems in BROKEN:
        raised = {rule for _file, _line, rule, _words in problems}
        kind = next(iter(raised))
        if len(raised) == 1 and kind not in found:
            with tempfile.TemporaryDirectory() as folder:
                content = changed(Path(folder), file, old, new)
                found[kind] = _shown(_done(file, old, new), content)
    return found


def _done(file: str, old: str, new: str) -> str:
    if "\n" in old + new:
        lines = [f"- {line}" for line in old.splitlines()] + [f"+ {line}" for line in new.splitlines()]
        return f"In `content/{file}`:\n\n```diff\n" + "\n".join(lines) + "\n```\n"
    return f"In `content/{file}` stands `{new}` where it was `{old}`:" if new else f"In `content/{file}` is no `{old}`:"


def _shown(done: str, content: Path) -> str:
    says = "\n".join(problem.with_source(content.parent) for problem in load_and_check(content)[1])
    return f"{done}\n\n```\n{says}\n```\n"


def guide() -> dict[str, str]:
    """Name of each page -> the page as Markdown."""
    examples = samples()
    listed, pages = [_HEAD], {}
    for heading, held in kinds.KINDS.items():
        listed.append(f"## {heading}\n")
        listed.append("".join(f"- [{kind}]({kind}.md): {says.partition('. ')[0].rstrip('.')}.\n" for kind, says in held.items()))
        for kind, says in held.items():
            off = "It can be switched off for one place with a reason, under `allow`.\n" if kind in JUDGEMENT else ""
            pages[f"{kind}.md"] = "\n".join(filter(None, [f"# {kind}\n", f"{says}\n", off, examples[kind]]))
    return {"README.md": "\n".join(listed), **pages}


if __name__ == "__main__":
    kinds.GUIDE.mkdir(parents=True, exist_ok=True)
    for old in kinds.GUIDE.glob("*.md"):
        old.unlink()
    for name, text in guide().items():
        (kinds.GUIDE / name).write_text(text, "utf-8")
