"""The chain against slow and obvious twins, and against a reference aligner."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from Bio.Align import PairwiseAligner

from analysis.core.correlation import correlate
from analysis.core.correlation.alignment import Chain, best_path, draw, forward, posterior, walk
from tests.analysis.correlation.building_blocks import COLOURS, sample

GLOWS = ("white", "yellow", "green", "blue", "violet", "orange", "pink", "brown")


def random_chain(seed: int, layers: int, generations: int) -> Chain:
    random = np.random.default_rng(seed)
    begin, advance, end = walk(random.uniform(0.2, 0.9, generations), 0.05, 0.02, 0.3, 0.2)
    emission = random.lognormal(0.0, 1.5, (layers, 2 * generations + 1))
    emission[:, 0::2] = 1.0
    emission[random.random(emission.shape) < 0.1] = 0.0
    emission[:, 0] = 1.0  # one path always remains
    return Chain(begin, advance, end, random.uniform(0.0, 1.0, layers), emission)


def every_path(chain: Chain) -> dict[tuple[tuple[int, ...], tuple[bool, ...]], float]:
    """The twin: weight of every sequence of states and of stays, one by one."""
    layers, states = chain.emission.shape
    weights = {}
    for path in itertools.product(range(states), repeat=layers):
        for stays in itertools.product((False, True), repeat=layers - 1):
            weight = chain.begin[path[0]] * chain.emission[0, path[0]]
            for layer in range(1, layers):
                below, here = path[layer - 1], path[layer]
                step = chain.stay[layer] * (below == here) if stays[layer - 1] else (1.0 - chain.stay[layer]) * chain.advance[below, here]
                weight *= step * chain.emission[layer, here]
            if weight > 0.0:
                weights[path, (False, *stays)] = float(weight * chain.end[path[-1]])
    return weights


@pytest.mark.parametrize(("seed", "layers", "generations"), [(1, 3, 2), (2, 4, 2), (3, 3, 3), (4, 2, 4), (5, 1, 3), (6, 4, 1), (7, 3, 0)])
def test_forward_backward_agrees_with_counting_every_path(seed: int, layers: int, generations: int) -> None:
    chain = random_chain(seed, layers, generations)
    paths = every_path(chain)
    total = sum(paths.values())
    expected = np.zeros_like(chain.emission)
    for (path, _), weight in paths.items():
        for layer, state in enumerate(path):
            expected[layer, state] += weight / total
    np.testing.assert_allclose(posterior(chain), expected, atol=1e-12)
    assert forward(chain)[1] == pytest.approx(np.log(total), abs=1e-9)


def test_draws_come_in_proportion_to_their_probability() -> None:
    chain = random_chain(8, 3, 1)
    paths = every_path(chain)
    total = sum(paths.values())
    random = np.random.default_rng(0)
    count = 4000
    drawn: dict[object, int] = {}
    for _ in range(count):
        states, stays = draw(chain, random.random(3))
        key = (tuple(int(one) for one in states), tuple(bool(one) for one in stays))
        drawn[key] = drawn.get(key, 0) + 1
    assert set(drawn) <= set(paths)
    for key, weight in paths.items():
        share = weight / total
        assert abs(drawn.get(key, 0) / count - share) < 5.0 * np.sqrt(share / count) + 1e-9  # five standard errors


@pytest.mark.parametrize("seed", range(40))
def test_the_best_path_scores_like_needleman_and_wunsch(seed: int) -> None:
    """Reference: global alignment in Biopython's PairwiseAligner, match 1, mismatch -10, gaps free.

    The limiting case: no layer may stay with the one beneath (every step cut), a slot is worth nothing, a generation of the same letter
    1 and of another -10. A path then pairs letters one to one and in order, as a global alignment does.
    """
    random = np.random.default_rng(seed)
    first, second = ("".join(random.choice(list("ABCD"), int(random.integers(1, 14)))) for _ in range(2))
    aligner = PairwiseAligner(mode="global", match_score=1.0, mismatch_score=-10.0, open_gap_score=0.0, extend_gap_score=0.0)
    gain = np.zeros((len(first), 2 * len(second) + 1))
    gain[:, 1::2] = [[1.0 if one == other else -10.0 for other in second] for one in first]
    cut = np.ones(len(first), dtype=bool)
    states, stays = best_path(gain, np.zeros(len(first)), np.ones_like(gain, dtype=bool), cut)
    assert not stays.any()
    assert (np.diff(states) >= 0).all()
    generations = states[states % 2 == 1]
    assert len(set(generations)) == len(generations)
    assert gain[np.arange(len(first)), states].sum() == aligner.align(first, second).score


@pytest.mark.parametrize("seed", range(8))
def test_two_clear_cut_samples_are_paired_as_by_needleman_and_wunsch(seed: int) -> None:
    """Reference: Biopython's PairwiseAligner (match 1, mismatch -10, gaps free) on sequences of letters that stand for
    colours.

    Each letter is a colour with a glow of its own. None comes twice and one sample lacks some of
    the other's, so that the best pairing is one and the same for any sensible price of gaps.
    """
    random = np.random.default_rng(seed)
    letters = "ABCDEFGH"
    kept = [list(range(8)), [number for number in range(8) if random.random() < 0.6]]
    words = ["".join(letters[number] for number in one) for one in kept]
    aligner = PairwiseAligner(mode="global", match_score=1.0, mismatch_score=-10.0, open_gap_score=0.0, extend_gap_score=0.0)
    blocks = zip(*aligner.align(words[0], words[1])[0].aligned, strict=True)
    expected = {(int(low[0]) + step, int(high[0]) + step) for low, high in blocks for step in range(low[1] - low[0])}
    samples = []
    for key, one in zip("AB", kept, strict=True):
        plain = sample(key, *(COLOURS[number] for number in one))
        glowing = [replace(layer, uv_colour=GLOWS[number], uv_strength="strong") for layer, number in zip(plain.layers, one, strict=True)]
        samples.append(replace(plain, layers=tuple(glowing)))
    found = correlate(samples).placements
    pairs = {
        (lower, upper)
        for lower in range(len(kept[0]))
        for upper in range(len(kept[1]))
        if found[f"A/{lower + 1}"].generation == found[f"B/{upper + 1}"].generation
    }
    assert pairs == expected


@pytest.mark.parametrize("seed", range(20))
def test_the_best_path_is_the_best_of_all_paths(seed: int) -> None:
    random = np.random.default_rng(seed)
    layers, width = 4, 5
    gain = np.round(random.normal(0.0, 1.0, (layers, width)), 3)
    gain[:, 0::2] = 0.0
    stay_gain = np.round(random.normal(0.0, 0.1, layers), 3)
    allowed = random.random((layers, width)) < 0.85
    allowed[:, 0] = True
    cut = random.random(layers) < 0.3
    best = -np.inf
    for path in itertools.product(range(width), repeat=layers):
        if not all(allowed[layer, state] for layer, state in enumerate(path)):
            continue
        total = gain[0, path[0]]
        for layer in range(1, layers):
            below, here = path[layer - 1], path[layer]
            options = []
            if here == below and not cut[layer]:
                options.append(stay_gain[layer] if here % 2 == 0 else 0.0)
            if here > below or (here == below and here % 2 == 0):
                options.append(0.0)
            total += (max(options) if options else -np.inf) + gain[layer, here]
        best = max(best, total)
    states, stays = best_path(gain, stay_gain, allowed, cut)
    reached = gain[np.arange(layers), states].sum() + sum(
        stay_gain[layer] for layer in range(1, layers) if stays[layer] and states[layer] % 2 == 0
    )
    assert reached == pytest.approx(best)
