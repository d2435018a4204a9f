"""Print how often 'as of' names the true campaign on invented buildings. Run: python -m tests.bench.score_as_of.

Each generation is given the year of the campaign that most of its layers truly belong to, give or take five years, as evidence would; the
same for true placement, which is the answer's own limit. Asked for five years spread over the building's life, an answer is right if
the layers that it cites are of the last campaign on that element, not later than the year, of which its samples show a finish.
"""

import argparse
from collections import Counter
from collections.abc import Sequence
from unittest.mock import patch

from analysis.core import dating
from analysis.core.as_of import FOUND, Generation, as_of
from analysis.core.as_of.finishing import MATTERS
from analysis.core.correlation import correlate
from analysis.core.elements import Element, carried
from tests.buildings import TUNING_SEEDS, UNTOUCHED_SEEDS, InventedSpace, invent_space, invention
from tests.buildings.histories import as_elements, as_known
from tests.buildings.schemes import Campaign

LOOSE = 5


def invented(seed: int, faults: float) -> tuple[InventedSpace, list[Campaign]]:
    """A space, and its campaigns with their years; those of an element's former place are drawn later and left out."""
    drawn: list[list[Campaign]] = []
    draw = invention.invent_campaigns

    def watched(*given: object) -> list[Campaign]:
        drawn.append(draw(*given))  # type: ignore[arg-type]
        return drawn[-1]

    with patch.object(invention, "invent_campaigns", watched):
        space = invent_space(seed, faults)
    return space, drawn[0]


def dates(elements: Sequence[Element], truth: dict[str, int], campaigns: Sequence[Campaign]) -> list[Generation]:
    """The generations of a space with loose dates by what their layers truly are.

    Where generations were found in a wrong order their dates contradict each other, which the program tells and a person settles: the
    dates that are kept are those on which most layers agree, and a generation without one lies between its neighbours.
    """
    ordinals = sorted({one for element in elements for one in carried(element)})
    told: list[tuple[int, int] | None] = []  # year, and how many layers say so
    for ordinal in ordinals:
        layers = [one.key for element in elements for sample in element.samples for one in sample.layers if one.generation == ordinal]
        most = Counter(truth[key] for key in layers if truth[key] >= 0).most_common(1)
        told.append((campaigns[most[0][0]].year, most[0][1]) if most else None)
    kept = _in_order(told)
    found = []
    for place, ordinal in enumerate(ordinals):
        below = [one[0] for at, one in enumerate(told) if one and at in kept and at <= place]
        above = [one[0] for at, one in enumerate(told) if one and at in kept and at >= place]
        low, high = below[-1] if below else campaigns[0].year, above[0] if above else campaigns[-1].year
        found.append(dating.DatedGeneration(str(ordinal), low - LOOSE, high + LOOSE, (), (), ()))
    keys = [dating.Generation(one.key, "1", int(one.key)) for one in found]
    (curves,) = dating.distributions(keys, found)
    return [Generation(int(one.key), distribution=curve) for one, curve in zip(found, curves.generations, strict=True)]


def _in_order(told: Sequence[tuple[int, int] | None]) -> set[int]:
    """Places of the never falling years that most layers say."""
    best: list[tuple[int, tuple[int, ...]]] = []
    for place, one in enumerate(told):
        weight, chain = 0, ()
        if one is not None:
            weight, chain = max((best[at] for at, other in enumerate(told[:place]) if other and other[0] <= one[0]), default=(0, ()))
            weight, chain = weight + one[1], (*chain, place)
        best.append((weight, chain))
    return set(max(best, default=(0, ()))[1])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tuning", action="store_true", help="use the seeds that were tuned on")
    parser.add_argument("--spaces", type=int, default=40)
    chosen = parser.parse_args()
    seeds = (TUNING_SEEDS if chosen.tuning else UNTOUCHED_SEEDS)[: chosen.spaces]
    for faults in (1.0, 0.33):
        tallies: dict[str, list[tuple[float, bool]]] = {"correlated": [], "true campaigns": []}
        silent = Counter[str]()
        for seed in seeds:
            space, campaigns = invented(seed, faults)
            for name, elements in (("correlated", as_elements(space, correlate(space.samples))), ("true campaigns", as_known(space))):
                generations = dates(elements, space.truth, campaigns)
                first, last = campaigns[0].year, campaigns[-1].year
                for step in range(5):
                    year = first + (2 * step + 1) * (last - first) // 10
                    for element, one in zip(elements, as_of(elements, {"1": generations}, year), strict=True):
                        mine = [layer for sample in element.samples for layer in sample.layers if layer.kind in MATTERS]
                        painted = [space.truth[layer.key] for layer in mine if space.truth[layer.key] >= 0]
                        true = max((campaign for campaign in painted if campaigns[campaign].year <= year), default=None)
                        if one.state != FOUND or one.in_force is None or one.in_force.finish is None:
                            silent[f"{name}: {'rightly' if true is None else 'wrongly'}"] += 1
                            continue
                        cited = Counter(space.truth[key] for key in one.in_force.finish.cited).most_common(1)[0][0]
                        tallies[name].append((one.in_force.probability or 0.0, cited == true))
        print(f"faults {faults}, {len(seeds)} spaces")
        for name, told in tallies.items():
            print(f"  {name}: {len(told)} answers, {sum(right for _, right in told) / len(told):.0%} right; silent {dict(silent)}")
            for low, high in ((0.0, 0.5), (0.5, 0.8), (0.8, 0.95), (0.95, 1.01)):
                some = [right for chance, right in told if low <= chance < high]
                if some:
                    print(f"    probability {low:.2f}–{min(1.0, high):.2f}: {sum(some) / len(some):.0%} of {len(some)} right")


if __name__ == "__main__":
    main()
