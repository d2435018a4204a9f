"""The finish: which layers matter, the medoid against a slow twin, and what is said of weak readings."""

import random

import colour as oracle
import numpy as np
import pytest

from analysis.core.as_of import PICKED_OUT, finish_of, medoid
from analysis.core.elements import Element, Layer, Sample

CREAM, GREY, GREEN = (85.0, 2.0, 18.0), (60.0, 0.0, 0.0), (50.0, -20.0, 15.0)


def element(*samples: list[Layer]) -> Element:
    return Element(
        "E", "1", "mantel", "wood", tuple(Sample(f"S{n}", "complete", "complete", tuple(one)) for n, one in enumerate(samples, 1))
    )


def layer(key: str, kind: str, lab: tuple[float, float, float] | None = None, generation: int = 1, **more: object) -> Layer:
    return Layer(key, int(key.split("/")[1]), kind, generation=generation, lab=lab, **more)  # type: ignore[arg-type]


def test_primer_and_soiling_are_no_finish_and_paint_glaze_and_varnish_are() -> None:
    found = finish_of(
        element(
            [
                layer("S1/1", "soiling", GREY),
                layer("S1/2", "primer", GREY),
                layer("S1/3", "undercoat", GREY),
                layer("S1/4", "paint", CREAM, munsell="10YR 8/3", colour="cream"),
                layer("S1/5", "glaze", (40.0, 10.0, 20.0)),
                layer("S1/6", "varnish", (60.0, 10.0, 30.0), sheen="gloss"),
                layer("S1/7", "paint", GREEN, 2),
            ]
        ),
        1,
    )
    assert [one.kind for one in found.layers] == ["paint", "glaze", "varnish"]
    assert found.cited == ("S1/4", "S1/5", "S1/6")
    assert found.technique == "paint, glazed, varnished"
    assert found.sheen == "gloss"
    assert found.colour is not None
    assert (found.colour.layer, found.colour.munsell, found.colour.named, found.colour.nearest) == ("S1/4", "10YR 8/3", "cream", False)


def test_published_wainscot_first_generation_is_cream_under_a_thin_resinous_glaze() -> None:
    # Stratford Hall, dining-room wainscot (A Vivid View, 2017, p. 2): generation 1 is cream paint and a thin resinous glaze; generation
    # 2 green over a grey primer.
    wainscot = element(
        [
            layer("S1/1", "paint", colour="cream"),
            layer("S1/2", "glaze", colour="thin resinous glaze"),
            layer("S1/3", "primer", generation=2, colour="grey"),
            layer("S1/4", "paint", generation=2, colour="green"),
        ]
    )
    first, second = finish_of(wainscot, 1), finish_of(wainscot, 2)
    assert (first.technique, second.technique) == ("paint, glazed", "paint")
    assert first.colour is not None
    assert second.colour is not None
    assert (first.colour.named, second.colour.named) == ("cream", "green")
    assert "Its colour is recorded in words only." in first.doubts
    assert second.cited == ("S1/4",)


def test_where_only_preparation_is_left_there_is_no_colour_and_it_says_so() -> None:
    found = finish_of(element([layer("S1/1", "primer", GREY), layer("S1/2", "undercoat", GREY)]), 1)
    assert (found.layers, found.colour, found.technique) == ((), None, "")
    assert found.doubts == ("Of its finish nothing is left or seen, only primer and undercoat.",)
    assert found.cited == ("S1/1", "S1/2")


def test_what_was_not_reached_or_lost_in_cutting_shows_nothing() -> None:
    found = finish_of(element([layer("S1/1", "paint", CREAM, completeness="lost in cutting")]), 1)
    assert found.colour is None


def test_a_layer_of_unknown_kind_stands_in_only_where_there_is_no_other() -> None:
    alone = finish_of(element([layer("S1/1", "unknown", CREAM)]), 1)
    assert alone.colour is not None
    assert alone.doubts == ("What kind of layer it is was not told, so it is taken for the finish.",)
    beside = finish_of(element([layer("S1/1", "unknown", GREY), layer("S1/2", "paint", CREAM)]), 1)
    assert beside.cited == ("S1/2",)


