"""What is missing, and about how many layers would come to be known, or known better, if it were not."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Final

from analysis.core.coverage.stages import has_come_to
from analysis.core.coverage.values import Cell, Conflict, Gap, Generation, Sample, Space

WEAK_JOINT: Final = 0.6
"""Below this probability that they are two, the joint between neighbouring generations is weak."""

LOW_CONFIDENCE: Final = 0.5
"""Below this probability a layer more likely belongs elsewhere than where it is placed."""

UV_SHARE: Final = 0.25
"""The share of a sample's layers that a look under UV is reckoned to tell anything new of. A judgement, not a measurement."""


def conflicting(conflicts: Iterable[Conflict], samples: Iterable[Sample]) -> list[Gap]:
    """The conflicts of date, by the layers of the generations to which they leave no year."""
    many: dict[str, int] = defaultdict(int)
    for sample in samples:
        for layer in sample.layers:
            many[layer.generation] += 1
    gaps = []
    for one in conflicts:
        layers = sum(many[key] for key in one.generations)
        count = len(one.generations)
        reason = f"It leaves {_count(count, 'generation')} without a year, and with {_them(count)} {_count(layers, 'layer')}."
        gaps.append(Gap("conflict", "", "", one.generations, float(layers), one.sentence, reason))
    return gaps


def in_spaces(spaces: Iterable[Space], cells: Sequence[Cell], samples: Sequence[Sample], generations: Sequence[Generation]) -> list[Gap]:
    """What is missing in each space."""
    by_space: dict[str, list[Sample]] = defaultdict(list)
    for sample in samples:
        by_space[sample.space].append(sample)
    rows: dict[str, list[Generation]] = defaultdict(list)
    for generation in generations:
        rows[generation.space].append(generation)
    empty: dict[str, list[str]] = defaultdict(list)
    for cell in cells:
        if not cell.planned and not dict(cell.stages)["sampled"]:
            empty[cell.space].append(cell.element_class)
    overall = _mean_layers(samples, 1.0)
    gaps: list[Gap] = []
    for space in spaces:
        here = by_space[space.number]
        expected = _mean_layers(here, overall)
        lone = _lone(here)
        gaps += _uncorrelated(space, here)
        gaps += _unsampled(space, empty[space.number], expected, lone)
        gaps += _on_one_sample(space, here, rows[space.number], lone)
        gaps += _weak_joints(space, here, rows[space.number])
        gaps += _unsure(space, here)
        gaps += _unfinished(space, here, expected)
    return gaps


def _mean_layers(samples: Iterable[Sample], otherwise: float) -> float:
    counts = [len(sample.layers) for sample in samples if sample.layers]
    return sum(counts) / len(counts) if counts else otherwise


def _carriers(samples: Iterable[Sample]) -> dict[str, dict[str, int]]:
    """How many layers of each generation each sample shows."""
    found: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for sample in samples:
        for layer in sample.layers:
            if layer.generation:
                found[layer.generation][sample.number] += 1
    return found


def _lone(samples: Iterable[Sample]) -> dict[str, int]:
    """The generations that one sample alone shows, with how many layers it shows of each."""
    return {key: sum(by.values()) for key, by in _carriers(samples).items() if len(by) == 1}


def _uncorrelated(space: Space, samples: Sequence[Sample]) -> list[Gap]:
    layers = sum(len(sample.layers) for sample in samples)
    if layers == 0 or (space.correlated and space.current):
        return []
    if not space.correlated:
        sentence = f"Space {space.number} is not correlated."
        reason = f"None of its {_count(layers, 'layer')} has a computed generation."
        return [Gap("not correlated", space.number, "", (), float(layers), sentence, reason)]
    sentence = f"The correlation of space {space.number} is out of date."
    reason = f"Its samples, layers or rulings changed since, so the generation of any of its {_count(layers, 'layer')} may change."
    return [Gap("out of date", space.number, "", (), float(layers), sentence, reason)]


def _unsampled(space: Space, classes: Iterable[str], expected: float, lone: Mapping[str, int]) -> list[Gap]:
    confirmed = sum(lone.values())
    gaps = []
    for name in classes:
        sentence = f"No sample of the class {name} in space {space.number}."
        reason = f"A sample there shows about {_count(round(expected), 'layer')}"
        reason += f", and could confirm {_count(confirmed, 'layer')} that rest on one sample." if confirmed else "."
        gaps.append(Gap("unsampled", space.number, name, (), expected + confirmed, sentence, reason))
    return gaps


