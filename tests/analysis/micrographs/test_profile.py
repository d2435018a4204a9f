"""Profiles: geometry of the strip, levelling against known slopes, noise against its calculation, and what is refused."""

import numpy as np
import pytest

from analysis.core.micrographs import Line, MicrographRefused, Registration, point_at, read_profiles, strips, to_lab, uncalibrated
from analysis.core.micrographs.profile import _middle
from tests.analysis.micrographs.drawings import drawn, read_profile, upward

LEVEL = Registration(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), "points", "translation", 1, 0.0, 0.0, None, True, "")


def edge_rows(profile, threshold):
    """Where the lightness first passes a threshold, px along the line."""
    lightness = np.array(profile.lab)[:, 0]
    return profile.start_px + int(np.argmax(lightness > threshold))


def test_places_along_a_bent_line_are_where_pythagoras_puts_them():
    line = Line(((0.0, 100.0), (30.0, 60.0), (30.0, 10.0)), 5.0)  # 50 px, then 50 px
    assert strips.length(line) == 100.0
    assert point_at(line, 25.0) == pytest.approx((15.0, 80.0))
    assert point_at(line, 80.0) == pytest.approx((30.0, 30.0))
    assert point_at(line, -5.0) == pytest.approx((-3.0, 104.0))
    assert point_at(line, 110.0) == pytest.approx((30.0, 0.0))


def test_a_strip_sampled_in_parts_is_the_strip_sampled_pixel_by_pixel():
    picture = np.random.default_rng(4).integers(0, 256, (500, 320, 3), dtype=np.uint8)
    line = Line(((60.0, 470.0), (200.0, 40.0)), 21.0)
    along, (aside, _) = np.arange(0.0, 440.0), strips.offsets(line)
    fast = strips.sample(picture, line, along, aside, np.linspace(-2, 2, len(aside)))
    at, right = strips.places(line, along)
    for row in (0, 191, 192, 439):
        for column in (0, 10, 20):
            direction = np.array((right[row][1], -right[row][0]))
            x, y = at[row] + right[row] * aside[column] + direction * np.linspace(-2, 2, len(aside))[column]
            low_x, low_y = int(x), int(y)
            u, v = x - low_x, y - low_y
            four = picture[low_y : low_y + 2, low_x : low_x + 2].astype(float) / 255
            slow = (four[0, 0] * (1 - u) + four[0, 1] * u) * (1 - v) + (four[1, 0] * (1 - u) + four[1, 1] * u) * v
            assert np.abs(fast[row, column] - slow).max() < 1e-5


def test_a_reader_of_tiles_gives_what_the_array_gives_and_never_the_whole():
    picture = drawn()

    class Tiles:
        shape = picture.shape
        largest = 0

        def __getitem__(self, where):
            part = picture[where]
            Tiles.largest = max(Tiles.largest, part.shape[0] * part.shape[1])
            return part

    line = upward(width_px=20.0)
    assert read_profile(Tiles(), line, uncalibrated()) == read_profile(picture, line, uncalibrated())
    assert Tiles.largest < picture.shape[0] * picture.shape[1] / 2


@pytest.mark.parametrize("tilt", [-30.0, -12.0, 0.0, 5.0, 20.0, 38.0])
def test_layers_that_lean_are_found_to_lean_by_what_they_lean(tilt):
    # The line runs up: its right hand is the picture's right, where layers that lean upwards have smaller rows.
    picture = drawn(slope=-np.tan(np.radians(tilt)))
    profile = read_profile(picture, upward(), uncalibrated())
    assert profile.tilt_deg == pytest.approx(tilt, abs=0.5)
    assert profile.tilted == (abs(tilt) > 2)


def test_layers_made_level_keep_edges_as_sharp_as_level_ones():
    level = np.array(read_profile(drawn(), upward(), uncalibrated()).lab)[:, 0]
    leaning = np.array(read_profile(drawn(slope=0.4), upward(), uncalibrated()).lab)[:, 0]
    assert np.abs(level - leaning).max() < 15  # of steps of 60: the same row, to a quarter of a pixel
    assert np.median(np.abs(level - leaning)) < 0.5


def test_cracks_and_bubbles_that_cross_a_third_of_the_strip_do_not_show():
    picture, clean = drawn(), drawn()
    picture[200:260, 130:155] = 0
    marred, whole = (np.array(read_profile(each, upward(), uncalibrated()).lab) for each in (picture, clean))
    assert np.abs(marred - whole)[60:-60].max() < 6
    assert np.median(np.abs(marred - whole)) < 0.2


