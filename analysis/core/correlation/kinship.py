"""Which samples say how much about each other's gaps: those of one element, of one class, of woodwork or plaster alike."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation import films
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.values import Sample

Floats = NDArray[np.float64]

MOST_TOGETHER: Final = 5  # samples of one element that are placed anew together


def samples_of_elements(samples: Sequence[Sample]) -> tuple[tuple[int, ...], ...]:
    """The samples of each element, a few at a time where there are many."""
    found: dict[tuple[str, str], list[int]] = {}
    for number, sample in enumerate(samples):
        found.setdefault((sample.element, sample.element_class), []).append(number)
    parts = ((numbers, at) for numbers in found.values() for at in range(0, len(numbers), MOST_TOGETHER))
    return tuple(tuple(numbers[at : at + MOST_TOGETHER]) for numbers, at in parts)


def kinship_of(samples: Sequence[Sample], parameters: Parameters) -> Floats:
    """What each sample says about another being left out by a campaign: most on its own element, least across plaster and woodwork."""

    def alike(names: Sequence[object]) -> NDArray[np.bool_]:
        number = {name: at for at, name in enumerate(dict.fromkeys(names))}
        numbered = np.array([number[name] for name in names], dtype=int)
        same: NDArray[np.bool_] = numbered[:, None] == numbered[None, :]
        return same

    side = alike([one.element_class in films.PLASTER for one in samples])
    kinship = np.where(side, parameters.occupancy_other_class, parameters.occupancy_across)
    kinship[alike([one.element_class for one in samples])] = 1.0
    kinship[alike([(one.element, one.element_class) for one in samples])] = parameters.occupancy_same_element
    np.fill_diagonal(kinship, 0.0)
    return kinship
