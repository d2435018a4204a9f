"""What the layers of a space say about each other, computed once for every kind of evidence.

For a layer and a generation, each kind of evidence answers with odds: how much likelier is what was seen if the layer belongs to
the generation's other layers than if it were any layer of the space. A mate's vote is `agreement / mean agreement in the space`, so
that a rare colour counts for more than one more white; votes are averaged with weights, and the background always has a vote, so that
one odd mate cannot veto. Where something was not observed there is no vote at all.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.colour import delta_e_2000
from analysis.core.correlation import films
from analysis.core.correlation.looks import Looks, look
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.values import Sample

Floats = NDArray[np.float64]
Votes = NDArray[np.float32]
Integers = NDArray[np.int_]

FEATURES = 7
GLOW = 2  # the place of UV among them


@dataclass(frozen=True, slots=True)
class Hearing:
    """What one sample is told by the others.

    The features f are, in order: colour on the same class, colour on another, UV, pigments, binder, texture, kind. A sample never vouches
    for itself.

    Attributes
    ----------
    heard : array of int
        Layers of the other samples that this one listens to, in canonical order.
    said : array, heard × columns
        Of votes (weight times odds) and weights only what is anywhere other than 0.
    columns : array of int
        Place of each column in 2 × features × layers of the sample, laid out flat.
    """

    heard: Integers
    said: Votes
    columns: Integers

    def whole(self, rows: Votes, layers: int) -> Floats:
        """Rows of columns, laid out in full: rows to 2 × features × layers × rows."""
        full = np.zeros((2 * FEATURES * layers, len(rows)))
        full[self.columns] = rows.T
        return full.reshape(2, FEATURES, layers, len(rows))


@dataclass(frozen=True, slots=True)
class Evidence:
    """What every sample is told, and what each layer says by itself."""

    hearings: tuple[Hearing, ...]
    stay: Floats  # layers: probability that a layer is of the campaign of the one beneath it; 0 for the lowest of a sample
    information: Floats  # layers: how telling the layer is, in nats


def gather(samples: Sequence[Sample], parameters: Parameters, looks: Looks | None = None) -> Evidence:
    """Compare the layers of a space.

    Parameters
    ----------
    samples : sequence of Sample
        In canonical order.
    parameters : Parameters
    looks : Looks, optional
        What `look` read of them, where that is at hand.

    Returns
    -------
    Evidence

    Notes
    -----
    Time and memory grow with the square of the number of samples up to `listens_to`, beyond it in proportion.
    """
    looks = look(samples, parameters) if looks is None else looks
    edges = np.concatenate([[0], np.cumsum([len(sample.layers) for sample in samples])]).astype(int)
    # Where all hear all, every pair of colours is compared once instead of from both sides.
    differences = _differences(looks.lab) if len(samples) <= parameters.listens_to + 1 else None
    hearings = []
    information = np.zeros(len(looks.owner))
    beneath = np.zeros(len(looks.owner))
    for number in range(len(samples)):
        own = np.arange(edges[number], edges[number + 1])
        told = _told_by(samples, number, parameters.listens_to)
        heard = np.concatenate([np.zeros(0, dtype=int), *(np.arange(edges[other], edges[other + 1]) for other in told)])
        hearing, information[own], beneath[own] = _listen(looks, own, heard, parameters, differences)
        hearings.append(hearing)
    return Evidence(tuple(hearings), _stay(samples, looks.groups, beneath, parameters), information)


def hearing_of(samples: Sequence[Sample], number: int, parameters: Parameters) -> Hearing:
    """What one sample alone is told: the same as in `gather`, at the cost of one sample.

    Parameters
    ----------
    samples : sequence of Sample
        In canonical order.
    number : int
        The sample that listens.
    parameters : Parameters
    """
    return next(hearings_of(samples, [number], parameters))


def hearings_of(samples: Sequence[Sample], numbers: Sequence[int], parameters: Parameters) -> Iterator[Hearing]:
    """What some samples are told, one after the other: the same as in `gather`, of which no more than one is held at a time.

    Parameters
    ----------
    samples : sequence of Sample
        In canonical order.
    numbers : sequence of int
        The samples that listen.
    parameters : Parameters
    """
    looks = look(samples, parameters)
    edges = np.concatenate([[0], np.cumsum([len(sample.layers) for sample in samples])]).astype(int)
    for number in numbers:
        told = _told_by(samples, number, parameters.listens_to)
        heard = np.concatenate([np.zeros(0, dtype=int), *(np.arange(edges[other], edges[other + 1]) for other in told)])
        yield _listen(looks, np.arange(edges[number], edges[number + 1]), heard, parameters)[0]


def _told_by(samples: Sequence[Sample], number: int, most: int) -> list[int]:
    """The samples that one listens to: of its own element, of its own class up to half, then of other classes, longest first."""
    one = samples[number]
    others = [other for other in range(len(samples)) if other != number and samples[other].layers]
    if len(others) <= most:
        return others
    others.sort(key=lambda other: (samples[other].element != one.element, -len(samples[other].layers), other))
    kin = [other for other in others if samples[other].element_class == one.element_class]
    rest = [other for other in others if samples[other].element_class != one.element_class]
    room = max(most // 2, most - len(rest))
    chosen = kin[:room]
    return sorted(chosen + rest[: most - len(chosen)])


def _differences(lab: Floats) -> Floats:
    """Differences of all pairs of layers: layers × layers."""
    first, second = np.triu_indices(len(lab), 1)
    table = np.zeros((len(lab), len(lab)))
    table[first, second] = table[second, first] = delta_e_2000(lab[first], lab[second])
    return table


def _listen(
    looks: Looks, own: Integers, heard: Integers, parameters: Parameters, differences: Floats | None = None
) -> tuple[Hearing, Floats, Floats]:
    """Compare the layers of one sample with those it hears, and with the layer beneath. Rareness is judged among both."""
    space = np.sort(np.concatenate([own, heard]))
    foreign = np.broadcast_to(np.isin(space, heard), (len(own), len(space)))
    row, column = own[:, None], space[None, :]
    same_class = looks.classes[row] == looks.classes[column]
    same_element = looks.elements[row] == looks.elements[column]
    likeness = films.LIKENESS[looks.groups[row], looks.groups[column]]
    if differences is None:
        between = delta_e_2000(looks.lab[own][:, None, :], looks.lab[space][None, :, :])
    else:
        between = differences[own[:, None], space[None, :]]
    both = np.isfinite(looks.lab[own, 0])[:, None] & np.isfinite(looks.lab[space, 0])[None, :]
    colour = np.where(both, _colour_agreement(between, looks.spread[own], looks.spread[space], parameters), 0.0)
    leaning = likeness * np.where(same_class, parameters.background_class_share, 1.0)
    odds = _odds(colour, np.where(both, leaning, 0.0), parameters)

    across = np.where(looks.apart[row] | looks.apart[column], parameters.apart_class, parameters.other_class)
    kin = np.where(same_element, parameters.same_element, parameters.same_class)
    seen = both & foreign
    pairs = [
        (odds, np.where(seen & same_class, kin * likeness, 0.0)),
        (odds, np.where(seen & ~same_class, across * likeness, 0.0)),
    ]
    reach = _reach(looks, own, space, parameters)
    uv = (looks.uv_agreement[looks.uv[row], looks.uv[column]], looks.uv_known[looks.uv[row], looks.uv[column]], reach)
    pigment = (*_common(looks.pigments, own, space, parameters.pigment_miss), reach)
    binder = (*_common(looks.binder, own, space, parameters.binder_miss), likeness)
    texture = (*_common(looks.texture, own, space, parameters.texture_miss), likeness)
    for agreement, observed, weight in (uv, pigment, binder, texture):
        pairs.append((_odds(agreement, np.where(observed, weight, 0.0), parameters), np.where(observed & foreign, weight, 0.0)))
    at = np.searchsorted(space, own)
    step = np.arange(1, len(own)), at[:-1]
    beneath = np.zeros(len(own))
    if len(own):
        tint = np.where(both[step], 1.0 - parameters.unlike_coats, 0.0)
        beneath[1:] = np.log(tint * odds[step] + 1.0 - tint) + _glows(pairs[GLOW][0][step], np.where(uv[1], reach, 0.0)[step], parameters)
    kinds = (looks.kinds[row] == looks.kinds[column]).astype(float)
    kind_weight = np.where(foreign, np.where(same_class, 1.0, 0.4), 0.0)
    pairs.append((_odds(kinds, np.ones_like(kinds), parameters), kind_weight))

    others = np.searchsorted(space, heard)
    votes = [odd[:, others] * weight[:, others] for odd, weight in pairs]
    said = np.concatenate(votes + [weight[:, others] for _, weight in pairs]).T.astype(np.float32)
    columns = np.flatnonzero(said.any(axis=0))
    rare = odds[np.arange(len(own)), at]
    information = np.log(np.maximum(1.0, np.where(np.isfinite(looks.lab[own, 0]), rare, 1.0)))
    return Hearing(heard, np.ascontiguousarray(said[:, columns]), columns), information, beneath


def _reach(looks: Looks, own: Integers, space: Integers, parameters: Parameters) -> Floats:
    """How far the glow and the pigments of one layer speak for another's: less where kinds or lightness are unlike."""
    light, other = looks.lab[own, 0][:, None], looks.lab[space, 0][None, :]
    both = np.isfinite(light) & np.isfinite(other)
    apart = np.where(both, np.abs(np.nan_to_num(light) - np.nan_to_num(other)), parameters.lightness_reach * 0.8)
    likeness = films.LIKENESS[looks.groups[own][:, None], looks.groups[space][None, :]]
    reach: Floats = likeness * np.exp(-((apart / parameters.lightness_reach) ** 2))
    return reach


