"""Handbooks of any number of procedures, made from a seed: ``python -m tests.bench.making DIR N [SEED]``.

Each is the demo's content with N procedures in place of its own twenty: every one is one of the twenty, step for step, with
the same messages, drawings, calculators and links, at another machine's place with another name, so that what a search must tell
apart and what a page weighs stay like the real thing. Machines and parts grow with the procedures (one machine for 20 procedures,
each with eight parts of its own).
"""

import random
import shutil
import sys
from pathlib import Path
from typing import Any

import yaml

from macros import schema_files
from macros.console import ROOT

DEMO = ROOT / "content"

BLOCK = 20
"""So many procedures go together: as many as the demo has, so that their links lead to one another."""

ADJECTIVES = ("amber back bent blunt bolted bottom bright broad buckled coiled curved dark deep double even far fixed flanged flat "
              "forked grooved grey heavy hinged hollow inner knurled lateral left little long lower main middle narrow near "
              "notched oblique oblong outer padded painted plain polished raised ribbed right ringed round sealed short "
              "slanted sliding slotted small smooth spare split square steel stepped straight striped tapered thick thin "
              "threaded toothed turned upper vented wide winged wired yellow").split()
NOUNS = ("adapter anchor angle apron arch arm axle baffle band bar base basin bay beam bearing bellows belt bezel boss bow "
         "bracket bridge bulkhead bush cable cage cap casing chain channel chute clasp clevis clip coil collar column "
         "conduit console corner coupling cover cradle crank cross cup damper deck dial disc dock drum duct elbow eyelet fender "
         "ferrule fin flange flap fork frame funnel gate gland grate grid grommet guard guide gusset handle hanger hatch "
         "hinge holder hood hook hopper housing hub jack jaw joint keel knob ladder latch ledge leg lever link lip lock loop "
         "louvre lug manifold mount muffler neck nest nozzle outrigger pad panel pawl pedal pedestal peg pillar pin pipe pivot "
         "plate pocket pod post prop pulley rack rail ramp reel ridge rim ring rod roller saddle screen seat shackle shaft "
         "shelf shield shoe shroud shutter sill skid skirt sleeve slide slot snout socket spacer spigot spindle spool spout "
         "spring sprocket stand stay stop strap strut stud sump swivel tab tee tongue tower track trap tray trunk tube "
         "turret valve vane web wedge well wing yoke").split()


def make(folder: Path, number: int, seed: int = 1) -> Path:
    """Write a content folder of `number` procedures (at least 20) into the new `folder`; the same for the same seed.

    Raises: FileExistsError, ValueError.
    """
    if number < BLOCK:
        raise ValueError(f"at least {BLOCK} procedures, found {number}")
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("editions", "schema", "marks.json"))
    chance = random.Random(seed)
    patterns = {path.stem: _read(path) for path in sorted((DEMO / "procedures").glob("*.yml"))}
    machines = [_read(path) for path in sorted((DEMO / "machines").glob("*.yml"))]
    names = [path.stem for path in sorted((DEMO / "machines").glob("*.yml"))]
    parts = _read(folder / "parts.yml")
    for count in range(BLOCK, number, BLOCK):  # the first twenty are the demo's own
        place = f"{chance.choice(ADJECTIVES)} {chance.choice(NOUNS)}"
        mark = f"{count // BLOCK:04d}"
        machine = f"{names[count // BLOCK % len(names)]}-{mark}"
        own = _parts(chance, mark)
        parts["parts"].update(own)
        figures = dict(machines[count // BLOCK % len(machines)])
        _write(folder / "machines" / f"{machine}.yml", {
            **figures, "title": f"{figures['title']}, series {mark}", "parts": [*figures["parts"], *own],
            "care": {when: f"{id}-{mark}" for when, id in figures["care"].items() if id in list(patterns)[:number - count]}})
        chosen = list(patterns)[:number - count]
        for id in chosen:
            _write(folder / "procedures" / f"{id}-{mark}.yml",
                   _procedure(chance, patterns[id], mark, set(chosen), machine, list(own), place))
    _write(folder / "parts.yml", parts)
    schema_files.write(folder)
    return folder


def _parts(chance: random.Random, mark: str) -> dict[str, Any]:
    """Eight parts of a machine."""
    own = {}
    for nth in range(8):
        noun = f"{chance.choice(ADJECTIVES)} {chance.choice(NOUNS)}"
        own[f"{noun.replace(' ', '-')}-{mark}-{nth}"] = {
            "title": f"{noun} {mark}".capitalize(), "number": f"NQ-{mark}-{chance.randrange(1000):03d}{nth}",
            "does": f"Holds the {chance.choice(ADJECTIVES)} {chance.choice(NOUNS)} in its place.",
            "unit": "piece", "price": f"{chance.uniform(2, 90):.2f}", "cost": f"{chance.uniform(1, 50):.2f}"}
    return own


def _procedure(chance: random.Random, pattern: dict[str, Any], mark: str, present: set[str], machine: str, parts: list[str],
               place: str) -> dict[str, Any]:
    """The procedure `pattern` for one machine: each step looks at a place of its own, and links stay among the `present`."""
    def there(id: str) -> str:
        return f"{id}-{mark}" if id in present else id

    made = {**pattern, "title": f"{pattern['title']}, {place} {mark}", "machines": [machine], "steps": []}
    for key in ("first", "next"):
        if key in made:
            made[key] = [there(id) for id in made[key]]
    for item in pattern["steps"]:
        if "do" in item:
            item = {**item, "text": f"{item['text']} Look at the {chance.choice(ADJECTIVES)} {chance.choice(NOUNS)} "
                                    f"{chance.choice('ABCDEFGHJKLMNP')}{chance.randrange(100)}."}
            if isinstance(item.get("if_not"), dict) and "go" in item["if_not"]:
                item["if_not"] = {**item["if_not"], "go": there(item["if_not"]["go"])}
            if "parts" in item:
                item["parts"] = [*item["parts"], chance.choice(parts)]
        made["steps"].append(item)
    return made


def _read(path: Path) -> dict[str, Any]:
    # Every value as the text that stands in the file, since the content's own loader reads it so.
    return yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader)


def _write(path: Path, data: dict[str, Any]) -> None:
    path.write_text(yaml.dump(data, sort_keys=False, allow_unicode=True, width=110), "utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]), int(sys.argv[2]), *map(int, sys.argv[3:]))
