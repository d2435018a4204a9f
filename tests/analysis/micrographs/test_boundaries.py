"""Boundaries: fits against a slow obvious twin, places against the drawing, and what is no boundary."""

from itertools import pairwise

import numpy as np
import pytest

from analysis.core.colour.spaces import WHITE_D65, lab_to_xyz
from analysis.core.micrographs import boundaries, find_boundaries, uncalibrated
from analysis.core.micrographs.boundaries import LEAST_CONFIDENCE, _pruned, _without, in_light, signal_of, xyz
from analysis.core.micrographs.edges import BREADTH, Edge, Signal, levels, misfit, misfits, refined, shape
from tests.analysis.micrographs.drawings import drawn, read_profile, stepped, upward


def slow_misfit(signal, edges, window, kink):
    """Chi square by ordinary least squares, row by row, with the restraints written out as rows of their own."""
    low, high = window
    z = np.arange(low, high, dtype=float)
    columns = [np.ones_like(z), z - kink, np.maximum(z - kink, 0)]
    columns += [shape(z, edge.at, edge.spread) for edge in edges if low - 3 * edge.spread < edge.at < high + 3 * edge.spread]
    design = np.array(columns).T
    known = [1 / 200.0, 1 / 0.02, 1 / 0.15] + [1 / 200.0] * (len(columns) - 3)
    total = 0.0
    for light in range(signal.errors.shape[1]):
        for channel in range(3 * light, 3 * light + 3):
            y = signal.colours[low:high, channel]
            weighted = np.vstack((design / signal.errors[low:high, light, None], np.diag(known)))
            target = np.concatenate(((y - y.mean()) / signal.errors[low:high, light], np.zeros(len(known))))
            found = np.linalg.lstsq(weighted, target, rcond=None)[0]
            total += float(np.sum((target - weighted @ found) ** 2))
    return total


def noisy(seed, uv):
    return signal_of(stepped(seed=seed, uv=uv))


