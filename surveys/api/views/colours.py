"""What a colour looks like on a screen: for the swatch beside a notation that is being typed."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any, Final

from rest_framework.request import Request
from rest_framework.response import Response

from analysis.core import colour
from surveys.api import serializers
from surveys.api.problems import Malformed, unknown_parameter
from surveys.api.views.base import View

MOST: Final = 200


class Colours(View):
    """Munsell notations and L*a*b* on a screen."""

    takes = {"GET": ("notation", "lab")}
    answers = {"GET": {200: serializers.ColourList}}

    def get(self, request: Request) -> Response:
        """Each colour asked for, in order: `notation` is Munsell notations parted by commas, `lab` triples parted by semicolons."""
        asked = [*_parts(self.given.get("notation", ""), ",", "notation"), *_parts(self.given.get("lab", ""), ";", "lab")]
        if not asked:
            raise Malformed("Ask for a colour by 'notation', as in 5GY 6/4, or by 'lab', as in 60,-8,24.")
        return Response({"results": [_of_munsell(text) if sort == "notation" else _of_lab(text) for sort, text in asked]})


def _parts(given: str, mark: str, parameter: str) -> Iterable[tuple[str, str]]:
    parts = [part.strip() for part in given.split(mark) if part.strip()]
    if len(parts) > MOST:
        raise unknown_parameter(parameter, f"Ask for at most {MOST} colours at once.")
    return [(parameter, part[:80]) for part in parts]


def _shown(asked: str, notation: str, lab: tuple[float, float, float]) -> dict[str, Any]:
    screen = colour.lab_to_srgb(lab)
    rounded = [round(part, 2) for part in lab]
    return {"asked": asked, "munsell": notation, "lab": rounded, "srgb": screen.hex, "in_gamut": screen.in_gamut, "fault": ""}


def _refused(asked: str, fault: str, notation: str = "") -> dict[str, Any]:
    return {"asked": asked, "munsell": notation, "lab": None, "srgb": None, "in_gamut": False, "fault": fault}


@lru_cache(4096)
def _of_munsell(text: str) -> dict[str, Any]:
    try:
        notation = colour.parse_munsell(text)
    except ValueError as error:
        return _refused(text, str(error))
    try:
        return _shown(text, str(notation), colour.munsell_to_lab(notation))
    except ValueError as error:
        return _refused(text, str(error), str(notation))


def _of_lab(text: str) -> dict[str, Any]:
    try:
        l_star, a_star, b_star = (float(part) for part in text.split(","))
    except ValueError:
        return _refused(text, "Give L*, a* and b* as three numbers parted by commas, as in 60,-8,24.")
    if not (0 <= l_star <= 100 and abs(a_star) <= 200 and abs(b_star) <= 200):
        return _refused(text, "L* lies between 0 and 100, a* and b* between -200 and 200.")
    lab = (l_star, a_star, b_star)
    try:
        notation = str(colour.lab_to_munsell(lab).notation)
    except ValueError:
        notation = ""
    return _shown(text, notation, lab)
