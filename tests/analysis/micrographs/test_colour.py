"""Colour targets against colour-science, and cameras whose fault is known."""

import colour
import numpy as np
import pytest

from analysis.core.micrographs import TARGETS, MicrographRefused, Patch, correct_colours, target_patches, to_lab, uncalibrated
from analysis.core.micrographs.colour import linearised

D65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
PUBLISHED = {
    TARGETS[1]: colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"],
    TARGETS[2]: colour.CCS_COLOURCHECKERS["ColorChecker24 - Before November 2014"],
}
# What a camera with dyes of its own makes of linear sRGB: each channel sees something of the others, and the light is warm.
CAMERA = np.array(((0.78, 0.18, 0.04), (0.10, 0.72, 0.08), (0.02, 0.14, 0.50)))


PLAIN = np.eye(3)


def encoded(light):
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)


def linear_srgb(lab):
    """By colour-science, not by the kernel."""
    return np.clip(colour.XYZ_to_sRGB(colour.Lab_to_XYZ(lab, D65), D65, apply_cctf_encoding=False), 0, 1)


def photographed(labs, camera=PLAIN, noise=0.0, linear=False, bits=8):
    """Patches of 20 × 20 px in a row, and where they lie."""
    rng = np.random.default_rng(3)
    light = np.concatenate([np.tile(camera @ linear_srgb(lab), (24, 24, 1)) for lab in labs], axis=1) * 0.9
    light = np.clip(light + rng.normal(0, noise, light.shape), 0, 1)
    seen = light if linear else encoded(light)
    picture = np.round(seen * (2**bits - 1)).astype(np.uint8 if bits == 8 else np.uint16)
    return picture, [(24 * number + 2, 2, 20, 20) for number in range(len(labs))]


def patches(names_and_labs, boxes):
    return [Patch(name, box, lab) for (name, lab), box in zip(names_and_labs, boxes, strict=True)]


@pytest.mark.parametrize("target", list(PUBLISHED))
def test_the_24_patches_are_those_of_colour_science_carried_to_d65_by_bradford(target):
    published = PUBLISHED[target]
    for (name, lab), (known, xyy) in zip(target_patches(target), published.data.items(), strict=True):
        xyz = colour.chromatic_adaptation(
            colour.xyY_to_XYZ(xyy), colour.xy_to_XYZ(published.illuminant), colour.xy_to_XYZ(D65), method="Von Kries", transform="Bradford"
        )
        assert known.startswith(name)
        assert np.abs(colour.XYZ_to_Lab(xyz, D65) - lab).max() < 0.05


def test_the_grey_card_is_of_18_percent():
    (name, lab), *more = target_patches(TARGETS[0])
    assert (name, more, lab[1:]) == ("grey card", [], (0.0, 0.0))
    assert colour.Lab_to_XYZ(lab, D65)[1] == pytest.approx(0.18, abs=1e-4)


def test_an_unknown_target_is_refused_with_those_known():
    with pytest.raises(MicrographRefused, match="grey card"):
        target_patches("a postcard")


def test_colours_of_srgb_are_those_of_colour_science():
    rgb = np.random.default_rng(0).uniform(0, 1, (200, 3))
    known = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb), D65)
    assert np.abs(to_lab(rgb, uncalibrated()) - known).max() < 0.06
    assert np.abs(linearised(rgb) - colour.cctf_decoding(rgb, "sRGB")).max() < 1e-9


# Eight bits proportional to light leave the black patch only seven steps: nobody photographs so.
@pytest.mark.parametrize(("linear", "bits"), [(False, 8), (False, 16), (True, 16)])
def test_a_camera_with_channels_that_mix_is_undone(linear, bits):
    known = target_patches(TARGETS[1])
    picture, boxes = photographed([lab for _, lab in known], CAMERA, 0.002, linear, bits)
    found = correct_colours(picture, patches(known, boxes), linear)
    assert found.status == "calibrated"
    # One cyan of the target lies outside sRGB and was clipped when it was photographed; the others come out to within a unit.
    assert sorted(each.delta_e for each in found.patches)[-2] < 1.5
    assert found.mean_delta_e < 0.8
    assert found.mean_left_out >= found.mean_delta_e
    expected = np.linalg.inv(CAMERA * 0.9)
    assert np.abs(np.array(found.matrix) - expected).max() < 0.15