@pytest.mark.parametrize("uv", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_what_is_left_unexplained_is_that_of_plain_least_squares(seed, uv):
    signal = noisy(seed, uv)
    edges = [Edge(39.4, 1.0), Edge(69.7, 0.7), Edge(77.5, 0.7), Edge(129.5, 2.0)]
    for window in ((20, 100), (0, 200), (100, 160)):
        assert misfit(signal, edges, window, 77.5) == pytest.approx(slow_misfit(signal, edges, window, 77.5), rel=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_candidates_weighed_together_weigh_what_they_weigh_alone(seed):
    signal = noisy(seed, True)
    edges = [Edge(39.4, 1.0), Edge(69.7, 0.7), Edge(77.5, 0.7)]
    ats, spreads = np.array((66.0, 69.5, 70.2, 73.0)), np.array((0.7, 1.4, 0.4, 2.8))
    found = misfits(signal, edges, 1, ats, spreads, (30, 110), 69.7)
    for at, spread, left in zip(ats, spreads, found, strict=True):
        alone = slow_misfit(signal, [edges[0], Edge(at, spread), edges[2]], (30, 110), 69.7)
        assert left == pytest.approx(alone, rel=1e-4)


def test_an_edge_moves_to_where_it_was_drawn_and_takes_its_breadth():
    z = np.arange(120.0)
    lightness = 30 + 50 * shape(z, 61.3, 2.4)
    signal = Signal(np.stack((lightness, 0 * z, 0 * z), axis=1), np.full((120, 1), 0.3))
    found = refined(signal, [Edge(58.0, 1.0)], 0, 4.0)
    assert found.at == pytest.approx(61.3, abs=0.06)
    assert found.spread == pytest.approx(2.4, abs=0.25)
    below, above = levels(signal, [found], 0)
    assert (below[0], above[0]) == pytest.approx((30, 80), abs=0.6)


def test_light_is_that_of_the_colour_kernel():
    for lab in ((0.0, 0.0, 0.0), (5.0, 1.0, -2.0), (50.0, 20.0, -30.0), (96.0, -3.0, 8.0)):
        known = np.array(lab_to_xyz(lab)) / WHITE_D65 * 100
        assert np.abs(xyz(np.array(lab)) - known).max() < 1e-6


def test_a_blurred_boundary_is_placed_where_light_is_halved_not_lightness():
    # Half the light of white upon black is L* 76, far up the flank that lightness has.
    z = np.arange(160.0)
    y = 0.01 + 0.79 * shape(z, 80.0, 3.0)
    lab = np.stack((116 * np.cbrt(y) - 16, 0 * z, 0 * z), axis=1)
    profile = stepped(n=160)
    blurred = type(profile)(0.0, 159.0, tuple(map(tuple, lab.tolist())), None, (0.1,) * 160, (), (0.0, 159.0), 0.0, 0.1, False)
    (found,) = find_boundaries(blurred)
    assert found.at_px == pytest.approx(80.0, abs=0.3)
    assert found.breadth_px == pytest.approx(3.0 * BREADTH, rel=0.2)
    assert in_light(blurred).colours.shape == (160, 3)


@pytest.mark.parametrize("slope", [0.0, 0.35])
@pytest.mark.parametrize("width", [15.0, 80.0])
def test_drawn_layers_are_found_where_they_were_drawn(slope, width):
    found = find_boundaries(read_profile(drawn(slope=slope), upward(width_px=width), uncalibrated()))
    # The line starts in row 370; what lies beyond the drawing's own boundaries is one colour each.
    assert [each.at_px for each in found] == pytest.approx([370 - row for row in (330, 290, 240, 160, 90)], abs=0.5)
    assert all(each.confidence > 0.9 and not each.by_hand for each in found)


def test_one_colour_has_no_boundary_even_where_the_light_falls_off():
    rows = np.linspace(0.8, 1.0, 400)[:, None, None]
    rng = np.random.default_rng(5)
    even = np.clip(np.round(190 * rows + rng.normal(0, 4, (400, 300, 3))), 0, 255).astype(np.uint8)
    assert find_boundaries(read_profile(even, upward(), uncalibrated())) == ()


def test_a_step_that_nobody_could_see_is_no_boundary():
    # Half a unit of L*: the noise of a mean over 100 samples shows it, the eye does not.
    assert find_boundaries(stepped((100,), (70.0, 70.5))) == ()
    assert len(find_boundaries(stepped((100,), (70.0, 74.0)))) == 1


def test_a_step_in_uv_alone_is_a_boundary():
    from dataclasses import replace

    plain = stepped((), (80.0,))
    glow = stepped((120,), (20.0, 60.0)).lab
    (found,) = find_boundaries(replace(plain, uv=glow, uv_noise=(0.2,) * 200))
    assert found.at_px == pytest.approx(119.5, abs=0.5)
    assert found.delta_e < 1 < found.uv_delta_e


def test_a_thin_dark_line_between_two_whites_has_two_boundaries():
    found = find_boundaries(stepped((100, 105), (90.0, 30.0, 90.0)))
    assert [each.at_px for each in found] == pytest.approx([99.5, 104.5], abs=0.5)


@pytest.mark.parametrize("seed", range(3))
def test_boundaries_follow_each_other_and_say_how_sure_they_are(seed):
    found = find_boundaries(stepped(noise=1.5, seed=seed))
    assert all(after.at_px > before.at_px for before, after in pairwise(found))
    assert all(LEAST_CONFIDENCE <= each.confidence < 1 and each.error_px > 0 and each.breadth_px > 0 for each in found)


@pytest.mark.parametrize("seed", range(4))
def test_a_boundary_that_was_taken_out_never_comes_back(seed, monkeypatch):
    # A wavering colour with many change points. What was left when a boundary was weighed long ago is not what is left now: handed back,
    # it brings others in again that were taken out since, and there is no end to it.
    colours = np.cumsum(np.random.default_rng(seed).normal(0, 0.5, (400, 3)), axis=0)
    weighed = []

    def counted(signal, edges, number):
        weighed.append(len(edges))
        assert len(weighed) < 5000
        return _without(signal, edges, number)

    monkeypatch.setattr(boundaries, "_without", counted)
    left = _pruned(Signal(colours, np.full((400, 1), 1.0)), [Edge(float(at), 0.7) for at in range(6, 396, 6)])
    assert weighed[0] == 65
    assert 0 < len(left) < 60
    assert all(after <= before for before, after in pairwise(weighed))


def test_a_faint_boundary_that_drowns_in_the_grain_of_a_narrow_strip_is_found_in_a_broad_one():
    # A step of 2 in L* under an error of 6 is two and a half standard errors of a mean over 100 px on either side; under a quarter, as in
    # a strip 16 times as broad, ten.
    narrow, wide = (stepped((100,), (70.0, 72.0), noise=noise, seed=3) for noise in (6.0, 1.5))
    assert find_boundaries(narrow) == ()
    (found,) = find_boundaries(narrow, wide)
    assert found.at_px == pytest.approx(99.5, abs=4.0)  # what the line's own strip says of it is faint


def test_a_boundary_lies_where_it_lies_on_the_line_and_not_where_it_lies_beside_it():
    # Surfaces wave: on the broader strip the same boundary lies one pixel lower.
    (found,) = find_boundaries(stepped((100,), (40.0, 80.0)), stepped((99,), (40.0, 80.0)))
    assert found.at_px == pytest.approx(99.5, abs=0.25)
