"""Plain technical English as far as a program can judge it: sentences, their words, their instructions.

The measures follow ASD-STE100: at most 20 words in an instruction and 25 in a description, one instruction in a
sentence, the verb at its beginning, a condition before it with a comma. Word lists are short on purpose: an
author adds to them in ``words.yml``, and a rule that cries wolf is soon not read.
"""

import re
from collections.abc import Collection, Iterator
from functools import lru_cache
from typing import NamedTuple

MOST_INSTRUCTING, MOST_DESCRIBING = 20, 25

#: Verbs with which an instruction of this trade may begin.
VERBS = frozenset("""
add adjust align apply ask attach begin bend blow bolt bring brush build bypass call carry catch change charge check
choose clamp clean clear clip close coat collect compare connect copy count cover cut detach disconnect do dose drain
draw drive drop dry empty enter estimate feel fetch file fill find finish fit fix flip flush fold follow free get give
go grease grip guide hand hang have heat hold hook inspect insert install join jump keep kneel label lay lead lean
leave let lift list listen locate lock look loosen lower make mark measure mend mix mount move name neutralise note
offer oil open order park part pass peel pick pinch place plan plug point pour press price prise prop protect pull pump
push put raise reach read record reduce refill refit release remove renew repair repeat replace report rest rinse rock roll
round rub run say scrape screw scrub seal secure see send set settle shake shine show shut sign slide slip smell smooth
soak spin spray spread squeeze stand start stay step stop store straighten stretch support survey swap sweep swing
switch tag take talk tap tell test thread tie tighten tilt tip touch trim trust try turn twist type undo unhook unlock unplug
unscrew use wait warn wash watch wear weigh wet wipe withdraw work wrap write
""".split())

#: Words that ask for a simpler one.
INSTEAD = {
    "utilise": "use", "utilize": "use", "ensure": "make sure", "commence": "begin", "terminate": "stop",
    "prior to": "before", "in order to": "to", "subsequently": "then", "approximately": "about", "sufficient": "enough",
    "obtain": "get", "attempt to": "try to", "rotate": "turn", "depress": "press", "via": "by way of", "e.g.": "such as",
    "i.e.": "that is", "etc.": "the things by name", "and/or": "one of the two", "in the event of": "if",
    "facilitate": "help", "necessitate": "need", "adjacent to": "beside", "in close proximity to": "near",
}

#: Words before the instruction itself: conditions, purposes, places.
_OPENERS = frozenset("""
if when where while before after until once to for with without in at on from as unless whenever first then by
""".split())
_PASSED = frozenset("never not always then now next again first also only don't".split())
#: After these, "if" and "when" do not begin a condition: "ask when it was charged", "the day when it can be done".
_ASKING = frozenset("""
ask say tell see check look write note read choose decide know find show feel listen note record watch work
""".split())
_MOMENTS = frozenset("day date time moment place hour year what even as only".split())
_WORD = re.compile(r"[\w'’./%-]*\w[\w'’./%-]*")
#: Both begin with the space, which is soon looked for, and look back over it.
_END = re.compile(r"\s(?<=[.?!]\s)\s*(?=[A-Z\"'(0-9])")
_MEASURED = re.compile(r"\s(?<=\d\s)\s*(?=(?:[kmµcMG]?(?:m|g|Pa|s|A|V|W|L|N|Ah|min|h|bar)|°C|%)(?![\w/]))")
_CLAUSES = re.compile(r"(?:,|;|:)?\s+(?:and\s+then|then|and)\s+|[,;:]\s+")
_THEN = re.compile(r"\S,? (?:and )?then (\w+)")


def sentences(text: str) -> list[str]:
    """The sentences of a text."""
    return [part for part in _END.split(" ".join(text.split())) if part]


@lru_cache(maxsize=64)  # each sentence is asked for several times in a row
def words(sentence: str) -> tuple[str, ...]:
    """The words of a sentence; a number and its unit are one."""
    return tuple(_WORD.findall(_MEASURED.sub("", sentence)))


