"""Print what questions picked by 'where to look next' settle on invented spaces. Run: python -m tests.bench.score_looking.

Each way of picking asks so many questions ('are these two layers of one campaign?'), an invented expert who knows the truth answers with
a tie or a bar, and the space is correlated again. 'doubt foretold' is the fall that was expected of the questions asked, 'doubt' the fall
that came, both in bits and per space.
"""

import argparse
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from analysis.core import looking
from analysis.core.correlation import VERSION, ContradictoryRulings, Correlation, Parameters, Ruling, correlate
from analysis.core.correlation.standing import Standing, standing
from tests.buildings import TUNING_SEEDS, UNTOUCHED_SEEDS, InventedSpace, invent_space, pair_score

Pairs = list[tuple[tuple[str, str], float]]


def stands(space: InventedSpace, found: Correlation, rulings: list[Ruling]) -> Standing:
    places = {key: one.generation for key, one in found.placements.items()}
    return standing(space.samples, rulings, (), places, Parameters())


def distinct(found: Correlation) -> dict[int, float | None]:
    return {one.ordinal: one.distinctness for one in found.generations}


def by_gain(kinds: tuple[str, ...]) -> Callable[[InventedSpace, Correlation, int, int], Pairs]:
    """The questions that the kernel ranks first, of some kinds."""

    def pick(space: InventedSpace, found: Correlation, count: int, seed: int) -> Pairs:
        told = looking.look(stands(space, found, []), distinct(found), most=10_000).rulings
        return [((one.layers[0], one.layers[1]), one.gain) for one in told if one.kind in kinds][:count]

    return pick


def least_sure(space: InventedSpace, found: Correlation, count: int, seed: int) -> Pairs:
    """The layers placed with the lowest confidence, each against a sure layer of its own generation, or else of its runner-up's."""
    pairs: Pairs = []
    for key in sorted(found.placements, key=lambda each: (found.placements[each].confidence, each)):
        one = found.placements[key]
        for generation in (one.generation, one.runner_up):
            mates = [other for other, placed in found.placements.items() if placed.generation == generation and other[:4] != key[:4]]
            if mates:
                pairs.append(((key, max(mates, key=lambda other: (found.placements[other].confidence, other))), 0.0))
                break
    return pairs[:count]


def anywhere(space: InventedSpace, found: Correlation, count: int, seed: int) -> Pairs:
    """Layers at random, each against a sure layer of its generation."""
    order = np.random.default_rng(seed).permutation(sorted(found.placements))
    placed = found.placements
    pairs: Pairs = []
    for key in order.tolist():
        mates = [other for other in placed if placed[other].generation == placed[key].generation and other[:4] != key[:4]]
        if mates:
            pairs.append(((key, max(mates, key=lambda other: (placed[other].confidence, other))), 0.0))
    return pairs[:count]


WAYS: dict[str, Callable[[InventedSpace, Correlation, int, int], Pairs]] = {
    "layers and joints by gain": by_gain(("layer", "joint")),
    "layers by gain": by_gain(("layer",)),
    "joints by gain": by_gain(("joint",)),
    "least sure": least_sure,
    "at random": anywhere,
}


def answered(space: InventedSpace, pairs: Pairs) -> list[Ruling]:
    """What the expert rules."""
    return [
        Ruling(f"{number:03d}", "tie" if space.truth[one] == space.truth[other] else "bar", one, other)
        for number, ((one, other), _) in enumerate(pairs)
    ]


def without_uv(space: InventedSpace) -> InventedSpace:
    """The same space, had nobody looked at every other sample under UV."""
    samples = [
        replace(one, layers=tuple(replace(layer, uv_colour="", uv_strength="") for layer in one.layers)) if number % 2 else one
        for number, one in enumerate(space.samples)
    ]
    return replace(space, samples=tuple(samples))


def examinations(seeds: tuple[int, ...]) -> None:
    """Look at one sample under UV that nobody has looked at: the one that is ranked first, or any of the others."""
    rows: dict[str, list[tuple[float, float, float]]] = {"ranked first": [], "any other": []}
    for seed in seeds:
        whole = invent_space(seed)
        blind = without_uv(whole)
        found = correlate(blind.samples)
        before = pair_score(blind.samples, {key: one.generation for key, one in found.placements.items()}, blind.truth).f1
        looked = looking.look(stands(blind, found, []), {}, most=10_000)
        foretold = {one.layers[0][:4]: one.gain for one in looked.examinations if one.kind == "UV"}
        first = max(foretold, key=lambda key: foretold[key], default="")
        others = [one.key for number, one in enumerate(whole.samples) if number % 2 and one.key != first]
        for name, chosen in (("ranked first", first), ("any other", str(np.random.default_rng(seed).choice(others)))):
            if chosen:
                samples = tuple(one if one.key == chosen else other for one, other in zip(whole.samples, blind.samples, strict=True))
                seen = replace(blind, samples=samples)
                again = correlate(samples)
                after = pair_score(samples, {key: one.generation for key, one in again.placements.items()}, seen.truth).f1
                fall = looked.doubt - looking.look(stands(seen, again, []), {}).doubt
                rows[name].append((after - before, fall, foretold.get(chosen, 0.0)))
    print(f"correlation {VERSION}, {len(seeds)} spaces, every other sample without UV, one of them looked at")
    for name, some in rows.items():
        table = np.array(some)
        error = table[:, 0].std(ddof=1) / np.sqrt(len(table))
        print(
            f"  {name:26} F1 {table[:, 0].mean():+.3f} ± {error:.3f}   doubt {table[:, 1].mean():7.1f}   "
            f"doubt foretold {table[:, 2].mean():7.1f}"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--untouched", action="store_true", help="use the seeds that nothing was tuned on")
    parser.add_argument("--spaces", type=int, default=16)
    parser.add_argument("--questions", type=int, default=5)
    parser.add_argument("--uv", action="store_true", help="examinations under UV instead of questions")
    chosen = parser.parse_args()
    seeds = (UNTOUCHED_SEEDS if chosen.untouched else TUNING_SEEDS)[: chosen.spaces]
    if chosen.uv:
        examinations(seeds)
        return
    told: dict[str, list[tuple[float, float, float, float]]] = {name: [] for name in WAYS}
    for seed in seeds:
        space = invent_space(seed)
        found = correlate(space.samples)
        before = pair_score(space.samples, {key: one.generation for key, one in found.placements.items()}, space.truth).f1
        doubt = looking.look(stands(space, found, []), {}).doubt
        for name, pick in WAYS.items():
            pairs = pick(space, found, chosen.questions, seed)
            rulings = answered(space, pairs)
            try:
                again = correlate(space.samples, rulings)
            except ContradictoryRulings:
                continue
            after = pair_score(space.samples, {key: one.generation for key, one in again.placements.items()}, space.truth).f1
            fall = doubt - looking.look(stands(space, again, rulings), {}).doubt
            bars = sum(one.kind == "bar" for one in rulings) / max(1, len(rulings))
            told[name].append((after - before, fall, sum(gain for _, gain in pairs), bars))
    print(f"correlation {VERSION}, {len(seeds)} spaces of 10 samples, {chosen.questions} questions each")
    for name, rows in told.items():
        table = np.array(rows)
        error = table[:, 0].std(ddof=1) / np.sqrt(len(table))
        print(
            f"  {name:26} F1 {table[:, 0].mean():+.3f} ± {error:.3f}   doubt {table[:, 1].mean():7.1f}   "
            f"doubt foretold {table[:, 2].mean():7.1f}   answered with a bar {table[:, 3].mean():.0%}"
        )


if __name__ == "__main__":
    main()