def test_a_grey_card_takes_the_cast_out_and_says_that_it_is_no_calibration():
    grey = (("grey card", (49.5, 0.0, 0.0)),)
    picture, boxes = photographed([(49.5, 0.0, 0.0)], np.diag((0.9, 0.7, 0.45)))
    found = correct_colours(picture, patches(grey, boxes))
    assert found.status == "white-balanced"
    assert "White-balanced only" in found.sentence
    assert np.abs(to_lab(picture[5, 5] / 255, found) - (49.5, 0, 0)).max() < 0.5
    assert found.mean_left_out is None
    # One patch is always met: that tells nothing of the others, and is not told as an error of 0.
    assert (found.mean_delta_e, found.max_delta_e) == (None, None)
    assert found.sentence.endswith("from one patch, which nothing checks. Mark another to be told what it leaves of error.")
    assert np.count_nonzero(np.array(found.matrix)) == 3


def test_a_grey_scale_says_what_a_grey_that_it_has_not_seen_comes_out_as():
    scale = tuple((f"grey {step}", (float(step), 0.0, 0.0)) for step in (30, 50, 70, 90))
    picture, boxes = photographed([lab for _, lab in scale], np.diag((0.9, 0.7, 0.6)))
    found = correct_colours(picture, patches(scale, boxes))
    assert (found.status, len(found.patches)) == ("white-balanced", 4)
    assert max(each.left_out for each in found.patches) < 1.0


def test_a_target_whose_colours_contradict_the_picture_has_a_large_residual():
    known = target_patches(TARGETS[1])
    picture, boxes = photographed([lab for _, lab in known])
    turned = [Patch(name, box, lab) for (name, _), box, (_, lab) in zip(known, boxes, known[5:] + known[:5], strict=True)]
    found = correct_colours(picture, turned)
    assert found.mean_left_out > 10


def test_without_a_target_colours_are_uncalibrated():
    assert uncalibrated().status == "uncalibrated"
    assert "Uncalibrated" in uncalibrated().sentence


def one_patch(picture, box=(4, 4, 12, 12), lab=(60.0, 0.0, 0.0)):
    return correct_colours(picture, [Patch("grey", box, lab)])


def test_what_is_no_patch_is_refused_in_words():
    even = np.full((40, 40, 3), 120, np.uint8)
    clipped, black, shadow = even.copy(), even.copy(), even.copy()
    clipped[6:10, :, 0] = 255
    black[:] = 0
    shadow[:, :10] = 50
    for picture, said in ((clipped, "overexposed"), (black, "is black"), (shadow, "uneven")):
        with pytest.raises(MicrographRefused, match=said):
            one_patch(picture)
    for box, said in (((30, 30, 12, 12), "outside"), ((-1, 0, 8, 8), "outside"), ((4, 4, 3, 12), "smaller")):
        with pytest.raises(MicrographRefused, match=said):
            one_patch(even, box)
    with pytest.raises(MicrographRefused, match="no colour of a surface"):
        one_patch(even, lab=(140.0, 0.0, 0.0))
    with pytest.raises(MicrographRefused, match="No patch"):
        correct_colours(even, [])
    with pytest.raises(MicrographRefused, match="neutral patch"):
        one_patch(even, lab=(60.0, 40.0, 0.0))


def test_what_is_no_picture_is_refused():
    with pytest.raises(MicrographRefused, match="no picture"):
        one_patch(np.zeros((4, 4, 3, 2), np.uint8))
    with pytest.raises(MicrographRefused, match="8 or 16 bits"):
        one_patch(np.full((40, 40, 3), 120, np.int64))
