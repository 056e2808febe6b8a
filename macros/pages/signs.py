"""Safety signs after ISO 7010, redrawn for this handbook, and the standards' signal words.

Colours are those of ISO 3864 (RAL tones), the same in both colour schemes. Meanings: ISO 7010 and
`reference/safety`; `fan` is a warning sign of our own for a turning fan. Every sign is 100 units wide.
"""

from markupsafe import Markup

from macros.words import _, mark

BLUE, YELLOW, RED = "#005387", "#F9A800", "#9B2423"

_TURNING = "".join(
    f'<path d="M50 57c-9-7-9-19-1-24 7 6 8 15 1 24z" transform="rotate({angle} 50 61)"/>' for angle in (0, 120, 240))

_TEETH = "".join(f'<path d="M46 36h8v9h-8z" transform="rotate({angle} 50 61)"/>' for angle in range(0, 360, 45))

_HEAD = '<circle cx="50" cy="27" r="13"/>'

#: id -> meaning, pictogram. The ground (disc, triangle, ring) follows from the id's letter.
SIGNS: dict[str, tuple[str, str]] = {
    "M002": (mark("Read the instructions"),
             '<circle cx="42" cy="24" r="11"/><path d="M24 84V52q0-14 14-14h7q8 0 11 7l9 15-7 6-10-13v31z"/>'
             '<path d="M56 47l18-9 6 22-18 9z"/>'),
    "M004": (mark("Wear eye protection"),
             '<path d="M24 76V45q0-27 26-27t26 27v31q-10 8-26 8t-26-8z"/>'
             '<path fill="#005387" d="M21 43h58v7H21z"/>'
             '<circle fill="#005387" cx="37" cy="49" r="12"/><circle fill="#005387" cx="63" cy="49" r="12"/>'
             '<circle cx="37" cy="49" r="7"/><circle cx="63" cy="49" r="7"/>'),
    "M009": (mark("Wear protective gloves"),
             '<path d="M31 84V58l-9-14q-3-6 2-8t9 4l6 9V22q0-5 4.5-5t4.5 5v20h2V18q0-5 4.5-5t4.5 5v24h2V22q0-5 4.5-5t4.5 5v23h2V31'
             'q0-4 4-4t4 4v31q0 10-7 15v7z"/><path fill="#005387" d="M29 71h44v5H29z"/>'),
    "M013": (mark("Wear a face shield"),
             '<path d="M28 80V46q0-26 22-26t22 26v34q-9 6-22 6t-22-6z"/>'
             '<path fill="#005387" d="M22 34h56v7H22z"/><path fill="none" stroke="#005387" stroke-width="4" d="M34 43v30q16 9 32 0V43"/>'),
    "M021": (mark("Disconnect before work"),
             '<path d="M10 45h16v10H10zM74 45h16v10H74z"/><path d="M24 31h17v38H24zM60 31h15v38H60z"/>'
             '<path d="M41 37h11v7H41zM41 56h11v7H41z"/>'),
    "M026": (mark("Wear a protective apron"),
             '<circle cx="50" cy="19" r="9"/><path d="M34 32h32l8 26-7 3-4-12v37H37V49l-4 12-7-3z"/>'
             '<path fill="none" stroke="#005387" stroke-width="3.5" d="M42 32v12H37M58 32v12h5M37 56q13 6 26 0M42 44h16"/>'),
    "M028": (mark("Keep locked"),
             '<path d="M28 46h44v36H28z"/><path fill="none" stroke="#FFF" stroke-width="8" d="M36 46V33q0-14 14-14t14 14v13"/>'
             '<circle fill="#005387" cx="50" cy="60" r="5.5"/><path fill="#005387" d="M47.5 62h5l2 12h-9z"/>'),
    "P001": (mark("Do not do this"), ""),
    "P002": (mark("No smoking"),
             '<path d="M20 52h44v9H20z"/><path d="M67 52h4v9h-4zM74 52h4v9h-4z"/>'
             '<path fill="none" stroke="#000" stroke-width="4" d="M69 47q1-8-7-9t-6-9M77 47q2-14-8-16t-6-9"/>'),
    "P003": (mark("No open flame, fire or smoking"),
             '<path d="M46 52h7v30h-7z"/><path d="M49 18q14 13 12 23-2 9-12 9t-12-9q0-5 4-9 1 5 4 6-1-12 4-20z"/>'),
    "W011": (mark("Slippery floor"),
             '<circle cx="43" cy="36" r="5.5"/><path d="M38 45l10-3 12 9-3 4-8-5-1 9 13 9-3 5-19-10 3-11-8 6-3-4z"/>'
             '<path d="M30 76q10-4 20 0t20 0v4q-10 4-20 0t-20 0z"/>'),
    "W012": (mark("Electricity"), '<path d="M57 31L39 58h11l-8 22 22-29H53l9-20z"/>'),
    "W018": (mark("May start by itself"),
             f'<circle fill="none" stroke="#000" stroke-width="7" cx="50" cy="61" r="13"/>{_TEETH}'),
    "W021": (mark("Burns easily"),
             '<path d="M51 31q15 15 13 28-2 11-14 11t-14-11q0-6 5-11 1 6 5 7-1-14 5-24z"/><path d="M31 75h38v5H31z"/>'),
    "W023": (mark("Corrosive"),
             '<path d="M27 46l19-7 2 5-19 7zM73 46l-19-7-2 5 19 7z"/>'
             '<path d="M42 50q4 6 0 8-5-2 0-8zM60 50q4 6 0 8-5-2 0-8z"/>'
             '<path d="M26 72h11l3-6 4 6h10v5H26z"/><path d="M57 70q7-5 9-4 2 2-3 5 8-3 10-1 1 2-6 7H57z"/>'),
    "W024": (mark("Crushing of hands"),
             '<path d="M30 76h40v5H30zM38 39h24v5H38z"/>'
             '<path d="M31 71v-9l11-9h16q4 1 4 4h7q3 0 3 3t-3 3H57l12 2q2 1 1 4t-4 2H46z"/>'),
    "W026": (mark("Battery being charged"),
             '<path d="M29 50h42v29H29zM34 45h9v5h-9zM57 45h9v5h-9z"/>'
             '<path fill="#F9A800" d="M34 62h12v4H34zM54 62h12v4H54zM58 58h4v12h-4z"/>'
             '<path fill="none" stroke="#000" stroke-width="3.5" d="M46 44q-3-4 0-7t0-7M54 44q-3-4 0-7t0-7"/>'),
    "fan": (mark("Turning fan"), f'<circle cx="50" cy="61" r="5"/>{_TURNING}'),
}

