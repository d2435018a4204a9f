"""Reading each element of a structure against the others of its space."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from analysis.core.elements import Element, Sample, carried
from analysis.core.readings.saying import because, sentence
from analysis.core.readings.values import Making, Neighbours, Reading, Span
from analysis.core.readings.weighing import CLEAREST, VAGUEST, Signs, weigh

ENOUGH: Final = 0.6
"""A history is the conclusion from this probability on."""
TOGETHER: Final = 0.75
"""Inserted and stripped are told together from this probability of both."""
UNSEEN: Final = ("detached", "not reached")
BARED: Final = ("scraped or scorched", "weathered")


def read_elements(
    elements: Iterable[Element], generations: Mapping[str, Sequence[Span]], makings: Iterable[Making] = ()
) -> tuple[Reading, ...]:
    """Read which generations each element carries, which it lacks, and what follows.

    Parameters
    ----------
    elements : iterable of Element
        All of each space, for each is read against the others.
    generations : mapping of str to sequence of Span
        By space, oldest first.
    makings : iterable of Making

    Returns
    -------
    tuple of Reading
        In the order of `elements`.

    Notes
    -----
    How often a generation is carried is reckoned from the other elements whose samples could show it, as (carriers + 1) / (elements + 2),
    the rule of succession: with few neighbours nothing is taken for sure.

    Cost: elements of a space squared, times its generations.
    """
    listed = list(elements)
    spaces: dict[str, list[Element]] = {}
    for element in listed:
        spaces.setdefault(element.space, []).append(element)
    made: dict[str, list[Making]] = {}
    for making in makings:
        made.setdefault(making.element, []).append(making)
    return tuple(
        _read(
            element,
            [other for other in spaces[element.space] if other is not element],
            list(generations.get(element.space, ())),
            made.get(element.key, []),
        )
        for element in listed
    )


def _read(element: Element, others: Sequence[Element], spans: Sequence[Span], makings: Sequence[Making]) -> Reading:
    mine = carried(element)
    theirs = [(other, set(carried(other))) for other in others if carried(other)]
    shared = [span.ordinal for span in spans if any(span.ordinal in found for _, found in theirs)]
    foreign = _foreign(mine, set(shared)) if shared else ()
    known = sorted({*shared, *mine})
    could = tuple(one for one in known if _shows(element, mine, one)) if mine else tuple(known)
    missing = [one for one in could if one not in mine]
    first, last = (mine[0], mine[-1]) if mine else (None, None)
    neighbours = _neighbours([len(found) for _, found in theirs])
    conclusion, certainty, chances, why = _conclude(element, mine, shared, foreign, theirs, spans, makings)
    found = Reading(
        element=element.key,
        space=element.space,
        element_class=element.element_class,
        first=first,
        last=last,
        carried=mine,
        could=could,
        missing_before=tuple(one for one in missing if first is not None and one < first),
        missing_between=tuple(one for one in missing if first is not None and last is not None and first < one < last),
        missing_after=tuple(one for one in missing if last is not None and one > last),
        foreign=foreign,
        neighbours=neighbours,
        conclusion=conclusion,
        certainty=certainty,
        chances=chances,
        because=why,
        samples=tuple(sorted(sample.key for sample in element.samples if any(one.generation is not None for one in sample.layers))),
        sentence="",
    )
    return sentence(found, element, spans)


def _foreign(mine: Sequence[int], shared: set[int]) -> tuple[int, ...]:
    """The lowest generations that no other element shows."""
    count = next((index for index, one in enumerate(mine) if one in shared), len(mine))
    return tuple(mine[:count])


def _shows(element: Element, mine: Sequence[int], ordinal: int) -> bool:
    """Whether the samples of an element could show a generation."""
    if ordinal < mine[0]:
        return not all(sample.base_state in UNSEEN for sample in _placed(element))
    if ordinal > mine[-1]:
        return not all(sample.top_state == "lost" for sample in _placed(element))
    return True


def _placed(element: Element) -> list[Sample]:
    return [sample for sample in element.samples if any(layer.generation is not None for layer in sample.layers)]


def _neighbours(counts: Sequence[int]) -> Neighbours:
    ordered = sorted(counts)
    if not ordered:
        return Neighbours(0, 0, 0, 0)
    return Neighbours(len(ordered), ordered[0], ordered[(len(ordered) - 1) // 2], ordered[-1])


Conclusion = tuple[str, float | None, tuple[tuple[str, float], ...], tuple[str, ...]]


def _conclude(
    element: Element,
    mine: Sequence[int],
    shared: Sequence[int],
    foreign: Sequence[int],
    theirs: Sequence[tuple[Element, set[int]]],
    spans: Sequence[Span],
    makings: Sequence[Making],
) -> Conclusion:
    if not mine:
        return "no evidence", None, (), ()
    if len(shared) < 2:
        return "undecided", None, (), ("No other element of the space shows enough to compare with.",)
    signs = signs_of(element, mine, shared, foreign, theirs, spans, makings)
    if signs.base == "unseen" and signs.first != 0:
        return "beginning not seen", None, (), because(element, signs, shared, spans, makings)
    chances = weigh(signs)
    why = because(element, signs, shared, spans, makings)
    best = max(chances, key=lambda one: chances[one])
    told = tuple(chances.items())
    if chances[best] >= ENOUGH:
        return best, chances[best], told, why
    either = chances["inserted"] + chances["stripped"]
    if either >= TOGETHER:
        return "inserted or stripped", either, told, why
    return "undecided", chances[best], told, why


def signs_of(
    element: Element,
    mine: Sequence[int],
    shared: Sequence[int],
    foreign: Sequence[int],
    theirs: Sequence[tuple[Element, set[int]]],
    spans: Sequence[Span],
    makings: Sequence[Making],
) -> Signs:
    """What an element shows, for weighing; parameters as they are in `read_elements`, the rest derived from them."""
    first = next((index for index, one in enumerate(shared) if one in mine), None)
    alone = sum(1 for other, found in theirs for one in found if _is_alone(one, other, element, theirs))
    total = sum(len(found) for _, found in theirs)
    return Signs(
        rates=tuple(_rate(one, theirs) for one in shared),
        first=first,
        foreign=len(foreign),
        foreign_rate=(alone + 1) / (total + 2),
        doubt=_doubt(element, None if first is None else shared[first]),
        base=_base(element),
        residue=any(_residue(sample) for sample in _placed(element)),
        possible=tuple(_possible(shared, spans, makings)),
    )


def _is_alone(ordinal: int, owner: Element, element: Element, theirs: Sequence[tuple[Element, set[int]]]) -> bool:
    if ordinal in carried(element):
        return False
    return not any(ordinal in found for other, found in theirs if other is not owner)


def _rate(ordinal: int, theirs: Sequence[tuple[Element, set[int]]]) -> float:
    able = [found for other, found in theirs if _shows_start(other, found, ordinal)]
    return (sum(1 for found in able if ordinal in found) + 1) / (len(able) + 2)


def _shows_start(other: Element, found: set[int], ordinal: int) -> bool:
    """Whether another element could show a generation: one that starts late and may be late itself does not count below its start."""
    if ordinal in found:
        return True
    if ordinal < min(found):
        return any(sample.base_state == "complete" for sample in _placed(other))
    return ordinal < max(found) or any(sample.top_state == "complete" for sample in _placed(other))


def _doubt(element: Element, ordinal: int | None) -> float:
    """Chance that the first generation is misplaced: that each sample's lowest layers of it are."""
    missed = 1.0
    for sample in element.samples:
        known = [1.0 if layer.held else layer.confidence for layer in sample.layers if layer.generation == ordinal]
        numbers = [one for one in known if one is not None]
        if numbers:
            missed *= 1.0 - max(numbers)
    return min(VAGUEST, max(CLEAREST, missed if missed < 1.0 else CLEAREST))


def _base(element: Element) -> str:
    states = {sample.base_state or "unknown" for sample in _placed(element)}
    for state in ("stripped", "complete", "unknown"):
        if state in states:
            return state
    return "unseen"


def _residue(sample: Sample) -> bool:
    if sample.base_state in UNSEEN or not sample.layers:
        return False
    lowest = min(sample.layers, key=lambda one: one.position)
    return lowest.kind == "residue" or lowest.completeness == "trace" or lowest.lower_boundary in BARED


def _possible(shared: Sequence[int], spans: Sequence[Span], makings: Sequence[Making]) -> list[int]:
    """Before which of the shared generations the element may have come, by what is said of its making."""
    known = {span.ordinal: span for span in spans}
    found = []
    for index, ordinal in enumerate(shared):
        after = known[shared[index - 1]].earliest if index else None
        before = known[ordinal].latest
        fits = all(
            (one.earliest is None or before is None or one.earliest <= before)
            and (one.latest is None or after is None or one.latest >= after)
            for one in makings
        )
        if fits:
            found.append(index)
    return found
