"""Broken samples of whole files, see `broken`."""

from .contents import SMALL

_PLATE = (SMALL / "drawings/plate.svg").read_bytes()

#: Kind, what was done, the files put into the sound folder (None: taken out), and the problem's file, line and words.
FILES = [
    ("missing-file", "`glossary.yml` is taken out", {"glossary.yml": None}, ("glossary.yml", 1), "The file is missing"),
    ("missing-file", "a guide links to a file that is not there",
     {"guides/floors.md": b"# Floors\n\n[a plan](plan.png)\n"},
     ("guides/floors.md", 3), '"plan.png" is not there'),
    ("stranger", "a file is named `tool.yml`", {"tool.yml": b"tools: {}\n"}, ("tool.yml", 1),
     'Did you mean "tools.yml"?'),
    ("file-name", "a machine's file is named `Big One.yml`",
     {"machines/Big One.yml": b"title: Big one\nkind: ride-on\n"},
     ("machines/Big One.yml", 1), "The file's name is not an id"),
    ("file", "a folder has the name of a machine's file", {"machines/n.yml/inside": b""}, ("machines/n.yml", 1),
     "not a file"),
    ("file-size", "a machine's file holds more than a million bytes", {"machines/n.yml": b"#" * 1_000_001},
     ("machines/n.yml", 1), "larger than 1000000 bytes"),
    ("encoding", "a guide is saved in an older encoding", {"guides/sizes.md": "# Gr\u00f6\u00dfen\n".encode("latin-1")},
     ("guides/sizes.md", 1), "Bytes that are not UTF-8"),
    ("outside", "a guide links to a file beside the content",
     {"guides/floors.md": b"# Floors\n\n[prices](../../prices.csv)\n"},
     ("guides/floors.md", 3), "leads out of the content"),
    ("no-title", "a guide begins without a title", {"guides/floors.md": b"Rough floors wear the blade.\n"},
     ("guides/floors.md", 1), "The guide has no title"),
    ("picture-words", "a guide has a picture without words",
     {"guides/floors.md": b"# Floors\n\n![](../drawings/plate.svg)\n"}, ("guides/floors.md", 3),
     "A picture without words"),
    ("picture-words", "a guide has a picture in HTML without words",
     {"guides/floors.md": b'# Floors\n\n<img src="../drawings/plate.svg" alt="">\n'}, ("guides/floors.md", 3),
     "A picture without words"),
    ("no-steps", "a procedure has headings alone",
     {"procedures/look.yml": b"title: Look\ngroup: find\nachieves: Finds it.\nminutes: 2\ndone_when: it is found\n"
                             b"reviewed: 2026-11-01\nsteps:\n  - part: A\n"},
     ("procedures/look.yml", 7), "The procedure has no step"),
    ("unused-drawing", "a drawing `spare.svg` is put beside the others",
     {"drawings/spare.svg": _PLATE.replace(b"plate", b"spare")},
     ("drawings/spare.svg", 1), 'No page shows the drawing "spare"'),
    ("edition-file", "`editions/3.json` is not as it was written", {"editions/3.json": b"{}\n"}, ("editions/3.json", 1),
     "no summary of an edition"),
    ("gone-page", "edition 1 had a procedure `look`, and edition 2 has not",
     {"handbook.yml": (SMALL / "handbook.yml").read_bytes().replace(b"edition: 1", b"edition: 2"),
      "editions/1.json": b'{"edition": 1, "date": "2026-10-01", "messages": {}, "zones": {}, "procedures": {"look": '
                         b'{}},'
                         b' "machines": {}, "symptoms": {}, "parts": {}, "guides": {}}\n'},
     ("handbook.yml", 1), "Edition 1 had the page procedures/look/"),
    ("own-mark", "`mark.svg` holds a script",
     {"mark.svg": b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">'
                                                           b"<script/></svg>\n"}, ("mark.svg", 1), "script"),
    ("own-mark", "`mark.svg` is not square",
     {"mark.svg": b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 20"/>\n'},
     ("mark.svg", 1), "64 by 20"),
    ("own-mark", "`mark.svg` is no SVG", {"mark.svg": b"a picture\n"}, ("mark.svg", 1), "cannot be read as SVG"),
    ("marks", "`marks.json` is not as the rig wrote it", {"marks.json": b"{}\n"}, ("marks.json", 1),
     "as the rig wrote it"),
]
