"""The owner's answer sheet: a page a space, in plain words. What it looked like at first and then, how sure that is, what nobody knows, and
what to leave alone.

Words of the trade are avoided here on purpose: a 'generation' is a painting, an 'element' a part of the room.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from analysis.drawing.shapes import Box, Shape, Sheet, Text
from analysis.drawing.style import INK, RULE, SOFT
from analysis.drawing.text import clean, shorten
from analysis.papers.tree import Block, Bullets, Column, Figure, Heading, NewPage, Paper, Table, Words

SURENESS: Final = {
    "surely": "we are sure", "very likely": "very likely", "likely": "likely", "perhaps": "this is a guess among several",
    "undated": "we do not know when",
}  # fmt: skip
MOST_PARTS: Final = 14
"""So many parts of a room stand in the picture; more would not fit a page."""
_WIDTH: Final = 483.0
# So that a room of thirteen parts, told in words below, has one page.
_PATCH, _GAP, _LABEL = 14.0, 3.0, 170.0


@dataclass(frozen=True, slots=True)
class Look:
    """What one part looked like at one time.

    Parameters
    ----------
    words : str
        As 'light green paint'; empty means that nobody knows.
    srgb : str
        Screen colour; empty where there is none.
    certainty : str
        A key of `SURENESS`, or empty.
    samples : int
        How many samples it rests on.
    """

    words: str = ""
    srgb: str = ""
    certainty: str = ""
    samples: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a room: its name, what it was at first, what it was then, and how many paintings it carries."""

    name: str
    code: str
    first: Look
    then: Look
    carried: int = 0
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Room:
    """A space and its parts, with what the team has agreed of it, and what is disputed or asked.

    Parameters
    ----------
    number, name : str
    parts : tuple of Part
    agreed, open : tuple of str
        Sentences.
    """

    number: str
    name: str
    parts: tuple[Part, ...]
    agreed: tuple[str, ...] = ()
    open: tuple[str, ...] = ()


def answers(
    project: str, rooms: Sequence[Room], then: str, cautions: Iterable[str], *, dated: str, page: str = "A4", foot: str = ""
) -> Paper:
    """Put the sheets together.

    Parameters
    ----------
    project : str
        Its name.
    rooms : sequence of Room
    then : str
        The time that was asked for, as 'in 1840'.
    cautions : iterable of str
    dated : str
        ISO 8601.
    page : {'A4', 'letter'}
    foot : str

    Returns
    -------
    Paper
        One page a room, and a last one with the cautions.
    """
    blocks: list[Block] = []
    for place, room in enumerate(rooms):
        blocks += [NewPage()] if place else []
        blocks += _room(room, then)
    blocks += [NewPage(), Heading(1, "Before anybody works on the paint"), Bullets(tuple(cautions))]
    blocks.append(
        Words("Colours on paper and screens are only near. Before painting, have a sample area painted on site, and look at it.", "strong")
    )
    return Paper(f"{project}: what the paint tells", f"Room by room, at first and {then}", tuple(blocks), page=page, foot=foot, dated=dated)


def _room(room: Room, then: str) -> list[Block]:
    known = [part for part in room.parts if part.first.words or part.then.words]
    title = f"{room.name} ({room.number})" if room.name else f"Room {room.number}"
    blocks: list[Block] = [Heading(1, title)]
    if not known:
        blocks.append(Words("Nothing is known of this room's paint yet: no sample has been taken of it, or none has been read."))
        return blocks
    blocks.append(Figure(f"{title}, at first and {then}", _in_words(known, then), picture(known, then)))
    heads = (Column("Part", 0.34), Column("At first", 0.28), Column(then[:1].upper() + then[1:], 0.38))
    rows = tuple((part.name[:1].upper() + part.name[1:], _said(part.first), _said(part.then)) for part in known)
    blocks.append(Table("What was seen, and how sure we are", heads, rows, numbered=False))
    if room.agreed:
        blocks += [Heading(2, "What the team agrees on"), Bullets(room.agreed)]
    unknown = [part.name for part in room.parts if not part.first.words and not part.then.words]
    doubts = [f"Nobody knows what these were: {_list(unknown)}."] if unknown else []
    doubts += list(room.open)
    blocks += [Heading(2, "What we do not know"), Bullets(tuple(doubts or ["Nothing that we asked remains open."]))]
    blocks += [Heading(2, "Please leave untouched"), Words(keep(room.parts))]
    return blocks


