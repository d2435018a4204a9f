"""CIEDE2000 against the published pairs, and against a plain one-pair-at-a-time twin."""

import math

import numpy as np
import pytest

from analysis.core.colour import delta_e_2000

# Source: G. Sharma, W. Wu and E. N. Dalal, Color Research & Application 30 (2005) 21-30, table 1 (34 pairs, four decimals).
PUBLISHED_PAIRS = [
    ((50.0000, 2.6772, -79.7751), (50.0000, 0.0000, -82.7485), 2.0425),
    ((50.0000, 3.1571, -77.2803), (50.0000, 0.0000, -82.7485), 2.8615),
    ((50.0000, 2.8361, -74.0200), (50.0000, 0.0000, -82.7485), 3.4412),
    ((50.0000, -1.3802, -84.2814), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -1.1848, -84.8006), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -0.9009, -85.5211), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, 0.0000, 0.0000), (50.0000, -1.0000, 2.0000), 2.3669),
    ((50.0000, -1.0000, 2.0000), (50.0000, 0.0000, 0.0000), 2.3669),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0009), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0010), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0011), 7.2195),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0012), 7.2195),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0009, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0010, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0011, -2.4900), 4.7461),
    ((50.0000, 2.5000, 0.0000), (50.0000, 0.0000, -2.5000), 4.3065),
    ((50.0000, 2.5000, 0.0000), (73.0000, 25.0000, -18.0000), 27.1492),
    ((50.0000, 2.5000, 0.0000), (61.0000, -5.0000, 29.0000), 22.8977),
    ((50.0000, 2.5000, 0.0000), (56.0000, -27.0000, -3.0000), 31.9030),
    ((50.0000, 2.5000, 0.0000), (58.0000, 24.0000, 15.0000), 19.4535),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.1736, 0.5854), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2972, 0.0000), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 1.8634, 0.5757), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2592, 0.3350), 1.0000),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


def slow_delta_e_2000(lab1, lab2):
    """The same paper's equations 2 to 22, one pair, no arrays, written apart from the kernel."""
    (l1, a1, b1), (l2, a2, b2) = lab1, lab2
    mean_c_ab = (math.sqrt(a1 * a1 + b1 * b1) + math.sqrt(a2 * a2 + b2 * b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean_c_ab**7 / (mean_c_ab**7 + 25**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = math.sqrt(a1 * a1 + b1 * b1), math.sqrt(a2 * a2 + b2 * b2)
    h1 = 0.0 if c1 == 0 else math.degrees(math.atan2(b1, a1)) % 360
    h2 = 0.0 if c2 == 0 else math.degrees(math.atan2(b2, a2)) % 360
    if c1 * c2 == 0:
        dh, mean_h = 0.0, h1 + h2
    else:
        dh = h2 - h1
        if dh > 180:
            dh -= 360
        elif dh < -180:
            dh += 360
        if abs(h1 - h2) <= 180:
            mean_h = (h1 + h2) / 2
        elif h1 + h2 < 360:
            mean_h = (h1 + h2 + 360) / 2
        else:
            mean_h = (h1 + h2 - 360) / 2
    big_dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(dh / 2))
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * math.cos(math.radians(mean_h - 30))
        + 0.24 * math.cos(math.radians(2 * mean_h))
        + 0.32 * math.cos(math.radians(3 * mean_h + 6))
        - 0.20 * math.cos(math.radians(4 * mean_h - 63))
    )
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)
    s_c = 1 + 0.045 * mean_c
    s_h = 1 + 0.015 * mean_c * t
    r_c = 2 * math.sqrt(mean_c**7 / (mean_c**7 + 25**7))
    r_t = -math.sin(math.radians(60 * math.exp(-(((mean_h - 275) / 25) ** 2)))) * r_c
    l_term, c_term, h_term = (l2 - l1) / s_l, (c2 - c1) / s_c, big_dh / s_h
    return math.sqrt(l_term**2 + c_term**2 + h_term**2 + r_t * c_term * h_term)


@pytest.mark.parametrize(("first", "second", "published"), PUBLISHED_PAIRS)
def test_the_published_pair_comes_out_to_four_decimals_either_way_round(first, second, published):
    assert float(delta_e_2000(first, second)) == pytest.approx(published, abs=0.50001e-4)
    assert float(delta_e_2000(second, first)) == pytest.approx(published, abs=0.50001e-4)


def test_all_published_pairs_are_here():
    assert len(PUBLISHED_PAIRS) == 34


def seeded_colours(count, seed):
    generator = np.random.default_rng(seed)
    colours = generator.uniform((0, -90, -90), (100, 90, 90), (count, 3))
    colours[::7, 1:] = 0.0
    colours[::11, 2] = 0.0
    return colours


def test_the_arrays_agree_with_the_one_pair_twin_on_seeded_colours():
    first, second = seeded_colours(70, 1), seeded_colours(60, 2)
    fast = delta_e_2000(first[:, None, :], second[None, :, :])
    slow = np.array([[slow_delta_e_2000(one, other) for other in second.tolist()] for one in first.tolist()])
    assert fast.shape == (70, 60)
    np.testing.assert_allclose(fast, slow, rtol=0, atol=1e-10)


def test_the_order_of_the_two_colours_does_not_change_one_bit():
    colours = seeded_colours(150, 3)
    table = delta_e_2000(colours[:, None, :], colours[None, :, :])
    assert np.array_equal(table, table.T)


def test_a_colour_does_not_differ_from_itself():
    colours = seeded_colours(500, 4)
    assert np.all(delta_e_2000(colours, colours) == 0)


def test_a_missing_colour_gives_nan_and_spoils_no_neighbour():
    first = np.array([[50.0, 2.5, 0.0], [np.nan, np.nan, np.nan]])
    answer = delta_e_2000(first, (73.0, 25.0, -18.0))
    assert answer[0] == pytest.approx(27.1492, abs=0.5e-4)
    assert np.isnan(answer[1])


def test_chunks_of_rows_give_the_bits_of_the_whole():
    colours = seeded_colours(130, 5)
    whole = delta_e_2000(colours[:, None, :], colours[None, :, :])
    parts = np.vstack([delta_e_2000(colours[start : start + 64, None, :], colours[None, :, :]) for start in range(0, 130, 64)])
    assert np.array_equal(whole, parts)


def test_colours_without_three_components_are_refused():
    with pytest.raises(ValueError, match="three components"):
        delta_e_2000([[50.0, 2.5]], [50.0, 2.5, 0.0])
