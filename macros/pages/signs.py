"""Safety signs after ISO 7010, redrawn for this handbook, and the standards' signal words.

Shapes and colours are the standards' own (ISO 3864, RAL tones: yellow triangle for a warning, blue disc for
what must be done, red ring for what must not) and the same in both colour schemes; the pictures are ours.
`fan` is a warning sign of our own for a turning fan. Every sign is 96 units wide and holds no id, so it may
stand on a page as often as it is needed.
"""

from markupsafe import Markup

from macros.words import _, mark

BLUE, YELLOW, RED, ORANGE = "#005387", "#F9A800", "#9B2423", "#D05D29"

_LINE = 'fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round"'
_WHITE = 'fill="none" stroke="#FFF" stroke-linecap="round" stroke-linejoin="round"'

#: id -> meaning, picture. The ground (disc, triangle, ring) follows from the id's letter.
SIGNS: dict[str, tuple[str, str]] = {
    "M002": (mark("Read the instructions"),
             '<circle cx="38" cy="24" r="9" fill="#FFF"/>'
             f'<path d="M24 76V48q0-11 12-11h6q8 0 11 8l4 10" {_WHITE} stroke-width="9"/>'
             f'<path d="M48 52l26-8v26l-26 8zM52 57l18-5.5M52 64l18-5.5" fill="{BLUE}" stroke="#FFF" stroke-width="3.5"/>'),
    "M004": (mark("Wear eye protection"),
             '<path d="M24 46q0-26 24-26t24 26v10q0 20-24 26-24-6-24-26z" fill="#FFF"/>'
             f'<path d="M20 44h56v8q0 8-8 8h-7q-6 0-9-6l-4-4-4 4q-3 6-9 6h-7q-8 0-8-8z" fill="{BLUE}"/>'
             f'<path d="M27 49h14M55 49h14" {_WHITE} stroke-width="5"/>'),
    "M009": (mark("Wear protective gloves"),
             '<path d="M30 82V54l-9-17q-2-5 2-6t6 3l7 11V22q0-5 4-5t4 5v-4q0-5 4-5t4 5v4q0-5 4-5t4 5v6q0-4 3.5-4t3.5 4v28'
             f'q0 10-5 17v9zM26 74h40" fill="#FFF" stroke="{BLUE}" stroke-width="2.5" stroke-linejoin="round"/>'),
    "M013": (mark("Wear a face shield"),
             '<path d="M28 34q2-18 20-18t20 18v18q0 20-20 24-20-4-20-24z" fill="#FFF"/>'
             f'<path d="M22 38h52v20q-6 20-26 22-20-2-26-22z" fill="{BLUE}" stroke="#FFF" stroke-width="4"/>'
             f'<path d="M34 50h8M54 50h8M40 66h16" {_WHITE} stroke-width="4"/>'),
    "M021": (mark("Disconnect before work"),
             f'<path d="M8 48h20M68 48h20" {_WHITE} stroke-width="6"/>'
             f'<path d="M26 32h16v32H26z" fill="#FFF"/><path d="M42 40h9M42 56h9" {_WHITE} stroke-width="5"/>'
             '<path d="M60 32h12v32H60z" fill="#FFF"/>'),
    "M026": (mark("Wear a protective apron"),
             '<circle cx="48" cy="19" r="8" fill="#FFF"/>'
             '<path d="M38 30h20l12 20-6 4-6-9v36H38V45l-6 9-6-4z" fill="#FFF"/>'
             f'<path d="M41 34v9h14v-9M36 50h24v28H36z" fill="{BLUE}" stroke="#FFF" stroke-width="3"/>'),
    "M028": (mark("Keep locked"),
             f'<path d="M33 44V33q0-15 15-15t15 15v11" {_WHITE} stroke-width="8"/>'
             f'<path d="M24 42h48v34H24z" fill="#FFF"/><path d="M48 54a5 5 0 0 1 3 9v7h-6v-7a5 5 0 0 1 3-9z" fill="{BLUE}"/>'),
    "P002": (mark("No smoking"),
             '<path d="M20 50h44v9H20zM67 50h4v9h-4zM74 50h4v9h-4z"/>'
             f'<path d="M69 43q1-7-6-8t-6-9M76 43q1-11-6-13" {_LINE} stroke-width="4"/>'),
    "P003": (mark("No open flame, spark or smoking"),
             '<path d="M44 52h9v28h-9z"/>'
             '<path d="M48 16c12 12 16 18 12 27-2 5-6 7-12 7s-10-2-12-7c-3-8 3-12 6-17 2 4 3 6 5 8 3-6 3-12 1-18z"/>'),
    "W011": (mark("Slippery floor"),
             '<circle cx="45" cy="36" r="5"/>'
             f'<path d="M45 44l4 12 9 5 5 8M48 56l-8 5-6 8M46 46l9 2 5-5M45 45l-7 7" {_LINE} stroke-width="4.5"/>'
             f'<path d="M26 74h44" {_LINE} stroke-width="3"/>'),
    "W012": (mark("Electricity"), '<path d="M51 30 38 55h9l-4 11-4-2 2 11 9-7-4-1 10-20h-9l10-17z"/>'),
    "W018": (mark("May start by itself"),
             f'<circle cx="44" cy="62" r="7" {_LINE} stroke-width="4"/>'
             '<path d="M44 50v3M44 71v3M32 62h3M53 62h3M35.5 53.5l2.2 2.2M50.3 68.3l2.2 2.2M35.5 70.5l2.2-2.2M50.3 55.7l2.2-2.2" '
             f'{_LINE} stroke-width="4"/>'
             f'<path d="M49 42q12 3 13 16" {_LINE} stroke-width="3.5"/><path d="M57.5 57.5h9l-4 7z"/>'),
    "W021": (mark("Burns easily"),
             '<path d="M48 28c10 10 15 16 13 26-1 8-6 12-13 12s-13-4-13-12c-1-8 5-10 7-15 2 3 3 5 4 7 3-6 3-11 2-18z"/>'
             f'<path d="M32 73h32" {_LINE} stroke-width="5"/>'),
    "W023": (mark("Corrosive"),
             f'<path d="M37 40l9 4M59 40l-9 4" {_LINE} stroke-width="5"/><path d="M44 49v5M52 49v7" {_LINE} stroke-width="3"/>'
             '<path d="M27 74h17v-6q-3-5-8-5t-9 6zM47 74q-2-7 3-10 2 3 5 2l6-4q5 0 7 4l-8 5q4 1 2 3z"/>'),
    "W024": (mark("Crushing of hands"),
             f'<path d="M36 42h24v8H36z"/><path d="M48 52v5" {_LINE} stroke-width="4"/><path d="M43 56h10l-5 6z"/>'
             '<path d="M24 74q-2-5 3-6l17-1q-7-1-9-3-1-4 4-3l14 3q10 0 17 4v6z"/>'),
    "W026": (mark("Battery being charged"),
             '<path d="M30 48h36v26H30zM35 42h7v6h-7zM54 42h7v6h-7z"/>'
             f'<path d="M35 58h8M54 58h8M58 54v8" fill="none" stroke="{YELLOW}" stroke-width="3.5"/>'
             '<circle cx="48" cy="34" r="3"/><circle cx="42" cy="37" r="2"/><circle cx="54" cy="37" r="2"/>'),
    "fan": (mark("Turning fan"),
            '<circle cx="48" cy="58" r="5"/>'
            '<path d="M48 53c-8-6-7-15 0-18 5 6 5 12 0 18zM53 59c9-4 17 1 17 9-8 2-14-2-17-9zM43 59c-3 7-9 11-17 9 0-8 8-13 17-9z"/>'),
}

