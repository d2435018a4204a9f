"""Words for sheen, and the range of gloss that each stands for.

Gloss is measured by ASTM D523 (ISO 2813): gloss units (GU) at 60°, and for flat films at 85°. The ranges are the gloss levels G1 to G7 of
the Master Painters Institute (paintinfo.com). Makers' words differ, and old words map only roughly (common practice): a range is a place
to begin, an approved mock-up decides.
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class GlossRange:
    """A gloss level.

    Parameters
    ----------
    level : str
        'G1' to 'G7'.
    least, most : int, optional
        Gloss units at 60°, inclusive; None means open.
    least_85, most_85 : int, optional
        Gloss units at 85°; both None where the level sets none.
    """

    level: str
    least: int | None
    most: int | None
    least_85: int | None = None
    most_85: int | None = None

    def __str__(self) -> str:
        at_85 = f", {_range(self.least_85, self.most_85)} GU at 85°" if (self.least_85, self.most_85) != (None, None) else ""
        return f"{_range(self.least, self.most)} GU at 60°{at_85} ({self.level})"


LEVELS: Final = (
    GlossRange("G1", None, 5, None, 10),
    GlossRange("G2", None, 10, 10, 35),
    GlossRange("G3", 10, 25, 10, 35),
    GlossRange("G4", 20, 35, 35, None),
    GlossRange("G5", 35, 70),
    GlossRange("G6", 70, 85),
    GlossRange("G7", 85, None),
)
_WORDS: Final = {
    "matt": "G1", "matte": "G1", "mat": "G1", "flat": "G1", "dead flat": "G1", "flatted": "G1", "chalky": "G1",
    "velvet": "G2", "soft sheen": "G2",
    "eggshell": "G3",
    "satin": "G4", "silk": "G4",
    "semi gloss": "G5", "half gloss": "G5", "semigloss": "G5",
    "gloss": "G6", "glossy": "G6", "full gloss": "G6",
    "high gloss": "G7",
}  # fmt: skip
_LEVEL: Final = {one.level: one for one in LEVELS}


def gloss_range(sheen: str) -> GlossRange | None:
    """Find the gloss range that a word for sheen stands for.

    Parameters
    ----------
    sheen : str
        As recorded, in any case; hyphens count as blanks.

    Returns
    -------
    GlossRange or None
        None where the word stands for no level: the range must then be settled by a mock-up.
    """
    word = " ".join(sheen.casefold().replace("-", " ").split())
    level = _WORDS.get(word) or _WORDS.get(word.replace("egg shell", "eggshell"))
    return _LEVEL[level] if level else None


def _range(least: int | None, most: int | None) -> str:
    if least is None:
        return f"up to {most}"
    return f"{least} or more" if most is None else f"{least}–{most}"