def test_the_noise_of_a_middle_colour_is_that_which_statistics_give_it():
    # 80 columns of independent noise with standard deviation 4 of 255 at a grey of 128: the mean's standard error is sd / √80, which
    # none falls below and a robust middle comes near to, and a step of 1 of 255 there is L*(129) - L*(128) in L*.
    rng = np.random.default_rng(6)
    picture = np.clip(np.round(128 + rng.normal(0, 4, (400, 300, 1))), 0, 255).astype(np.uint8)
    unit = float(np.diff(to_lab(np.array(((128, 128, 128), (129, 129, 129))) / 255, uncalibrated())[:, 0])[0])
    expected = 4 / np.sqrt(80) * unit
    noise = np.median(read_profile(picture, upward(), uncalibrated()).noise)
    # Sampling between pixels blurs along the line and makes noise hang together over two of them: the same in sum.
    assert expected * 0.7 < noise < expected * 1.8


def test_a_middle_colour_scatters_less_than_a_median_and_no_less_than_a_mean():
    # Of normal noise the median's variance is π / 2 times the mean's (Laplace; M. G. Kendall and A. Stuart, The Advanced Theory of
    # Statistics, vol. 1: from memory).
    strip = np.random.default_rng(8).normal(50, 4, (20_000, 40, 1)).astype(np.float32)
    scatter = _middle(strip).var()
    assert 4**2 / 40 < scatter < 1.2 * 4**2 / 40
    assert strip.mean(axis=1).var() < scatter < np.median(strip, axis=1).var() / 1.25


def test_a_broader_strip_lies_level_with_the_lines_own_and_is_quieter():
    # Layers that lean and are noisy, on a line 14 px broad: the broader strip has its step at the same place and less noise.
    own, wide = read_profiles(drawn(slope=0.3, noise=6.0), upward(width_px=14.0), uncalibrated())
    assert edge_rows(wide, 75) == pytest.approx(edge_rows(own, 75), abs=1)
    assert np.median(wide.noise) < 0.4 * np.median(own.noise)  # √(14 / 200) is 0.26
    assert own.tilt_deg == wide.tilt_deg


def test_beside_a_line_with_a_bend_no_boundary_is_looked_for():
    bent = Line(((150.0, 370.0), (150.0, 200.0), (120.0, 30.0)), 20.0)
    own, wide = read_profiles(drawn(), bent, uncalibrated())
    assert wide == own
    nearly = Line(((150.0, 370.0), (150.0, 200.0), (144.0, 30.0)), 20.0)  # 2 degrees
    own, wide = read_profiles(drawn(), nearly, uncalibrated())
    assert wide != own


def test_grain_that_hangs_together_counts_for_more_than_grain_that_does_not():
    from scipy.ndimage import gaussian_filter

    rng = np.random.default_rng(7)
    fine = rng.normal(0, 8, (400, 300))
    coarse = gaussian_filter(rng.normal(0, 1, (400, 300)), 2.0)
    coarse *= 8 / coarse.std()
    noises = [
        np.median(read_profile(np.clip(128 + grain, 0, 255).astype(np.uint8), upward(), uncalibrated()).noise) for grain in (fine, coarse)
    ]
    assert noises[1] > 3 * noises[0]


def test_the_uv_profile_is_read_where_the_registration_says():
    picture = drawn(noise=0.5)
    shifted = np.roll(picture, (-6, 15), (0, 1))  # what was at (x, y) is now at (x + 15, y - 6)
    laid = Registration(((1.0, 0.0, -15.0), (0.0, 1.0, 6.0), (0.0, 0.0, 1.0)), "features", "similarity", 40, 0.1, 0.2, 0.1, True, "")
    profile = read_profile(picture, upward(), uncalibrated(), shifted, laid)
    assert profile.uv is not None
    assert np.median(np.abs(np.array(profile.uv) - np.array(profile.lab))) < 0.3


def test_an_unreliable_registration_is_refused():
    doubtful = Registration(LEVEL.matrix, "points", "translation", 1, 0.0, 0.0, None, False, "")
    with pytest.raises(MicrographRefused, match="reliably"):
        read_profile(drawn(), upward(), uncalibrated(), drawn(), doubtful)


