"""What each mark of the rig is called on the page: groups of (title, what was done, calculators judged, marks)."""

from macros.words import _

Group = tuple[str, str, tuple[str, ...], dict[str, str]]


def groups() -> list[Group]:
    """Every group in the order of the page; a mark's words by its id."""
    return [
        (
            _("Where the vacuum is lost"),
            _("Each machine has one hidden fault, a motor curve straight or bowed and parts with scatter. Every station is "
              "read with a gauge good to ± 0.25 kPa."),
            ("suction-drop",),
            {
                "suction-segment": _("A leak of 5 mm or more: the stretch named is the one that leaks"),
                "suction-wrong": _("A leak of 5 mm or more: a sound stretch is named with confidence"),
                "suction-hole": _("The true size of the hole lies within the range stated"),
            },
        ),
    ]
