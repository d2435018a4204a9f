"""Munsell to xyY and L*a*b* and back, against the published data and against colour-science."""

import colour
import numpy as np
import pytest
from colour.notation import MUNSELL_COLOURS_ALL

from analysis.core.colour import (
    ImpossibleMunsell,
    MunsellNotation,
    OutsideRenotation,
    delta_e_2000,
    lab_to_munsell,
    munsell_to_lab,
    munsell_to_xyY,
)
from analysis.core.colour.munsell import _exact
from analysis.core.colour.notation import FAMILIES, chromatic_notation
from analysis.core.colour.renotation import chroma_limit, chromaticity, find_hue_and_chroma, luminance, value_of_luminance
from analysis.core.colour.spaces import WHITE_C, WHITE_D65, adapt

OBSERVER = "CIE 1931 2 Degree Standard Observer"
C, D65 = (colour.CCS_ILLUMINANTS[OBSERVER][name] for name in ("C", "D65"))

# Source: computed with colour-science 0.4.7 (xyY; L*a*b* on D65 after a Bradford transform from C), to the decimals shown.
CHECK_VALUES = [
    ("N9.5", (0.3101, 0.3162, 0.8776), (95.06, 0.00, 0.00)),
    ("N9", (0.3101, 0.3162, 0.7670), (90.18, 0.00, 0.00)),
    ("N8", (0.3101, 0.3162, 0.5762), (80.53, 0.00, 0.00)),
    ("N5", (0.3101, 0.3162, 0.1927), (51.00, 0.00, 0.00)),
    ("N2", (0.3101, 0.3162, 0.0305), (20.24, 0.00, 0.00)),
    ("5Y 9/1", (0.3239, 0.3333, 0.7670), (90.20, -1.19, 8.31)),
    ("10YR 9/1", (0.3246, 0.3296, 0.7670), (90.19, 0.87, 7.14)),
    ("2.5Y 8.5/2", (0.3398, 0.3478, 0.6669), (85.37, -0.18, 15.31)),
    ("5Y 8/2", (0.3394, 0.3518, 0.5762), (80.56, -1.95, 15.73)),
    ("10YR 8/3", (0.3554, 0.3554, 0.5762), (80.55, 3.27, 19.47)),
    ("10YR 7/4", (0.3778, 0.3719, 0.4199), (70.89, 5.14, 25.61)),
    ("10Y 8/6", (0.3803, 0.4216, 0.5762), (80.62, -10.85, 44.02)),
    ("7.5YR 4/4", (0.4208, 0.3809, 0.1170), (40.74, 10.69, 23.34)),
    ("5YR 3/2", (0.3771, 0.3476, 0.0639), (30.38, 7.29, 9.97)),
    ("2.5YR 3/4", (0.4360, 0.3563, 0.0639), (30.36, 16.12, 16.73)),
    ("5R 3/6", (0.4592, 0.3168, 0.0639), (30.31, 28.93, 12.49)),
    ("5R 4/14", (0.5734, 0.3057, 0.1170), (40.57, 61.29, 29.69)),
    ("5GY 6/2", (0.3288, 0.3592, 0.2930), (61.09, -7.46, 12.99)),
    ("10G 4/4", (0.2628, 0.3498, 0.1170), (40.79, -21.45, 2.17)),
    ("5B 7/2", (0.2875, 0.3078, 0.4199), (70.87, -6.40, -5.38)),
    ("5PB 4/8", (0.2103, 0.2050, 0.1170), (40.63, 2.60, -33.47)),
]


def oracle_lab(xyY):
    adapted = colour.adaptation.chromatic_adaptation_VonKries(
        colour.xyY_to_XYZ(xyY), colour.xy_to_XYZ(C), colour.xy_to_XYZ(D65), transform="Bradford"
    )
    return colour.XYZ_to_Lab(adapted, D65)


def random_notations(count, seed):
    """Notations with decimals, values 1 to 10 (where colour-science interpolates), inside the renotation."""
    generator = np.random.default_rng(seed)
    found = []
    while len(found) < count:
        hue, family = round(generator.uniform(0.1, 10), 2), FAMILIES[generator.integers(10)]
        value, chroma = round(generator.uniform(1, 9.9), 2), round(generator.uniform(0.1, 18), 2)
        if chroma <= chroma_limit(10 * FAMILIES.index(family) + hue, value):
            found.append(MunsellNotation(hue, family, value, chroma))
    return found


