"""Counting what is covered, and ranking what is not."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from analysis.core.coverage.gaps import conflicting, in_spaces
from analysis.core.coverage.stages import has_come_to
from analysis.core.coverage.values import KINDS, STAGES, Cell, Conflict, Coverage, Element, Generation, Sample, Space


def coverage(
    spaces: Sequence[Space],
    elements: Iterable[Element],
    samples: Iterable[Sample],
    generations: Iterable[Generation],
    conflicts: Iterable[Conflict] = (),
) -> Coverage:
    """Count what is covered, and rank what is missing by how many layers it would shed light on.

    Parameters
    ----------
    spaces : sequence of Space
        In the order in which they are to be shown.
    elements, samples, generations : iterable
        In any order. Samples set aside count for nothing.
    conflicts : iterable of Conflict

    Returns
    -------
    Coverage

    Notes
    -----
    A sample that has layers has been taken, mounted and examined, whatever its status says; one layer with a UV response shows that it was
    seen under UV. 'Dated' is as the caller says.

    The gain of a gap is an expected number of layers. A conflict: all layers of the generations that it leaves no year. A space not
    correlated, or out of date: all its layers. An unsampled class: the layers of one more sample, reckoned as the mean of the space
    (else of the structure), and the layers of the space's generations that rest on one sample, which it could confirm. Generations that
    rest on one sample: their layers. A weak joint: the probability that the two are one, times the layers of the smaller. Low
    confidence: the expected number of layers misplaced, the sum of 1 - confidence. Planned, not mounted, not examined: the layers of
    so many samples. No UV: `UV_SHARE` of the layers seen.

    Cost: proportional to the number of records, and n log n of sorting.
    """
    taken = sorted((one for one in samples if one.status != "set aside"), key=lambda one: one.number)
    known = sorted(generations, key=lambda one: (one.space, one.ordinal))
    classes: dict[tuple[str, str], list[Element]] = defaultdict(list)
    for element in elements:
        classes[element.space, element.element_class].append(element)
    for sample in taken:
        classes.setdefault((sample.space, sample.element_class), [])
    order = {space.number: index for index, space in enumerate(spaces)}
    places = sorted(classes, key=lambda one: (order.get(one[0], len(order)), *one))
    here = _by_space_and_class(taken)
    dated = {one.key: one.dated for one in known}
    rank = {one.key: index for index, one in enumerate(known)}
    cells = tuple(_cell(space, name, classes[space, name], here.get((space, name), []), dated, rank) for space, name in places)
    gaps = [*conflicting(conflicts, taken), *in_spaces(spaces, cells, taken, known)]
    gaps.sort(key=lambda gap: (-gap.gain, KINDS.index(gap.kind), order.get(gap.space, -1), gap.element_class, gap.names, gap.sentence))
    return Coverage(cells, tuple(gaps))


def _by_space_and_class(samples: Iterable[Sample]) -> dict[tuple[str, str], list[Sample]]:
    found: dict[tuple[str, str], list[Sample]] = defaultdict(list)
    for sample in samples:
        found[sample.space, sample.element_class].append(sample)
    return found


def _cell(
    space: str,
    element_class: str,
    elements: Sequence[Element],
    samples: Sequence[Sample],
    dated: Mapping[str, bool],
    rank: Mapping[str, int],
) -> Cell:
    layers = [layer for sample in samples for layer in sample.layers]
    carried = sorted({layer.generation for layer in layers if layer.generation}, key=lambda key: (rank.get(key, len(rank)), key))
    return Cell(
        space=space,
        element_class=element_class,
        elements=len(elements),
        planned=tuple(one.number for one in samples if not has_come_to(one, "sampled")),
        stages=tuple((stage, tuple(one.number for one in samples if has_come_to(one, stage))) for stage in STAGES),
        layers=len(layers),
        placed=sum(1 for layer in layers if layer.generation),
        generations=tuple(carried),
        dated=tuple(key for key in carried if dated.get(key, False)),
        interpreted=tuple(sorted(one.code for one in elements if one.interpreted)),
        agreed=tuple(sorted(one.code for one in elements if one.agreed)),
    )
