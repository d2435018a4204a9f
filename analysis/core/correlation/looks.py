"""What was observed of the layers of a space, as arrays."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation import films, words
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.reading import learned_spread
from analysis.core.correlation.values import Layer, Sample
from analysis.core.vocabulary import UV_STRENGTHS

Floats = NDArray[np.float64]
Integers = NDArray[np.int_]

_FILLING = frozenset(("and", "with", "of", "in", "a", "the", "on", "to"))


@dataclass(frozen=True, slots=True)
class Looks:
    """What was observed, as arrays over the layers of the space."""

    owner: Integers
    classes: Integers
    elements: Integers
    groups: Integers
    kinds: Integers
    apart: NDArray[np.bool_]
    lab: Floats
    spread: Floats
    uv: Integers  # row of the three tables
    uv_agreement: Floats
    uv_known: NDArray[np.bool_]
    uv_unlike: Floats  # how unlike the hues of two responses are, 0..1; NaN where one has none
    pigments: Floats  # layers × names: 1 where named; likewise below with words
    binder: Floats
    texture: Floats
    uv_dimmed: Floats  # factor on agreement for unlike strengths

    def relit(self, parameters: Parameters) -> "Looks":
        """The same with another penalty of an unlike UV hue."""
        return replace(self, uv_agreement=_glow_agreement(self.uv_unlike, self.uv_dimmed, parameters))


def look(samples: Sequence[Sample], parameters: Parameters) -> Looks:
    """Read the layers of samples in canonical order."""
    layers = [layer for sample in samples for layer in sample.layers]
    lab, spread, plain = _colours(layers, parameters)
    where, known, unlike, dimmed = _responses(layers, parameters)
    owner = np.array([number for number, sample in enumerate(samples) for _ in sample.layers], dtype=int)
    classes = _numbered([sample.element_class for sample in samples for _ in sample.layers])
    groups = np.array([films.group_of(layer.kind) for layer in layers], dtype=int)
    apart = np.array([sample.element_class in films.APART for sample in samples for _ in sample.layers], dtype=bool)
    longest = sorted(range(len(samples)), key=lambda number: (-len(samples[number].layers), number))[: parameters.reading_samples]
    read = np.flatnonzero(plain & np.isfinite(lab[:, 0]) & np.isin(owner, longest))
    learned = learned_spread(lab[read], owner[read], classes[read], groups[read], apart[read], parameters)
    return Looks(
        owner=owner,
        classes=classes,
        elements=_numbered([sample.element for sample in samples for _ in sample.layers]),
        groups=groups,
        kinds=_numbered([layer.kind for layer in layers]),
        apart=apart,
        lab=lab,
        spread=np.where(plain, spread * (learned / parameters.reading_spread), spread),
        uv=where,
        uv_agreement=_glow_agreement(unlike, dimmed, parameters),
        uv_known=known,
        uv_unlike=unlike,
        pigments=_members([words.materials(layer.pigments) for layer in layers]),
        binder=_members([_words(layer.binder) for layer in layers]),
        texture=_members([_words(layer.texture) for layer in layers]),
        uv_dimmed=dimmed,
    )


def _numbered(names: Sequence[str]) -> Integers:
    number = {name: at for at, name in enumerate(sorted(set(names)))}
    return np.array([number[name] for name in names], dtype=int)


def _members(sets: Sequence[frozenset[str]]) -> Floats:
    """Layers × names: 1 where the layer has the name."""
    number = {name: at for at, name in enumerate(sorted(set().union(*sets)))}
    member = np.zeros((len(sets), len(number)))
    for row, names in enumerate(sets):
        member[row, [number[name] for name in names]] = 1.0
    return member


def _words(text: str) -> frozenset[str]:
    return frozenset(words.plain(text).replace(",", " ").replace(";", " ").split()) - _FILLING


def _colours(layers: Sequence[Layer], parameters: Parameters) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """L*a*b* of each layer (NaN where unknown), the spread of its reading, and whether it was read plainly, by chip or instrument."""
    lab = np.full((len(layers), 3), np.nan)
    spread = np.full(len(layers), parameters.reading_spread)
    plain = np.ones(len(layers), dtype=bool)
    for number, layer in enumerate(layers):
        if layer.kind in ("soiling", "void"):
            continue
        if layer.lab is not None and np.isfinite(layer.lab).all():
            lab[number] = layer.lab
            if layer.munsell_basis == "between chips":
                spread[number] = parameters.between_chips_spread
                plain[number] = False
        elif layer.colour and (rough := words.rough_lab(layer.colour)) is not None:
            lab[number] = rough
            spread[number] = parameters.word_spread
            plain[number] = False
        if layer.completeness in ("trace", "worn"):
            spread[number] *= parameters.worn_factor
    return lab, spread, plain


def _responses(layers: Sequence[Layer], parameters: Parameters) -> tuple[Integers, NDArray[np.bool_], Floats, Floats]:
    """Number of each layer's UV response and, for each pair of responses, whether both tell anything, how unlike their hues are, and a
    factor on their agreement for unlike strengths."""
    seen = [
        (words.hues(layer.uv_colour) if layer.uv_colour else frozenset(), layer.uv_strength if layer.uv_strength in UV_STRENGTHS else "")
        for layer in layers
    ]
    distinct = sorted(set(seen), key=lambda each: (sorted(each[0]), each[1]))
    steps = np.zeros((len(distinct), len(distinct)))
    known = np.zeros((len(distinct), len(distinct)), dtype=bool)
    unlike = np.full((len(distinct), len(distinct)), np.nan)
    for row, (hue, strength) in enumerate(distinct):
        for column, (other_hue, other_strength) in enumerate(distinct):
            if hue and other_hue:
                unlike[row, column] = 1.0 - len(hue & other_hue) / len(hue | other_hue)
                known[row, column] = True
            if strength and other_strength:
                steps[row, column] = abs(UV_STRENGTHS.index(strength) - UV_STRENGTHS.index(other_strength))
                known[row, column] = True
    number = {each: at for at, each in enumerate(distinct)}
    return np.array([number[each] for each in seen], dtype=int), known, unlike, np.exp(-parameters.uv_strength * steps)


def _glow_agreement(unlike: Floats, dimmed: Floats, parameters: Parameters) -> Floats:
    """Agreement of UV responses in 0..1; 1 where nothing is known."""
    agreement: Floats = dimmed * np.exp(-parameters.uv_hue * np.nan_to_num(unlike))
    return agreement
