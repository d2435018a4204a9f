"""The sheet to take along for the next sampling: space by space, what is wanted and why, with lines to fill in by hand."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from analysis.papers.tree import Block, Bullets, Column, Heading, NewPage, Paper, Table, Words

LINE: Final = 30.0
"""Height in points of a line that is filled in by hand."""

HOW: Final = (
    "Look where the whole sequence is likely: quirks of mouldings, behind hardware, tops of architraves, hinge sides, drips (common "
    "practice).",
    "Reach the substrate, and note where you did not. Keep the piece in one, and know its outer side.",
    "Sample each member of a moulding that may have been picked out. Take a second piece where the first is poor.",
    "Mark the place on a drawing or a photograph. Leave a part of every element untouched, for those who come later (common practice).",
)
COLUMNS: Final = (
    Column("Element", 12),
    Column("Class and place", 17),
    Column("Why", 25),
    Column("Sample number", 10),
    Column("Where on it, height mm", 20),
    Column("Taken on, by", 11),
    Column("Base reached?", 8),
)


@dataclass(frozen=True, slots=True)
class Want:
    """One sample that is wanted: where (as far as it is known), why, and its number if it was planned already."""

    element: str
    place: str
    why: str
    number: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class SpacePlan:
    """What is wanted in a space, and in sentences what it would be good for, most to be gained first."""

    number: str
    name: str
    gains: tuple[str, ...]
    wants: tuple[Want, ...]


def sampling_paper(
    title: str, spaces: Sequence[SpacePlan], cautions: Sequence[str], *, page: str = "A4", blank: int = 4, dated: str = ""
) -> Paper:
    """Lay the plan out, on its side, a space a sheet.

    Parameters
    ----------
    title : str
        Of the project.
    spaces : sequence of SpacePlan
        In the order in which they are gone through.
    cautions : sequence of str
        That go with sampling.
    page : str
        A4 or letter.
    blank : int
        How many empty lines each space gets for what turns up on site.
    dated : str
        The date of the record (ISO 8601).

    Returns
    -------
    Paper
        To be set as PDF.
    """
    blocks: list[Block] = [
        Words("Where samples would add most, by what the record lacks. Whoever samples decides on site, and writes down where and why."),
        Heading(1, "How"),
        Bullets(HOW),
        Heading(1, "Cautions"),
        Bullets(tuple(cautions)),
    ]
    if not spaces:
        blocks.append(
            Words("Nothing is wanted: every element class of every space has been sampled, and no generation rests on one sample.")
        )
    for space in spaces:
        blocks += [NewPage(), Heading(1, " ".join(("Space", space.number, space.name)).strip()), Bullets(space.gains)]
        rows: list[tuple[str, ...]] = [(want.element, want.place, want.why, want.number, want.where, "", "") for want in space.wants]
        rows += [("",) * len(COLUMNS)] * blank
        blocks.append(Table(f"Wanted in space {space.number}", COLUMNS, tuple(rows), tall=LINE, numbered=False))
    return Paper(title, "Sampling plan", tuple(blocks), page=page, foot=f"{title} · sampling plan", dated=dated, wide=True)
