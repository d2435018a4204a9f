"""The yardstick: of all pairs of layers from different samples, how many 'same generation' claims are right."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.core.correlation import Sample


@dataclass(frozen=True, slots=True)
class Score:
    """Counts of pairs of layers of different samples: claimed and right, claimed and wrong, right and not claimed."""

    right: int
    wrong: int
    missed: int

    def __add__(self, other: "Score") -> "Score":
        return Score(self.right + other.right, self.wrong + other.wrong, self.missed + other.missed)

    @property
    def precision(self) -> float:
        return self.right / max(1, self.right + self.wrong)

    @property
    def recall(self) -> float:
        return self.right / max(1, self.right + self.missed)

    @property
    def f1(self) -> float:
        return 2 * self.right / max(1, 2 * self.right + self.wrong + self.missed)


def pair_score(samples: Sequence[Sample], found: Mapping[str, int], truth: Mapping[str, int]) -> Score:
    """Compare two placements over all pairs of layers of different samples."""
    keys = [layer.key for sample in samples for layer in sample.layers]
    owner = np.array([number for number, sample in enumerate(samples) for _ in sample.layers])
    claimed = np.array([found[key] for key in keys])
    true = np.array([truth[key] for key in keys])
    upper = np.triu(owner[:, None] != owner[None, :])
    says = (claimed[:, None] == claimed[None, :]) & upper
    is_so = (true[:, None] == true[None, :]) & upper
    return Score(int((says & is_so).sum()), int((says & ~is_so).sum()), int((~says & is_so).sum()))


def order_violations(samples: Sequence[Sample], found: Mapping[str, int]) -> int:
    """How often a generation falls from one layer to the next within a sample."""
    return sum(
        found[upper.key] < found[lower.key] for sample in samples for lower, upper in zip(sample.layers, sample.layers[1:], strict=False)
    )


def count_from_substrate(samples: Sequence[Sample]) -> dict[str, int]:
    """Reference point: the n-th layer is generation n."""
    return {layer.key: number for sample in samples for number, layer in enumerate(sample.layers)}


def count_from_surface(samples: Sequence[Sample]) -> dict[str, int]:
    """Reference point: the n-th layer from the surface is the n-th generation from the last."""
    return {layer.key: number - len(sample.layers) for sample in samples for number, layer in enumerate(sample.layers)}


def layers_right(samples: Sequence[Sample], found: Mapping[str, int], truth: Mapping[str, int]) -> dict[str, bool]:
    """Whether each layer stands right: its campaign is (among) the commonest of the other samples' layers in its generation.

    A layer that stands alone is right if no other sample shows its campaign.
    """
    owner = {layer.key: sample.key for sample in samples for layer in sample.layers}
    right: dict[str, bool] = {}
    for key in owner:
        mates = [truth[other] for other in owner if owner[other] != owner[key] and found[other] == found[key]]
        if mates:
            right[key] = mates.count(truth[key]) == max(mates.count(campaign) for campaign in set(mates))
        else:
            right[key] = not any(truth[other] == truth[key] for other in owner if owner[other] != owner[key])
    return right
