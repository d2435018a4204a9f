"""Invented cross-sections whose layers are known: a stack is made up (`stacks`), rendered as a visible and a UV picture (`rendering`), and
a reading of it is compared with the truth (`scoring`).

Seeds `TUNING` are for looking at and tuning on; `UNTOUCHED` are for the published figures, and nothing is tuned on them. Seeds
6000-6059, 7000-7059 and 8000-8059 were each looked at once, to judge changes that were not taken up: the next is judged from 9000 on.
"""

from typing import Final

from tests.sections.rendering import render
from tests.sections.stacks import Crossing, Film, Section, invent

TUNING: Final = range(1000, 1100)
UNTOUCHED: Final = range(5000, 5060)

__all__ = ["TUNING", "UNTOUCHED", "Crossing", "Film", "Section", "invent", "render"]