def hue_number(hue):
    family = hue.lstrip("0123456789.")
    return 10 * FAMILIES.index(family) + float(hue.removesuffix(family))


@pytest.mark.parametrize(("notation", "xyY", "lab"), CHECK_VALUES)
def test_the_check_values_come_out_to_every_decimal_given(notation, xyY, lab):
    assert munsell_to_xyY(notation) == pytest.approx(xyY, abs=0.5001e-4)
    assert munsell_to_lab(notation) == pytest.approx(lab, abs=0.5001e-2)


# Source: the polynomial of ASTM D1535, values computed by hand calculator and by colour-science 0.4.7 (four decimals).
@pytest.mark.parametrize(
    ("value", "percent"),
    [
        (1, 1.1799), (2, 3.0481), (3, 6.3912), (4, 11.7008), (5, 19.2718), (6, 29.3012),
        (7, 41.9854), (8, 57.6196), (8.5, 66.6863), (9, 76.6956), (9.5, 87.7559), (10, 100.0),
    ],
)  # fmt: skip
def test_the_luminance_of_a_value_is_that_of_the_standard(value, percent):
    assert 100 * float(luminance(value)) == pytest.approx(percent, abs=0.5001e-4)
    assert value_of_luminance(float(luminance(value))) == pytest.approx(value, abs=1e-12)


def test_the_luminance_agrees_with_the_renotation_of_1943_scaled_from_magnesium_oxide():
    # Source: the Y column of Newhall, Nickerson & Judd (1943), two or three decimals; ASTM D1535 multiplies it by 0.975.
    # The polynomial was fitted to that column: a part in a thousand, or the column's last decimal, is what it promises.
    for (_, value, _), (_, _, against_oxide) in MUNSELL_COLOURS_ALL:
        assert 100 * float(luminance(value)) == pytest.approx(0.975 * against_oxide, rel=1e-3, abs=1e-3)


def test_every_colour_of_the_published_renotation_is_in_the_table_to_its_last_decimal():
    # Source: the 4,995 colours of the renotation and its extensions as colour-science 0.4.7 carries them.
    published = [row for row in MUNSELL_COLOURS_ALL if row[0][1] < 10]
    assert len(published) > 4000
    ours = chromaticity(
        [hue_number(hue) for (hue, _, _), _ in published],
        [value for (_, value, _), _ in published],
        [chroma for (_, _, chroma), _ in published],
    )
    theirs = np.array([complex(x, y) for _, (x, y, _) in published]) - complex(*C)
    np.testing.assert_allclose(ours.view(float), theirs.view(float), rtol=0, atol=1e-12)


def test_random_notations_agree_with_colour_science():
    notations = random_notations(250, 11)
    ours = np.array([munsell_to_xyY(notation) for notation in notations])
    theirs = np.array([colour.munsell_colour_to_xyY(str(notation)) for notation in notations])
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-10)
    lab = np.array([munsell_to_lab(notation) for notation in notations])
    np.testing.assert_allclose(lab, oracle_lab(theirs), rtol=0, atol=1e-8)


def test_the_adaptation_is_the_bradford_transform_from_c_to_d65():
    # Source: matrix and whites as computed with colour-science 0.4.7, six and five decimals.
    matrix = np.array([[0.990420, -0.007178, -0.011569], [-0.012381, 1.015587, -0.002913], [-0.003554, 0.006753, 0.918410]])
    ours = np.array([adapt(unit, WHITE_C, WHITE_D65) for unit in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))]).T
    np.testing.assert_allclose(ours, matrix, rtol=0, atol=0.51e-6)
    assert pytest.approx((0.98071, 1, 1.18225), abs=0.51e-5) == WHITE_C
    assert pytest.approx((0.95046, 1, 1.08906), abs=0.51e-5) == WHITE_D65


def test_the_inverse_finds_again_what_the_renotation_gave():
    for notation in random_notations(400, 12):
        about_grey = complex(chromaticity(notation.hue_number, notation.value, notation.chroma)[0])
        hue, chroma = find_hue_and_chroma(about_grey, notation.value)
        assert chroma == pytest.approx(notation.chroma, abs=1e-7)
        assert (hue - notation.hue_number + 50) % 100 - 50 == pytest.approx(0, abs=1e-6)


