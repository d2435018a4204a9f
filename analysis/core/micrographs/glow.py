"""What a UV picture shows, in the trade's words: a colour word and a strength.

The strengths are by the lightness that the picture has at its exposure, for a camera knows no other; they compare layers within one
picture. The words are those in which analysts write of fluorescence (common practice); a response suggests materials and proves none.
"""

from typing import Final

import numpy as np

from analysis.core.micrographs.values import Triple
from analysis.core.vocabulary import UV_STRENGTHS

# L* of the picture from which a response is weak, moderate, strong: a rule of thumb for exposures at which the brightest layer is not
# clipped.
STRENGTH_FROM: Final = (15.0, 35.0, 60.0)
_WHITE_CHROMA: Final = 7.0  # with less the response is white
_PALE_CHROMA: Final = 20.0  # with less it is a tinged white
# Upper ends of the hue angles (degrees) of L*a*b*, and the words for a tinged white and for a full hue.
_HUES: Final = (
    (20.0, "pinkish white", "pink"),
    (70.0, "orange-white", "orange"),
    (98.0, "yellowish white", "yellow"),
    (125.0, "greenish yellow-white", "yellow-green"),
    (195.0, "greenish white", "green"),
    (275.0, "bluish white", "blue"),
    (325.0, "violet-white", "violet"),
    (360.0, "pinkish white", "pink"),
)


def strength_of(lab: Triple) -> str:
    """One of `UV_STRENGTHS` for the L*a*b* of a UV picture."""
    return UV_STRENGTHS[sum(lab[0] >= least for least in STRENGTH_FROM)]


def colour_of(lab: Triple) -> str:
    """The colour word for the L*a*b* of a UV picture: "dark" where there is no response, "dull …" where it is weak."""
    strength = strength_of(lab)
    chroma, hue = float(np.hypot(lab[1], lab[2])), float(np.degrees(np.arctan2(lab[2], lab[1])) % 360)
    pale, full = next((pale, full) for end, pale, full in _HUES if hue <= end)
    if strength == "none":
        return "dark" if chroma < _PALE_CHROMA else f"dark {full}"
    if strength == "weak":
        return "dull white" if chroma < _WHITE_CHROMA else f"dull {full}"
    if chroma < _WHITE_CHROMA:
        return "milky white"
    return pale if chroma < _PALE_CHROMA else full
