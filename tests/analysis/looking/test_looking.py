"""Where to look next: gains against a slow twin that really rules, against plain entropies by hand, and against a whole new correlation."""

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.core import looking
from analysis.core.correlation import Layer, Parameters, Ruling, Sample, correlate
from analysis.core.correlation.alignment import posterior
from analysis.core.correlation.standing import standing, weigh
from analysis.core.looking.examining import PIGMENTS, UV, lacking, likelihoods, look_under_uv, pigment_gains
from tests.analysis.correlation.building_blocks import BLUE, GREEN, RED, WHITE, YELLOW, sample
from tests.buildings import invent_space

PARAMETERS = Parameters()
OFF_RED, BETWEEN = (44.0, 40.0, 24.0), (46.0, 22.0, -3.0)


def small():
    """Two clear samples of three campaigns, and one whose middle layer is of no clear colour."""
    return (sample("A", RED, BLUE, WHITE), sample("B", RED, BLUE, WHITE), sample("C", OFF_RED, BETWEEN, WHITE))


PLACES = {"A/1": 1, "A/2": 2, "A/3": 3, "B/1": 1, "B/2": 2, "B/3": 3, "C/1": 1, "C/2": 2, "C/3": 3}


def doubt_of(stands, key):
    number, _ = stands.owner_of(key)
    return looking.doubtful(stands.problem, stands.arrangement, number)


