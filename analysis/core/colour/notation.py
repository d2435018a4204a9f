"""Munsell notation: reading it, writing it one way only, and saying in words what is wrong with it."""

import re
from dataclasses import dataclass
from typing import Final

from analysis.core.colour.renotation import chroma_limit, number

FAMILIES: Final = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")
NEUTRAL: Final = "N"
# Finer than any eye or instrument; it keeps the canonical text free of the tails of binary fractions.
_DECIMALS: Final = 4

_NUMBER: Final = r"([+-]?[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_CHROMATIC: Final = re.compile(rf"\s*{_NUMBER}\s*([A-Z]+)\s*{_NUMBER}\s*/\s*{_NUMBER}\s*")
_NEUTRAL_CHIP: Final = re.compile(rf"\s*N\s*{_NUMBER}\s*/?\s*(?:[0]+(?:[.,]0+)?)?\s*")
_NEAR_NEUTRAL: Final = re.compile(r"\s*N\s*\S+\s*/\s*\(.*\)?\s*")
_SLASHES: Final = str.maketrans({"⁄": "/", "∕": "/", "／": "/"})


class ImpossibleMunsell(ValueError):
    """A notation that cannot be read, or that names a colour which does not exist; the message is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class MunsellNotation:
    """One Munsell colour; ``str()`` gives the one canonical text.

    Attributes
    ----------
    hue : float or None
        Step within the family, above 0 and up to 10. None for a neutral.
    family : str
        R, YR, Y, GY, G, BG, B, PB, P or RP; N for a neutral.
    value : float
        0 (black) to 10 (white).
    chroma : float
        0 for a neutral, otherwise above 0 and within the renotation.
    """

    hue: float | None
    family: str
    value: float
    chroma: float

    @property
    def hue_number(self) -> float:
        """Hue on the circle of 100 steps, above 0 (red side of 10RP) and up to 100 (10RP); NaN for a neutral."""
        return float("nan") if self.hue is None else 10 * FAMILIES.index(self.family) + self.hue

    def __str__(self) -> str:
        if self.hue is None:
            return f"N {number(self.value)}"
        return f"{number(self.hue)}{self.family} {number(self.value)}/{number(self.chroma)}"


def parse_munsell(text: str) -> MunsellNotation:
    """Read a Munsell notation as ASTM D1535 writes it: ``10YR 7/4``, ``N 9``.

    Parameters
    ----------
    text : str
        Hue, value and chroma. Small letters, blanks between the parts, a decimal comma, ``N9``, ``N9/`` and ``N 9/0``
        are read too; 0 of a family is read as 10 of the one before (``0Y`` is ``10YR``), chroma 0 as the neutral.

    Returns
    -------
    MunsellNotation
        Rounded to four decimals. ``parse_munsell(str(notation)) == notation`` always holds.

    Raises
    ------
    ImpossibleMunsell
        With a sentence that says what to write instead: text of another form; a family that does not exist; a hue
        step outside 0 to 10; a value outside 0 to 10; a chroma below 0 or beyond the renotation at that hue and
        value; the near-neutral form ``N 8/(Y,0.5)``, whose family letter names no hue step.

    Notes
    -----
    Cost: about 30 µs; the first call reads the table (2 ms).

    References
    ----------
    ASTM D1535, Standard Practice for Specifying Color by the Munsell System.
    """
    shown = _shown(text)
    written = text.translate(_SLASHES).upper()
    if neutral := _NEUTRAL_CHIP.fullmatch(written):
        return neutral_notation(_as_number(neutral[1]), shown)
    if _NEAR_NEUTRAL.fullmatch(written):
        raise ImpossibleMunsell(
            f"{shown} gives a neutral with a trace of a hue family. Write the hue step out, "
            "for instance 5Y 8/0.5, or the neutral alone, N 8."
        )
    found = _CHROMATIC.fullmatch(written)
    if found is None:
        raise ImpossibleMunsell(f"{shown} is no Munsell notation. Write hue, value and chroma like 10YR 7/4, or a neutral like N 9.")
    if found[2] not in FAMILIES:
        raise ImpossibleMunsell(
            f"{shown} has no hue family that exists: {found[2]}. The families are {', '.join(FAMILIES)}, and N for neutral."
        )
    return chromatic_notation(_as_number(found[1]), found[2], _as_number(found[3]), _as_number(found[4]), shown)


def neutral_notation(value: float, shown: str = "The neutral") -> MunsellNotation:
    """A checked neutral of the given value; `shown` opens the sentence of a refusal."""
    _check_value(value, shown)
    return MunsellNotation(None, NEUTRAL, round(value, _DECIMALS), 0.0)


def chromatic_notation(hue: float, family: str, value: float, chroma: float, shown: str = "The colour") -> MunsellNotation:
    """A checked notation in canonical form; `shown` opens the sentence of a refusal."""
    if not 0 <= hue <= 10:
        raise ImpossibleMunsell(
            f"{shown} has hue {number(hue)}{family}, which does not exist: the step before the family runs from 0 to 10."
        )
    _check_value(value, shown)
    if chroma < 0:
        raise ImpossibleMunsell(f"{shown} has chroma {number(chroma)}; chroma starts at 0, which is a neutral.")
    hue, value, chroma = round(hue, _DECIMALS), round(value, _DECIMALS), round(chroma, _DECIMALS)
    if chroma == 0:
        return MunsellNotation(None, NEUTRAL, value, 0.0)
    if hue == 0:
        hue, family = 10.0, FAMILIES[FAMILIES.index(family) - 1]
    notation = MunsellNotation(hue, family, value, chroma)
    limit = chroma_limit(notation.hue_number, value)
    if chroma > limit:
        ends = f"ends at chroma /{number(limit)}" if limit > 0 else "has only neutrals"
        raise ImpossibleMunsell(f"{shown} is no such chip: at {number(hue)}{family} {number(value)}/ the renotation {ends}.")
    return notation


def _check_value(value: float, shown: str) -> None:
    if not 0 <= value <= 10:
        raise ImpossibleMunsell(f"{shown} has value {number(value)}; value runs from 0 (black) to 10 (white).")


def _as_number(written: str) -> float:
    return float(written.replace(",", "."))


def _shown(text: str) -> str:
    printable = "".join(letter if letter.isprintable() else "·" for letter in text.strip())
    return f"“{printable if len(printable) <= 40 else printable[:39] + '…'}”"
