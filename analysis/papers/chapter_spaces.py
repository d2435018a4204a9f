"""One space of the chapter: its chart, its generations with their years and why, its elements, what was concluded."""

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from analysis.drawing.sheets import sized_sheets
from analysis.papers import chapter_tables
from analysis.papers.tree import Block, Column, Figure, Heading, Table, Turn, Words, figure_room

LARGER: Final = 1.2
"""Charts are drawn so much larger than the page and then reduced, so that more of them is seen at once."""

SHORT: Final = (
    "Take old paint to hold lead until it is tested (40 CFR 745.103). A UV response suggests; it proves nothing. Screen and print are no "
    "paint "
    "match. See the cautions of this chapter."
)
NUMBER, NAMED, PHASE = Column("No.", 5), Column("Generation", 24), Column("Phase", 16)
YEARS, LIKELY, BECAUSE = Column("Years", 13), Column("Median (95 %)", 18), Column("Because", 48)
HOW_DATED: Final = (
    "Years are bounds. The median and, in brackets, the interval that holds 95 % follow if every ordered set of years within the bounds is "
    "equally likely. What bounds another generation of the space bounds this one by order, for none is later than the next."
)
ELEMENTS: Final = (Column("Element", 14), Column("Class and place", 22), Column("Samples", 14), Column("Reading", 60))


def space_blocks(facts: Mapping[str, Any], chart: Mapping[str, Any], page: str) -> Iterator[Block]:
    """All that is told of a space."""
    number = chart["space"]
    yield Heading(1, " ".join(("Space", number, chart["space_name"])).strip())
    yield Words(
        _about(chart) + (" Its chart is on the pages that follow: a column a sample, a row a generation." if chart["cells"] else "")
    )
    if chart["generations"]:
        yield Heading(2, "Generations and their years")
        yield Words(HOW_DATED, "small")
        yield generations(facts["years"], chart)
    read = [one for one in facts["readings"] if one["space"] == number]
    if read:
        yield Heading(2, "Readings of the elements")
        yield Table(f"What the elements of space {number} carry, and what follows", ELEMENTS, tuple(_element(one) for one in read))
    mine = [one for one in facts["interpretations"] if one["space"] == number]
    yield from chapter_tables.interpretations(mine, f"of space {number}")
    if chart["cells"]:
        yield Turn(True)
        yield Heading(2, f"Generation chart of space {number}")
        across, up = figure_room(page, wide=True)
        sheets = sized_sheets({**chart, "cautions": [SHORT], "notes": []}, across * LARGER, up * LARGER, bound=True)
        for place, sheet in enumerate(sheets, start=1):
            part = f", part {place} of {len(sheets)}" if len(sheets) > 1 else ""
            yield Figure(f"Generation chart of space {number}{part}", f"{_about(chart)} {sheet.description}", sheet)
        yield Turn(False)


def _about(chart: Mapping[str, Any]) -> str:
    told = [one for one in (chart["space_kind"], chart["storey"]) if one]
    classes = list(dict.fromkeys(sample["class"] for sample in chart["samples"]))
    counts = (
        f"{_many(len(chart['samples']), 'sample')} with {_many(len(chart['cells']), 'layer')}, in "
        f"{_many(len(chart['generations']), 'generation')}"
    )
    text = (
        f"Space {chart['space']}: "
        + (f"{', '.join(told)}; " if told else "")
        + f"{counts}."
        + (f" Sampled: {', '.join(classes)}." if classes else "")
    )
    return " ".join(_ended(part) for part in (text, *chart["notes"], chart["space_notes"]) if part)


def _ended(text: str) -> str:
    """A text that another sentence follows: notes are seldom written with a full stop."""
    return text if text.rstrip().endswith((".", "!", "?", ":", ";", "…")) else f"{text.rstrip()}."


def _many(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def generations(years: Mapping[str, Any], chart: Mapping[str, Any]) -> Table:
    """The generations of a space from the oldest, each with its bounds, why, and what follows if nothing else is known.

    What a row would say with the very words of an earlier one, it says by that one's number. A column in which nobody
    wrote anything is left out.
    """
    dated = {one["ordinal"]: one for one in years["generations"] if one["space"] == chart["space"]}
    rows: list[tuple[str, ...]] = []
    told_by: dict[str, str] = {}
    for one in chart["generations"]:
        year = dated.get(one["ordinal"], {})
        because = _because(year, chart["space"], one["ordinal"])
        first = told_by.setdefault(because, str(one["ordinal"])) if because else ""
        shown = because if first in ("", str(one["ordinal"])) else f"as generation {first}"
        told = ". ".join(dict.fromkeys(part for part in (one["label"], one["description"], one["technique"]) if part))
        bounds = _span(year.get("earliest"), year.get("latest"))
        rows.append((str(one["ordinal"]), told, one["phase"] or "", bounds, _likely(year.get("distributions", ())), shown))
    columns = (NUMBER, NAMED, PHASE, YEARS, LIKELY, BECAUSE)
    kept = [place for place, column in enumerate(columns) if column not in (NAMED, PHASE) or any(row[place] for row in rows)]
    return Table(
        f"Generations of space {chart['space']}, the oldest first",
        tuple(columns[place] for place in kept),
        tuple(tuple(row[place] for place in kept) for row in rows),
    )


def _because(year: Mapping[str, Any], space: str, ordinal: int) -> str:
    """What set the bounds, as it is read in the table of this space: of its own generation, and of others by their number alone."""
    steps = [step for side in ("earliest_by", "latest_by") for step in year.get(side, ()) if step["kind"] != "order in space"]
    text = "; ".join(dict.fromkeys(step["sentence"] for step in steps))
    text = re.sub(rf"\bgeneration {ordinal} of space {re.escape(space)}(?!\w)", "it", text)
    return re.sub(rf"(\bgeneration \d+) of space {re.escape(space)}(?!\w)", r"\1", text)


def _span(earliest: int | None, latest: int | None) -> str:
    if earliest is None and latest is None:
        return "not bounded"
    if earliest == latest:
        return str(earliest)
    if earliest is None:
        return f"not after {latest}"
    return f"{earliest} to {latest}" if latest is not None else f"not before {earliest}"


def _likely(curves: Any) -> str:
    """Median and 95 % interval under the first prior, which is that of ordered uniform years."""
    for one in curves:
        low, high = one["interval_95"]
        return f"{one['median']} ({low} to {high})"
    return ""


def _element(one: Mapping[str, Any]) -> tuple[str, ...]:
    place = ", ".join(part for part in (one["element_class"], one["position"]) if part)
    sure = "" if one["certainty"] is None else f" Certainty {int(100 * one['certainty'])} %."
    return one["element"], place, ", ".join(sample["number"] for sample in one["samples"]), f"{one['sentence']}{sure}"
