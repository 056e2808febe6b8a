"""What makes a handbook a company's own: its colour, and its pages that moved since an earlier edition. Part of `macros.model`."""

import re
from dataclasses import dataclass

from macros.fields import Checked, Standing, of
from macros.words import _, mark


def _page(text: str) -> None:
    if not re.fullmatch("(procedures|machines|parts|seen|guides)/[a-z0-9]+(-[a-z0-9]+)*", text):
        raise ValueError(_("the folder and the id, with a stroke between and none at the end"))


def _colour(text: str) -> None:
    if not re.fullmatch("#[0-9A-Fa-f]{6}", text):
        raise ValueError(_("a # and six digits from 0 to F, between quotation marks"))


_COLOUR = Checked(_colour, mark("a colour in six digits, such as #5B3A8C"), "^#[0-9A-Fa-f]{6}$")


@dataclass
class Accent(Standing):
    """The one colour of the handbook's own, on light pages and on dark ones."""

    light: str = of(_COLOUR, required=True)
    dark: str = of(_COLOUR, required=True)


_PAGE = Checked(_page, mark("the address of a page, such as procedures/turn-blade"),
                "^(procedures|machines|parts|seen|guides)/[a-z0-9]+(-[a-z0-9]+)*$")


@dataclass
class Moved(Standing):
    """A page of an earlier edition that is at another address now, or gone."""

    page: str = of(_PAGE, required=True)
    to: str = of(_PAGE)