def _glows(odds: Floats, reach: Floats, parameters: Parameters) -> Floats:
    """Log odds for one campaign from the glow of a layer and of the one beneath it."""
    glow = reach * (1.0 - parameters.unlike_glow)
    result: Floats = np.log(glow * odds + 1.0 - glow)
    return result


def relit(evidence: Evidence, looks: Looks, parameters: Parameters) -> Evidence:
    """The same evidence with UV responses compared anew: as `gather` would give it, at a fraction of its cost.

    Parameters
    ----------
    evidence : Evidence
    looks : Looks
        What was observed, with the agreement of UV responses by which `evidence` compared them.
    parameters : Parameters
        With the new `uv_hue`.
    """
    bright = looks.relit(parameters)
    hearings = []
    shift = np.zeros(len(evidence.stay))
    for number, hearing in enumerate(evidence.hearings):
        own = np.flatnonzero(looks.owner == number)
        if not len(own):
            hearings.append(hearing)
            continue
        space = np.sort(np.concatenate([own, hearing.heard]))
        rows, columns = looks.uv[own][:, None], looks.uv[space][None, :]
        reach = np.where(looks.uv_known[rows, columns], _reach(looks, own, space, parameters), 0.0)
        old, new = (_odds(one.uv_agreement[rows, columns], reach, parameters) for one in (looks, bright))
        votes = (new * reach)[:, np.searchsorted(space, hearing.heard)]
        changed = np.flatnonzero(hearing.columns // len(own) == GLOW)
        said = hearing.said.copy()
        said[:, changed] = votes[hearing.columns[changed] % len(own)].T
        hearings.append(replace(hearing, said=said))
        upper, step = own[1:], (np.arange(1, len(own)), np.searchsorted(space, own)[:-1])
        alike = looks.groups[upper - 1] == looks.groups[upper]
        change = _glows(new[step], reach[step], parameters) - _glows(old[step], reach[step], parameters)
        shift[upper] = np.where(alike, parameters.like_neighbours * change, 0.0)
    moved = np.divide(1.0, evidence.stay, out=np.full(len(shift), np.inf), where=evidence.stay > 0.0) - 1.0
    return Evidence(tuple(hearings), 1.0 / (1.0 + moved * np.exp(-shift)), evidence.information)


def _common(member: Floats, rows: Integers, columns: Integers, miss: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Share of common names of the shorter list, never less than `miss`, and whether both layers have any."""
    common = member[rows] @ member[columns].T
    size, other = member[rows].sum(axis=1)[:, None], member[columns].sum(axis=1)[None, :]
    share = common / np.maximum(1.0, np.minimum(size, other))
    return miss + (1.0 - miss) * share, (size > 0) & (other > 0)


def _colour_agreement(differences: Floats, spread: Floats, other: Floats, parameters: Parameters) -> Floats:
    """Agreement in 0..1: a normal reading error, with a share of readings that are a chip out."""
    variance = spread[:, None] ** 2 + other[None, :] ** 2
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


def _stay(samples: Sequence[Sample], groups: Integers, beneath: Floats, parameters: Parameters) -> Floats:
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
            layer = sample.layers[upper - first]
            chance = films.SAME_CAMPAIGN[groups[upper - 1], groups[upper]]
            log_odds = np.log(chance / (1.0 - chance))
            if layer.kind != "soiling":
                log_odds += boundary.get(layer.lower_boundary, 0.0)
            if groups[upper - 1] == groups[upper]:
                log_odds += parameters.like_neighbours * beneath[upper]
            stay[upper] = 1.0 / (1.0 + np.exp(-log_odds))
        first += len(sample.layers)
    return stay
