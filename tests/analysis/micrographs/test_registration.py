"""Registration: pictures that come with scikit-image, moved by a known transform, and of another contrast; and what is refused."""

import numpy as np
import pytest
from skimage import data
from skimage.transform import SimilarityTransform, warp

from analysis.core.micrographs import MicrographRefused, doubt_of, register, register_points
from analysis.core.micrographs.matching import Found, fitted, small

PICTURES = ("brick", "gravel", "camera", "coins", "immunohistochemistry")
LIGHTS = {
    "as it is": lambda light: light,
    "inverted": lambda light: 1 - light,
    "gamma 2.2": lambda light: light**2.2,
    "dim": lambda light: 0.15 + 0.2 * light,
}


def picture_of(name):
    light = getattr(data, name)()
    light = light if light.ndim == 2 else light.mean(axis=2)
    return light.astype(np.float64) / 255


def moved(light, shift=(0.0, 0.0), turn=0.0, size=1.0):
    """The picture as a camera sees it that has moved, and the matrix from its px to those of the first."""
    middle = (np.array(light.shape[::-1]) - 1) / 2
    to_first = SimilarityTransform(translation=-middle) + SimilarityTransform(rotation=np.radians(turn), scale=size)
    to_first = to_first + SimilarityTransform(translation=middle + shift)
    return warp(light, to_first, order=3, mode="reflect"), to_first.params


def worst(found, true, shape):
    corners = np.array([(x, y, 1.0) for x in (40, shape[1] - 40) for y in (40, shape[0] - 40)]).T
    return float(np.hypot(*((np.array(found.matrix) - true) @ corners)[:2]).max())


@pytest.mark.parametrize("light", list(LIGHTS))
@pytest.mark.parametrize("name", ["gravel", "coins"])
def test_a_known_shift_is_found_to_half_a_pixel_whatever_the_contrast(name, light):
    first = picture_of(name)
    second, true = moved(first, (11.0, -7.0))
    found = register(first, LIGHTS[light](np.clip(second, 0, 1)))
    assert worst(found, true, first.shape) < 0.5
    assert found.reliable
    assert found.inliers >= 8


@pytest.mark.parametrize("name", PICTURES)
def test_shift_turn_and_size_are_found_to_a_pixel_in_pictures_of_other_contrast(name):
    first = picture_of(name)
    second, true = moved(first, (-14.0, 9.0), 2.5, 1.03)
    found = register(first, np.clip(1 - second, 0, 1) ** 0.6)
    assert worst(found, true, first.shape) < 1.0
    assert found.median_px <= found.p95_px < 3.0


def test_a_picture_of_half_the_size_is_laid_on_the_whole():
    first = picture_of("gravel")
    half = first[: first.shape[0] // 2 * 2, : first.shape[1] // 2 * 2].reshape(256, 2, 256, 2).mean(axis=(1, 3))
    # A pixel of the half shows two of the whole: its middle lies at 2 x + 0.5.
    true = np.array(((2.0, 0.0, 0.5), (0.0, 2.0, 0.5), (0.0, 0.0, 1.0)))
    found = register(first, half)
    spots = np.array([(x, y, 1.0) for x in (20, 236) for y in (20, 236)]).T
    assert np.hypot(*((np.array(found.matrix) - true) @ spots)[:2]).max() < 1.0


@pytest.mark.parametrize(("one", "other"), [("brick", "gravel"), ("camera", "coins"), ("gravel", "immunohistochemistry")])
def test_pictures_of_different_things_are_refused_in_words(one, other):
    with pytest.raises(MicrographRefused, match="could not be laid on each other"):
        register(picture_of(one), picture_of(other))


def test_noise_and_blank_and_tiny_pictures_are_refused():
    rng = np.random.default_rng(2)
    with pytest.raises(MicrographRefused, match="could not be laid on each other"):
        register(rng.uniform(0, 1, (300, 300)), rng.uniform(0, 1, (300, 300)))
    with pytest.raises(MicrographRefused, match="blank"):
        register(np.full((300, 300, 3), 90, np.uint8), rng.uniform(0, 1, (300, 300)))
    with pytest.raises(MicrographRefused, match="48 px"):
        register(rng.uniform(0, 1, (30, 300)), rng.uniform(0, 1, (300, 300)))


def test_four_named_places_give_the_affine_transform_that_they_were_made_by():
    true = np.array(((1.01, 0.03, 12.0), (-0.02, 0.98, -5.0), (0.0, 0.0, 1.0)))
    places = [(10.0, 10.0), (900.0, 40.0), (880.0, 700.0), (30.0, 690.0)]
    pairs = [(place, tuple((true @ (*place, 1.0))[:2])) for place in places]
    found = register_points(pairs, (1000, 800))
    assert np.abs(np.array(found.matrix) - true).max() < 1e-6
    assert (found.method, found.transform, found.reliable) == ("points", "affine", True)


def test_one_named_place_is_a_shift_that_nothing_checks():
    found = register_points([((10.0, 10.0), (13.0, 6.0))], (1000, 800))
    assert (found.matrix[0][2], found.matrix[1][2], found.reliable) == (3.0, -4.0, False)
    assert "nothing checks" in found.sentence


def test_three_named_places_are_checked_and_two_are_not():
    pairs = [((0.0, 0.0), (5.0, 5.0)), ((900.0, 0.0), (905.0, 5.0)), ((0.0, 700.0), (5.0, 705.0))]
    assert register_points(pairs, (1000, 800)).reliable
    assert not register_points(pairs[:2], (1000, 800)).reliable


def test_named_places_that_contradict_each_other_are_flagged():
    pairs = [((0.0, 0.0), (5.0, 5.0)), ((900.0, 0.0), (905.0, 65.0)), ((0.0, 700.0), (75.0, 705.0)), ((900.0, 700.0), (905.0, 705.0))]
    found = register_points(pairs, (1000, 800))
    assert not found.reliable
    assert "contradict" in found.sentence


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ([], "Name a place"),
        ([((1.0, 1.0), (2.0, 2.0)), ((1.0, 1.0), (2.0, 2.0))], "too near"),
        ([((1.0, float("nan")), (2.0, 2.0))], "no place"),
    ],
)
def test_named_places_that_tell_nothing_are_refused(pairs, said):
    with pytest.raises(MicrographRefused, match=said):
        register_points(pairs, (1000, 800))


