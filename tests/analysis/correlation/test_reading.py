"""How far readings lie apart is learned from the space; oracle: readings made with a known error."""

import numpy as np
import pytest

from analysis.core.correlation import Parameters
from analysis.core.correlation.reading import learned_spread

LAYERS, SAMPLES = 14, 10


def readings(error: float, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Greyish colours, about where ΔE00 is the plain distance in no direction; so the error is measured in ΔE00 by the test itself."""
    random = np.random.default_rng(seed)
    true = np.column_stack([random.uniform(35, 85, LAYERS), random.uniform(-25, 25, LAYERS), random.uniform(-25, 25, LAYERS)])
    seen = np.concatenate([true + random.normal(0.0, error, true.shape) for _ in range(SAMPLES)])
    return seen, np.repeat(np.arange(SAMPLES), LAYERS)


def learned(lab: np.ndarray, owner: np.ndarray) -> float:
    same = np.zeros(len(lab), dtype=int)
    return learned_spread(lab, owner, same, same, same.astype(bool), Parameters())


def in_delta_e(error: float, seed: int) -> float:
    """Root mean square ΔE00 of two readings of one colour over sqrt(6): the deviation along each of three axes, of each of two readings."""
    from analysis.core.colour import delta_e_2000

    lab, owner = readings(error, seed)
    one, other = lab[owner == 0], lab[owner == 1]
    return float(np.sqrt(np.mean(delta_e_2000(one, other) ** 2) / 6.0))


@pytest.mark.parametrize("error", [0.8, 1.5, 3.0])
def test_the_spread_of_readings_is_found_without_knowing_which_are_of_one_paint(error: float) -> None:
    expected = np.mean([in_delta_e(error, seed) for seed in range(20)])
    found = np.mean([learned(*readings(error, seed)) for seed in range(20)])
    assert found == pytest.approx(expected, rel=0.2)


def test_closer_readings_are_found_closer() -> None:
    spreads = [learned(*readings(error, 3)) for error in (0.5, 1.0, 2.0, 4.0)]
    assert spreads == sorted(spreads)


def test_one_sample_alone_teaches_nothing() -> None:
    lab, _ = readings(1.0, 1)
    assert learned(lab[:LAYERS], np.zeros(LAYERS, dtype=int)) == Parameters().reading_spread
    assert learned(lab[:0], np.zeros(0, dtype=int)) == Parameters().reading_spread


def test_another_kind_of_film_is_not_compared() -> None:
    lab, owner = readings(1.0, 2)
    none = np.zeros(len(lab), dtype=int)
    assert learned_spread(lab, owner, none, owner, none.astype(bool), Parameters()) == Parameters().reading_spread
