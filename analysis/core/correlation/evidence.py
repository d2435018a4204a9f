"""What the layers of a space say about each other, computed once: all pairs, every kind of evidence.

For a layer and a generation, each kind of evidence answers with odds: how much likelier is what was seen if the layer belongs to
the generation's other layers than if it were any layer of the space. A mate's vote is `agreement / mean agreement in the space`, so
that a rare colour counts for more than one more white; votes are averaged with weights, and the background always has a vote, so that
one odd mate cannot veto. Where something was not observed there is no vote at all.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.core.colour import delta_e_2000
from analysis.core.correlation import films, words
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.values import Layer, Sample
from analysis.core.vocabulary import UV_STRENGTHS

Floats = NDArray[np.float64]
Votes = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Evidence:
    """Votes of every layer on every other. `votes[f]` is weight times odds, `weights[f]` the weight, both layers × layers.

    The features f are, in order: colour on the same class, colour on another, UV, pigments, binder, texture, kind. Pairs within one sample
    have weight 0: a sample never vouches for itself.
    """

    votes: Votes
    weights: Votes
    stay: Floats  # layers: probability that a layer is of the campaign of the one beneath it; 0 for the lowest of a sample
    information: Floats  # layers: how telling the layer is, in nats


FEATURES = 7
_FILLING = frozenset(("and", "with", "of", "in", "a", "the", "on", "to"))


def gather(samples: Sequence[Sample], parameters: Parameters) -> Evidence:
    """Compare all layers of a space.

    Parameters
    ----------
    samples : sequence of Sample
        In canonical order.
    parameters : Parameters

    Returns
    -------
    Evidence

    Notes
    -----
    Time and memory grow with the square of the number of layers.
    """
    layers = [layer for sample in samples for layer in sample.layers]
    owner = np.array([number for number, sample in enumerate(samples) for _ in sample.layers], dtype=int)
    classes = np.array([_number(samples, sample.element_class) for sample in samples for _ in sample.layers], dtype=int)
    elements = np.array([f"{sample.element}" for sample in samples for _ in sample.layers], dtype=object)
    groups = np.array([films.group_of(layer.kind) for layer in layers], dtype=int)
    foreign = owner[:, None] != owner[None, :]
    same_class = classes[:, None] == classes[None, :]
    same_element = elements[:, None] == elements[None, :]
    likeness = films.LIKENESS[groups[:, None], groups[None, :]]
    lab, spread = _colours(layers, parameters)
    differences = delta_e_2000(lab[:, None, :], lab[None, :, :]) if layers else np.zeros((0, 0))
    colour = _colour_agreement(differences, spread, parameters)
    both = np.isfinite(lab[:, 0])[:, None] & np.isfinite(lab[:, 0])[None, :]
    colour = np.where(both, colour, 0.0)
    leaning = likeness * np.where(same_class, parameters.background_class_share, 1.0)
    odds = _odds(colour, np.where(both, leaning, 0.0), parameters)

    apart = np.array([sample.element_class in films.APART for sample in samples for _ in sample.layers], dtype=bool)
    across = np.where(apart[:, None] | apart[None, :], parameters.apart_class, parameters.other_class)
    own = np.where(same_element, parameters.same_element, parameters.same_class)
    seen = both & foreign
    pairs = [
        (odds, np.where(seen & same_class, own * likeness, 0.0)),
        (odds, np.where(seen & ~same_class, across * likeness, 0.0)),
    ]
    lightness = np.where(both, np.abs(np.nan_to_num(lab[:, None, 0]) - np.nan_to_num(lab[None, :, 0])), parameters.lightness_reach * 0.8)
    reach = likeness * np.exp(-((lightness / parameters.lightness_reach) ** 2))
    uv, uv_seen = _uv_agreement(layers, parameters)
    pigment, pigment_seen = _pigment_agreement(layers, parameters)
    binder, binder_seen = _word_agreement([layer.binder for layer in layers], parameters.binder_miss)
    texture, texture_seen = _word_agreement([layer.texture for layer in layers], parameters.texture_miss)
    materials = ((uv, uv_seen, reach), (pigment, pigment_seen, reach), (binder, binder_seen, likeness), (texture, texture_seen, likeness))
    for agreement, observed, weight in materials:
        pairs.append((_odds(agreement, np.where(observed, weight, 0.0), parameters), np.where(observed & foreign, weight, 0.0)))
    kind = np.array([layer.kind for layer in layers], dtype=object)
    kinds = (kind[:, None] == kind[None, :]).astype(float)
    kind_weight = np.where(foreign, np.where(same_class, 1.0, 0.4), 0.0)
    pairs.append((_odds(kinds, np.ones_like(kinds), parameters), kind_weight))

    weights = np.stack([weight for _, weight in pairs]).astype(np.float32)
    votes = np.stack([odd * weight for odd, weight in pairs]).astype(np.float32)
    stay = _stay(samples, groups, differences, uv, uv_seen, parameters)
    rare = np.log(np.maximum(1.0, np.where(np.isfinite(lab[:, 0]), np.diagonal(odds), 1.0))) if layers else np.zeros(0)
    return Evidence(votes, weights, stay, rare)


def _number(samples: Sequence[Sample], element_class: str) -> int:
    return sorted({sample.element_class for sample in samples}).index(element_class)


def _colours(layers: Sequence[Layer], parameters: Parameters) -> tuple[Floats, Floats]:
    """L*a*b* of each layer (NaN where unknown) and the spread of its reading."""
    lab = np.full((len(layers), 3), np.nan)
    spread = np.full(len(layers), parameters.reading_spread)
    for number, layer in enumerate(layers):
        if layer.kind in ("soiling", "void"):
            continue
        if layer.lab is not None and np.isfinite(layer.lab).all():
            lab[number] = layer.lab
            if layer.munsell_basis == "between chips":
                spread[number] = parameters.between_chips_spread
        elif layer.colour and (rough := words.rough_lab(layer.colour)) is not None:
            lab[number] = rough
            spread[number] = parameters.word_spread
        if layer.completeness in ("trace", "worn"):
            spread[number] *= parameters.worn_factor
    return lab, spread


def _colour_agreement(differences: Floats, spread: Floats, parameters: Parameters) -> Floats:
    """Agreement in 0..1: a normal reading error, with a share of readings that are a chip out."""
    variance = spread[:, None] ** 2 + spread[None, :] ** 2
    far = variance + parameters.chip_off_spread**2
    near = np.exp(-0.5 * differences**2 / variance)
    off = np.exp(-0.5 * differences**2 / far) * np.sqrt(variance / far)
    return (1.0 - parameters.chip_off_share) * near + parameters.chip_off_share * off


def _odds(agreement: Floats, weight: Floats, parameters: Parameters) -> Floats:
    """Agreement over its smoothed mean, row by row."""
    total = weight.sum(axis=1) + parameters.background_floor
    mean = ((agreement * weight).sum(axis=1) + parameters.background_floor * parameters.background_level) / total
    result: Floats = agreement / mean[:, None]
    return result


def _uv_agreement(layers: Sequence[Layer], parameters: Parameters) -> tuple[Floats, NDArray[np.bool_]]:
    """Agreement of UV responses in 0..1 and whether both were observed. Worked out once for each pair of distinct responses."""
    seen = [
        (words.hues(layer.uv_colour) if layer.uv_colour else frozenset(), layer.uv_strength if layer.uv_strength in UV_STRENGTHS else "")
        for layer in layers
    ]
    distinct = sorted(set(seen), key=lambda each: (sorted(each[0]), each[1]))
    table = np.ones((len(distinct), len(distinct)))
    known = np.zeros((len(distinct), len(distinct)), dtype=bool)
    for row, (hue, strength) in enumerate(distinct):
        for column, (other_hue, other_strength) in enumerate(distinct):
            penalty = 0.0
            if hue and other_hue:
                penalty += parameters.uv_hue * (1.0 - len(hue & other_hue) / len(hue | other_hue))
                known[row, column] = True
            if strength and other_strength:
                penalty += parameters.uv_strength * abs(UV_STRENGTHS.index(strength) - UV_STRENGTHS.index(other_strength))
                known[row, column] = True
            table[row, column] = np.exp(-penalty)
    where = np.array([distinct.index(each) for each in seen], dtype=int)
    return table[where[:, None], where[None, :]], known[where[:, None], where[None, :]]


def _pigment_agreement(layers: Sequence[Layer], parameters: Parameters) -> tuple[Floats, NDArray[np.bool_]]:
    """Share of common pigments, never less than `pigment_miss`, and whether pigments of both are known."""
    sets = [words.materials(layer.pigments) for layer in layers]
    names = sorted(set().union(*sets)) if sets else []
    member = np.array([[name in each for name in names] for each in sets], dtype=float).reshape(len(sets), len(names))
    common = member @ member.T
    size = member.sum(axis=1)
    smaller = np.minimum(size[:, None], size[None, :])
    share = common / np.maximum(1.0, smaller)
    known = (size[:, None] > 0) & (size[None, :] > 0)
    return parameters.pigment_miss + (1.0 - parameters.pigment_miss) * share, known


def _word_agreement(texts: Sequence[str], miss: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Share of common words of the shorter text, never less than `miss`, and whether there are two texts."""
    sets = [frozenset(words.plain(text).replace(",", " ").replace(";", " ").split()) - _FILLING for text in texts]
    distinct = sorted(set(sets), key=sorted)
    table = np.array(
        [[miss + (1.0 - miss) * len(one & other) / max(1, min(len(one), len(other))) for other in distinct] for one in distinct]
    )
    where = np.array([distinct.index(each) for each in sets], dtype=int)
    known = np.array([bool(each) for each in sets], dtype=bool)
    if not sets:
        return np.zeros((0, 0)), np.zeros((0, 0), dtype=bool)
    return table[where[:, None], where[None, :]], known[:, None] & known[None, :]


