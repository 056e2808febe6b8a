"""Every kind of problem of the content, for the author's guide: what it means, and why it is one.

The guide (``docs/authors/problems/``, a page for each kind) is made of this table and of the samples in ``tests/macros/`` that raise each
kind (``python -m tests.macros.problem_guide``). ``check --explain KIND`` prints a kind's page.
"""

from macros.console import ROOT, Stop
from macros.problems import meant
from macros.words import _

GUIDE = ROOT / "docs" / "authors" / "problems"
"""Folder of the pages: KIND.md, and README.md, which lists them."""

#: Heading of the guide -> kind -> what it means and why, in sentences.
KINDS: dict[str, dict[str, str]] = {
    "Files": {
        "missing-file": "A file that the handbook rests on, or that a link or picture in prose names, is not there.",
        "stranger": "A YAML file stands where nothing reads it, so its words would reach nobody. Most often its name "
                    "is misspelt.",
        "file-name": "The name of a procedure's, a machine's or a guide's file is its id, and becomes its address: "
                     "small letters, digits and hyphens.",
        "file": "What stands there is not a file that can be read: a folder, a pipe, or a file that this user may not "
                "open.",
        "file-size": "A content file is written by people and stays small; a very large or very deeply nested one is "
                     "refused before it is read, since it can only be a mistake.",
        "encoding": "Content is text in UTF-8. Some editors save in an older encoding, and letters such as ö would "
                    "come out wrong.",
        "empty": "The file holds nothing but perhaps comments.",
        "outside": "Content stays in its own folder and asks no other host for anything: no link, no picture and no "
                   "file leads out of it. A link for readers to another site is no problem; a picture from one is.",
        "no-title": "A guide begins with its title, on a first line such as `# How the machine lifts water`.",
        "picture-words": "A picture in prose has words for those who cannot see it, between the square brackets.",
    },
    "Plain YAML": {
        "syntax": "The file cannot be read as YAML from here on. Look at the line named and at the one before it: a "
                  "missing quote, a colon in a text without quotes, a tab, or an indentation that does not fit.",
        "characters": "A character that no page can show, mostly pasted in unseen.",
        "duplicate-key": "A key stands twice in one mapping. Only one of the two could be read, and which is not said.",
        "key": "A key is a list or a mapping. Keys are plain words.",
        "alias": "YAML's anchors and aliases (`&a`, `*a`) are not read: each place says for itself what it holds.",
        "tag": "YAML's tags (`!!str`) are not read: what a value means is said by the key that it stands under.",
        "document": "A line `---` begins a second document. One file is one document.",
    },
    "Form": {
        "missing-key": "A key that must be there is missing.",
        "model-version": "The folder is written for another version of the content model than the one that this "
                         "program reads. Nothing else is said of it until the two fit.",
        "unknown-key": "Nothing reads this key, most often since it is misspelt: what stands under it would reach "
                       "nobody.",
        "type": "The value is not of the kind that its key takes: a number within its limits, a date, a measure with "
                "its unit, one of a few words.",
        "id": "A name that other places refer to is made of small letters, digits and hyphens.",
        "item": "`part:` and `message:` stand alone among the steps, each an item of its own.",
        "no-steps": "A procedure has at least one step.",
        "branch": "What to do when it is not so is one thing: a sentence, another procedure, or a step of this one.",
    },
    "Names": {
        "unknown-part": "No part in parts.yml has this id.",
        "unknown-tool": "No tool in tools.yml has this id.",
        "unknown-zone": "No zone in hazards.yml has this id. Without the zone nothing is known of what hands need "
                        "there.",
        "unknown-message": "No safety message in hazards.yml has this id.",
        "unknown-procedure": "No file in procedures/ has this name.",
        "unknown-step": "No step of this procedure has this id.",
        "unknown-machine": "No file in machines/ has this name.",
        "unknown-group": "No group in handbook.yml has this id.",
        "unknown-drawing": "No file in drawings/ has this name.",
        "unknown-calculator": "There is no calculator of this id; `python3 handbook.py calc` lists them.",
        "unknown-language": "The program's own words have not been translated into this language.",
        "unknown-state": "hazards.yml has no such state variable, or the variable no such value.",
        "unknown-sign": "This sign is none of those that the handbook draws.",
        "unknown-unit": "The handbook cannot be read in this unit, since the quantity or the unit is not known.",
        "unknown-cause": "The symptom has no cause of this id.",
        "unknown-result": "The check has no result of this id.",
        "unknown-symptom": "No symptom in symptoms.yml has this id.",
        "unknown-guide": "No file in guides/ has this name.",
        "duplicate-id": "Two steps of one procedure have the same id, so that a jump to it would lead to either.",
        "duplicate-word": "Two entries of the glossary explain the same word.",
        "synonym-nowhere": "Other words are given for one that no page says, so that whoever searches by them finds "
                           "nothing.",
        "duplicate-synonym": "The same words stand twice for one thing, or for two pages of one kind, which both would "
                             "claim them.",
    },
    "Safe hands": {
        "zone-state": "Hands go into a zone whose needed state of the machine does not hold here, or is not known. Say "
                      "in `sets` of an earlier step what makes it so, or run the procedure that does, first.",
        "running": "Hands go into a zone while the machine may be running, and the zone does not allow it.",
        "moving-parts": "A zone with moving parts can never be allowed while the machine runs.",
        "message": "The safety message of a zone must stand before the step where hands go there, in the same part, so "
                   "that nobody reaches the step without passing it.",
        "message-twice": "The message holds here already. Read twice, it is soon read over.",
        "message-idle": "No step that follows in this part needs the message. A warning without its danger teaches not "
                        "to read warnings.",
        "step-needs": "What the step needs does not hold when it is reached.",
        "starts": "The procedure that is run here starts with a state that does not hold here.",
        "state-holds": "A value is set whose own needs do not hold: a vacuum cannot run while the key is out.",
        "idle-set": "The step sets what is so already, or what nothing needs. Either the step is idle, or another one "
                    "lacks its `needs`.",
        "end-state": "The last step names the state in which the machine is left, and it is the state that the steps "
                     "lead to.",
        "loop": "Procedures that run each other would never end, or run each other too deep to be followed.",
    },
    "Answers": {
        "calculator-input": "The calculator refuses the figure of this machine, or the value put in beside this step: "
                            "it is outside of what the calculator takes.",
        "contradiction": "Two figures of a machine, each of which may be right alone, cannot both be right.",
        "likely": "The table of a check says for each cause how likely each result is, in percentages that add up to "
                  "100, and some cause of the symptom does occur.",
        "told-apart": "No check of the symptom tells two of its causes apart, so that the reader would be left between "
                      "them.",
        "marks": "The marks of the simulated machines cannot be read, or are of another edition of the program.",
    },
    "Drawings": {
        "drawing": "The drawing cannot be put into a page: it lacks its title or description, holds script, or names a "
                   "shape that is not drawn.",
        "step-without-drawing": "A step about a part, or one where hands go, is seen before it is done: it has a "
                                "drawing.",
        "unused-drawing": "No page shows the drawing.",
        "accent": "Words and lines in the handbook's own colour could not be read well: words need 7 to 1 against the "
                  "page, lines and drawings 3 to 1 against everything that they stand on, on light pages and on dark "
                  "ones.",
        "own-mark": "The handbook's own mark, `mark.svg`, is a square picture as SVG that brings everything it needs: "
                    "no script, nothing from elsewhere.",
    },
    "Plain technical English": {
        "sentence-length": "A sentence is too long to be held in mind beside a machine: at most 20 words where it "
                           "tells what to do, at most 25 where it describes.",
        "verb-first": "An instruction begins with its verb, or with its condition and a comma. A verb that is not "
                      "known here goes into words.yml under `verbs`.",
        "one-instruction": "A sentence tells one thing to do, or two that are done together.",
        "condition-first": "The condition comes first and ends with a comma: who reads it last has acted already.",
        "word-choice": "The word has a simpler one, or words.yml says that the house says another.",
        "unit-writing": "Units are written as the SI writes them: a space after the number, the symbol in its own "
                        "letters, no plural.",
    },
    "Order in the house": {
        "unused-part": "No machine has the part and no step renews it.",
        "unused-tool": "No step needs the tool.",
        "unused-zone": "No step has hands in the zone.",
        "unused-message": "No zone and no procedure has the message.",
        "edition-file": "What was kept of an earlier edition, in `editions/`, is not as it was written, so what is new "
                        "since cannot be said.",
        "gone-page": "An earlier edition had a page that is not there any more: labels, bookmarks and printed sheets "
                     "that name it would lead nowhere. `moved` in handbook.yml says where they lead now.",
        "moved": "`moved` names a page that is still there, or leads to one that is not.",
        "review": "The procedure was to be read through again before the date of this edition, or says that it was "
                  "read after it.",
        "allow": "A rule is switched off that cannot be, or where nothing breaks it.",
    },
}


def names() -> list[str]:
    """Every kind's name, in the order of the guide."""
    return [name for held in KINDS.values() for name in held]


def explained(kind: str) -> str:
    """What a kind's page of the author's guide says. Raises: Stop for a kind that there is not, and without the page."""
    if kind not in names():
        raise Stop(_('There is no kind of problem "{kind}". {hint}').format(
            kind=kind, hint=meant(kind, names(), "docs/authors/problems/")).strip(), 2)
    try:
        page = (GUIDE / f"{kind}.md").read_text("utf-8")
    except OSError as error:
        raise Stop(_("{file} cannot be read or written: {why}.").format(file=GUIDE / f"{kind}.md",
                                                                        why=error.strerror or error)) from None
    return page.partition("\n")[2].strip()
