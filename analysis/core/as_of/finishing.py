"""The finish that one campaign left on one element: which layers matter, and in which colour."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from analysis.core import colour as colours
from analysis.core.as_of.values import Colour, Finish, FinishLayer
from analysis.core.elements import Element, Lab, Layer
from analysis.core.vocabulary import LAYER_KINDS

PICKED_OUT: Final = 10.0
"""ΔE00 beyond which readings of one finish are more than two readings a chip apart: parts may have been picked out. A judgement."""

_SHOWING: Final = (
    ("paint", "limewash", "distemper", "casein", "emulsion", "paper"),
    ("metal leaf", "bronze powder"),
    ("stain",),
    ("graining ground",),
    ("glaze",),
    ("varnish",),
)
"""Kinds that are meant to be seen, those that give the colour first."""
MATTERS: Final = frozenset(kind for kinds in _SHOWING for kind in kinds)
LEAF: Final = ("metal leaf", "bronze powder")
_UNSEEN: Final = ("not reached", "lost in cutting")
_WORDS: Final = (
    ("graining ground", "grained"),
    *((kind, kind) for kind in ("stain", "limewash", "distemper", "casein", "emulsion", "paint", "paper")),
    ("metal leaf", "gilded"),
    ("bronze powder", "bronzed"),
    ("glaze", "glazed"),
    ("varnish", "varnished"),
)

Seen = list[tuple[str, Layer]]
"""Layers, each with the key of its sample: by sample, bottom to top."""


def finish_of(element: Element, ordinal: int, recorded_technique: str = "") -> Finish:
    """Gather what one campaign left on an element.

    Parameters
    ----------
    element : Element
    ordinal : int
        Of a generation that it carries.
    recorded_technique : str

    Returns
    -------
    Finish
        Layers of kind 'unknown' stand in for a finish only where there is no other; layers that were not reached, or were lost in
        cutting, show nothing. Of each sample the uppermost layer of the kinds that give the colour is read; where any is whole,
        traces are left out.
    """
    every = [
        (sample.key, layer)
        for sample in sorted(element.samples, key=lambda one: one.key)
        for layer in sorted(sample.layers, key=lambda one: one.position)
        if layer.generation == ordinal
    ]
    seen = [(sample, layer) for sample, layer in every if layer.kind in MATTERS and layer.completeness not in _UNSEEN]
    doubts: list[str] = []
    if not seen:
        seen = [(sample, layer) for sample, layer in every if layer.kind == "unknown" and layer.completeness not in _UNSEEN]
        if seen:
            doubts.append("What kind of layer it is was not told, so it is taken for the finish.")
    if not seen:
        kinds = sorted({layer.kind for _, layer in every}, key=LAYER_KINDS.index)
        doubts.append(f"Of its finish nothing is left or seen, only {_list(kinds)}.")
    showing = _showing(seen)
    colour = colour_of(showing)
    doubts += _doubts(showing, colour, every)
    cited = tuple(layer.key for _, layer in (seen or every))
    return Finish(
        technique=_technique({layer.kind for _, layer in seen}),
        recorded_technique=recorded_technique,
        layers=_layers(seen),
        leaf=_leaf(seen, len({sample for sample, _ in every})),
        sheen=_sheen(seen),
        colour=colour,
        confidence=_confidence(layer for _, layer in (seen or every)),
        samples=tuple(dict.fromkeys(sample for sample, _ in (seen or every))),
        cited=cited,
        doubts=tuple(doubts),
    )


def medoid(labs: Sequence[Lab]) -> tuple[int, float]:
    """Choose the colour that lies nearest to all others.

    Parameters
    ----------
    labs : sequence of Lab
        At least one; CIE L*a*b* against one white.

    Returns
    -------
    index : int
        Of the colour with the least sum of ΔE00 to the others; of equals the first.
    spread : float
        ΔE00 from it to the one furthest from it.

    Notes
    -----
    Cost: the square of the number of colours.

    References
    ----------
    L. Kaufman & P. J. Rousseeuw, *Finding Groups in Data* (1990), ch. 2, for the medoid.
    """
    array = np.asarray(labs, dtype=float)
    apart = colours.delta_e_2000(array[:, None, :], array[None, :, :])
    # Rounded, so that the last bit of a sum does not decide between equals.
    index = int(np.argmin(np.round(apart.sum(axis=1), 9)))
    return index, float(apart[index].max())


def colour_of(showing: Seen) -> Colour | None:
    """Give the colour of layers that show one finish; None when none has a colour, not even in words."""
    read = [layer for _, layer in showing if layer.lab is not None]
    names = Counter(layer.colour for _, layer in showing if layer.colour)
    named = min(names, key=lambda name: (-names[name], name)) if names else ""
    if not read:
        first = next((layer.first_colour for _, layer in showing if layer.first_colour), "")
        return Colour("", "", False, None, "", True, 0.0, 0, named, first) if named or first else None
    labs = [layer.lab for layer in read if layer.lab is not None]
    index, spread = medoid(labs)
    chosen, lab = read[index], labs[index]
    screen = colours.lab_to_srgb(lab)
    notation = chosen.munsell or _nearest(lab)
    nearest = bool(notation) and not chosen.munsell
    return Colour(
        chosen.key, notation, nearest, lab, screen.hex, screen.in_gamut, spread, len(read), chosen.colour or named, chosen.first_colour
    )


def _nearest(lab: Lab) -> str:
    try:
        return str(colours.lab_to_munsell(lab).notation)
    except colours.OutsideRenotation:
        return ""


def _showing(seen: Seen) -> Seen:
    """Of each sample the uppermost layer that gives the colour; whole ones where there are any."""
    kinds = next((kinds for kinds in _SHOWING if any(layer.kind in kinds for _, layer in seen)), ("unknown",))
    top = {sample: layer for sample, layer in seen if layer.kind in kinds and (layer.lab is not None or layer.colour)}
    whole = [(sample, layer) for sample, layer in top.items() if layer.completeness not in ("trace", "worn")]
    return whole or list(top.items())


def _layers(seen: Seen) -> tuple[FinishLayer, ...]:
    """One entry a kind, lowest first by where its layers lie within the finish of each sample."""
    counts = Counter(sample for sample, _ in seen)
    place: dict[str, list[float]] = {}
    at: Counter[str] = Counter()
    for sample, layer in seen:
        at[sample] += 1
        place.setdefault(layer.kind, []).append((at[sample] - 0.5) / counts[sample])
    order = sorted(place, key=lambda kind: (sum(place[kind]) / len(place[kind]), LAYER_KINDS.index(kind)))
    found = []
    for kind in order:
        mine = [(sample, layer) for sample, layer in seen if layer.kind == kind]
        coats = Counter(sample for sample, _ in mine)
        top = {sample: layer for sample, layer in mine if layer.lab is not None or layer.colour}
        keys = tuple(layer.key for _, layer in mine)
        found.append(FinishLayer(kind, max(coats.values()), keys, tuple(coats), colour_of(list(top.items()))))
    return tuple(found)


def _technique(kinds: set[str]) -> str:
    if kinds == {"unknown"}:
        return "unknown"
    return ", ".join(word for kind, word in _WORDS if kind in kinds)


def _leaf(seen: Seen, of: int) -> str:
    told = []
    for kind in LEAF:
        mine = [(sample, layer) for sample, layer in seen if layer.kind == kind]
        if mine:
            names = sorted({layer.colour for _, layer in mine if layer.colour})
            many = len({sample for sample, _ in mine})
            told.append(f"{', '.join([kind, *names])} ({many} of {of} samples)" if of > 1 else ", ".join([kind, *names]))
    return "; ".join(told)


def _sheen(seen: Seen) -> str:
    top = {sample: layer.sheen for sample, layer in seen if layer.sheen}
    counted = Counter(top.values())
    return " or ".join(sorted(counted, key=lambda word: (-counted[word], word)))


def _confidence(layers: Iterable[Layer]) -> float | None:
    known = [1.0 if layer.held else layer.confidence for layer in layers if layer.held or layer.confidence is not None]
    return sum(one for one in known if one is not None) / len(known) if known else None


def _doubts(showing: Seen, colour: Colour | None, every: Seen) -> list[str]:
    said = []
    if colour is not None and colour.lab is None:
        said.append("Its colour is recorded in words only.")
    if showing and all(layer.completeness in ("trace", "worn") for _, layer in showing):
        said.append("Only traces or worn films show its colour.")
    if colour is not None and colour.spread > PICKED_OUT:
        said.append(f"Its readings differ by up to {colour.spread:.1f} ΔE00: parts of it may have been picked out in another colour.")
    if colour is not None and not colour.in_gamut:
        said.append("A screen cannot show this colour; the swatch is the nearest of less chroma.")
    unsure = [layer for _, layer in every if not layer.held and layer.confidence is not None and layer.confidence < 0.5]
    if unsure and len(unsure) == len(every):
        other = Counter(layer.runner_up for layer in unsure if layer.runner_up is not None)
        instead = f"; otherwise mostly in generation {min(other, key=lambda one: (-other[one], one))}" if other else ""
        said.append(f"All its layers are placed with less than even odds{instead}.")
    return said


def _list(items: Sequence[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
