"""What was observed on a layer and among its mates in two generations, in short words for the table of reasons."""

from collections import Counter
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from analysis.core.colour import delta_e_2000
from analysis.core.correlation.standing import Standing, Weighed
from analysis.core.correlation.values import Layer, Sample

SHOWN: Final = 3
LONGEST: Final = 32  # letters of one description
ALIKE: Final = 3.0  # ΔE00 within which colours are counted as like this one; common practice, for the eye only

LOWEST: Final = "it is the lowest of its sample"
TOPMOST: Final = "it is the topmost of its sample"

Told = tuple[str, str, str]
FEATURES: Final[tuple[tuple[str, Callable[[Layer], Sequence[str]]], ...]] = (
    ("UV response", lambda layer: [" ".join(part for part in (layer.uv_strength, layer.uv_colour) if part)]),
    ("pigments", lambda layer: layer.pigments),
    ("binder", lambda layer: [layer.binder]),
    ("texture", lambda layer: [layer.texture]),
    ("kind of film", lambda layer: [layer.kind]),
)


def observations(stands: Standing, sample: int, position: int, weighed: Weighed, here: int, there: int) -> dict[str, Told]:
    """What to say beside each term.

    Parameters
    ----------
    stands : Standing
    sample, position : int
        The layer.
    weighed : Weighed
        Its sample, weighed against the others.
    here, there : int
        The two states compared.

    Returns
    -------
    dict
        By a term's name: on the layer itself, among its mates here, among those there.
    """
    own = stands.samples[sample].layers[position]
    heard = stands.problem.evidence.hearings[sample].heard
    mates = [_mates(stands, weighed, state, set(heard.tolist())) for state in (here, there)]
    told: dict[str, Told] = {}
    if own.lab is not None:
        colour = f"L*a*b* {own.lab[0]:.0f} {own.lab[1]:.0f} {own.lab[2]:.0f}".replace("-", "−")
        for name, same in (("colour, same class", True), ("colour, other classes", False)):
            near = [_nearest(own, some, stands.samples[sample], same) for some in mates]
            told[name] = (colour, near[0], near[1])
        told["rarity of the colour"] = (_alike(own, stands, sample), "", "")
    for name, words in FEATURES:
        if any(words(own)):
            counted = [_counted([words(layer) for _, layer in some]) for some in mates]
            told[name] = (", ".join(words(own)), counted[0], counted[1])
    return told | _sequence(stands, sample, position)


def _mates(stands: Standing, weighed: Weighed, state: int, heard: set[int]) -> list[tuple[Sample, Layer]]:
    """The layers of the other samples that the sample hears in a generation; none in a slot."""
    if state % 2 == 0:
        return []
    inside = np.flatnonzero(weighed.others.place == state // 2)
    found = []
    for index in inside.tolist():
        if index in heard:
            number = int(stands.problem.owner[index])
            found.append((stands.samples[number], stands.samples[number].layers[index - stands.problem.bounds[number][0]]))
    return found


def _nearest(own: Layer, mates: Sequence[tuple[Sample, Layer]], sample: Sample, same: bool) -> str:
    assert own.lab is not None
    measured = [
        (round(float(delta_e_2000(np.array(own.lab), np.array(layer.lab))), 1), layer.key)
        for other, layer in mates
        if layer.lab is not None and (other.element_class == sample.element_class) == same
    ]
    if not measured:
        return "nothing to compare"
    difference, key = min(measured)
    return f"nearest {key}, ΔE00 {difference:.1f}" + (f", of {len(measured)}" if len(measured) > 1 else "")


def _alike(own: Layer, stands: Standing, sample: int) -> str:
    others = [layer.lab for number, one in enumerate(stands.samples) if number != sample for layer in one.layers if layer.lab is not None]
    if not others:
        return ""
    like = int((delta_e_2000(np.array(own.lab)[None, :], np.array(others)) <= ALIKE).sum())
    return f"{like} of {len(others)} layers of other samples within ΔE00 {ALIKE:.0f}"


def _counted(seen: Sequence[Sequence[str]]) -> str:
    """What was seen on how many mates: 'strong yellow ×3, none ×1, 2 not observed'."""
    if not seen:
        return "nothing to compare"
    many = Counter(word for words in seen for word in words if word)
    told = [f"{_short(word)} ×{count}" for word, count in sorted(many.items(), key=lambda item: (-item[1], item[0]))[:SHOWN]]
    rest = len(many) - SHOWN
    blank = sum(not any(words) for words in seen)
    told += [f"{rest} other kind{'s' if rest > 1 else ''}"] if rest > 0 else []
    told += [f"{blank} not observed"] if blank else []
    return ", ".join(told)


def _short(word: str) -> str:
    return word if len(word) <= LONGEST else f"{word[: LONGEST - 1].rstrip()}…"


def _sequence(stands: Standing, sample: int, position: int) -> dict[str, Told]:
    layers = stands.samples[sample].layers
    first = stands.problem.bounds[sample][0]

    def stood(index: int) -> str:
        place = int(stands.arrangement.place[first + index])
        return f"{layers[index].key} in generation {stands.ordinals[place]}" if place >= 0 else f"{layers[index].key} in none"

    beneath, above = position > 0, position + 1 < len(layers)
    kinds = [layers[index].kind for index in range(max(0, position - 1), min(len(layers), position + 2))]
    joints = [f"{layers[position].lower_boundary} below" if beneath and layers[position].lower_boundary else ""]
    joints += [f"{layers[position + 1].lower_boundary} above" if above and layers[position + 1].lower_boundary else ""]
    return {
        "layers beneath": (stood(position - 1) if beneath else LOWEST, "", ""),
        "layers above": (stood(position + 1) if above else TOPMOST, "", ""),
        "films in sequence": (", then ".join(kinds), "", ""),
        "boundaries": (", ".join(one for one in joints if one), "", ""),
    }