def test_blocks_that_tell_only_one_direction_leave_the_other_as_it_was():
    # Level layers: every block knows how far it is off in y, none in x.
    fixed = np.array([(x, y) for x in (100.0, 300.0, 500.0) for y in (100.0, 300.0, 500.0)])
    telling = np.tile(np.diag((0.0, 1.0)), (9, 1, 1))
    start = np.array(((1.0, 0.0, 21.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    matrix, off = fitted(Found(fixed, fixed + np.array((21.0, 4.0)), telling, np.ones(9)), "translation", start)
    assert matrix[:2, 2] == pytest.approx((21.0, 4.0))
    assert off.max() < 1e-9


def test_a_small_picture_is_the_mean_of_what_it_stands_for():
    whole = np.random.default_rng(1).uniform(0, 1, (1300, 700))
    found, factor = small(whole, 450)
    assert factor == 3
    assert np.abs(found - whole[:1299, :699].reshape(433, 3, 233, 3).mean(axis=(1, 3))).max() < 1e-12


CORNERS = ((10.0, 20.0), (900.0, 60.0), (80.0, 700.0), (950.0, 760.0), (500.0, 40.0), (40.0, 400.0), (480.0, 420.0))


def laid(*off):
    """Places of which each is so far beside where a plain shift has it, (px to the right, px down)."""
    pairs = [((x, y), (x + 5 + right, y - 3 + down)) for (x, y), (right, down) in zip(CORNERS, off, strict=False)]
    found = register_points(pairs, (1000, 800))
    assert found.reliable == (doubt_of(pairs, found.matrix) == "")
    return found


RIGHT, WRONG, OTHERWISE = (0.0, 0.0), (60.0, -40.0), (-50.0, 70.0)


@pytest.mark.parametrize(
    "off",
    [
        # Of three, two always fix turn and size; of four and five, three an affine transform: whatever they are, these agree.
        (RIGHT, RIGHT, WRONG),
        (RIGHT, RIGHT, RIGHT, WRONG),
        (RIGHT, RIGHT, RIGHT, WRONG, OTHERWISE),
    ],
)
def test_places_of_which_no_more_agree_than_fix_how_the_pictures_lie_contradict_each_other(off):
    found = laid(*off)
    assert not found.reliable
    assert "contradict each other by up to" in found.sentence


@pytest.mark.parametrize("off", [(RIGHT,) * 3, (RIGHT,) * 4, (RIGHT,) * 5 + (WRONG,), ((2.0, -1.0), (-2.0, 1.0), (1.0, 2.0))])
def test_places_of_which_more_agree_are_relied_on_and_a_slip_among_them_does_no_harm(off):
    found = laid(*off)
    assert found.reliable
    assert np.hypot(found.matrix[0][2] - 5, found.matrix[1][2] + 3) < 6


@pytest.mark.parametrize("many", [1, 2])
def test_places_that_just_fix_it_are_checked_by_nothing(many):
    assert "nothing checks them" in laid(*(RIGHT,) * many).sentence


def test_three_places_without_any_sense_are_not_relied_on():
    """Nothing but chance: as many as a transform always suits, suit it."""
    rng = np.random.default_rng(11)
    for many in (3, 4, 5):
        for _ in range(40):
            pairs = [((float(a), float(b)), (float(c), float(d))) for a, b, c, d in rng.uniform(0, 800, (many, 4))]
            try:
                found = register_points(pairs, (1000, 800))
            except MicrographRefused:
                continue
            assert not found.reliable, pairs
