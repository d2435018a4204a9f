"""Reasons: they add up to the odds, agree with a slow twin and with hand calculations, and say what decided."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.core import reasons
from analysis.core.correlation import Layer, Parameters, Ruling, Sample, correlate
from analysis.core.correlation.evidence import FEATURES
from analysis.core.correlation.profile import chain_for
from analysis.core.correlation.standing import standing, without
from tests.analysis.correlation.building_blocks import BLUE, GREEN, RED, WHITE, YELLOW, sample
from tests.buildings import invent_space

PARAMETERS = Parameters()
# The confidence on record without what the draws of the search say beside: forward-backward alone.
PLAIN = replace(PARAMETERS, draws_weight=0.0)
TWO = {"A/1": 1, "A/2": 2, "A/3": 3, "B/1": 1, "B/2": 2, "B/3": 3}


def stand(samples, rulings=(), order=(), generations=None):
    if generations is None:
        generations = {key: one.generation for key, one in correlate(samples, rulings, order).placements.items()}
    return standing(samples, rulings, order, generations, PARAMETERS)


def three():
    """Three samples of one class; the third lacks the blue of the second campaign."""
    return (sample("A", RED, BLUE, WHITE), sample("B", RED, BLUE, WHITE), sample("C", RED, WHITE))


@pytest.mark.parametrize("seed", [1000, 1001])
def test_the_terms_of_every_layer_add_up_to_the_ratio_of_its_two_probabilities(seed):
    samples = invent_space(seed).samples
    found = correlate(samples, parameters=PLAIN)
    stands = stand(samples, generations={key: one.generation for key, one in found.placements.items()})
    explained = 0
    for key, placed in found.placements.items():
        # A likelier generation, where the layers beneath and above bar the way to it, is not the runner-up.
        why = reasons.why(stands, key, placed.runner_up)
        if why is None or placed.runner_up is None:
            continue
        explained += 1
        assert (why.generation, why.against) == (placed.generation, placed.runner_up)
        # The same numbers as the correlation stored, found again without a search.
        assert why.probability == pytest.approx(placed.confidence, abs=1e-9)
        assert why.against_probability == pytest.approx(placed.runner_up_confidence, abs=1e-9)
        assert why.total == pytest.approx(math.log(placed.confidence / placed.runner_up_confidence), abs=1e-9)
        assert math.fsum(term.weight for term in why.terms) == pytest.approx(why.total, abs=1e-6)
        shown, total = reasons.in_decibans(why)
        assert round(sum(round(one * 10) for one in shown)) == round(total * 10)
        assert total == pytest.approx(why.total * 10 / math.log(10), abs=0.0501)
        assert all(abs(one - term.weight * 10 / math.log(10)) < 0.2 for one, term in zip(shown, why.terms, strict=True))
    assert explained > 100


def every_path(chain, position):
    """The twin: probability of each state of one layer, by going through every path."""
    layers, states = chain.emission.shape
    weights = np.zeros(states)
    for path in itertools.product(range(states), repeat=layers):
        weight = chain.begin[path[0]] * chain.emission[0, path[0]] * chain.end[path[-1]]
        for layer in range(1, layers):
            below, at = path[layer - 1], path[layer]
            stay = chain.stay[layer]
            weight *= (stay * (below == at) + (1.0 - stay) * chain.advance[below, at]) * chain.emission[layer, at]
        weights[path[position]] += weight
    return weights / weights.sum()


def test_what_single_kinds_of_evidence_weigh_agrees_with_leaving_them_out_one_by_one():
    """UV is no part of the paths of single coats, so leaving the UV of the layer out of the record takes away just its term."""
    plain = (sample("A", RED, BLUE, WHITE), sample("B", RED, BLUE, WHITE), sample("C", RED, WHITE))
    glow = ("weak", "none", "strong")

    def lit(one):
        return Sample(
            one.key, one.element, one.element_class, one.base_state, one.top_state,
            tuple(
                Layer(layer.key, layer.kind, lab=layer.lab, uv_strength=glow[number], lower_boundary="soiled")
                for number, layer in enumerate(one.layers)
            ),
        )  # fmt: skip

    generations = {**TWO, "C/1": 1, "C/2": 3}
    seen = stand([lit(one) for one in plain], generations=generations)
    why = reasons.why(seen, "C/2", against=2)
    number, position = seen.owner_of("C/2")
    others, _ = without(seen.problem, seen.arrangement, number)
    chain = chain_for(seen.problem, number, others)
    twin = every_path(chain, position)
    assert why.total == pytest.approx(math.log(twin[5] / twin[3]), abs=1e-9)
    # Without the layer's UV: the emission of the layer is divided by what UV alone makes of it, counted from the votes by hand.
    hearing = seen.problem.evidence.hearings[number]
    full = hearing.whole(hearing.said, 2)[:, 2, position, :]
    background = PARAMETERS.materials_background
    alone = {}
    for generation in (2, 3):
        mates = [at for at, layer in enumerate(hearing.heard.tolist()) if seen.arrangement.place[layer] == generation - 1]
        votes, weights = full[:, mates].sum(axis=1)
        alone[generation] = ((votes + background) / (weights + background)) ** PARAMETERS.evidence_power
    term = next(one for one in why.terms if one.name == "UV response")
    assert term.weight == pytest.approx(math.log(alone[3] / alone[2]), abs=1e-6)
    assert term.own == "none"
    assert term.here == "strong ×2"
    assert term.there == "none ×2"
    assert term.weight < 0


def test_fair_shares_of_three_are_those_worked_out_by_hand():
    """A thing worth 1 alone, another worth 2 alone, 6 more if both are in, a third worth nothing: 1 + 3, 2 + 3, 0."""
    shares = reasons.fair_shares(lambda chosen: chosen[0] * 1.0 + chosen[1] * 2.0 + (6.0 if chosen[0] and chosen[1] else 0.0), 3)
    assert shares == pytest.approx([4.0, 5.0, 0.0])


def test_every_feature_of_the_evidence_has_a_term():
    from analysis.core.reasons.weighing import OTHER_FEATURES

    assert sorted(OTHER_FEATURES) == list(range(2, FEATURES))
    assert set(OTHER_FEATURES.values()) < set(reasons.TERMS)


def test_a_rare_colour_that_fits_speaks_for_its_generation_and_the_sentence_says_so():
    why = reasons.why(stand(three()), "B/2")
    said = reasons.sentence(why)
    assert said.startswith("B/2 stands in generation 2 rather than in ")
    assert "the colour beside its own class" in said
    colour = next(term for term in why.terms if term.name == "colour, same class")
    assert colour.weight > 0
    assert colour.here == "nearest A/2, ΔE00 0.0"


def test_boundary_of_the_layer_speaks_through_the_layer_beneath():
    """A fused boundary binds a layer to the one beneath it, a soiled one parts them: the term turns with it."""
    weights = []
    for boundary in ("fused", "soiled"):
        changed = Sample(
            "C", "E-C", "door casing", "complete", "complete",
            (Layer("C/1", "paint", lab=RED), Layer("C/2", "paint", lab=(60.0, 20.0, 15.0), lower_boundary=boundary)),
        )  # fmt: skip
        stands = stand((*three()[:2], changed), generations={**TWO, "C/1": 1, "C/2": 1})
        why = reasons.why(stands, "C/2", against=3)
        weights.append(next(term.weight for term in why.terms if term.name == "boundaries"))
    assert weights[0] > 0 > weights[1]


def test_a_layer_that_a_ruling_places_is_told_as_decided_with_what_all_else_says():
    generations = {**TWO, "C/1": 1, "C/2": 2}
    rulings = [Ruling("t", "tie", "C/2", "A/2")]
    stands = stand(three(), rulings, generations=generations)
    assert stands.obeys
    why = reasons.why(stands, "C/2")
    assert why.decided
    assert why.against == 3
    assert why.total < 0  # it is white, and generation 2 is blue
    assert math.fsum(term.weight for term in why.terms) == pytest.approx(why.total)
    assert reasons.sentence(why).startswith("A ruling puts C/2 in generation 2; without it the odds against generation 3 would be ")


def test_a_generation_that_a_ruling_forbids_is_compared_by_all_else():
    generations = {**TWO, "C/1": 1, "C/2": 3}
    rulings = [Ruling("1", "bar", "C/2", "A/2"), Ruling("2", "bar", "C/2", "B/2")]
    why = reasons.why(stand(three(), rulings, generations=generations), "C/2", against=2)
    assert why.decided
    assert why.against_probability == 0.0
    assert why.total > 0
    assert math.fsum(term.weight for term in why.terms) == pytest.approx(why.total)


def test_what_is_all_but_impossible_without_any_ruling_is_not_laid_to_one():
    """Eight campaigns apart: as good as no odds, and no ruling that says so."""
    colours = (RED, BLUE, WHITE, GREEN, YELLOW, (18.0, 0.0, 0.0), (75.0, 22.0, 8.0), (32.0, 12.0, 18.0))
    samples = tuple(sample(key, *colours) for key in "ABC")
    why = reasons.why(stand(samples, generations={f"{key}/{at}": at for key in "ABC" for at in range(1, 9)}), "C/1", against=8)
    assert not why.decided
    assert why.total > 10
    assert "A ruling" not in reasons.sentence(why)


def test_a_bar_elsewhere_in_the_sample_is_a_term_of_its_own():
    """C/2 may not share a generation with A/3, C's white then has no mate: what the bar weighs on C/1 is told."""
    generations = {**TWO, "C/1": 1, "C/2": 2}
    free = reasons.why(stand(three(), generations=generations), "C/1", against=2)
    ruled = reasons.why(stand(three(), [Ruling("b", "bar", "C/2", "A/3")], generations=generations), "C/1", against=2)
    term = next(term for term in ruled.terms if term.name == "rulings")
    assert not any(one.name == "rulings" for one in free.terms)
    assert abs(term.weight) > 1e-6
    assert math.fsum(one.weight for one in ruled.terms) == pytest.approx(ruled.total)