def test_a_uv_picture_that_does_not_reach_the_line_is_refused():
    away = Registration(((1.0, 0.0, 900.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), "features", "similarity", 40, 0.1, 0.2, 0.1, True, "")
    with pytest.raises(MicrographRefused, match="does not reach"):
        read_profile(drawn(), upward(), uncalibrated(), drawn(), away)


@pytest.mark.parametrize(
    ("points", "width", "said"),
    [
        (((10.0, 10.0),), 20.0, "two or more points"),
        (((10.0, 10.0), (10.0, 20.0)), 20.0, "too short"),
        (((10.0, 10.0), (10.0, 10.0), (10.0, 90.0)), 20.0, "too short"),
        (((10.0, 10.0), (10.0, 90.0)), 0.5, "width"),
        (((10.0, 10.0), (10.0, 90.0)), 5000.0, "width"),
        (((10.0, 300.0), (10.0, 100.0), (12.0, 280.0)), 20.0, "doubles back"),
        (((10.0, 300.0), (10.0, -40.0)), 20.0, "leaves the picture"),
        (((10.0, float("inf")), (10.0, 40.0)), 20.0, "two or more points"),
    ],
)
def test_a_line_that_cannot_be_read_is_refused_in_words(points, width, said):
    with pytest.raises(MicrographRefused, match=said):
        read_profile(drawn(), Line(points, width), uncalibrated())


@pytest.mark.parametrize("kind", [np.uint16, np.float64])
def test_sixteen_bits_and_floats_read_as_eight_bits_do(kind):
    eight = drawn()
    other = eight.astype(np.uint16) * 257 if kind is np.uint16 else eight / 255
    assert (
        np.abs(np.array(read_profile(other, upward(), uncalibrated()).lab) - read_profile(eight, upward(), uncalibrated()).lab).max() < 0.01
    )


def test_a_line_one_pixel_broad_is_read():
    profile = read_profile(drawn(), upward(width_px=1.0), uncalibrated())
    assert abs(edge_rows(profile, 75) - (370 - 330)) <= 1


@pytest.mark.parametrize("from_side", [29.5, 14.5, 4.5])
def test_beside_the_side_of_a_picture_layers_lean_and_lie_as_they_do_in_its_middle(from_side):
    # What is outside was filled level and without noise: layers that lean by 17 degrees were read as leaning by 2, and 10 px too low.
    whole = drawn(width=700, slope=0.3, noise=6.0)
    left = round(349.5 - from_side)
    for line, picture in ((upward(349.5, width_px=14.0), whole), (upward(349.5 - left, width_px=14.0), whole[:, left:])):
        own, wide = read_profiles(picture, line, uncalibrated())
        # The lean by which the layers are drawn.
        assert own.tilt_deg == pytest.approx(-np.degrees(np.arctan(0.3)), abs=0.3)
        # The lowest boundary is drawn at row 330, and the line begins at row 370.
        assert edge_rows(own, 75) == pytest.approx(40, abs=1)
        assert edge_rows(wide, 75) == pytest.approx(40, abs=1)


def test_beside_the_side_of_a_picture_the_noise_is_that_of_the_columns_that_it_shows():
    # Independent noise of 4 of 255: the standard error of a mean is sd / √n, n the columns that the picture shows.
    rng = np.random.default_rng(6)
    picture = np.clip(np.round(128 + rng.normal(0, 4, (400, 300, 1))), 0, 255).astype(np.uint8)
    unit = float(np.diff(to_lab(np.array(((128, 128, 128), (129, 129, 129))) / 255, uncalibrated())[:, 0])[0])
    for picture_shown, line, columns in (
        (picture, upward(), 200),
        (picture[:, :30], upward(14.5, width_px=14.0), 30),
        (picture[:, 120:], upward(10.0, width_px=14.0), 110),
    ):
        _, wide = read_profiles(picture_shown, line, uncalibrated())
        assert 0.7 < np.median(wide.noise) / (4 / np.sqrt(columns) * unit) < 1.8


def test_a_uv_picture_of_a_smaller_field_narrows_what_is_looked_at_and_says_no_less_noise():
    rng = np.random.default_rng(6)
    picture = np.clip(np.round(128 + rng.normal(0, 4, (400, 300, 1))), 0, 255).astype(np.uint8)
    moved = Registration(((1.0, 0.0, 130.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), "points", "translation", 3, 0.1, 0.2, None, True, "")
    line = upward(width_px=14.0)
    _, narrowed = read_profiles(picture, line, uncalibrated(), picture[:, 130:170], moved)
    _, whole = read_profiles(picture, line, uncalibrated(), picture)
    # 40 columns for 200.
    assert 1.6 < np.median(narrowed.uv_noise) / np.median(whole.uv_noise) < 3.2
