"""The scale of a picture: by geometry, and what is refused."""

import math

import pytest

from analysis.core.micrographs import MicrographRefused, scale_as_stated, scale_from_line, scale_from_microscope


def test_a_line_of_3_4_5_along_the_micrometer_gives_its_length_over_its_hypotenuse():
    # 300 and 400 px aside are 500 px; 250 µm over them are half a µm a pixel. Two ends, each a px out, are √2 px of 500.
    scale = scale_from_line([[10, 20], [310, 420]], 250.0)
    assert scale.um_per_px == pytest.approx(0.5)
    assert scale.error_um_per_px == pytest.approx(0.5 * math.sqrt(2) / 500)
    assert scale.source == "stage micrometer"


def test_the_micrometers_own_uncertainty_adds_in_squares():
    scale = scale_from_line([[0, 0], [1000, 0]], 500.0, 5.0)
    assert scale.error_um_per_px == pytest.approx(0.5 * math.hypot(math.sqrt(2) / 1000, 0.01))


@pytest.mark.parametrize(
    ("points", "length", "said"),
    [
        ([[0, 0]], 100.0, "two ends"),
        ([[0, 0], [0, math.nan]], 100.0, "two ends"),
        ([[0, 0], [30, 0]], 100.0, "only 30 px"),
        ([[0, 0], [500, 0]], 0.0, "above 0"),
        ([[0, 0], [500, 0]], math.inf, "above 0"),
        ([[0, 0], [500, 0]], 100_000.0, "light microscope"),
        ([[0, 0], [500, 0]], 1.0, "light microscope"),
    ],
)
def test_a_line_that_measures_nothing_is_refused_in_words(points, length, said):
    with pytest.raises(MicrographRefused, match=said):
        scale_from_line(points, length)


def test_an_uncertainty_as_large_as_the_length_is_refused():
    with pytest.raises(MicrographRefused, match="uncertainty"):
        scale_from_line([[0, 0], [500, 0]], 100.0, 100.0)


def test_a_picture_half_as_wide_as_that_measured_has_twice_the_scale():
    assert scale_from_microscope(0.4, 2000, 4000).um_per_px == pytest.approx(0.8)
    assert scale_from_microscope(0.4, 2000).um_per_px == pytest.approx(0.4)


@pytest.mark.parametrize("width", [0, -3])
def test_a_picture_without_width_has_no_scale(width):
    with pytest.raises(MicrographRefused, match="width"):
        scale_from_microscope(0.4, width)


def test_a_stated_scale_of_millimetres_is_refused():
    with pytest.raises(MicrographRefused, match="light microscope"):
        scale_as_stated(1000.0)
    assert scale_as_stated(0.45).error_um_per_px == pytest.approx(0.0045)
