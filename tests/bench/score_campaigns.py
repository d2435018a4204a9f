"""Print how well campaigns are found across the spaces of invented buildings. Run: python -m tests.bench.score_campaigns.

Counted are pairs of generations of different spaces: told and right, told and wrong, right and not told. Generations are the true
ones, then those that the correlation found (whose campaign is that of most of their layers). Beside it, what comes of counting
generations up from the substrate, and of colours alone.
"""

import argparse
import time
from collections import Counter
from collections.abc import Mapping

import numpy as np

from analysis.core import campaigns
from analysis.core.campaigns.weighing import building
from analysis.core.colour import delta_e_2000
from analysis.core.correlation import VERSION, correlate
from tests.buildings.neighbours import InventedBuilding, invent_building

Key = tuple[str, int]
LEVELS = (0.3, 0.5, 0.7, 0.9)


def true_generations(made: InventedBuilding) -> list[campaigns.Space]:
    """Spaces whose generations are the true campaigns; what came from elsewhere stands in none."""
    spaces = []
    for number, space in made.spaces.items():
        local = {key: at for key, at in space.truth.items() if at >= 0}
        ordinals = {at: rank for rank, at in enumerate(sorted(set(local.values())), start=1)}
        spaces.append(campaigns.Space(number, space.samples, {key: ordinals[at] for key, at in local.items()}))
    return spaces


def found_generations(made: InventedBuilding) -> list[campaigns.Space]:
    """Spaces as the correlation finds them."""
    return [
        campaigns.Space(number, space.samples, {key: one.generation for key, one in correlate(space.samples).placements.items()})
        for number, space in made.spaces.items()
    ]


def campaign_of(spaces: list[campaigns.Space], truth: Mapping[str, int]) -> dict[Key, int]:
    """The true campaign of most layers of each generation."""
    inside: dict[Key, list[int]] = {}
    for space in spaces:
        for key, ordinal in space.generations.items():
            inside.setdefault((space.number, ordinal), []).append(truth[key])
    return {key: min(Counter(some).items(), key=lambda item: (-item[1], item[0]))[0] for key, some in inside.items()}


def right_pairs(spaces: list[campaigns.Space], truth: Mapping[str, int]) -> set[frozenset[Key]]:
    """All pairs of generations of different spaces that are of one campaign."""
    of = campaign_of(spaces, truth)
    shown = building(spaces).keys
    return {frozenset((one, other)) for one in shown for other in shown if one[0] < other[0] and of[one] == of[other]}


def shared(spaces: list[campaigns.Space], truth: Mapping[str, int], told: set[frozenset[Key]] | None) -> set[tuple[str, str, int]]:
    """Campaigns that two spaces share, once for each two spaces; with `told`, those that a told pair shows."""
    of = campaign_of(spaces, truth)
    right = right_pairs(spaces, truth)
    ordered = (sorted(pair) for pair in (right if told is None else right & told))
    return {(low[0], high[0], of[low]) for low, high in ordered}


def by_counting(spaces: list[campaigns.Space]) -> set[frozenset[Key]]:
    """The n-th generation of one space is the n-th of the other."""
    shown = building(spaces).keys
    return {frozenset((one, other)) for one in shown for other in shown if one[0] < other[0] and one[1] == other[1]}


def by_colour(spaces: list[campaigns.Space]) -> set[frozenset[Key]]:
    """Generations that show a colour within ΔE00 2 on the same class."""
    told = building(spaces)
    layers = [(sample.element_class, layer.lab) for sample in told.faces for layer in sample.layers]
    pairs = set()
    for one, (name, lab) in enumerate(layers):
        for other in range(one):
            keys, (kind, near) = (told.keys[told.place[one]], told.keys[told.place[other]]), layers[other]
            known = keys[0][0] != keys[1][0] and name == kind and lab is not None and near is not None
            if known and float(delta_e_2000(np.array(lab), np.array(near))) <= 2.0:
                pairs.add(frozenset(keys))
    return pairs


def line(name: str, told: list[tuple[set[frozenset[Key]], set[frozenset[Key]]]]) -> str:
    right = sum(len(some & true) for some, true in told)
    precision = right / max(1, sum(len(some) for some, _ in told))
    recall = right / max(1, sum(len(true) for _, true in told))
    return f"    {name:34} precision {precision:.2f}  recall {recall:.2f}  told {sum(len(some) for some, _ in told):5}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--buildings", type=int, default=12)
    parser.add_argument("--first-seed", type=int, default=9000)
    parser.add_argument("--true-only", action="store_true", help="leave out the generations that the correlation finds")
    chosen = parser.parse_args()
    made = [invent_building(seed) for seed in range(chosen.first_seed, chosen.first_seed + chosen.buildings)]
    print(f"correlation {VERSION}, {len(made)} buildings of 4 spaces, 6 samples each")
    ways = [("true generations", true_generations)] + ([] if chosen.true_only else [("generations as correlated", found_generations)])
    for title, way in ways:
        sets = [way(one) for one in made]
        true = [right_pairs(spaces, one.truth) for spaces, one in zip(sets, made, strict=True)]
        began = time.process_time()
        pairs = [campaigns.pairs_of(spaces, sure=min(LEVELS)) for spaces in sets]
        spent = (time.process_time() - began) / len(made)
        print(f"  {title}: {sum(map(len, true))} right pairs; {spent:.2f} s of processor time a building")
        found = [{frozenset((pair.first, pair.second)) for pair in each if pair.chance >= campaigns.SURE} for each in pairs]
        every = sum(len(shared(spaces, one.truth, None)) for spaces, one in zip(sets, made, strict=True))
        met = sum(len(shared(spaces, one.truth, some)) for spaces, one, some in zip(sets, made, found, strict=True))
        print(f"    of the campaigns that two spaces share a pair tells {met / every:.2f}")
        for level in LEVELS:
            some = [{frozenset((pair.first, pair.second)) for pair in each if pair.chance >= level} for each in pairs]
            print(line(f"told from {level:.1f}", list(zip(some, true, strict=True))))
        joined = [campaigns.campaigns(spaces) for spaces in sets]
        groups = [
            {frozenset((one, other)) for group in each for one in group.generations for other in group.generations if one < other}
            for each in joined
        ]
        print(line("put together as campaigns", list(zip(groups, true, strict=True))))
        print(line("counting from the substrate", list(zip(map(by_counting, sets), true, strict=True))))
        print(line("any colour within ΔE00 2", list(zip(map(by_colour, sets), true, strict=True))))


if __name__ == "__main__":
    main()