_GROUNDS = {
    "M": f'<circle cx="50" cy="50" r="48" fill="{BLUE}"/><g fill="#FFF">{{0}}</g>',
    "W": f'<path d="M50 9L95 87H5z" fill="{YELLOW}" stroke="#000" stroke-width="7" stroke-linejoin="round"/><g>{{0}}</g>',
    "P": f'<circle cx="50" cy="50" r="43" fill="#FFF"/><g>{{0}}</g>'
         f'<path d="M19 19l62 62" stroke="{RED}" stroke-width="9"/>'
         f'<circle cx="50" cy="50" r="43" fill="none" stroke="{RED}" stroke-width="9"/>',
}

_KINDS = {"M": mark("Mandatory sign: {meaning}"), "W": mark("Warning sign: {meaning}"),
          "P": mark("Prohibition sign: {meaning}")}

#: Signal word of each kind of message; the triangle stands before all but NOTICE (ANSI Z535.6).
WORDS = {"danger": mark("DANGER"), "warning": mark("WARNING"), "caution": mark("CAUTION"), "notice": mark("NOTICE")}

_TRIANGLES = {"danger": ("#FFF", RED), "warning": ("#000", "#D05D29"), "caution": ("#000", YELLOW)}


def sign(name: str) -> Markup:
    """A sign as inline SVG. Raises: KeyError for a sign that is not drawn."""
    meaning, pictogram = SIGNS[name]
    kind = name[0] if name[0] in _GROUNDS else "W"
    label = Markup.escape(_(_KINDS[kind]).format(meaning=_(meaning)))
    return Markup('<svg viewBox="0 0 100 100" role="img" aria-label="{0}">{1}</svg>').format(
        label, Markup(_GROUNDS[kind].format(pictogram)))


def word(signal: str) -> str:
    """The signal word of a message, in the reader's language."""
    return _(WORDS[signal])


def triangle(signal: str) -> Markup:
    """The alert symbol of a signal word; nothing for NOTICE."""
    if signal not in _TRIANGLES:
        return Markup("")
    ground, mark_ = _TRIANGLES[signal]
    return Markup(f'<svg viewBox="0 0 40 36" aria-hidden="true"><path d="M20 1 39 35H1z" fill="{ground}"/>'
                  f'<path d="M17.5 12h5l-1 12h-3zM18 27h4v4h-4z" fill="{mark_}"/></svg>')
