"""L*a*b* to the screen: the figures of IEC 61966-2-1, colour-science as a second reader, and honesty out of gamut."""

import math

import colour
import numpy as np
import pytest

from analysis.core.colour import lab_to_srgb, munsell_to_lab
from analysis.core.colour.spaces import WHITE_D65, lab_to_xyz, xyz_to_lab

D65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]


def lab_of_hex(text):
    """The standard's other direction, RGB to XYZ, with its printed matrix, then CIE 1976 L*a*b* written out."""
    levels = [int(text[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    r, g, b = (level / 12.92 if level <= 0.04045 else ((level + 0.055) / 1.055) ** 2.4 for level in levels)
    # Source: IEC 61966-2-1:1999, RGB to XYZ, four decimals.
    x = 0.4124 * r + 0.3576 * g + 0.1805 * b
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    z = 0.0193 * r + 0.1192 * g + 0.9505 * b

    def f(t):
        return t ** (1 / 3) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116

    fx, fy, fz = f(x / (0.3127 / 0.3290)), f(y), f(z / (0.3583 / 0.3290))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


@pytest.mark.parametrize("text", ["#000000", "#ffffff", "#808080", "#0a0a0a", "#c7a97f", "#346a5c", "#743335", "#e4dcc8", "#123456"])
def test_the_standards_own_matrix_leads_back_to_the_same_screen_colour(text):
    answer = lab_to_srgb(lab_of_hex(text))
    assert answer.in_gamut
    assert answer.hex == text


# Source: computed with colour-science 0.4.7 (Bradford from C to D65, IEC 61966-2-1).
@pytest.mark.parametrize(
    ("munsell", "text"),
    [
        ("N9.5", "#f1f1f1"), ("N9", "#e3e3e3"), ("N8", "#c8c8c8"), ("N5", "#797979"), ("N2", "#313131"), ("5Y 9/1", "#e7e3d3"),
        ("10YR 9/1", "#ebe2d5"), ("2.5Y 8.5/2", "#e1d4b9"), ("5Y 8/2", "#d0c8ab"), ("10YR 8/3", "#dcc5a4"), ("10YR 7/4", "#c7a97f"),
        ("10Y 8/6", "#d0cc74"), ("7.5YR 4/4", "#7c593a"), ("5YR 3/2", "#584338"), ("2.5YR 3/4", "#663d2e"), ("5R 3/6", "#743335"),
        ("5R 4/14", "#bc1a33"), ("5GY 6/2", "#8f977c"), ("10G 4/4", "#346a5c"), ("5B 7/2", "#9bb1b7"), ("5PB 4/8", "#376196"),
    ],
)  # fmt: skip
def test_the_chips_have_the_screen_colours_of_colour_science(munsell, text):
    answer = lab_to_srgb(munsell_to_lab(munsell))
    assert answer == (text, True)


def test_the_middle_grey_worked_by_hand():
    # L* 50: Y = ((50 + 16) / 116)**3 = 0.18419; 1.055 * 0.18419**(1 / 2.4) - 0.055 = 0.46633; times 255 = 118.9, that is 119 = 0x77.
    assert lab_to_srgb((50.0, 0.0, 0.0)).hex == "#777777"


def test_random_colours_agree_with_colour_science_on_gamut_and_level():
    generator = np.random.default_rng(21)
    shown = 0
    for lab in generator.uniform((0, -100, -100), (100, 100, 100), (400, 3)):
        levels = 255 * colour.XYZ_to_sRGB(colour.Lab_to_XYZ(lab, D65))
        inside = bool(np.all((levels >= -0.5) & (levels < 255.5)))
        answer = lab_to_srgb(tuple(lab))
        assert answer.in_gamut == inside
        if inside:
            shown += 1
            ours = [int(answer.hex[start : start + 2], 16) for start in (1, 3, 5)]
            # The standard's matrix has four decimals: that can tip a level that lies between two whole numbers.
            assert np.max(np.abs(ours - levels)) < 0.6
    assert 50 < shown < 350


@pytest.mark.parametrize("lab", [(50.0, 120.0, 0.0), (30.0, 10.0, -110.0), (85.0, -120.0, 60.0), (95.0, 30.0, 30.0), (8.0, 40.0, 5.0)])
def test_out_of_gamut_is_flagged_and_shown_at_the_same_lightness_and_hue_with_less_chroma(lab):
    answer = lab_to_srgb(lab)
    assert not answer.in_gamut
    shown = lab_of_hex(answer.hex)
    assert shown[0] == pytest.approx(lab[0], abs=0.5)
    assert math.hypot(*shown[1:]) < math.hypot(*lab[1:])
    hue, wanted = math.atan2(shown[2], shown[1]), math.atan2(lab[2], lab[1])
    assert math.degrees(abs(math.remainder(hue - wanted, math.tau))) < 3
    # Nearest: the colour shown has a channel at the end of its range.
    assert {"00", "ff"} & {answer.hex[start : start + 2] for start in (1, 3, 5)}


@pytest.mark.parametrize(("lab", "text"), [((105.0, 0.0, 0.0), "#ffffff"), ((-3.0, 0.0, 0.0), "#000000")])
def test_a_lightness_beyond_white_or_black_is_flagged(lab, text):
    assert lab_to_srgb(lab) == (text, False)


def test_a_colour_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="no number"):
        lab_to_srgb((50.0, float("nan"), 0.0))


def test_lab_and_xyz_lead_back_to_each_other_and_agree_with_colour_science():
    generator = np.random.default_rng(22)
    for lab in generator.uniform((0, -80, -80), (100, 80, 80), (200, 3)):
        xyz = lab_to_xyz(tuple(lab))
        np.testing.assert_allclose(xyz, colour.Lab_to_XYZ(lab, D65), rtol=0, atol=1e-12)
        np.testing.assert_allclose(xyz_to_lab(xyz), lab, rtol=0, atol=1e-9)
    assert xyz_to_lab(WHITE_D65) == pytest.approx((100, 0, 0), abs=1e-12)
