"""The paint chapter of a historic structure report: from what the record holds to one tree of text, tables and figures."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from analysis.papers import chapter_method, chapter_tables
from analysis.papers.chapter_plates import plates
from analysis.papers.chapter_spaces import space_blocks
from analysis.papers.tree import Block, Bullets, Contents, Heading, Paper, Turn, Words

Facts = Mapping[str, Any]


def chapter_paper(facts: Facts, *, page: str = "A4") -> Paper:
    """Write the chapter.

    Parameters
    ----------
    facts : mapping
        As `surveys.work.chapter.gather` gathers them: plain values, named as people name them.
    page : str
        A4 or letter.

    Returns
    -------
    Paper
        To be set as a word processor's document and as PDF. The same facts give the same paper.
    """
    project = facts["project"]
    blocks: list[Block] = [Contents("Contents"), *chapter_method.summary(facts), *chapter_method.method(facts)]
    blocks += [*chapter_tables.register(facts["samples"])]
    blocks += [*_whole_building(facts)]
    for chart in facts["spaces"]:
        blocks += space_blocks(facts, chart, page)
    blocks += [*plates(facts.get("plates", ()), page)]
    blocks += [*chapter_tables.agreed_and_disputed(facts["interpretations"])]
    blocks += [*chapter_tables.colour_plates(facts["spaces"])]
    blocks += [*_limitations(facts), *_cautions(facts["cautions"])]
    blocks += [Turn(True), *chapter_tables.layers(facts["layers"]), Turn(False)]
    blocks += [*chapter_tables.evidence(facts["evidence"]), *chapter_tables.materials(facts["materials"])]
    return Paper(
        title=f"Paint: {project['name']}",
        subtitle=" · ".join(one for one in (project["code"], project["place"], f"record of {facts['dated']}") if one),
        blocks=tuple(blocks),
        page=page,
        foot=f"{project['code']} · paint · record of {facts['dated']} · screen and print are no paint match",
        dated=facts["dated"],
    )


def _whole_building(facts: Facts) -> Iterator[Block]:
    """Phases, and what is said of the building as a whole."""
    whole = [one for one in facts["interpretations"] if not one["space"]]
    conflicts = facts["years"]["conflicts"]
    if not (facts["phases"] or whole or conflicts):
        return
    yield Heading(1, "The building as a whole")
    if facts["phases"]:
        yield chapter_tables.phases(facts["phases"])
    yield from chapter_tables.interpretations(whole, "of the building as a whole")
    if conflicts:
        yield Heading(2, "Dates that cannot all be true")
        yield Words("Each of these sets of records leaves no year. Nothing was dropped; they are to be settled by those who brought them.")
        yield Bullets(tuple(one["sentence"] for one in conflicts))


def _limitations(facts: Facts) -> Iterator[Block]:
    yield Heading(1, "Limitations")
    yield Words("What this chapter rests on, and what it does not say.")
    yield Bullets(chapter_method.LIMITS)
    missing = [f"{one['sentence']} {one['reason']}" for one in facts["missing"]]
    if missing:
        yield Heading(2, "What is not known, and what would add most")
        yield Bullets(tuple(missing[:60]))
        if len(missing) > 60:
            yield Words(f"And {len(missing) - 60} more of less weight.", "small")
    if facts["questions"]:
        yield Heading(2, "Open questions")
        yield Bullets(tuple(f"{one['number']}. {one['text']} (asked by {one['by']} of {one['to']})" for one in facts["questions"]))


def _cautions(cautions: Sequence[str]) -> Iterator[Block]:
    yield Heading(1, "Cautions")
    yield Bullets(tuple(cautions))
