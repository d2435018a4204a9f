"""An invented expert, who knows the truth and rules where the computation is least sure."""

from collections.abc import Mapping

from analysis.core.correlation import Placement, Ruling
from tests.buildings.invention import InventedSpace


def true_ties(space: InventedSpace, placements: Mapping[str, Placement], count: int) -> list[Ruling]:
    """Ties of the least certain layers to a layer of another sample of the same true campaign."""
    owner = {layer.key: sample.key for sample in space.samples for layer in sample.layers}
    rulings: list[Ruling] = []
    for key in sorted(placements, key=lambda each: (placements[each].confidence, each)):
        mates = [other for other in owner if owner[other] != owner[key] and space.truth[other] == space.truth[key]]
        apart = [other for other in mates if placements[other].generation != placements[key].generation]
        if apart:
            best = max(apart, key=lambda other: (placements[other].confidence, other))
            rulings.append(Ruling(f"tie {len(rulings):02d}", "tie", key, best))
        if len(rulings) == count:
            break
    return rulings
