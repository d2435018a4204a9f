"""How much an unlike UV hue says is learned from the space: by hand, from both sides, and the same evidence by the short way."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.core.correlation import Layer, Parameters, Sample
from analysis.core.correlation.evidence import gather, relit
from analysis.core.correlation.learning import learn
from analysis.core.correlation.looks import look
from analysis.core.correlation.responses import learned_hue
from tests.buildings import invent_space

PARAMETERS = Parameters()


def seen(key: str, *hues: str, light: float = 80.0) -> Sample:
    layers = tuple(Layer(f"{key}/{at}", "paint", lab=(light, 0.0, 5.0), uv_colour=hue) for at, hue in enumerate(hues))
    return Sample(key, f"E-{key}", "door casing", "complete", "complete", layers)


def hue(samples: tuple[Sample, ...], together: np.ndarray) -> float:
    return learned_hue(look(samples, PARAMETERS), together, PARAMETERS)


def test_the_share_of_unlike_hues_is_counted_beside_what_was_believed() -> None:
    """By hand: two pairs, one unlike; (1 + 0.1 x 30) / (2 + 30) = 0.125, odds 7, 2.2 ln 7 = 4.281."""
    samples = (seen("A", "yellow", "blue"), seen("B", "yellow", "violet"))
    together = np.array([[1, 0, 1, 0], [0, 1, 0, 1], [1, 0, 1, 0], [0, 1, 0, 1]], dtype=bool)
    assert hue(samples, together) == pytest.approx(2.2 * np.log(7.0))


def test_nothing_is_learned_from_one_sample_from_what_nobody_saw_and_from_layers_of_unlike_lightness() -> None:
    believed = 2.2 * np.log(9.0)
    assert hue((seen("A", "yellow", "blue"),), np.ones((2, 2), dtype=bool)) == pytest.approx(believed)
    assert hue((seen("A", "yellow"), seen("B", "")), np.ones((2, 2), dtype=bool)) == pytest.approx(believed)
    assert hue((seen("A", "yellow"), seen("B", "blue", light=30.0)), np.ones((2, 2), dtype=bool)) == pytest.approx(believed)


def test_hues_that_always_agree_say_much_and_those_that_never_do_say_nothing() -> None:
    every = np.ones((160, 160), dtype=bool)
    alike = tuple(seen(key, *["yellow"] * 20) for key in "ABCDEFGH")
    unlike = tuple(seen(key, *[name] * 20) for key, name in zip("ABCDEFGH", ("blue", "red", "green", "pink") * 2, strict=True))
    assert hue(alike, every) == PARAMETERS.uv_hue_most
    assert hue(unlike, every) == 0.0


@pytest.mark.parametrize("seed", [1001, 1005])
def test_evidence_lit_anew_is_what_comparing_all_anew_gives(seed: int) -> None:
    samples = invent_space(seed, samples=6).samples
    told = replace(PARAMETERS, uv_hue=1.7)
    short, whole = relit(gather(samples, PARAMETERS), look(samples, PARAMETERS), told), gather(samples, told)
    np.testing.assert_allclose(short.stay, whole.stay, atol=1e-12)
    for one, other in zip(short.hearings, whole.hearings, strict=True):
        np.testing.assert_array_equal(one.columns, other.columns)
        np.testing.assert_allclose(one.said, other.said, rtol=1e-6)


def test_a_space_whose_observers_name_the_glow_at_random_learns_to_trust_it_less() -> None:
    space = invent_space(1003, 0.33)
    random = np.random.default_rng(3)
    blurred = tuple(
        replace(one, layers=tuple(replace(each, uv_colour=str(random.choice(["yellow", "blue", "violet"]))) for each in one.layers))
        for one in space.samples
    )
    assert learn(blurred, PARAMETERS).parameters.uv_hue < PARAMETERS.uv_hue < learn(space.samples, PARAMETERS).parameters.uv_hue
