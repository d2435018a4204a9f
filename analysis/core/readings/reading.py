"""Reading each element of a structure against the others of its space."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from analysis.core.elements import Element, Sample, carried
from analysis.core.readings.saying import because, sentence
from analysis.core.readings.values import Making, Neighbours, Reading, Span
from analysis.core.readings.weighing import Signs, weigh

ENOUGH: Final = 0.6
"""A history is the conclusion from this probability on."""
TOGETHER: Final = 0.75
"""Inserted and stripped are told together from this probability of both."""
APART_BY_CLASS: Final = frozenset(
    ("wall", "ceiling", "cornice", "frieze", "ceiling rose", "soffit", "masonry", "baseboard", "door leaf", "floor", "tread", "mantel")
)
"""Classes that are often painted in other colours, materials or years than the rest (common practice): what one of them does not share
with the trim was not therefore brought from elsewhere; only its own class can tell."""
COMPARABLE: Final = 2
"""So many like neighbours must carry older paint before generations that none of them shows count as foreign."""
APART: Final = 2
"""So many generations that nothing else shows must lie below before an element is said to be reused: one may be one of its own."""
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
    shared = {span.ordinal for span in spans if any(span.ordinal in found for _, found in theirs)}
    known = sorted({*shared, *mine})
    could = tuple(one for one in known if _shows(element, mine, one)) if mine else tuple(known)
    missing = [one for one in could if one not in mine]
    first, last = (mine[0], mine[-1]) if mine else (None, None)
    drawn = _conclude(element, mine, shared, known, theirs, spans, makings)
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
        begins=drawn.begins,
        foreign=tuple(one for one in mine if one not in shared) if shared else (),
        neighbours=_neighbours([found for _, found in theirs], drawn.begins),
        conclusion=drawn.word,
        certainty=drawn.certainty,
        chances=drawn.chances,
        because=drawn.because,
        samples=tuple(sorted(sample.key for sample in element.samples if any(one.generation is not None for one in sample.layers))),
        sentence="",
    )
    return sentence(found, element, spans)


def _shows(element: Element, mine: Sequence[int], ordinal: int) -> bool:
    """Whether the samples of an element could show a generation."""
    if ordinal < mine[0]:
        return not all(sample.base_state in UNSEEN for sample in _placed(element))
    if ordinal > mine[-1]:
        return not all(sample.top_state == "lost" for sample in _placed(element))
    return True


def _placed(element: Element) -> list[Sample]:
    return [sample for sample in element.samples if any(layer.generation is not None for layer in sample.layers)]


def _neighbours(theirs: Sequence[set[int]], begins: int | None) -> Neighbours:
    ordered = sorted(len(found) for found in theirs)
    if not ordered:
        return Neighbours(0, 0, 0, 0, 0)
    earlier = sum(1 for found in theirs if begins is not None and min(found) < begins)
    return Neighbours(len(ordered), ordered[0], ordered[(len(ordered) - 1) // 2], ordered[-1], earlier)


@dataclass(frozen=True, slots=True)
class _Drawn:
    word: str
    begins: int | None = None
    certainty: float | None = None
    chances: tuple[tuple[str, float], ...] = ()
    because: tuple[str, ...] = ()


def _conclude(
    element: Element,
    mine: Sequence[int],
    shared: set[int],
    known: Sequence[int],
    theirs: Sequence[tuple[Element, set[int]]],
    spans: Sequence[Span],
    makings: Sequence[Making],
) -> _Drawn:
    if not mine:
        return _Drawn("no evidence")
    if len(shared) < 2:
        return _Drawn("undecided", mine[0], because=("No other element of the space shows enough to compare with.",))
    signs = signs_of(element, mine, shared, known, theirs, spans, makings)
    if signs.base == "unseen" and mine[0] != known[0]:
        return _Drawn("beginning not seen", mine[0], because=because(element, signs, known, mine[0], makings))
    weighed = weigh(signs)
    chances = weighed.chances
    best = max(chances, key=lambda one: chances[one])
    # What stands there is its own: the first that it carries from there on.
    begins = next((one for one in mine if one >= known[weighed.begins[best]]), mine[0])
    if best == "from the start":
        begins = mine[0]
    told = tuple(chances.items())
    why = because(element, signs, known, begins, makings)
    if best == "reused" and _older(element, begins, theirs) < COMPARABLE:
        what = f"other {element.element_class}" if element.element_class in APART_BY_CLASS else "trim"
        return _Drawn(
            "undecided", mine[0], None, (), (*why, f"Too little {what} with older paint stands beside it to tell what it brought.")
        )
    apart = sum(1 for index, one in enumerate(known) if signs.alone[index] and one < begins)
    if best == "reused" and apart < APART:
        return _Drawn("undecided", mine[0], chances[best], told, why)
    if chances[best] >= ENOUGH:
        return _Drawn(best, begins, chances[best], told, why)
    either = chances["inserted"] + chances["stripped"]
    if either >= TOGETHER:
        return _Drawn("inserted or stripped", begins, either, told, why)
    return _Drawn("undecided", mine[0], chances[best], told, why)


def _older(element: Element, begins: int, theirs: Sequence[tuple[Element, set[int]]]) -> int:
    """How many neighbours that it can be compared with carry paint older than where its own sequence begins."""
    mine = element.element_class
    if mine in APART_BY_CLASS:
        like = [found for other, found in theirs if other.element_class == mine]
    else:
        like = [found for other, found in theirs if other.element_class not in APART_BY_CLASS]
    return sum(1 for found in like if min(found) < begins)


def signs_of(
    element: Element,
    mine: Sequence[int],
    shared: set[int],
    known: Sequence[int],
    theirs: Sequence[tuple[Element, set[int]]],
    spans: Sequence[Span],
    makings: Sequence[Making],
) -> Signs:
    """What an element shows, for weighing; parameters as they are in `read_elements`, the rest derived from them."""
    counted = Counter(one for _, found in theirs for one in found)
    alone = sum(1 for one, many in counted.items() if many == 1 and one not in mine)
    usual = (alone + 1) / (sum(counted.values()) + 2)
    return Signs(
        rates=tuple(_rate(one, theirs) if one in shared else usual for one in known),
        shown=tuple(one in mine for one in known),
        alone=tuple(one not in shared for one in known),
        open=tuple(_open(element, one) for one in known),
        base=_base(element),
        residue=any(_residue(sample) for sample in _placed(element)),
        possible=tuple(_possible(known, spans, makings)),
    )


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


def _open(element: Element, ordinal: int) -> float:
    """What the confidence of the films in a generation leaves open: that each sample's are misplaced."""
    missed = 1.0
    for sample in element.samples:
        known = [
            1.0 if layer.held or layer.confidence is None else layer.confidence for layer in sample.layers if layer.generation == ordinal
        ]
        if known:
            missed *= 1.0 - max(known)
    return 0.0 if missed == 1.0 and ordinal not in carried(element) else missed


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


def _possible(known: Sequence[int], spans: Sequence[Span], makings: Sequence[Making]) -> list[int]:
    """Before which generations the element may have come, by what is said of its making."""
    bounds = {span.ordinal: span for span in spans}
    found = []
    for index, ordinal in enumerate(known):
        after = bounds[known[index - 1]].earliest if index else None
        before = bounds[ordinal].latest
        fits = all(
            (one.earliest is None or before is None or one.earliest <= before)
            and (one.latest is None or after is None or one.latest >= after)
            for one in makings
        )
        if fits:
            found.append(index)
    return found