def test_of_two_coats_the_upper_is_read_and_whole_films_before_traces() -> None:
    found = finish_of(
        element(
            [layer("S1/1", "paint", GREY), layer("S1/2", "paint", CREAM)],
            [layer("S2/1", "paint", GREEN, completeness="trace")],
        ),
        1,
    )
    assert found.colour is not None
    assert (found.colour.layer, found.colour.readings) == ("S1/2", 1)
    assert found.layers[0].coats == 2
    assert found.layers[0].samples == ("S1", "S2")
    only = finish_of(element([layer("S1/1", "paint", GREEN, completeness="trace")]), 1)
    assert "Only traces or worn films show its colour." in only.doubts


def test_leaf_is_told_with_how_many_samples_show_it_and_does_not_give_the_colour_of_the_paint() -> None:
    found = finish_of(
        element(
            [layer("S1/1", "paint", CREAM), layer("S1/2", "metal leaf", (70.0, 8.0, 55.0), colour="gold")],
            [layer("S2/1", "paint", CREAM)],
        ),
        1,
    )
    assert found.leaf == "metal leaf, gold (1 of 2 samples)"
    assert found.technique == "paint, gilded"
    assert found.colour is not None
    assert found.colour.layer == "S1/1"


def test_readings_far_apart_are_said_to_be_perhaps_picked_out() -> None:
    # ΔE00 of two greys by their lightness alone: about the difference of L* here, far beyond the limit.
    near = finish_of(element([layer("S1/1", "paint", CREAM)], [layer("S2/1", "paint", (86.0, 2.0, 18.0))]), 1)
    far = finish_of(element([layer("S1/1", "paint", CREAM)], [layer("S2/1", "paint", GREEN)]), 1)
    assert near.doubts == ()
    assert far.colour is not None
    assert far.colour.spread > PICKED_OUT
    assert any("picked out" in one for one in far.doubts)


def test_confidence_is_the_mean_of_the_cited_layers_and_a_hold_settles_it() -> None:
    found = finish_of(
        element(
            [layer("S1/1", "primer", confidence=0.1), layer("S1/2", "paint", CREAM, confidence=0.6)],
            [layer("S2/1", "paint", CREAM, confidence=0.2, held=True)],
        ),
        1,
    )
    assert found.confidence == pytest.approx((0.6 + 1.0) / 2)
    weak = finish_of(element([layer("S1/1", "paint", CREAM, confidence=0.4, runner_up=3)]), 1)
    assert "All its layers are placed with less than even odds; otherwise mostly in generation 3." in weak.doubts


def test_a_measured_colour_without_notation_is_given_the_nearest_and_says_so() -> None:
    # N 5 by ASTM D1535 has Y = 19.27 % of a perfect diffuser, so L* = 116·0.1927^(1/3) - 16 = 51.0 (by hand), a* = b* = 0.
    found = finish_of(element([layer("S1/1", "paint", (51.0, 0.0, 0.0))]), 1)
    assert found.colour is not None
    assert (found.colour.munsell, found.colour.nearest) == ("N 5", True)


def test_the_medoid_is_one_of_the_readings_and_not_their_average() -> None:
    # By hand: of L* 40, 50, 90 (greys) the middle one is nearest to both others.
    index, spread = medoid([(40.0, 0.0, 0.0), (50.0, 0.0, 0.0), (90.0, 0.0, 0.0)])
    assert index == 1
    assert spread == pytest.approx(float(oracle.delta_E([50.0, 0.0, 0.0], [90.0, 0.0, 0.0], method="CIE 2000")), abs=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_the_medoid_is_that_of_a_slow_twin_over_an_independent_colour_difference(seed: int) -> None:
    draw = random.Random(seed)
    labs = [(draw.uniform(20, 95), draw.uniform(-20, 20), draw.uniform(-15, 30)) for _ in range(draw.randint(1, 7))]
    sums = [sum(float(oracle.delta_E(np.array(one), np.array(other), method="CIE 2000")) for other in labs) for one in labs]
    index, spread = medoid(labs)
    assert index == sums.index(min(sums))
    furthest = max(float(oracle.delta_E(np.array(labs[index]), np.array(other), method="CIE 2000")) for other in labs)
    assert spread == pytest.approx(furthest, abs=1e-6)


def test_the_order_of_samples_changes_nothing() -> None:
    samples = ([layer("S1/1", "paint", CREAM)], [layer("S2/1", "paint", GREY)], [layer("S3/1", "paint", (61.0, 0.0, 1.0))])
    whole = element(*samples)
    turned = Element(whole.key, whole.space, whole.element_class, whole.substrate, whole.samples[::-1])
    assert finish_of(whole, 1) == finish_of(turned, 1)