def test_the_inverse_through_lab_keeps_hue_value_and_chroma():
    for notation in random_notations(150, 13):
        hue, value, chroma = _exact(munsell_to_lab(notation))
        assert (value, chroma) == pytest.approx((notation.value, notation.chroma), abs=1e-6)
        assert (hue - notation.hue_number + 50) % 100 - 50 == pytest.approx(0, abs=1e-4)


def test_a_notation_in_tenths_comes_back_as_itself_with_no_difference():
    for notation in random_notations(150, 14):
        tenths = chromatic_notation(
            max(round(notation.hue, 1), 0.1), notation.family, round(notation.value, 1), max(round(notation.chroma, 1), 0.1)
        )
        found = lab_to_munsell(munsell_to_lab(tenths))
        assert str(found.notation) == str(tenths)
        assert found.delta_e < 1e-6


@pytest.mark.parametrize("neutral", ["N 0", "N 0.1", "N 1", "N 5.5", "N 9.5", "N 10"])
def test_a_neutral_comes_back_as_the_neutral(neutral):
    found = lab_to_munsell(munsell_to_lab(neutral))
    assert str(found.notation) == neutral
    assert found.delta_e < 1e-6


def test_a_hue_that_rounds_to_the_start_of_the_circle_is_written_10rp():
    found = lab_to_munsell(munsell_to_lab("0.02R 5/6"))
    assert str(found.notation) == "10RP 5/6"


def test_the_difference_told_is_that_between_the_colour_and_the_notation():
    lab = (63.2, 11.7, 28.4)
    for chips in (False, True):
        found = lab_to_munsell(lab, chips=chips)
        assert found.delta_e == pytest.approx(float(delta_e_2000(lab, munsell_to_lab(found.notation))), abs=1e-12)
    assert lab_to_munsell(lab).delta_e <= lab_to_munsell(lab, chips=True).delta_e


def test_the_chip_told_is_the_nearest_of_all_chips_tried_one_by_one():
    generator = np.random.default_rng(15)
    candidates = [f"N {half / 2}" for half in range(1, 20)]
    candidates += [
        f"{hue}{family} {value}/{chroma}"
        for family in FAMILIES
        for hue in (2.5, 5, 7.5, 10)
        for value in (1, 2, 3, 4, 5, 6, 7, 8, 8.5, 9)
        for chroma in (1, 2, 4, 6, 8)
        if chroma <= chroma_limit(10 * FAMILIES.index(family) + hue, value)
    ]
    colours = np.array([munsell_to_lab(notation) for notation in candidates])
    for lab in generator.uniform((15, -12, -8), (92, 15, 25), (25, 3)):
        apart = [float(delta_e_2000(lab, other)) for other in colours]
        found = lab_to_munsell(tuple(lab), chips=True)
        assert found.delta_e == pytest.approx(min(apart), abs=1e-9)
        assert found.notation.chroma <= 8


def test_a_colour_more_saturated_than_the_renotation_is_refused_and_still_has_a_nearest_chip():
    with pytest.raises(OutsideRenotation, match=r"lies outside the renotation: no Munsell notation is that saturated\."):
        lab_to_munsell((90.0, 90.0, -90.0))
    assert lab_to_munsell((90.0, 90.0, -90.0), chips=True).delta_e > 5


@pytest.mark.parametrize("lab", [(101.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (float("nan"), 0.0, 0.0), (50.0, float("inf"), 0.0)])
def test_what_is_no_colour_of_a_surface_is_refused(lab):
    for chips in (False, True):
        with pytest.raises(OutsideRenotation, match="no colour of a surface"):
            lab_to_munsell(lab, chips=chips)


def test_a_notation_built_by_hand_outside_the_renotation_is_refused():
    with pytest.raises(ImpossibleMunsell, match="outside the renotation"):
        munsell_to_lab(MunsellNotation(5.0, "R", 4.0, 30.0))


def test_between_table_entries_the_limit_is_the_lowest_of_the_neighbours():
    # From the published data: 5R 4/ ends at the highest chroma listed for it.
    highest = max(chroma for (hue, value, chroma), _ in MUNSELL_COLOURS_ALL if (hue, value) == ("5R", 4))
    assert chroma_limit(5, 4) == highest
    corners = [chroma_limit(hue, value) for hue in (5, 7.5) for value in (4, 5)]
    assert chroma_limit(6, 4.5) == min(corners)


def test_the_table_is_small_enough_to_ship():
    from importlib.resources import files

    assert len(files("analysis.core.colour").joinpath("renotation.npz").read_bytes()) < 60_000