def _on_one_sample(space: Space, samples: Sequence[Sample], rows: Sequence[Generation], lone: Mapping[str, int]) -> list[Gap]:
    names = tuple(one.key for one in rows if one.key in lone)
    if not names:
        return []
    carriers = _carriers(samples)
    carried = sum(1 for one in rows if one.key in carriers)
    share = "All" if len(names) == carried else f"{len(names)} of the"
    verb = "rests" if len(names) == 1 else "rest"
    sentence = f"{share} {_count(carried, 'generation')} of space {space.number} {verb} on one sample each."
    if len(names) == carried and len({number for by in carriers.values() for number in by}) == 1:
        sentence = f"All that is known of space {space.number} rests on one sample: {_count(carried, 'generation')}."
    layers = sum(lone[key] for key in names)
    reason = f"Nothing confirms {_count(layers, 'layer')}; another sample would."
    return [Gap("one sample", space.number, "", names, float(layers), sentence, reason)]


def _weak_joints(space: Space, samples: Sequence[Sample], rows: Sequence[Generation]) -> list[Gap]:
    many = {key: sum(by.values()) for key, by in _carriers(samples).items()}
    names, gain = [], 0.0
    for below, above in pairwise(rows):
        if above.distinctness is not None and above.distinctness < WEAK_JOINT:
            names.append(above.key)
            gain += (1.0 - above.distinctness) * min(many.get(below.key, 0), many.get(above.key, 0))
    if not names:
        return []
    which = "generation" if len(names) == 1 else "generations"
    ordinals = _list([key.rpartition("/")[2] for key in names])
    sentence = f"In space {space.number}, {which} {ordinals} may be one campaign with the one below."
    reason = f"About {_count(round(gain), 'layer')} would change places; a tie or a bar settles it."
    return [Gap("weak joint", space.number, "", tuple(names), gain, sentence, reason)]


def _unsure(space: Space, samples: Sequence[Sample]) -> list[Gap]:
    doubts: dict[str, list[float]] = defaultdict(list)
    for sample in samples:
        for layer in sample.layers:
            if layer.generation and not layer.held and layer.confidence is not None and layer.confidence < LOW_CONFIDENCE:
                doubts[sample.number].append(1.0 - layer.confidence)
    if not doubts:
        return []
    count = sum(len(found) for found in doubts.values())
    gain = sum(sum(found) for found in doubts.values())
    sentence = f"{_count(count, 'layer')} of space {space.number} {'is' if count == 1 else 'are'} placed with less than even odds."
    reason = f"About {_count(round(gain), 'layer')} {'is' if round(gain) == 1 else 'are'} likely in the wrong generation; rulings help."
    return [Gap("low confidence", space.number, "", tuple(doubts), gain, sentence, reason)]


def _unfinished(space: Space, samples: Sequence[Sample], expected: float) -> list[Gap]:
    kinds = (
        ("planned", "planned and not taken", lambda one: not has_come_to(one, "sampled")),
        ("not mounted", "taken and not mounted", lambda one: has_come_to(one, "sampled") and not has_come_to(one, "mounted")),
        ("not examined", "mounted and not examined", lambda one: has_come_to(one, "mounted") and not has_come_to(one, "visible")),
    )
    gaps = []
    for kind, words, applies in kinds:
        names = tuple(one.number for one in samples if applies(one))
        if names:
            gain = len(names) * expected
            sentence = f"{_count(len(names), 'sample')} of space {space.number} {'is' if len(names) == 1 else 'are'} {words}."
            reason = f"Expect about {_count(round(gain), 'layer')}, as in the samples examined."
            gaps.append(Gap(kind, space.number, "", names, gain, sentence, reason))
    unlit = [one for one in samples if has_come_to(one, "visible") and not has_come_to(one, "uv")]
    if unlit:
        layers = sum(len(one.layers) for one in unlit)
        sentence = (
            f"{_count(len(unlit), 'sample')} of space {space.number} {'was' if len(unlit) == 1 else 'were'} seen in visible light only."
        )
        reason = f"Under UV about a quarter of {_count(layers, 'layer')} may be told apart from others that look like them."
        gaps.append(Gap("no UV", space.number, "", tuple(one.number for one in unlit), UV_SHARE * layers, sentence, reason))
    return gaps


def _count(many: int, one: str) -> str:
    return f"{many:,} {one}{'' if many == 1 else 's'}"


def _them(many: int) -> str:
    return "it" if many == 1 else "them"


def _list(items: Sequence[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
