"""What two generations share, in words."""

from typing import Final

import numpy as np

from analysis.core.campaigns.values import Facts
from analysis.core.campaigns.weighing import Building
from analysis.core.colour import delta_e_2000
from analysis.core.correlation import words
from analysis.core.correlation.values import Layer

NEAR: Final = 3.0  # ΔE00 within which two colours are told as shared; about two readings of one paint, common practice
SHOWN: Final = 3


class Telling:
    """Tells what pairs of generations of a building share; made once for all pairs.

    Parameters
    ----------
    told : Building
    """

    def __init__(self, told: Building) -> None:
        self.told = told
        self.shown: dict[int, list[tuple[str, Layer]]] = {}
        layers = [(sample.element_class, layer) for sample in told.faces for layer in sample.layers]
        for (name, layer), place in zip(layers, told.place.tolist(), strict=True):
            self.shown.setdefault(place, []).append((name, layer))
        known = [(layer.lab, place) for (_, layer), place in zip(layers, told.place.tolist(), strict=True) if layer.lab is not None]
        self.labs = np.array([lab for lab, _ in known]).reshape(-1, 3)
        self.owners = np.array([place for _, place in known], dtype=int)

    def of(self, first: int, second: int) -> tuple[str, ...]:
        """What two generations, by their numbers in the building, share; the most telling first."""
        found = self._colours(first, second)
        for what, one, other in (
            ("UV response", self._uv(first), self._uv(second)),
            ("pigment", self._materials(first), self._materials(second)),
            ("binder", self._binders(first), self._binders(second)),
        ):
            common = sorted(one & other)
            if common:
                found.append(f"{what}{'s' if len(common) > 1 and what == 'pigment' else ''} in both: {', '.join(common[:SHOWN])}")
            elif one and other:
                found.append(f"{what} unlike: {', '.join(sorted(one)[:SHOWN])} and {', '.join(sorted(other)[:SHOWN])}")
        return (*found, *_years(self.told.facts[first], self.told.facts[second]))

    def _colours(self, first: int, second: int) -> list[str]:
        near = []
        for name, layer in self.shown[first]:
            for kind, other in self.shown[second]:
                if layer.lab is None or other.lab is None or kind != name:
                    continue
                difference = float(delta_e_2000(np.array(layer.lab), np.array(other.lab)))
                if difference <= NEAR:
                    near.append((self._like(layer), round(difference, 1), name))
        told = []
        for many, difference, name in sorted(near)[:SHOWN]:
            rare = "no other generation" if many <= 2 else f"{many - 2} other generations" if many > 3 else "1 other generation"
            told.append(f"the same colour on the {name} (ΔE00 {difference:.1f}), which {rare} of the building shows")
        return told

    def _like(self, layer: Layer) -> int:
        """In how many generations of the building a colour is found."""
        assert layer.lab is not None
        near = delta_e_2000(np.array(layer.lab)[None, :], self.labs) <= NEAR
        return len(set(self.owners[near].tolist()))

    def _uv(self, generation: int) -> set[str]:
        seen = (" ".join(part for part in (layer.uv_strength, layer.uv_colour) if part) for _, layer in self.shown[generation])
        return {one for one in seen if one}

    def _materials(self, generation: int) -> set[str]:
        return {name for _, layer in self.shown[generation] for name in words.materials(layer.pigments)}

    def _binders(self, generation: int) -> set[str]:
        return {words.plain(layer.binder) for _, layer in self.shown[generation] if layer.binder}


def _years(first: Facts, second: Facts) -> list[str]:
    low = max((year for year in (first.earliest, second.earliest) if year is not None), default=None)
    high = min((year for year in (first.latest, second.latest) if year is not None), default=None)
    if low is None or high is None:
        return []
    return [f"bounds that meet: {low} to {high}" if low < high else f"bounds that meet in {low}"]
