"""Invented cross-sections whose layers are known: a stack is made up (`stacks`), rendered as a visible and a UV picture (`rendering`), and
a reading of it is compared with the truth (`scoring`).

Seeds `TUNING` are for looking at and tuning on; `UNTOUCHED` are for the published figures, and nothing is tuned on them. Seeds
5000-5059, 6000-6059, 7000-7059 and 8000-8059 were looked at to judge earlier versions and changes that were not taken up; 9000-9239
judged version 1.1, once, and 10000-10159 version 1.2 beside 1.1 on the same pictures, once. The next version is judged from 11000 on.
"""

from typing import Final

from tests.sections.rendering import render
from tests.sections.stacks import Crossing, Film, Section, invent

TUNING: Final = range(1000, 1100)
UNTOUCHED: Final = range(10000, 10160)

__all__ = ["TUNING", "UNTOUCHED", "Crossing", "Film", "Section", "invent", "render"]
