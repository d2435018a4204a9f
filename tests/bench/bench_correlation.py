"""Time of correlating 50 spaces × 20 samples × 20 layers, beside Biopython aligning the same pairs of samples, in one run.

Run: python -m tests.bench.bench_correlation [spaces]
The yardstick is Biopython's PairwiseAligner (global, affine gaps, a score for each pair of letters) on every pair of samples of each
space, their layers written as letters for one of 24 colours. It answers pairs only, no generations and no confidence.
"""

import itertools
import resource
import sys
import time
from dataclasses import replace

import numpy as np
from Bio import Align
from Bio.Align import substitution_matrices

from analysis.core.colour import delta_e_2000
from analysis.core.correlation import FEWER_DRAWS, Parameters, Ruling, correlate
from tests.buildings import invent_space

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"
LAYERS = 20


def spaces(count: int, samples: int = 20) -> list:
    """Invented spaces whose samples have at most 20 layers each."""
    made = []
    for seed in range(9_000, 9_000 + count):
        cut = []
        for sample in invent_space(seed, samples=samples).samples:
            cut.append(replace(sample, layers=sample.layers[:LAYERS]))
        made.append(cut)
    return made


def aligner() -> Align.PairwiseAligner:
    """A global aligner with affine gaps and a score that falls with the colour difference of two letters' colours."""
    random = np.random.default_rng(1)
    palette = np.column_stack([random.uniform(20, 95, 24), random.uniform(-20, 30, 24), random.uniform(-20, 40, 24)])
    scores = 5.0 - delta_e_2000(palette[:, None, :], palette[None, :, :])
    matrix = substitution_matrices.Array(LETTERS, dims=2)
    matrix[:, :] = np.clip(scores, -10, 5)
    made = Align.PairwiseAligner()
    made.mode = "global"
    made.substitution_matrix = matrix
    made.open_gap_score, made.extend_gap_score = -4.0, -1.0
    return made


def words(samples: list) -> list[str]:
    """Each sample's layers as letters."""
    return ["".join(LETTERS[int(sum(layer.lab)) % 24] if layer.lab else "A" for layer in sample.layers) for sample in samples]


def main() -> None:
    """Time both, and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    made = spaces(count)
    layers = sum(len(sample.layers) for space in made for sample in space)
    started = time.process_time()
    for space in made:
        correlate(space)
    ours = time.process_time() - started
    tool = aligner()
    started = time.process_time()
    pairs = 0
    for space in made:
        for first, second in itertools.combinations(words(space), 2):
            next(iter(tool.align(first, second)))
            pairs += 1
    theirs = time.process_time() - started
    print(f"{count} spaces x 20 samples, {layers:,} layers: correlation {ours:.1f} s CPU")
    print(f"Biopython, {pairs:,} pairs of the same samples: {theirs:.2f} s CPU; ratio {ours / theirs:.1f}")
    for samples in (10, 20, 40, 80, 160):
        space = spaces(1, samples)[0]
        started = time.process_time()
        correlate(space)
        print(f"one space, {samples:>3} samples: {time.process_time() - started:.2f} s CPU")
    space = spaces(1, 40)[0]
    tie = Ruling("one", "tie", space[0].layers[0].key, space[1].layers[0].key)
    for name, parameters in (("all draws", Parameters()), ("a preview's fewer draws", FEWER_DRAWS)):
        started = time.process_time()
        correlate(space, [tie], parameters=parameters)
        print(f"one space of 40 samples with one tie, {name}: {time.process_time() - started:.2f} s CPU")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