def keep(parts: Sequence[Part]) -> str:
    """Say which part of a room best keeps its history, and so should stay as it is.

    Parameters
    ----------
    parts : sequence of Part

    Returns
    -------
    str
        The part that carries the most paintings, of equals one whose paint is whole from the bare surface to the top.
    """
    best = max(parts, key=lambda part: (part.carried, part.whole, part.code), default=None)
    if best is None or best.carried < 2:
        return "No part of this room keeps enough of its paint to be named. Ask before anything is stripped."
    whole = ", from the bare surface to the newest" if best.whole else ""
    return (
        f"The {best.name} ({best.code}) keeps the most: {best.carried} paintings one over the other{whole}. Leave a part of it as it is, "
        "under the new paint if need be, so that it can be read again. The samples that were taken are kept too."
    )


def _said(look: Look) -> str:
    if not look.words:
        return "not known"
    count = "one sample" if look.samples == 1 else f"{look.samples} samples"
    return "; ".join(part for part in (look.words, SURENESS.get(look.certainty, ""), count if look.samples else "") if part)


def _in_words(parts: Sequence[Part], then: str) -> str:
    told = [
        f"{part.name}: at first {part.first.words or 'not known'}, {then} {part.then.words or 'not known'}" for part in parts[:MOST_PARTS]
    ]
    return "Patches of colour for each part of the room. " + "; ".join(told) + "."


def picture(parts: Sequence[Part], then: str) -> Sheet:
    """Draw each part as a pair of patches, at first and then, as it lies in the room from the ceiling down.

    Parameters
    ----------
    parts : sequence of Part
        In the order in which they lie, highest first.
    then : str

    Returns
    -------
    Sheet
    """
    shown = parts[:MOST_PARTS]
    room = (_WIDTH - _LABEL - 2 * _GAP) / 2
    shapes: list[Shape] = [
        Text(_LABEL, 9, "At first", 8, room, SOFT, bold=True),
        Text(_LABEL + room + _GAP, 9, shorten(then[:1].upper() + then[1:], 8, room, True), 8, room, SOFT, bold=True),
    ]
    for place, part in enumerate(shown):
        y = 14 + place * (_PATCH + _GAP)
        shapes.append(Text(0, y + _PATCH / 2 + 3, shorten(clean(part.name), 9, _LABEL - 8), 9, _LABEL - 8, INK))
        for index, look in enumerate((part.first, part.then)):
            x = _LABEL + index * (room + _GAP)
            shapes += _patch(x, y, room, look)
    if len(parts) > MOST_PARTS:
        more = f"and {len(parts) - MOST_PARTS} more parts, told below"
        shapes.append(Text(0, 14 + len(shown) * (_PATCH + _GAP) + 8, more, 8, _LABEL, SOFT))
    height = 14 + len(shown) * (_PATCH + _GAP) + (14 if len(parts) > MOST_PARTS else 0)
    return Sheet(_WIDTH, height, "The room's colours", _in_words(parts, then), tuple(shapes))


def _patch(x: float, y: float, room: float, look: Look) -> list[Shape]:
    """A patch with an outline set off by white; what is not known is a dashed box that says so."""
    if not look.srgb:
        words = look.words or "not known"
        return [
            Box(x, y, room, _PATCH, stroke=RULE, stroke_width=0.5, dash=(3, 2)),
            Text(x + 6, y + _PATCH / 2 + 3, shorten(clean(words), 8, room - 12), 8, room - 12, SOFT),
        ]
    return [Box(x, y, room, _PATCH, stroke=RULE, stroke_width=0.5), Box(x + 2, y + 2, room - 4, _PATCH - 4, fill=look.srgb)]


def _list(names: Sequence[str]) -> str:
    """Names that hold commas themselves."""
    return names[0] if len(names) == 1 else f"{'; '.join(names[:-1])}; and {names[-1]}"