def test_rulings_that_the_record_does_not_obey_yet_are_left_out_and_said():
    generations = {**TWO, "C/1": 1, "C/2": 3}
    for ruling in (Ruling("t", "tie", "C/2", "A/2"), Ruling("b", "bar", "C/2", "A/3"), Ruling("c", "bar", "C/9", "A/3")):
        stands = stand(three(), [ruling], generations=generations)
        assert not stands.obeys
        assert not reasons.why(stands, "C/2").decided


def test_a_layer_that_stands_against_its_own_odds_is_told_so():
    generations = {**TWO, "C/1": 1, "C/2": 2}
    why = reasons.why(stand(three(), generations=generations), "C/2")
    assert why.total < 0
    assert "although by itself it would rather stand in 3" in reasons.sentence(why)


def test_a_campaign_that_no_other_sample_shows_is_compared_too():
    samples = (sample("A", RED, BLUE, WHITE), sample("B", RED, BLUE, YELLOW, WHITE))
    generations = {"A/1": 1, "A/2": 2, "A/3": 4, "B/1": 1, "B/2": 2, "B/3": 3, "B/4": 4}
    why = reasons.why(stand(samples, generations=generations), "B/3")
    assert why.alone
    assert "which no other sample shows" in reasons.sentence(why)
    assert math.fsum(term.weight for term in why.terms) == pytest.approx(why.total)


