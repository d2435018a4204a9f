"""Colour targets: the published values of their patches, against an independent table and its own adaptation."""

import colour
import numpy as np
import pytest
from colour.characterisation import CCS_COLOURCHECKERS

from analysis.core.targets import BY_NAME, TARGETS, patch_labs


def test_the_24_patches_are_those_that_colour_science_holds_brought_to_d65_by_its_own_bradford_transform():
    table = CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    d65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    for patch, published in zip(BY_NAME["24-patch chart"].patches, table.data.values(), strict=True):
        xyz = colour.adaptation.chromatic_adaptation_VonKries(
            colour.xyY_to_XYZ(published), colour.xy_to_XYZ(table.illuminant), colour.xy_to_XYZ(d65), transform="Bradford"
        )
        # Two decimals of the published L*a*b*, and the last digits of both whites.
        assert np.allclose(patch.lab, colour.XYZ_to_Lab(xyz, d65), atol=0.05), patch.name


def test_a_grey_card_of_18_per_cent_is_l_49_5():
    """116 · 0.18^(1/3) − 16 = 49.496 (CIE 15:2018, equation 8.3)."""
    assert BY_NAME["grey card"].patches[0].lab == (49.5, 0.0, 0.0)


def test_a_step_of_density_is_a_factor_of_the_tenth_root_of_ten():
    """Of reflectance, which follows from L* in two decimals: 3 · 0.005 · 2 / (46 + 16) = 0.0005."""
    greys = [((patch.lab[0] + 16) / 116) ** 3 for patch in BY_NAME["grey scale"].patches[:9]]
    assert np.allclose(np.array(greys[1:]) / np.array(greys[:-1]), 10**-0.1, rtol=5e-4)


def test_every_target_tells_where_its_values_come_from_and_names_each_patch_once():
    for target in TARGETS:
        names = [patch.name for patch in target.patches]
        assert target.source
        assert len(set(names)) == len(names)


def test_patches_are_taken_in_order_or_by_name_and_own_values_win():
    found = patch_labs("white and grey card", [{"box": []}, {"name": "white"}, {"name": "grey", "lab": [50, 1, 2]}])
    assert found == [("white", (96.0, 0.0, 0.0)), ("white", (96.0, 0.0, 0.0)), ("grey", (50.0, 1.0, 2.0))]


@pytest.mark.parametrize(
    ("name", "patch", "words"),
    [("grey card", {"name": "red"}, "has no 'red'"), ("something", {}, "is no target that is known here")],
)
def test_a_patch_whose_colour_nobody_knows_is_told_in_words(name, patch, words):
    assert words in patch_labs(name, [patch])
