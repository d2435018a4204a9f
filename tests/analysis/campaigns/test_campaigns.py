"""Across spaces: pairs by look and order against a twin that goes through every matching, limits by hand, and known truth."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from analysis.core import campaigns
from analysis.core.campaigns.faces import faces
from analysis.core.campaigns.joining import join
from analysis.core.campaigns.weighing import _against
from analysis.core.correlation import Layer, Parameters, Sample
from analysis.core.correlation.alignment import walk
from analysis.core.correlation.profile import unseen
from tests.analysis.correlation.building_blocks import BLUE, BROWN, GREEN, PINK, RED, WHITE, YELLOW, sample
from tests.bench.score_campaigns import by_colour, by_counting, right_pairs, true_generations
from tests.buildings.neighbours import invent_building

PARAMETERS = Parameters()


def space(number, *colours, facts=None, element_class="door casing"):
    """Two samples that show a generation for each colour."""
    samples = tuple(sample(f"{number}{letter}", *colours, element_class=element_class) for letter in "ab")
    places = {layer.key: at for one in samples for at, layer in enumerate(one.layers, start=1)}
    return campaigns.Space(number, samples, places, facts or {})


def pairs(*spaces, **options):
    return {(one.first, one.second): one for one in campaigns.pairs_of(spaces, **options)}


def test_generations_that_share_rare_colours_in_one_order_are_told_with_what_they_share():
    found = pairs(space("1", RED, GREEN, WHITE, BLUE), space("2", GREEN, BLUE))
    assert set(found) == {(("1", 2), ("2", 1)), (("1", 4), ("2", 2))}
    said = found[("1", 2), ("2", 1)].reasons
    assert said[0] == "the same colour on the door casing (ΔE00 0.0), which no other generation of the building shows"


def test_the_order_of_campaigns_forbids_two_pairs_that_cross():
    """Green then blue in the one, blue then green in the other: both pairs look alike and only one can be."""
    found = pairs(space("1", RED, GREEN, BLUE, PINK), space("2", YELLOW, BLUE, GREEN, BROWN), sure=0.01)
    crossing = [found[key].chance for key in ((("1", 2), ("2", 3)), (("1", 3), ("2", 2))) if key in found]
    assert sum(crossing) <= 1.0 + 1e-9
    uncrossed = pairs(space("1", RED, GREEN, BLUE, PINK), space("2", YELLOW, GREEN, BLUE, BROWN), sure=0.01)
    assert min(uncrossed[("1", 2), ("2", 2)].chance, uncrossed[("1", 3), ("2", 3)].chance) > max(crossing)


def every_matching(block):
    """The twin: weight of every way to lead one space's generations, in order, through the other's and the slots between them."""
    rows, columns = block.shape
    shown = np.full(columns, PARAMETERS.occupancy_shown / (PARAMETERS.occupancy_shown + PARAMETERS.occupancy_left_out))
    own = min(0.4, PARAMETERS.own_generation * unseen(1, PARAMETERS))
    begin, advance, end = walk(shown, own, PARAMETERS.stripping, PARAMETERS.begins_late_unknown, PARAMETERS.ends_early_unknown)
    total, table = 0.0, np.zeros(block.shape)
    for path in itertools.product(range(2 * columns + 1), repeat=rows):
        weight = begin[path[0]] * end[path[-1]]
        for below, above in itertools.pairwise(path):
            weight *= advance[below, above]
        for row, state in enumerate(path):
            weight *= block[row, state // 2] if state % 2 else 1.0
        total += weight
        for row, state in enumerate(path):
            if state % 2:
                table[row, state // 2] += weight
    return table / total


@pytest.mark.parametrize("seed", range(4))
def test_chances_agree_with_going_through_every_matching(seed):
    block = np.random.default_rng(seed).lognormal(0.0, 2.0, (3, 2))
    found = _against(block, PARAMETERS)
    np.testing.assert_allclose(found, every_matching(block), atol=1e-12)
    assert (found.sum(axis=1) <= 1.0 + 1e-12).all()
    assert (found.sum(axis=0) <= 1.0 + 1e-12).all()


def test_one_more_white_says_less_than_a_rare_colour():
    """Every space ends in white twice; both show one red. The look of the red pair is worth more than that of a white one."""
    told = campaigns.building([space("1", RED, WHITE, WHITE), space("2", RED, WHITE, WHITE), space("3", WHITE, WHITE)])
    odds = campaigns.looks(told, PARAMETERS)
    red = odds[told.keys.index(("1", 1)), told.keys.index(("2", 1))]
    white = odds[told.keys.index(("1", 2)), told.keys.index(("2", 2))]
    assert red > white > 0.0
    np.testing.assert_allclose(odds, odds.T)


def test_phases_that_differ_and_bounds_that_do_not_meet_forbid_a_pair():
    colours = (RED, GREEN)
    free = pairs(space("1", *colours), space("2", *colours))
    assert (("1", 1), ("2", 1)) in free
    for first, second, told in (
        (campaigns.Facts(phase="a"), campaigns.Facts(phase="b"), False),
        (campaigns.Facts(phase="a"), campaigns.Facts(), True),
        (campaigns.Facts(1800, 1820), campaigns.Facts(1821, 1840), False),
        (campaigns.Facts(1800, 1821), campaigns.Facts(1821, None), True),
        (campaigns.Facts(1850, None), campaigns.Facts(None, 1849), False),
    ):
        found = pairs(space("1", *colours, facts={1: first}), space("2", *colours, facts={1: second}))
        assert ((("1", 1), ("2", 1)) in found) is told


def test_what_is_told_of_years_and_pots_is_what_both_have():
    def lit(number, glow, facts):
        made = space(number, RED, GREEN, facts=facts)
        layers = lambda one: tuple(replace(layer, uv_strength="strong", uv_colour=glow, pigments=("red lead",)) for layer in one.layers)  # noqa: E731
        return replace(made, samples=tuple(replace(one, layers=layers(one)) for one in made.samples))

    one, other = lit("1", "yellow", {1: campaigns.Facts(1800, 1830)}), lit("2", "yellow", {1: campaigns.Facts(1820, 1850)})
    said = pairs(one, other)[("1", 1), ("2", 1)].reasons
    assert "UV response in both: strong yellow" in said
    assert "pigment in both: red lead" in said
    assert "bounds that meet: 1820 to 1830" in said
    unlike = pairs(one, lit("2", "violet", {}), sure=0.0)[("1", 1), ("2", 1)].reasons
    assert "UV response unlike: strong yellow and strong violet" in unlike


def test_the_face_of_a_generation_is_its_finish_in_the_colour_that_most_agree_on():
    layers = (
        Layer("a/1", "primer", lab=WHITE), Layer("a/2", "paint", lab=RED, binder="oil"), Layer("a/3", "soiling", lab=(20.0, 1.0, 4.0)),
        Layer("a/4", "paint", lab=(41.0, 45.0, 25.0), binder="oil", uv_strength="weak"), Layer("a/5", "paint", lab=BLUE, binder="alkyd"),
    )  # fmt: skip
    made = campaigns.Space("1", (Sample("a", "E", "wall", "complete", "complete", layers),), {layer.key: 1 for layer in layers})
    ((face,),) = [one.layers for one in faces(made)]
    # The two reds lie equally far from each other, and the lighter one nearer to the lighter blue: it is the medoid.
    assert (face.kind, face.lab, face.binder, face.uv_strength) == ("paint", (41.0, 45.0, 25.0), "oil", "weak")
    bare = replace(made, generations={"a/3": 1})
    assert faces(bare) == []


def pair(first, second, chance):
    return campaigns.Pair(first, second, chance, 1.0, ())


def test_pairs_are_put_together_with_one_generation_of_a_space_at_most():
    facts = {key: campaigns.Facts() for key in (("1", 1), ("2", 1), ("3", 1), ("3", 2))}
    told = [pair(("1", 1), ("2", 1), 0.9), pair(("2", 1), ("3", 1), 0.8), pair(("1", 1), ("3", 2), 0.7)]
    (found,) = join(told, facts)
    assert found.generations == (("1", 1), ("2", 1), ("3", 1))
    assert found.chance == 0.8
    assert [one.chance for one in found.pairs] == [0.9, 0.8]


def test_two_groups_join_by_a_pair_between_them():
    facts = {(number, 1): campaigns.Facts() for number in "1234"}
    told = [pair(("1", 1), ("2", 1), 0.9), pair(("3", 1), ("4", 1), 0.9), pair(("2", 1), ("3", 1), 0.6)]
    (found,) = join(told, facts)
    assert [number for number, _ in found.generations] == list("1234")


def test_bounds_that_meet_two_by_two_and_not_all_together_keep_a_campaign_apart():
    facts = {("1", 1): campaigns.Facts(1800, 1820), ("2", 1): campaigns.Facts(1815, 1835), ("3", 1): campaigns.Facts(1830, 1850)}
    told = [pair(("1", 1), ("2", 1), 0.9), pair(("2", 1), ("3", 1), 0.8)]
    (found,) = join(told, facts)
    assert found.generations == (("1", 1), ("2", 1))
    assert (found.earliest, found.latest) == (1815, 1820)


def test_a_campaign_wholly_in_a_phase_is_not_offered_and_one_partly_in_it_is_with_that_phase():
    whole = {(number, 1): campaigns.Facts(phase="p") for number in "12"}
    assert join([pair(("1", 1), ("2", 1), 0.9)], whole) == ()
    (found,) = join([pair(("1", 1), ("2", 1), 0.9)], {**whole, ("2", 1): campaigns.Facts()})
    assert found.phases == ("p",)


def test_two_phases_never_come_together_through_a_third_generation():
    facts = {("1", 1): campaigns.Facts(phase="a"), ("2", 1): campaigns.Facts(), ("3", 1): campaigns.Facts(phase="b")}
    told = [pair(("1", 1), ("2", 1), 0.9), pair(("2", 1), ("3", 1), 0.8)]
    assert [one.generations for one in join(told, facts)] == [(("1", 1), ("2", 1))]


def test_the_order_of_spaces_samples_and_layers_makes_no_difference():
    made = true_generations(invent_building(100, spaces=3))
    turned = [replace(one, samples=one.samples[::-1], generations=dict(reversed(one.generations.items()))) for one in reversed(made)]
    assert campaigns.campaigns(made) == campaigns.campaigns(turned)


def test_only_one_space_is_looked_at_where_that_is_asked():
    made = true_generations(invent_building(101, spaces=3))
    found = campaigns.pairs_of(made, only="2")
    assert found
    assert all(one.first[0] == "2" and one.second[0] != "2" for one in found)


def test_nothing_is_offered_of_one_space_or_of_none():
    assert campaigns.campaigns([]) == ()
    assert campaigns.campaigns([space("1", RED, GREEN)]) == ()
    assert campaigns.campaigns([space("1", RED, GREEN), campaigns.Space("2", (), {})]) == ()


def test_on_invented_buildings_more_is_right_than_by_counting_or_by_colour_alone():
    """On seeds that nothing was looked at with. Told from even odds, at least three in five are right, as even odds promise and more."""
    right = told = true = 0
    counted = [0, 0]
    coloured = [0, 0]
    for seed in range(9100, 9104):
        made = invent_building(seed)
        spaces = true_generations(made)
        truth = right_pairs(spaces, made.truth)
        found = {frozenset((one.first, one.second)) for one in campaigns.pairs_of(spaces)}
        right, told, true = right + len(found & truth), told + len(found), true + len(truth)
        for tally, other in ((counted, by_counting(spaces)), (coloured, by_colour(spaces))):
            tally[0] += len(other & truth)
            tally[1] += len(other)
    assert right / told >= 0.6
    assert right / true >= 0.4
    assert right / told > counted[0] / counted[1]
    assert right / told > coloured[0] / coloured[1]
    assert right > coloured[0]