def test_no_reasons_where_nothing_can_be_compared():
    assert reasons.why(stand((sample("A", RED), sample("B", RED)), generations={"A/1": 1, "B/1": 1}), "A/1") is None
    assert reasons.why(stand(three(), generations={"A/1": 1}), "C/2") is None
    with pytest.raises(KeyError):
        reasons.why(stand(three()), "Z/1")
    with pytest.raises(KeyError):
        reasons.why(stand(three()), "C/2", against=99)


def test_odds_are_told_without_false_precision():
    told = [
        reasons.odds(weight) for weight in (0.0, math.log(1.04), math.log(2.5), -math.log(2.5), math.log(12.4), math.log(5000.0), 900.0)
    ]
    assert told == ["even", "even", "2.5 to 1", "2.5 to 1", "12 to 1", "more than 1,000 to 1", "more than 1,000 to 1"]


def test_numbers_shown_add_up_where_plain_rounding_would_not():
    """Three terms of 0.16 dB round to 0.2 each, 0.6 together; their sum, 0.48, is shown as 0.5."""
    each = 0.16 / reasons.DECIBANS
    terms = tuple(reasons.Term(name, each) for name in reasons.TERMS[:3])
    made = reasons.Reasons("A/1", 1, 2, 0.5, 0.4, 3 * each, terms, False, False)
    shown, total = reasons.in_decibans(made)
    assert (sorted(shown), total) == ([0.1, 0.2, 0.2], 0.5)


def test_green_is_not_explained_by_what_was_not_seen():
    """Where no colour is known there is no term of colour."""
    blind = Sample("C", "E-C", "door casing", "complete", "complete", (Layer("C/1", "paint"), Layer("C/2", "paint")))
    samples = (sample("A", RED, GREEN), sample("B", RED, GREEN), blind)
    why = reasons.why(stand(samples, generations={"A/1": 1, "A/2": 2, "B/1": 1, "B/2": 2, "C/1": 1, "C/2": 2}), "C/2")
    assert not [term for term in why.terms if "colour" in term.name]