_GROUNDS = {
    "M": f'<circle cx="48" cy="48" r="46" fill="{BLUE}"/>{{0}}',
    "W": f'<path d="M48 8 90 82H6z" fill="{YELLOW}" stroke="#000" stroke-width="7" stroke-linejoin="round"/>{{0}}',
    "P": f'<circle cx="48" cy="48" r="46" fill="#FFF"/>{{0}}'
         f'<circle cx="48" cy="48" r="41" fill="none" stroke="{RED}" stroke-width="9"/>'
         f'<path d="M19 19 77 77" stroke="{RED}" stroke-width="9"/>',
}

_KINDS = {"M": mark("Mandatory sign: {meaning}"), "W": mark("Warning sign: {meaning}"),
          "P": mark("Prohibition sign: {meaning}")}

#: Signal word of each kind of message; the triangle stands before all but NOTICE (ANSI Z535.6).
WORDS = {"danger": mark("DANGER"), "warning": mark("WARNING"), "caution": mark("CAUTION"), "notice": mark("NOTICE")}

_TRIANGLES = {"danger": ("#FFF", RED), "warning": ("#000", ORANGE), "caution": ("#000", YELLOW)}


def sign(name: str) -> Markup:
    """A sign as inline SVG. Raises: KeyError for a sign that is not drawn."""
    meaning, picture = SIGNS[name]
    kind = name[0] if name[0] in _GROUNDS else "W"
    label = Markup.escape(_(_KINDS[kind]).format(meaning=_(meaning)))
    return Markup('<svg viewBox="0 0 96 96" role="img" aria-label="{0}">{1}</svg>').format(
        label, Markup(_GROUNDS[kind].format(picture)))


def word(signal: str) -> str:
    """The signal word of a message, in the reader's language."""
    return _(WORDS[signal])


def triangle(signal: str) -> Markup:
    """The alert symbol of a signal word; nothing for NOTICE."""
    if signal not in _TRIANGLES:
        return Markup("")
    ground, inside = _TRIANGLES[signal]
    return Markup(f'<svg viewBox="0 0 40 36" aria-hidden="true"><path d="M20 1 39 35H1z" fill="{ground}"/>'
                  f'<path d="M17.5 12h5l-1 12h-3zM18 27h4v4h-4z" fill="{inside}"/></svg>')
