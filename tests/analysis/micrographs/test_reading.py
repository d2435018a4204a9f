"""Readings of drawn and of invented sections: layers, thicknesses by geometry, ends, words and cautions."""

import json

import numpy as np
import pytest

from analysis.core.colour import munsell_to_lab
from analysis.core.micrographs import Line, Reading, from_plain, plain, read_line, register, scale_as_stated, to_lab, uncalibrated
from analysis.core.micrographs.glow import colour_of, strength_of
from analysis.core.micrographs.stacking import medoid
from analysis.core.vocabulary import LOWER_BOUNDARIES, UV_STRENGTHS
from tests.analysis.micrographs.drawings import STACK, drawn, upward
from tests.sections import UNTOUCHED, invent, render
from tests.sections.scoring import score


@pytest.fixture(scope="module")
def plain_reading():
    return read_line(drawn(), upward(), scale_as_stated(0.5))


def test_layers_have_the_colours_and_thicknesses_of_the_drawing(plain_reading):
    assert [layer.number for layer in plain_reading.layers] == [1, 2, 3, 4]
    assert [layer.thickness_um for layer in plain_reading.layers] == pytest.approx([20, 25, 40, 35], abs=0.4)
    for layer, colour in zip(plain_reading.layers, STACK[1:], strict=False):
        assert np.abs(np.array(layer.lab) - to_lab(np.array(colour) / 255, uncalibrated())).max() < 1.0
        assert np.abs(np.array(munsell_to_lab(layer.munsell)) - layer.lab).max() < 3
        assert layer.munsell_delta_e < 1
        assert layer.lower_boundary in LOWER_BOUNDARIES
        assert (layer.uv_lab, layer.uv_colour, layer.uv_strength) == (None, "", "")


@pytest.mark.parametrize("tilt", [-25.0, 15.0, 30.0])
def test_thickness_is_normal_to_layers_that_lean(tilt):
    # Boundaries 40 px apart along the line, leaning by the tilt, are 40 cos(tilt) px apart across themselves.
    reading = read_line(drawn(slope=-np.tan(np.radians(tilt))), upward(), scale_as_stated(0.5))
    first = reading.layers[0]
    assert first.along_um == pytest.approx(20, abs=0.4)
    assert first.thickness_um == pytest.approx(20 * np.cos(np.radians(tilt)), abs=0.4)
    assert any("lean by" in caution for caution in reading.cautions)


def test_the_error_of_a_thickness_holds_that_of_the_scale():
    thick = read_line(drawn(), upward(), scale_as_stated(0.5)).layers[2]
    assert thick.thickness_error_um >= 0.01 * thick.thickness_um


def test_what_the_line_begins_and_ends_in_is_offered_as_no_layer(plain_reading):
    below, above = plain_reading.ends
    assert (below.which, above.which) == ("below", "above")
    assert (below.from_px, below.to_px) == pytest.approx((0, 40), abs=0.5)
    assert (above.from_px, above.to_px) == pytest.approx((280, 330), abs=0.5)
    assert "substrate" in below.sentence
    assert "resin" in above.sentence


def test_a_line_that_begins_at_the_substrate_has_no_end_below():
    reading = read_line(drawn(), upward(start=329.0, end=92.0), scale_as_stated(0.5))
    assert reading.ends == ()
    assert len(reading.layers) == 4
    # It began a px late: the layer is as thick as it is all the same.
    assert reading.layers[0].thickness_um == pytest.approx(20, abs=0.4)


def test_without_scale_and_target_the_reading_says_so():
    reading = read_line(drawn(), upward(width_px=5.0))
    assert reading.layers[0].thickness_um is None
    assert reading.layers[0].boundary_um is None
    said = " ".join(reading.cautions)
    assert all(part in said for part in ("uncalibrated", "no scale", "5 px broad", "never a paint match"))
    assert "Ultraviolet" not in said


def test_the_usual_caution_on_ultraviolet_stands_where_uv_is_shown():
    reading = read_line(drawn(), upward(), None, None, drawn(colours=tuple(reversed(STACK))))
    assert any(caution.startswith("Ultraviolet") for caution in reading.cautions)
    assert reading.uv_status == "uncalibrated"
    assert {layer.uv_strength for layer in reading.layers} <= set(UV_STRENGTHS)
    assert all(layer.uv_colour for layer in reading.layers)


def test_a_line_through_one_colour_proposes_nothing_and_says_what_to_do():
    even = np.full((400, 300, 3), 150, np.uint8)
    reading = read_line(even, upward(), scale_as_stated(0.5))
    assert (reading.layers, reading.boundaries) == ((), ())
    assert any("set boundaries" in caution for caution in reading.cautions)


def test_a_reading_goes_through_json_and_comes_back(plain_reading):
    assert from_plain(Reading, json.loads(json.dumps(plain(plain_reading)))) == plain_reading


def test_the_same_picture_and_line_give_the_same_reading(plain_reading):
    assert read_line(drawn(), upward(), scale_as_stated(0.5)) == plain_reading


def test_a_medoid_is_one_of_the_colours_and_not_their_mean():
    colours = ((50.0, 0.0, 0.0), (51.0, 0.0, 0.0), (90.0, 0.0, 0.0))
    assert medoid(colours, 0, 2)[0] == (51.0, 0.0, 0.0)
    assert medoid(colours, 1.8, 1.2)[0] in colours


@pytest.mark.parametrize(
    ("lab", "strength", "colour"),
    [
        ((5.0, 0.0, 0.0), "none", "dark"),
        ((12.0, 10.0, -28.0), "none", "dark violet"),
        ((25.0, 10.0, -26.0), "weak", "dull violet"),
        ((30.0, 1.0, 1.0), "weak", "dull white"),
        ((55.0, -2.0, 4.0), "moderate", "milky white"),
        ((62.0, -4.0, -12.0), "strong", "bluish white"),
        ((50.0, 2.0, 14.0), "moderate", "yellowish white"),
        ((78.0, -18.0, 40.0), "strong", "yellow-green"),
        ((42.0, 22.0, 40.0), "moderate", "orange"),
    ],
)
def test_a_response_has_the_words_of_the_trade(lab, strength, colour):
    assert (strength_of(lab), colour_of(lab)) == (strength, colour)


def test_invented_sections_with_untouched_seeds_are_read_well_enough():
    """The issue's bounds, on a few sections; `tests.bench.score_sections` has all of them."""
    layers = right = proposed = false = 0
    for seed in UNTOUCHED[:4]:
        section = invent(seed)
        truth, pictures = section.truth(), render(section)
        registration = register(pictures.visible, pictures.uv)
        line = Line(pictures.line, section.width_px)
        reading = read_line(pictures.visible, line, scale_as_stated(section.um_per_px), None, pictures.uv, registration)
        found = score(section, truth, [each.at_px for each in reading.boundaries])
        layers, right = layers + found.layers, right + found.layers_right
        proposed, false = proposed + found.proposed, false + len(found.false)
    assert layers >= 20
    assert right >= 0.9 * layers
    assert false <= 0.05 * proposed
