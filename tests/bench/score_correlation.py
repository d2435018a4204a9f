"""Print how well layers are correlated on invented buildings, beside the yardstick. Run: python -m tests.bench.score_correlation.

Without `--tuning` the spaces are those never tuned on; look at them rarely. The yardstick (design notes, 'Correlation'), measured on
another generator: with ten samples a room, 15-20 campaigns and the usual faults, counting up from the substrate scores F1 0.13, counting
down from the surface 0.20, an untuned profile hidden Markov model 0.74 (0.79 with faults a third as frequent), and placing each sample
among the true generations of all the others, the practical limit, 0.87 (0.91). The counts and the limit are printed for this generator too.
"""

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from analysis.core.correlation import VERSION, Correlation, correlate
from tests.buildings import (
    TUNING_SEEDS,
    UNTOUCHED_SEEDS,
    InventedSpace,
    Score,
    count_from_substrate,
    count_from_surface,
    invent_space,
    order_violations,
    pair_score,
    practical_limit,
    true_ties,
)
from tests.buildings.scoring import layers_right

BINS = np.array([0.0, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0001])
USUAL, THIRD = 1.0, 0.33


@dataclass(slots=True)
class Tally:
    """Scores of several spaces, added up, and space by space."""

    total: Score = Score(0, 0, 0)  # noqa: RUF009 - frozen
    spaces: list[float] = field(default_factory=list)

    def add(self, score: Score) -> None:
        self.total += score
        self.spaces.append(score.f1)

    def line(self, name: str) -> str:
        """One line: the pairs of all spaces together, then the mean of spaces with its standard error."""
        mean, error = mean_and_error(self.spaces)
        together = f"precision {self.total.precision:.3f}  recall {self.total.recall:.3f}  F1 {self.total.f1:.3f}"
        return f"  {name:26} {together}   (mean of spaces {mean:.3f} ± {error:.3f})"


def mean_and_error(numbers: Sequence[float]) -> tuple[float, float]:
    """Mean and its standard error; the error of one number is not known."""
    error = float(np.std(numbers, ddof=1) / np.sqrt(len(numbers))) if len(numbers) > 1 else float("nan")
    return float(np.mean(numbers)), error


def places(correlation: Correlation) -> dict[str, int]:
    """Generation of each layer."""
    return {key: one.generation for key, one in correlation.placements.items()}


def score(seeds: Sequence[int], faults: float, samples: int) -> None:
    """Score one set of seeds and print: pairs beside counting and the limit, generations, order, doubt and what it is worth."""
    ways: dict[str, Callable[[InventedSpace, Correlation], Score]] = {
        "counted from substrate": lambda space, _: pair_score(space.samples, count_from_substrate(space.samples), space.truth),
        "counted from surface": lambda space, _: pair_score(space.samples, count_from_surface(space.samples), space.truth),
        "correlated": lambda space, done: pair_score(space.samples, places(done), space.truth),
        "practical limit": lambda space, _: practical_limit(space).together,
        "limit, one layer at a time": lambda space, _: practical_limit(space).singly,
    }
    tallies = {name: Tally() for name in ways}
    violations, took = 0, 0.0
    found, true, alone, less = [], [], [], []
    confidence: list[float] = []
    right: list[bool] = []
    for seed in seeds:
        space = invent_space(seed, faults, samples)
        began = time.process_time()
        correlation = correlate(space.samples)
        took += time.process_time() - began
        for name, way in ways.items():
            tallies[name].add(way(space, correlation))
        where = places(correlation)
        violations += order_violations(space.samples, where)
        found.append(len(correlation.generations))
        true.append(len(set(space.truth.values())))
        carried = list(where.values())
        alone.append(np.mean([carried.count(one) == 1 for one in carried]))
        less.append(np.mean([one.confidence < one.runner_up_confidence for one in correlation.placements.values()]))
        judged = layers_right(space.samples, where, space.truth)
        confidence += [correlation.placements[key].confidence for key in judged]
        right += list(judged.values())
    print(f"faults {faults}, {samples} samples, {len(seeds)} spaces, {took:.1f} s of processor time")
    for name, tally in tallies.items():
        print(tally.line(name))
    share = tallies["correlated"].total.f1 / tallies["practical limit"].total.f1
    print(f"  {share:.1%} of the practical limit; order violations {violations}")
    print(f"  generations found {np.mean(found):.1f} for {np.mean(true):.1f} true; off by {np.mean(np.abs(np.subtract(found, true))):.1f}")
    print(f"  layers alone in a generation {np.mean(alone):.1%}; layers less likely than their runner-up {np.mean(less):.1%}")
    calibration(np.asarray(confidence), np.asarray(right))


def calibration(confidence: np.ndarray, right: np.ndarray) -> None:
    """Print what share of the layers is right by what confidence promised."""
    which = np.digitize(confidence, BINS) - 1
    for number in range(len(BINS) - 1):
        chosen = which == number
        if chosen.any():
            told = f"confidence {BINS[number]:.1f}-{min(1.0, BINS[number + 1]):.1f}, {confidence[chosen].mean():.2f} on average"
            print(f"  {told}: {right[chosen].mean():6.1%} of {chosen.sum()} right")


def with_rulings(seeds: Sequence[int], faults: float, samples: int, counts: Sequence[int]) -> None:
    """Add true ties on the least certain layers, as an expert would, and print what they bring, space by space."""
    gains: dict[int, list[float]] = {count: [] for count in counts}
    for seed in seeds:
        space = invent_space(seed, faults, samples)
        correlation = correlate(space.samples)
        free = pair_score(space.samples, places(correlation), space.truth)
        for count in counts:
            again = correlate(space.samples, true_ties(space, correlation.placements, count))
            gains[count].append(pair_score(space.samples, places(again), space.truth).f1 - free.f1)
    for count, gained in gains.items():
        mean, error = mean_and_error(gained)
        print(f"faults {faults}, {count:2} true ties where it is least sure: F1 by space {mean:+.3f} ± {error:.3f} ({len(gained)} spaces)")


def by_samples(seeds: Sequence[int], faults: float, counts: Sequence[int]) -> None:
    """Print the score by how many samples a space has."""
    for count in counts:
        tally, limit = Tally(), Tally()
        for seed in seeds:
            space = invent_space(seed, faults, count)
            tally.add(pair_score(space.samples, places(correlate(space.samples)), space.truth))
            limit.add(practical_limit(space).together)
        print(f"faults {faults}, {count:2} samples: F1 {tally.total.f1:.3f}, practical limit {limit.total.f1:.3f} ({len(seeds)} spaces)")


def main() -> None:
    """Print everything, or what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tuning", action="store_true", help="the spaces that were tuned on, instead of those that were not")
    parser.add_argument("--spaces", type=int, default=24, help="how many of them")
    parser.add_argument("--samples", type=int, default=10, help="samples of each")
    parser.add_argument("--scores-only", action="store_true", help="neither rulings nor other numbers of samples")
    chosen = parser.parse_args()
    seeds = (TUNING_SEEDS if chosen.tuning else UNTOUCHED_SEEDS)[: chosen.spaces]
    print(f"correlation {VERSION}, {'tuning' if chosen.tuning else 'untouched'} spaces")
    for faults in (USUAL, THIRD):
        score(seeds, faults, chosen.samples)
    if not chosen.scores_only:
        with_rulings(seeds, USUAL, chosen.samples, (1, 3, 10))
        by_samples(seeds[:8], USUAL, (5, 10, 20, 40))


if __name__ == "__main__":
    main()
