"""The answer for each element: the generation in force, what it showed, what else it may have been, and all of it in plain words."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from analysis.core.as_of.finishing import finish_of
from analysis.core.as_of.reaching import reached_by_phase, reached_by_year
from analysis.core.as_of.values import (
    FOUND,
    NO_EVIDENCE,
    Candidate,
    ElementAsOf,
    Finish,
    Generation,
    PhaseEnd,
    certainty_word,
)
from analysis.core.elements import Element, Layer, carried

LEAST: Final = 0.005
"""Alternatives below half a per cent are not told."""


def as_of(elements: Iterable[Element], generations: Mapping[str, Sequence[Generation]], when: int | PhaseEnd) -> tuple[ElementAsOf, ...]:
    """Give for each element the finish in force at the end of a year, or of a phase.

    Parameters
    ----------
    elements : iterable of Element
    generations : mapping of str to sequence of Generation
        By space, oldest first.
    when : int or PhaseEnd
        A year (inclusive; negative for BCE), or the end of a phase.

    Returns
    -------
    tuple of ElementAsOf
        In the order of `elements`.

    Notes
    -----
    An element carries c_1 < c_2 < ... < c_m of the generations of its space. With q_j the probability that c_j is not later than `when`,
    c_j is in force with probability q_j - q_(j+1), and nothing that is recorded is with 1 - q_1. Where some q is unknown, the last
    generation that is certainly not later is in force, those whose q is unknown are alternatives, and no probability is given.

    What is in force is a film, and a film may stand in the wrong generation: q_j is the mean over the generation in which its layers are
    placed and their runners-up, weighted by their probabilities, and never above that of the films below it. What placement and runner-up
    leave open is shared evenly by the generations between the films of the sample that stand below and above, those two included.

    Cost: proportional to layers and generations, and to the square of the readings of one finish.
    """
    reached = {
        space: dict(
            zip(
                (one.ordinal for one in found),
                reached_by_phase(found, when) if isinstance(when, PhaseEnd) else reached_by_year(found, when),
                strict=True,
            )
        )
        for space, found in generations.items()
    }
    known = {(space, one.ordinal): one for space, found in generations.items() for one in found}
    told = (when.name or f"phase {when.ordinal}") if isinstance(when, PhaseEnd) else year_in_words(when)
    return tuple(_answer(element, reached.get(element.space, {}), known, told, isinstance(when, int)) for element in elements)


def year_in_words(year: int) -> str:
    """Say a year as people do.

    Parameters
    ----------
    year : int
        Negative for BCE.

    Returns
    -------
    str
    """
    return f"{-year} BCE" if year < 0 else str(year)


def _answer(
    element: Element, reached: Mapping[int, float | None], known: Mapping[tuple[str, int], Generation], told: str, by_year: bool
) -> ElementAsOf:
    samples = tuple(sorted(sample.key for sample in element.samples))
    ordinals = [one for one in carried(element) if one in reached]
    gap = _nothing_recorded(element, ordinals)
    if gap:
        return _none(element, samples, (), gap, told)
    ranked = _ranked(ordinals, _as_placed(element, ordinals, reached))
    candidates = [
        Candidate(ordinal, chance, None if ordinal is None else finish_of(element, ordinal, known[element.space, ordinal].technique))
        for ordinal, chance in ranked
    ]
    first, others = candidates[0], tuple(candidates[1:])
    if first.ordinal is None:
        return _none(element, samples, others, _nothing_yet(element, ordinals[0], first, known, by_year), told)
    assert first.finish is not None
    doubts = (*first.finish.doubts, *_doubts(element, first, ordinals, reached))
    word = certainty_word(first.probability)
    return ElementAsOf(
        element.key, element.space, element.element_class, element.substrate, FOUND, first, others, word, samples, doubts,
        _sentence(element, first, others, told),
    )  # fmt: skip


def _nothing_recorded(element: Element, ordinals: Sequence[int]) -> str:
    if not element.samples:
        return "no sample was taken of it."
    layers = sum(len(sample.layers) for sample in element.samples)
    if not layers:
        return f"{_count(len(element.samples), 'sample')} of it {_is(len(element.samples))} recorded, without layers."
    if not ordinals:
        return f"none of its {_count(layers, 'layer')} is placed in a generation yet."
    return ""


def _as_placed(element: Element, ordinals: Sequence[int], reached: Mapping[int, float | None]) -> list[float | None]:
    """How surely the films that stand in each generation were there: by where they may belong, and by when that was painted."""
    found: list[float | None] = []
    lowest = 1.0
    for ordinal in ordinals:
        chance = reached[ordinal]
        weights = _weights(element, ordinal, list(reached))
        known = [(weight, reached.get(one)) for one, weight in weights.items()]
        certain = [(weight, value) for weight, value in known if value is not None]
        if chance is not None and certain:
            chance = min(lowest, sum(weight * value for weight, value in certain) / sum(weight for weight, _ in certain))
            lowest = chance
        found.append(chance)
    return found


def _weights(element: Element, ordinal: int, space: Sequence[int]) -> dict[int, float]:
    """The generations in which films that stand in one may belong, by the confidence of their placement; of one that is held, only that."""
    weights: dict[int, float] = {}
    for sample in element.samples:
        placed = [layer.generation for layer in sample.layers if layer.generation is not None]
        lowest = max((one for one in placed if one < ordinal), default=min(space))
        highest = min((one for one in placed if one > ordinal), default=max(space))
        room = [one for one in space if lowest <= one <= highest]
        for layer in sample.layers:
            if layer.generation == ordinal:
                for one, weight in _may_belong(layer, ordinal, room).items():
                    weights[one] = weights.get(one, 0.0) + weight
    return weights if sum(weights.values()) > 0 else {ordinal: 1.0}


def _may_belong(layer: Layer, ordinal: int, room: Sequence[int]) -> dict[int, float]:
    """Where one layer may belong; what neither its place nor its runner-up has is shared by all that its neighbours leave open."""
    if layer.held or layer.confidence is None:
        return {ordinal: 1.0}
    found = {ordinal: layer.confidence}
    if layer.runner_up is not None and layer.runner_up_confidence:
        found[layer.runner_up] = layer.runner_up_confidence
    open_ = [one for one in room if one not in found]
    rest = max(0.0, 1.0 - sum(found.values()))
    return found | {one: rest / len(open_) for one in open_}


def _ranked(ordinals: Sequence[int], reached: Sequence[float | None]) -> list[tuple[int | None, float | None]]:
    """Each generation that may be in force with its probability, likeliest first; None stands for nothing yet, and for unknown."""
    if any(one is None for one in reached):
        certain = [ordinal for ordinal, chance in zip(ordinals, reached, strict=True) if chance == 1.0]
        possible = [ordinal for ordinal, chance in zip(ordinals, reached, strict=True) if chance is None or 0.0 < chance < 1.0]
        last: list[int | None] = [certain[-1]] if certain else [None]
        return [(ordinal, None) for ordinal in [*last, *possible]]
    chances = [1.0, *(one for one in reached if one is not None), 0.0]
    options: list[tuple[int | None, float]] = [
        (ordinal, chances[index] - chances[index + 1]) for index, ordinal in enumerate([None, *ordinals])
    ]
    # Of equals the later: it lies nearer to the time asked for.
    options.sort(key=lambda one: (-round(one[1], 9), -(one[0] or 0)))
    return [(ordinal, chance) for index, (ordinal, chance) in enumerate(options) if index == 0 or chance >= LEAST]


def _none(element: Element, samples: tuple[str, ...], others: tuple[Candidate, ...], why: str, told: str) -> ElementAsOf:
    said = f"No evidence for {told}: {why}"
    if others:
        said += f" Otherwise {_alternatives(others)}."
    return ElementAsOf(
        element.key, element.space, element.element_class, element.substrate, NO_EVIDENCE, None, others, NO_EVIDENCE, samples, (), said
    )


def _nothing_yet(element: Element, first: int, nothing: Candidate, known: Mapping[tuple[str, int], Generation], by_year: bool) -> str:
    """Why there is nothing: its first finish is later, or undated; and what its base says of what was there before."""
    if nothing.probability is None:
        return f"the first finish that it shows, generation {first}, {'has no years to tell' if by_year else 'belongs to no phase yet'}."
    years = _years(known[element.space, first])
    states = {sample.base_state for sample in element.samples}
    before = "what was there before is not known"
    if "stripped" in states:
        before = "what was there before was stripped"
    elif states == {"complete"}:
        before = "it was bare until then, or not yet there"
    elif states and states <= {"detached", "not reached"}:
        before = "no sample reaches its substrate"
    chance = "" if nothing.probability >= 0.995 else f" ({_percent(nothing.probability)})"
    return f"the first finish that it shows, generation {first}{years}, is later{chance}; {before}."


def _doubts(element: Element, first: Candidate, ordinals: Sequence[int], reached: Mapping[int, float | None]) -> list[str]:
    assert first.ordinal is not None
    assert first.finish is not None
    said = []
    following = min((one for one in ordinals if one > first.ordinal), default=None)
    between = [
        one
        for one, chance in reached.items()
        if one > first.ordinal and (following is None or one < following) and chance is not None and chance >= 0.5
    ]
    if between:
        which = f"Generation {between[0]}" if len(between) == 1 else f"Generations {_list([str(one) for one in between])}"
        verb = "was" if len(between) == 1 else "were"
        shows = "does not show" if len(between) == 1 else "do not show"
        said.append(f"{which} of the space {verb} painted by then and {shows} on it: left out, or missed.")
    if following is None and not any(sample.top_state == "complete" for sample in element.samples):
        said.append("No sample is known to be whole at the top, so a later finish may be missing.")
    if len(first.finish.samples) == 1:
        said.append("It rests on one sample.")
    return said


# --- saying it ----------------------------------------------------------------------------------------------------------------


def _sentence(element: Element, first: Candidate, others: tuple[Candidate, ...], told: str) -> str:
    assert first.finish is not None
    said = f"As of {told} the {element.element_class} {element.key} showed {_finish_in_words(first.finish)}: generation {first.ordinal}"
    said += (
        ", which dates leave open"
        if first.probability is None
        else f", {certainty_word(first.probability)} ({_percent(first.probability)})"
    )
    many = first.finish.samples
    said += f", on {_count(len(many), 'sample')}"
    if first.finish.colour is not None and first.finish.colour.readings > 1:
        said += f" whose readings differ by up to {first.finish.colour.spread:.1f} ΔE00"
    return f"{said}.{f' Otherwise {_alternatives(others)}.' if others else ''}"


def _finish_in_words(finish: Finish) -> str:
    colour = finish.colour
    if colour is None:
        shown = "no colour that is recorded"
    elif colour.munsell:
        shown = f"{'about ' if colour.nearest else ''}{colour.munsell}{f' ({colour.named})' if colour.named else ''}"
    else:
        shown = colour.named or "a colour outside the Munsell renotation"
    technique = f" ({finish.technique})" if finish.technique else ""
    return f"{shown}{technique}"


def _alternatives(others: Iterable[Candidate]) -> str:
    told = []
    for one in others:
        name = "nothing that is recorded" if one.ordinal is None else f"generation {one.ordinal}"
        told.append(name if one.probability is None else f"{name} ({_percent(one.probability)})")
    return _list(told, "or")


def _years(generation: Generation) -> str:
    if generation.earliest is not None and generation.latest is not None:
        if generation.earliest == generation.latest:
            return f" of {year_in_words(generation.earliest)}"
        return f" of {year_in_words(generation.earliest)} to {year_in_words(generation.latest)}"
    if generation.earliest is not None:
        return f", not before {year_in_words(generation.earliest)}"
    return f", not after {year_in_words(generation.latest)}" if generation.latest is not None else ""


def _percent(value: float) -> str:
    whole = round(value * 100)
    if whole == 100 and value < 1.0 - 1e-9:
        return "over 99 %"
    return f"{whole} %" if whole else "under 1 %"


def _count(many: int, one: str) -> str:
    return f"{many:,} {one}{'' if many == 1 else 's'}"


def _is(many: int) -> str:
    return "is" if many == 1 else "are"


def _list(items: Sequence[str], word: str = "and") -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} {word} {items[-1]}"