@lru_cache(maxsize=64)
def _folded(sentence: str) -> tuple[str, ...]:
    return tuple(word.casefold().rstrip(".") for word in words(sentence))


class Fault(NamedTuple):
    """What is wrong with a sentence: long (and how many words), verb (not first), several (and how many instructions), late
    (the condition), comma (none after it)."""

    kind: str
    number: int = 0


@lru_cache(maxsize=8_000)  # many procedures say the same
def faults(text: str, most: int, instructs: bool, verbs: frozenset[str]) -> tuple[tuple[str, Fault], ...]:
    """What is wrong with each sentence of a text that instructs or describes, of at most `most` words."""
    return tuple((sentence, fault) for sentence in sentences(text) for fault in _faults(sentence, most, instructs, verbs))


@lru_cache(maxsize=4_000)  # "Set the brake." stands in many a text
def _faults(sentence: str, most: int, instructs: bool, verbs: frozenset[str]) -> tuple[Fault, ...]:
    found, length = [], len(words(sentence))
    if length > most:
        found.append(Fault("long", length))
    if instructs:
        if not begins_with_verb(sentence, verbs):
            found.append(Fault("verb"))
        number, after = instructions(sentence, verbs)
        if number > 2 or number == 2 and after:
            found.append(Fault("several", number))
        if condition_late(sentence, verbs):
            found.append(Fault("late"))
        elif condition_without_comma(sentence):
            found.append(Fault("comma"))
    return tuple(found)


def begins_with_verb(sentence: str, verbs: Collection[str]) -> bool:
    """Whether a sentence is an instruction that begins with its verb, or with a condition and then its verb."""
    found = _folded(sentence)
    if not found or _first_verb(found, verbs):
        return True
    if found[0] not in _OPENERS:
        return False
    return any(_first_verb(_folded(part), verbs)
               for part in re.split(r"[,:;]\s", sentence)[1:])


def instructions(sentence: str, verbs: Collection[str]) -> tuple[int, bool]:
    """How many instructions a sentence gives, and whether "then" says that one comes after the other."""
    number = sum(_first_verb(_folded(clause), verbs) for clause in _CLAUSES.split(sentence))
    after = _THEN.search(sentence)
    return number, bool(after and after[1].casefold() in verbs)


def condition_late(sentence: str, verbs: Collection[str]) -> bool:
    """Whether a condition follows the instruction that depends on it."""
    found = _folded(sentence)
    if not found or not _first_verb(found, verbs) or _ASKING & set(found):
        return False
    return any(word in ("if", "when", "unless") and found[number - 1] not in _MOMENTS and _before(found[number], sentence)
               for number, word in enumerate(found) if number)


def condition_without_comma(sentence: str) -> bool:
    """Whether a sentence begins with a condition that no comma ends."""
    found = words(sentence)
    return bool(found) and found[0] in ("If", "When", "While", "Unless", "Before", "After") and not re.search(
        r"[,:;]\s", sentence)


def instead(text: str, avoided: dict[str, str]) -> Iterator[tuple[str, str]]:
    """Words of a text for which a simpler one stands: (word as written, the other)."""
    for word, better in avoided.items():
        pattern = rf"(?<!\w){re.escape(word)}" + (r"(?!\w)" if word[-1:].isalnum() else "")
        for hit in re.finditer(pattern, text, re.IGNORECASE):
            yield hit[0], better


def _first_verb(found: tuple[str, ...], verbs: Collection[str]) -> bool:
    rest = iter(found[2:] if found[:2] == ("do", "not") else found)
    for word in rest:
        if word in verbs:
            return True
        if word not in _PASSED and not word.endswith("ly"):
            return False
    return False


def _before(word: str, sentence: str) -> bool:
    """Whether the condition runs to the sentence's end, so that it could stand first."""
    return "," not in sentence[sentence.casefold().find(f" {word} "):]