def test_a_pair_at_even_odds_is_one_bit_and_a_sure_one_none():
    """Two layers; in the generations 3 and 2 mates. By hand: layer one 0.5/0.5 gives 3 + 2 bits; layer two is sure and gives none."""
    states = np.array([[0.0, 0.5, 0.0, 0.5, 0.0], [0.0, 0.0, 0.0, 1.0, 0.0]])
    mates = np.array([0.0, 3.0, 0.0, 2.0, 0.0])
    assert looking.doubts(states, mates) == pytest.approx(5.0, abs=1e-6)
    # 0.25 is 0.811278 bits: -(1/4 log2 1/4 + 3/4 log2 3/4) = 1/2 + 3/4 * 0.415037.
    assert looking.doubts(np.array([[0.25, 0.75]]), np.array([1.0, 0.0])) == pytest.approx(0.811278, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_many_cases_at_once_are_each_as_forward_backward_says(seed):
    random = np.random.default_rng(seed)
    stands = standing(small(), (), (), PLACES, PARAMETERS)
    one = doubt_of(stands, "C/2")
    emissions = one.chain.emission * random.lognormal(0.0, 1.0, (4, *one.chain.emission.shape))
    for case, found in zip(emissions, looking.posteriors(one.chain, emissions), strict=True):
        np.testing.assert_allclose(found, posterior(replace(one.chain, emission=case)), atol=1e-12)


def ruled(kind, key, generation):
    """The twin: doubt about the layer's sample once rulings really stand, tied to one mate or barred from every one."""
    mates = [other for other, at in PLACES.items() if at == generation and other[0] != key[0]]
    pairs = mates[:1] if kind == "tie" else mates
    rulings = [Ruling(f"r{number}", kind, key, mate) for number, mate in enumerate(pairs)]
    position = int(key[2]) - 1
    for elsewhere in (generation,) if kind == "tie" else (1, 2, 3):
        places = {**PLACES, key: elsewhere}
        for at in range(3):
            # The order of the sample's layers is kept.
            below, above = at < position and places[f"C/{at + 1}"] > elsewhere, at > position and places[f"C/{at + 1}"] < elsewhere
            if below or above:
                places[f"C/{at + 1}"] = elsewhere
        stands = standing(small(), rulings, (), places, PARAMETERS)
        if stands.obeys:
            number, _ = stands.owner_of(key)
            one = doubt_of(stands, key)
            return float(looking.doubts(weigh(stands.problem, stands.arrangement, number).states, one.mates))
    raise AssertionError("no arrangement obeys the rulings")


@pytest.mark.parametrize(("key", "generation"), [("C/2", 2), ("C/2", 1), ("C/1", 1), ("C/3", 3)])
def test_the_gain_of_a_question_is_that_of_really_ruling_each_answer(key, generation):
    stands = standing(small(), (), (), PLACES, PARAMETERS)
    one = doubt_of(stands, key)
    position, state = int(key[2]) - 1, 2 * (generation - 1) + 1
    chance = one.states[position, state]
    expected = one.doubt - chance * ruled("tie", key, generation) - (1.0 - chance) * ruled("bar", key, generation)
    assert looking.layer_gains(one)[position, state] == pytest.approx(expected, abs=1e-9)
    assert expected > 0.0


def five():
    """Three samples alike, a fourth with an odd second layer, a fifth with a slightly odd third."""
    alike = tuple(sample(key, RED, BLUE, WHITE, YELLOW) for key in "ABC")
    return (*alike, sample("D", RED, (47.0, 18.0, -6.0), WHITE, YELLOW), sample("E", RED, BLUE, (86.0, 2.0, 16.0), YELLOW))


def test_what_was_foretold_comes_in_a_whole_new_correlation():
    """Each answer is ruled and the space correlated again, start to end; the falls of the whole doubt are weighed by the chances.

    Other samples, which the foretelling leaves as they stand, change with the answer; so what comes is what was foretold within a factor
    of two, and in the same order.
    """
    samples = five()
    found = correlate(samples)
    stands = standing(samples, (), (), {key: one.generation for key, one in found.placements.items()}, PARAMETERS)
    before = looking.look(stands, {}, most=100)
    told = [one for one in before.rulings if one.kind == "layer"]
    assert [one.layers[0] for one in told[:2]] == ["D/2", "E/3"]

    def came(one):
        fall = 0.0
        for kind, chance in (("tie", one.chance), ("bar", 1.0 - one.chance)):
            rulings = [Ruling("r", kind, *one.layers)]
            places = {key: placed.generation for key, placed in correlate(samples, rulings).placements.items()}
            fall += chance * (before.doubt - looking.look(standing(samples, rulings, (), places, PARAMETERS), {}).doubt)
        return fall

    falls = [came(one) for one in (told[0], told[1], told[-1])]
    assert falls == sorted(falls, reverse=True)
    for one, fall in zip(told[:2], falls, strict=False):
        assert one.gain / 2 < fall < one.gain * 2


def test_suggestions_are_ranked_and_of_one_sample_and_generation_only_one_is_asked():
    samples = invent_space(1003).samples
    found = correlate(samples)
    stands = standing(samples, (), (), {key: one.generation for key, one in found.placements.items()}, PARAMETERS)
    told = looking.look(stands, {one.ordinal: one.distinctness for one in found.generations}, most=25)
    for some in (told.rulings, told.examinations):
        gains = [one.gain for one in some]
        assert gains == sorted(gains, reverse=True)
        assert all(gain >= 0.5 for gain in gains)
    about = [(one.layers[0][:4], one.generations) for one in told.rulings if one.kind == "layer"]
    assert len(about) == len(set(about))
    assert len(told.rulings) == 25
    assert {one.kind for one in told.examinations} == {"UV", "pigments"}
    assert told.rulings[0].gain < told.doubt
    for one in told.rulings:
        assert one.layers[0][:4] != one.layers[1][:4]


def test_a_joint_at_even_odds_is_worth_a_bit_for_each_pair_of_its_layers():
    """Two samples that show both generations: of 2 x 2 pairs two are of different samples. The chance is capped by the draws, 0.5."""
    samples = (sample("A", RED, (43.0, 44.0, 25.0)), sample("B", RED, (43.0, 44.0, 25.0)))
    places = {"A/1": 1, "A/2": 2, "B/1": 1, "B/2": 2}
    stands = standing(samples, (), (), places, PARAMETERS)
    (joint,) = looking.rule_on_joints(stands, {2: 0.5}, {"A/1": 0.9, "B/2": 0.9})
    assert joint.layers == ("A/1", "B/2")
    assert joint.generations == (1, 2)
    assert joint.chance <= 0.5
    chance = joint.chance
    assert joint.gain == pytest.approx(2 * -(chance * math.log2(chance) + (1 - chance) * math.log2(1 - chance)))


def test_a_joint_that_is_barred_or_not_computed_or_not_between_neighbours_is_not_asked_about():
    samples = (sample("A", RED, (43.0, 44.0, 25.0)), sample("B", RED, (43.0, 44.0, 25.0)))
    places = {"A/1": 1, "A/2": 2, "B/1": 1, "B/2": 2}
    bar = [Ruling("b", "bar", "A/1", "B/2")]
    assert looking.rule_on_joints(standing(samples, bar, (), places, PARAMETERS), {2: 0.5}, {}) == []
    assert looking.rule_on_joints(standing(samples, (), (), places, PARAMETERS), {2: None}, {}) == []
    apart = {key: 1 if at == 1 else 3 for key, at in places.items()}
    assert looking.rule_on_joints(standing(samples, (), (), apart, PARAMETERS), {3: 0.5}, {}) == []


def glowing():
    """Two campaigns of like whites that glow differently; on sample C nobody looked."""
    whites = ((92.0, 0.0, 4.0), (91.0, 0.0, 5.0))

    def made(key, seen):
        glow = (("yellow", "strong"), ("violet", "none"))
        layers = [
            Layer(
                f"{key}/{at + 1}",
                "paint",
                lab=whites[at],
                lower_boundary="unclear",
                uv_colour=glow[at][0] if seen else "",
                uv_strength=glow[at][1] if seen else "",
            )
            for at in range(2)
        ]
        return Sample(key, f"E-{key}", "door casing", "complete", "complete", tuple(layers))

    samples = (made("A", True), made("B", True), made("C", False))
    return samples, {"A/1": 1, "A/2": 2, "B/1": 1, "B/2": 2, "C/1": 1, "C/2": 2}


def test_what_uv_would_show_is_foretold_so_that_its_mean_leaves_the_probabilities_as_they_are():
    samples, places = glowing()
    stands = standing(samples, (), (), places, PARAMETERS)
    one = doubt_of(stands, "C/1")
    table = likelihoods(stands, one, UV)
    np.testing.assert_allclose(table.sum(axis=0), 1.0)
    mean = np.zeros_like(one.states)
    for observed in table:
        emission = one.chain.emission.copy()
        emission[0] *= observed[0]
        chance = observed[0] @ one.states[0]
        mean += chance * posterior(replace(one.chain, emission=emission))
    np.testing.assert_allclose(mean, one.states, atol=1e-12)


def test_looking_under_uv_where_glow_parts_two_whites_is_foretold_to_settle_and_does():
    samples, places = glowing()
    stands = standing(samples, (), (), places, PARAMETERS)
    one = doubt_of(stands, "C/1")
    told = look_under_uv(stands, one)
    assert told.layers == ("C/1", "C/2")
    # The twin: every pair of responses in turn, put on the record and weighed, by the probability that the model gives it.
    table = likelihoods(stands, one, UV)
    joint = _joint(one)
    left = 0.0
    for first in range(len(table)):
        for second in range(len(table)):
            emission = one.chain.emission.copy()
            emission[0] *= table[first, 0]
            emission[1] *= table[second, 1]
            chance = float(table[first, 0] @ joint @ table[second, 1])
            left += chance * float(looking.doubts(posterior(replace(one.chain, emission=emission)), one.mates))
    # 48 scenarios are drawn; what one leaves lies between 0 and the whole doubt, so five standard errors are less than this.
    assert told.gain == pytest.approx(one.doubt - left, abs=5 * one.doubt / 2 / math.sqrt(48))
    assert one.doubt - left > 0.0


def _joint(one):
    """Probability of each pair of states of a sample of two layers, path by path."""
    chain = one.chain
    states = chain.emission.shape[1]
    table = np.zeros((states, states))
    for below in range(states):
        for above in range(states):
            step = chain.stay[1] * (below == above) + (1.0 - chain.stay[1]) * chain.advance[below, above]
            table[below, above] = chain.begin[below] * chain.emission[0, below] * step * chain.emission[1, above] * chain.end[above]
    return table / table.sum()


def test_pigments_that_part_two_campaigns_settle_and_those_all_alike_cannot_be_foretold():
    samples, places = glowing()

    def with_pigments(names):
        return [
            replace(
                one, layers=tuple(replace(layer, pigments=(names[at],) if one.key != "C" else ()) for at, layer in enumerate(one.layers))
            )
            for one in samples
        ]

    stands = standing(with_pigments(("lead white", "titanium white")), (), (), places, PARAMETERS)
    gains = pigment_gains(stands, doubt_of(stands, "C/1"))
    assert set(gains) == {0, 1}
    assert min(gains.values()) > 0.0
    alike = standing(with_pigments(("lead white", "lead white")), (), (), places, PARAMETERS)
    assert pigment_gains(alike, doubt_of(alike, "C/1")) == {}


def test_dirt_and_gaps_and_what_was_seen_are_not_to_be_examined():
    layers = (
        Layer("A/1", "paint"), Layer("A/2", "soiling"), Layer("A/3", "void"),
        Layer("A/4", "paint", uv_strength="none"), Layer("A/5", "paint", pigments=("lead white",)),
    )  # fmt: skip
    stands = standing([Sample("A", "E", "wall", "complete", "complete", layers)], (), (), {}, PARAMETERS)
    assert lacking(stands, 0, UV) == [0, 4]
    assert lacking(stands, 0, PIGMENTS) == [0, 3]


def test_nothing_is_suggested_where_nothing_is_in_doubt_or_nothing_is_there():
    assert looking.look(standing((), (), (), {}, PARAMETERS), {}) == looking.Looking(0.0, (), ())
    alone = standing((sample("A", RED, GREEN),), (), (), {"A/1": 1, "A/2": 2}, PARAMETERS)
    assert looking.look(alone, {2: 0.5}).rulings == ()
