"""How the study was made, in sentences with their sources, and what stands at its beginning."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from analysis.papers.tree import Block, Column, Heading, Table, Words

LIMITS: Final = (
    "A sample shows one spot. What was worn, stripped or lost there is not shown by it; that a layer is missing does not prove that it "
    "never "
    "was there.",
    "Colours are as they were found: oil paint yellows in the dark and fades in the light. Where a colour as first applied was reasoned, "
    "it "
    "is told as such, beside the one that was found.",
    "A UV response suggests materials; it proves none. A pigment that was seen is not one that was identified.",
    "Which layers are of one campaign is a reasoned judgement with a stated confidence, computed and then corrected by people; a further "
    "sample may change it, and then the numbers of generations.",
    "Years are bounds that follow from evidence and from order. Within them nothing is known but the order; the medians and intervals say "
    "what follows if every ordered set of years within the bounds is equally likely.",
    "Interpretations that their authors have not yet put forward are left out. A disputed one is not settled here.",
    "This chapter says which finish was where. It is no specification of how to paint, and no survey of hazards.",
)


def summary(facts: Mapping[str, Any]) -> Iterator[Block]:
    """What there is, in numbers, and the agreed findings in their own words."""
    project = facts["project"]
    yield Heading(1, "Summary")
    if project["summary"]:
        yield Words(project["summary"])
    states = Counter(one["state"] for one in facts["interpretations"])
    generations = sum(len(chart["generations"]) for chart in facts["spaces"])
    yield Words(
        f"The record holds {_count(len(facts['spaces']), 'space')}, {_count(len(facts['samples']), 'sample')} with "
        f"{_count(len(facts['layers']), 'layer')}, placed in {_count(generations, 'generation')} of paint, and "
        f"{_count(len(facts['evidence']), 'piece')} of evidence. Of {_count(len(facts['interpretations']), 'interpretation')} put forward, "
        f"{states['agreed']} {_is(states['agreed'])} agreed, {states['disputed']} {_is(states['disputed'])} disputed, "
        f"{states['for comment']} {_is(states['for comment'])} out for comment and {states['superseded']} {_is(states['superseded'])} "
        f"superseded."
    )
    if facts["people"]:
        rows = tuple((one["name"], one["discipline"], one["role"]) for one in facts["people"])
        yield Table("Who worked on it", (Column("Name", 4), Column("Discipline", 4), Column("Role", 3)), rows)


def method(facts: Mapping[str, Any]) -> Iterator[Block]:
    """Sampling, examination, correlation, dating and colour."""
    samples = facts["samples"]
    yield Heading(1, "Method")
    yield Heading(2, "Sampling")
    yield Words(_sampling(samples))
    yield Heading(2, "Examination")
    yield Words(_examination(samples))
    yield Heading(2, "Correlation")
    yield Words(_correlation(facts["spaces"]))
    yield Heading(2, "Dating")
    yield Words(
        "The year of each generation is bounded by evidence on it, on its space, on the elements that carry it and on its phase; by "
        "materials that were identified, which are not older than their introduction (see the appendix for the source of each year); and "
        "by "
        "order, for a generation is not later than the next. Evidence called tentative bounds nothing. Bounds are carried through to the "
        "tightest that follow, each with the records that made it. Within them, the median and the interval that holds 95 % are those of "
        "ordered uniform years, computed exactly; such a prior favours long spans (Nicholls and Jones, Applied Statistics 50, 2001)."
    )
    yield Heading(2, "Colour")
    yield Words(
        "Colours are given in Munsell notation (ASTM D1535), matched by eye or measured, and as L*a*b* for illuminant D65 and the 2° "
        "observer: "
        "as measured, or else converted from the notation by the renotation of Newhall, Nickerson and Judd (Journal of the Optical "
        "Society of "
        "America 33, 1943), adapted from illuminant C. Swatches are sRGB (IEC 61966-2-1); one that a screen cannot show is marked. "
        "Differences "
        "of colour are CIEDE2000 (Sharma, Wu and Dalal, Color Research and Application 30, 2005)."
    )


def _sampling(samples: Sequence[Mapping[str, Any]]) -> str:
    taken = [one for one in samples if one["status"] not in ("planned",)]
    dates = sorted(one["taken_on"] for one in taken if one["taken_on"])
    by = sorted({one["taken_by"] for one in taken if one["taken_by"]})
    visits = sorted({one["visit"] for one in taken if one["visit"]})
    told = [f"{_count(len(taken), 'sample')} {'was' if len(taken) == 1 else 'were'} taken"]
    if dates:
        told.append(f"on {dates[0]}" if dates[0] == dates[-1] else f"from {dates[0]} to {dates[-1]}")
    if visits:
        told.append(f"in {_count(len(visits), 'visit')}")
    if by:
        told.append(f"by {_list(by)}")
    aside, planned = (sum(one["status"] == status for one in samples) for status in ("set aside", "planned"))
    more = [f"{aside} {_is(aside)} set aside"] if aside else []
    more += [f"{planned} {_is(planned)} planned and not yet taken"] if planned else []
    return " ".join(told) + "." + (f" Of all, {_list(more)}." if more else "")


def _examination(samples: Sequence[Mapping[str, Any]]) -> str:
    visible = [one for one in samples if one["examined_visible_on"] or one["examined_visible_by"]]
    uv = [one for one in samples if one["examined_uv_on"] or one["examined_uv_by"]]
    by = sorted({one[name] for one in samples for name in ("examined_visible_by", "examined_uv_by") if one[name]})
    return (
        f"Cross-sections were examined under the microscope: {_count(len(visible), 'sample')} in visible light and "
        f"{_count(len(uv), 'sample')} under ultraviolet light" + (f", by {_list(by)}" if by else "") + ". Layers are numbered from the "
        "substrate: 1 is the oldest. What was seen and what was concluded from it are kept apart."
    )


def _correlation(spaces: Sequence[Mapping[str, Any]]) -> str:
    versions = sorted({chart["correlated_by"] for chart in spaces if chart["correlated_by"]})
    old = [chart["space"] for chart in spaces if chart["correlated_at"] and not chart["current"]]
    never = [chart["space"] for chart in spaces if not chart["correlated_at"]]
    text = (
        "Within each space the layers of all samples were placed in generations by a profile model of the whole space (after Durbin, Eddy, "
        "Krogh and Mitchison, Biological Sequence Analysis, 1998; for sections, Smith and Waterman, Journal of Geology 88, 1980), which "
        "weighs "
        "colour by how rare it is there, UV response, pigments, binder, the kind of layer and how it meets the one beneath. Rulings that "
        "people "
        "gave (ties, bars and holds) bind it. The confidence of a placement is a probability of that model."
    )
    if versions:
        text += f" Computed by {_list(versions)}."
    if old:
        text += (
            f" In {'space' if len(old) == 1 else 'spaces'} {_list(old)} something changed since, so that what is told may be out of date."
        )
    if never:
        text += f" Not correlated: {'space' if len(never) == 1 else 'spaces'} {_list(never)}."
    return text


def _count(many: int, one: str) -> str:
    return f"{many:,} {one}{'' if many == 1 else 's'}"


def _is(many: int) -> str:
    return "is" if many == 1 else "are"


def _list(items: Sequence[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
