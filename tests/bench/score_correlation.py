"""Print how well layers are correlated on invented buildings, beside the yardstick. Run: python -m tests.bench.score_correlation.

The yardstick (design notes, 'Correlation'): with ten samples a room, 15-20 campaigns and the usual faults, counting up from the
substrate scores F1 0.13, counting down from the surface 0.20, an untuned profile hidden Markov model 0.74 (0.79 with faults a third as
frequent), and placing each sample among the true generations of all the others 0.87 (0.91). Those figures were measured on another
generator; the two counts are printed for this one, to compare how hard it is.
"""

import argparse
import time

import numpy as np

from analysis.core.correlation import VERSION, correlate
from tests.buildings import (
    TUNING_SEEDS,
    UNTOUCHED_SEEDS,
    Score,
    count_from_substrate,
    count_from_surface,
    invent_space,
    order_violations,
    pair_score,
    true_ties,
)
from tests.buildings.scoring import layers_right

BINS = np.array([0.0, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0001])


def score(seeds: tuple[int, ...], faults: float, samples: int) -> None:
    """Score one set of seeds and print a line for each way of counting, and the calibration of confidence."""
    totals = {name: Score(0, 0, 0) for name in ("from substrate", "from surface", "correlated")}
    violations = 0
    confidence: list[float] = []
    right: list[bool] = []
    began = time.process_time()
    for seed in seeds:
        space = invent_space(seed, faults, samples)
        correlation = correlate(space.samples)
        found = {key: one.generation for key, one in correlation.placements.items()}
        for name, places in (
            ("from substrate", count_from_substrate(space.samples)),
            ("from surface", count_from_surface(space.samples)),
            ("correlated", found),
        ):
            totals[name] += pair_score(space.samples, places, space.truth)
        violations += order_violations(space.samples, found)
        judged = layers_right(space.samples, found, space.truth)
        confidence += [correlation.placements[key].confidence for key in judged]
        right += list(judged.values())
    print(f"faults {faults}, {samples} samples, {len(seeds)} spaces, {time.process_time() - began:.1f} s of processor time")
    for name, total in totals.items():
        print(f"  {name:15} precision {total.precision:.3f}  recall {total.recall:.3f}  F1 {total.f1:.3f}")
    print(f"  order violations {violations}")
    which = np.digitize(confidence, BINS) - 1
    for number in range(len(BINS) - 1):
        chosen = which == number
        if chosen.any():
            share = np.asarray(right)[chosen].mean()
            print(f"  confidence {BINS[number]:.1f}-{min(1.0, BINS[number + 1]):.1f}: {share:6.1%} of {chosen.sum()} right")


def with_rulings(seeds: tuple[int, ...], count: int) -> None:
    """Add true ties on the least certain layers, as an expert would, and print what they bring."""
    before = after = Score(0, 0, 0)
    gains = []
    for seed in seeds:
        space = invent_space(seed)
        correlation = correlate(space.samples)
        free = pair_score(space.samples, {key: one.generation for key, one in correlation.placements.items()}, space.truth)
        rulings = true_ties(space, correlation.placements, count)
        again = correlate(space.samples, rulings).placements
        tied = pair_score(space.samples, {key: one.generation for key, one in again.items()}, space.truth)
        before, after = before + free, after + tied
        gains.append(tied.f1 - free.f1)
    error = np.std(gains, ddof=1) / np.sqrt(len(gains)) if len(gains) > 1 else np.nan
    print(f"{count} true ties on doubtful layers: F1 {before.f1:.3f} becomes {after.f1:.3f}; by space {np.mean(gains):+.3f} ± {error:.3f}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tuning", action="store_true", help="use the seeds that were tuned on")
    parser.add_argument("--spaces", type=int, default=24)
    parser.add_argument("--samples", type=int, default=10)
    chosen = parser.parse_args()
    seeds = (TUNING_SEEDS if chosen.tuning else UNTOUCHED_SEEDS)[: chosen.spaces]
    print(f"correlation {VERSION}")
    for faults in (1.0, 0.33):
        score(seeds, faults, chosen.samples)
    for count in (1, 10):
        with_rulings(seeds, count)


if __name__ == "__main__":
    main()
