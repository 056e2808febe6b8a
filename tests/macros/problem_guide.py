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
kinds that occurred. Here is more of each kind. `python3 handbook.py check --explain KIND` prints its section.

The examples are of a small invented handbook. This page is made by `python -m tests.macros.problem_guide`, and never edited.
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


def guide() -> str:
    """The page as Markdown."""
    examples = samples()
    parts = [_HEAD]
    for heading, held in kinds.KINDS.items():
        parts.append(f"## {heading}\n")
        for kind, says in held.items():
            off = "It can be switched off for one place with a reason, under `allow`.\n" if kind in JUDGEMENT else ""
            parts.append("\n".join(filter(None, [f"### {kind}\n", f"{says}\n", off, examples[kind]])))
    return "\n".join(parts)


if __name__ == "__main__":
    kinds.GUIDE.parent.mkdir(parents=True, exist_ok=True)
    kinds.GUIDE.write_text(guide(), "utf-8")
