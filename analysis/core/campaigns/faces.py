"""The face of a generation on an element class: one layer that stands for those that show it."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, TypeVar

import numpy as np

from analysis.core.campaigns.values import Space
from analysis.core.colour import delta_e_2000
from analysis.core.correlation.films import GROUPS, group_of
from analysis.core.correlation.values import Layer, Sample

T = TypeVar("T")

# The film that was meant to be seen comes first; dirt says nothing of a campaign.
SHOWN_FIRST: Final = tuple(GROUPS.index(name) for name in ("coat", "leaf", "undercoat", "clear", "paper", "other", "ground"))


def faces(space: Space) -> list[Sample]:
    """The faces of a space: a sample for every element class, in it a layer for every generation that the class shows.

    Parameters
    ----------
    space : Space

    Returns
    -------
    list of Sample
        By class; a layer's key is 'ordinal'. The colour is that of the medoid of what shows it, UV and binder are the commonest, pigments
        all that were found.
    """
    shown: dict[str, dict[int, list[Layer]]] = defaultdict(lambda: defaultdict(list))
    for sample in sorted(space.samples, key=lambda one: one.key):
        for layer in sample.layers:
            if layer.key in space.generations and group_of(layer.kind) in SHOWN_FIRST:
                shown[sample.element_class][space.generations[layer.key]].append(layer)
    made = []
    for name in sorted(shown):
        key = f"{space.number}\n{name}"
        layers = tuple(_face(ordinal, some) for ordinal, some in sorted(shown[name].items()))
        made.append(Sample(key, key, name, "complete", "complete", layers))
    return made


def _face(ordinal: int, layers: Sequence[Layer]) -> Layer:
    first = min(SHOWN_FIRST.index(group_of(layer.kind)) for layer in layers)
    layers = [layer for layer in layers if SHOWN_FIRST.index(group_of(layer.kind)) == first]
    best = _medoid(layers)
    uv = _commonest([(layer.uv_colour, layer.uv_strength) for layer in layers if layer.uv_colour or layer.uv_strength]) or ("", "")
    return replace(
        best,
        key=str(ordinal),
        uv_colour=uv[0],
        uv_strength=uv[1],
        pigments=tuple(dict.fromkeys(name for layer in layers for name in layer.pigments)),
        binder=_commonest([layer.binder for layer in layers if layer.binder]) or "",
        texture=_commonest([layer.texture for layer in layers if layer.texture]) or "",
    )


def _medoid(layers: Sequence[Layer]) -> Layer:
    known = [layer for layer in layers if layer.lab is not None]
    if not known:
        return min(layers, key=lambda layer: layer.key)
    labs = np.array([layer.lab for layer in known])
    far = delta_e_2000(labs[:, None, :], labs[None, :, :]).sum(axis=1)
    return known[int(np.argmin(np.round(far, 9)))]


def _commonest(seen: Sequence[T]) -> T | None:
    return min(Counter(seen).items(), key=lambda item: (-item[1], str(item[0])))[0] if seen else None