def _stay(
    samples: Sequence[Sample], groups: NDArray[np.int_], differences: Floats, uv: Floats, uv_seen: NDArray[np.bool_], parameters: Parameters
) -> Floats:
    """Probability that each layer is of the campaign of the one beneath, from kinds, boundary and likeness."""
    boundary = {
        "fused": parameters.boundary_fused,
        "sharp": parameters.boundary_sharp,
        **dict.fromkeys(("soiled", "weathered", "cracked", "scraped or scorched"), parameters.boundary_aged),
    }
    stay = np.zeros(len(groups))
    first = 0
    for sample in samples:
        for upper in range(first + 1, first + len(sample.layers)):
            lower = upper - 1
            chance = films.SAME_CAMPAIGN[groups[lower], groups[upper]]
            log_odds = np.log(chance / (1.0 - chance))
            if sample.layers[upper - first].kind != "soiling":
                log_odds += boundary.get(sample.layers[upper - first].lower_boundary, 0.0)
            if groups[lower] == groups[upper]:
                difference = differences[lower, upper]
                if np.isfinite(difference):
                    log_odds += parameters.like_neighbours * (1.0 if difference < 4.0 else -1.0 if difference > 10.0 else 0.0)
                if uv_seen[lower, upper]:
                    log_odds += parameters.like_neighbours * (0.5 if uv[lower, upper] > 0.7 else -1.0 if uv[lower, upper] < 0.3 else 0.0)
            stay[upper] = 1.0 / (1.0 + np.exp(-log_odds))
        first += len(sample.layers)
    return stay
