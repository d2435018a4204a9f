"""Order, completeness, ranges and independence of the order of the input: for any input whatever."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.core.correlation import Layer, Parameters, Ruling, Sample, correlate
from tests.analysis.correlation.building_blocks import BLUE, COLOURS, GREEN, RED, WHITE, YELLOW, sample
from tests.buildings import invent_space, order_violations

QUICK = Parameters(effort=0, fewest_chains=2, sweeps=4, burn_in=2)


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_generations_never_fall_within_a_sample(seed: int) -> None:
    space = invent_space(seed, samples=6)
    found = correlate(space.samples, parameters=QUICK)
    assert order_violations(space.samples, {key: one.generation for key, one in found.placements.items()}) == 0


@pytest.mark.parametrize("seed", [11, 14])
def test_every_layer_has_a_place_and_every_number_its_range(seed: int) -> None:
    space = invent_space(seed, samples=6)
    found = correlate(space.samples, parameters=QUICK)
    assert set(found.placements) == {layer.key for one in space.samples for layer in one.layers}
    assert [one.ordinal for one in found.generations] == list(range(1, len(found.generations) + 1))
    assert {one.generation for one in found.placements.values()} == {one.ordinal for one in found.generations}
    for placement in found.placements.values():
        assert 0.0 <= placement.confidence <= 1.0
        assert 0.0 <= placement.runner_up_confidence <= 1.0
        assert placement.runner_up != placement.generation
        assert placement.confidence + placement.runner_up_confidence <= 1.0 + 1e-9
    assert found.generations[0].distinctness is None
    assert all(one.distinctness is not None and 0.0 <= one.distinctness <= 1.0 for one in found.generations[1:])


@pytest.mark.parametrize("seed", range(11, 17))
def test_no_layer_stands_alone_that_is_likely_elsewhere(seed: int) -> None:
    """A layer alone may be less likely than its runner-up only where nothing is likely; where rulings bind it, it stays."""
    space = invent_space(seed, samples=7)
    keys = [layer.key for one in space.samples for layer in one.layers]
    rulings = [Ruling("r1", "bar", keys[4], keys[-3]), Ruling("r2", "tie", keys[5], space.samples[-1].layers[2].key)]
    alone = 0
    for given in ((), rulings):
        placements = correlate(space.samples, given, parameters=QUICK).placements
        shown = {(key[:4], one.generation) for key, one in placements.items()}
        lonely = [one for one in placements.values() if sum(number == one.generation for _, number in shown) == 1]
        assert all(one.runner_up_confidence <= max(one.confidence, QUICK.likely_enough) for one in lonely)
        alone += len(lonely)
    assert alone


@pytest.mark.parametrize("seed", [21, 22])
def test_the_order_of_samples_and_rulings_leaves_no_mark(seed: int) -> None:
    space = invent_space(seed, samples=6)
    layers = [layer.key for one in space.samples for layer in one.layers]
    rulings = [Ruling("r1", "hold", layers[3], generation="g"), Ruling("r2", "bar", layers[0], layers[-1])]
    rulings.append(Ruling("r3", "tie", layers[5], space.samples[-1].layers[2].key))
    first = correlate(space.samples, rulings, ("g",), QUICK)
    shuffled = [space.samples[at] for at in np.random.default_rng(seed).permutation(len(space.samples))]
    assert correlate(shuffled, rulings[::-1], ("g",), QUICK) == first


def test_the_same_input_twice_gives_the_same_output() -> None:
    space = invent_space(23, samples=5)
    assert correlate(space.samples, parameters=QUICK) == correlate(space.samples, parameters=QUICK)


def test_a_space_without_samples_has_no_generations() -> None:
    found = correlate([])
    assert found.generations == ()
    assert found.placements == {}


def test_samples_without_layers_are_no_obstacle() -> None:
    empty = Sample("A", "E", "wall", "unknown", "unknown", ())
    assert correlate([empty]).generations == ()
    found = correlate([empty, sample("B", RED, BLUE), sample("C", RED, BLUE)])
    assert found.placements["B/1"].generation == found.placements["C/1"].generation == 1


def test_one_sample_counts_its_own_campaigns() -> None:
    found = correlate([sample("A", RED, GREEN, BLUE)])
    assert [found.placements[f"A/{number}"].generation for number in (1, 2, 3)] == [1, 2, 3]


def test_void_soiling_and_unknown_layers_are_placed_too() -> None:
    kinds = ("void", "paint", "soiling", "unknown", "residue", "paper", "no such word")
    layers = tuple(Layer(f"A/{number}", kind) for number, kind in enumerate(kinds))
    found = correlate([Sample("A", "E", "wall", "unknown", "lost", layers), sample("B", RED)])
    assert set(found.placements) == {layer.key for layer in layers} | {"B/1"}


def test_soiling_belongs_to_the_campaign_that_it_lies_on() -> None:
    def soiled(key: str) -> Sample:
        layers = (
            Layer(f"{key}/1", "paint", lab=RED),
            Layer(f"{key}/2", "soiling", lower_boundary="sharp"),
            Layer(f"{key}/3", "paint", lab=BLUE, lower_boundary="soiled"),
        )
        return Sample(key, key, "mantel", "complete", "complete", layers)

    found = correlate([soiled("A"), soiled("B")]).placements
    assert found["A/2"].generation == found["B/2"].generation == found["A/1"].generation
    assert found["A/3"].generation > found["A/2"].generation


def test_a_layer_may_stand_in_a_generation_that_no_other_sample_shows() -> None:
    plain = [sample(key, RED, GREEN, BLUE) for key in "ABCD"]
    found = correlate([*plain, sample("E", RED, YELLOW, GREEN, BLUE)]).placements
    alone = found["E/2"].generation
    assert [key for key, one in found.items() if one.generation == alone] == ["E/2"]
    assert found["E/1"].generation < alone < found["E/3"].generation == found["A/2"].generation


def test_progress_is_told_and_may_stop_the_work() -> None:
    told: list[tuple[int, int]] = []
    correlate([sample("A", RED), sample("B", RED)], parameters=QUICK, progress=lambda done, total: told.append((done, total)))
    rounds = told[-1][1]
    shares = [done / total for done, total in told]
    assert (shares[0], shares[-1], shares) == (0.0, 1.0, sorted(shares))
    assert set(range(1, rounds + 1)) <= {done for done, _ in told}
    # In a large space, to learn it and to settle take seconds, in which it must be possible to stop it as well.
    assert len([one for one in told if one[0] == 0]) > 1
    assert len([one for one in told if one == (rounds - 1, rounds)]) > 2

    def stop(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        correlate([sample("A", RED)], parameters=QUICK, progress=stop)


def test_a_colour_that_is_no_number_is_read_as_not_observed() -> None:
    nan = float("nan")
    found = correlate([sample("A", RED, (nan, nan, nan)), sample("B", RED, BLUE)])
    assert all(np.isfinite(one.confidence) for one in found.placements.values())


# --- what evidence is worth ---------------------------------------------------------------------------------------------------


def _same(found: object, one: str, other: str) -> bool:
    places = found.placements  # type: ignore[attr-defined]
    return bool(places[one].generation == places[other].generation)


def test_uv_that_was_not_observed_is_no_mismatch() -> None:
    sequence = (RED, GREEN, BLUE, YELLOW)
    bright = [
        replace(one, layers=tuple(replace(layer, uv_colour="bluish white", uv_strength="moderate") for layer in one.layers))
        for one in (sample(key, *sequence) for key in "ABC")
    ]
    blind = replace(bright[0], layers=tuple(replace(layer, uv_colour="", uv_strength="") for layer in bright[0].layers))
    found = correlate([blind, *bright[1:]])
    assert all(_same(found, f"A/{number}", f"B/{number}") for number in (1, 2, 3, 4))


def test_taking_a_mismatching_uv_away_never_makes_a_match_less_probable() -> None:
    def seen(uv: str) -> float:
        three = [sample(key, RED, GREEN, BLUE, YELLOW) for key in "ABC"]
        glowing = [replace(one, layers=tuple(replace(layer, uv_colour="orange") for layer in one.layers)) for one in three[1:]]
        odd = replace(three[0], layers=(*three[0].layers[:1], replace(three[0].layers[1], uv_colour=uv), *three[0].layers[2:]))
        found = correlate([odd, *glowing]).placements
        same = found["A/2"].generation == found["B/2"].generation
        return found["A/2"].confidence if same else -1.0

    assert seen("") >= seen("dark violet")


def test_words_for_one_glow_are_one_glow() -> None:
    from analysis.core.correlation.words import hues, plain

    assert hues("Yellow-white") == hues("yellowish white")
    assert hues("bluish") == hues("blue")
    assert plain("Zinc white (identified: SEM-EDS)") == plain("zinc white (seen)") == "zinc white"


def test_a_missing_beginning_is_cheap_where_the_base_is_stripped() -> None:
    from analysis.core.correlation.alignment import walk

    shown = np.full(8, 0.8)
    parameters = Parameters()
    whole, _, _ = walk(shown, 0.03, parameters.stripping, parameters.begins_late_whole, parameters.ends_early_whole)
    broken, _, _ = walk(shown, 0.03, parameters.stripping, parameters.begins_late_broken, parameters.ends_early_whole)
    assert broken[2 * 5 + 1] > 3.0 * whole[2 * 5 + 1]
    full = [sample(key, *COLOURS) for key in "ABC"]
    found = correlate([*full, sample("S", *COLOURS[4:], base="stripped")]).placements
    assert [found[f"S/{number}"].generation for number in (1, 2, 3, 4)] == [found[f"A/{number}"].generation for number in (5, 6, 7, 8)]


def test_several_campaigns_missing_in_a_row_are_one_event() -> None:
    from analysis.core.correlation.alignment import walk

    shown = np.full(12, 0.9)
    _, advance, _ = walk(shown, 0.03, Parameters().stripping, 0.1, 0.1)
    leaps = [advance[1, 2 * skipped + 3] for skipped in range(11)]
    assert leaps[6] / leaps[5] > 0.5  # the seventh missing one costs little more than six
    assert leaps[1] / leaps[0] < 0.2  # the first one did


def test_a_rare_colour_says_more_than_one_more_white() -> None:
    from analysis.core.correlation.evidence import gather

    samples = sorted((sample(key, WHITE, RED, WHITE, WHITE, WHITE) for key in "ABCD"), key=lambda one: one.key)
    evidence = gather(samples, Parameters())
    told = evidence.hearings[0]
    assert list(told.heard[:2]) == [5, 6]  # the first layers of B
    votes = told.whole(told.said, 5)[0, 0]  # layers of A × layers heard, colour on the same class
    assert votes[1, 1] > 2.0 * votes[0, 0]


def test_a_second_coat_of_a_rare_colour_is_one_campaign_and_one_more_white_says_less() -> None:
    """By hand: in three samples of eight coats, two red and five white, with eight layers' worth of smoothing at 0.03, the mean agreement
    is (6 + 0.24) / 32 = 0.195 for red and (15 + 0.24) / 32 = 0.476 for white. Coat on coat has odds 0.22 / 0.78 for one campaign, a sharp
    boundary e^-0.4. Red on red: 0.189 (0.95 / 0.195 + 0.05)^0.7 = 0.577, a probability of 0.37; white on white: 0.312, 0.24. The agreement
    of two different colours is not quite 0, which the tolerance allows for.
    """
    from analysis.core.correlation.evidence import gather

    coats = [sample(key, WHITE, WHITE, RED, RED, WHITE, BLUE, WHITE, WHITE) for key in "ABC"]
    plain = [replace(one, layers=tuple(replace(layer, lower_boundary="sharp") for layer in one.layers)) for one in coats]
    stay = gather(plain, Parameters()).stay[:8]
    assert stay[3] == pytest.approx(0.37, abs=0.04)
    assert stay[1] == stay[7] == pytest.approx(0.24, abs=0.04)
    assert max(stay[2], stay[4], stay[5], stay[6]) < 0.1  # a colour on another


def test_a_second_sample_of_the_element_says_most_about_what_was_left_out() -> None:
    from analysis.core.correlation.kinship import kinship_of, samples_of_elements

    samples = [
        replace(sample("A", RED), element="door 1"),
        replace(sample("B", RED), element="door 1"),
        replace(sample("C", RED), element="door 2"),
        sample("D", RED, element_class="cornice"),
        sample("E", RED, element_class="wall"),
    ]
    told = kinship_of(samples, Parameters())[0]
    assert told[0] == 0.0
    assert told[1] > told[2] > told[3] > told[4] > 0.0
    assert samples_of_elements(samples) == ((0, 1), (2,), (3,), (4,))


def test_a_primer_and_the_paint_on_it_are_one_campaign() -> None:
    def primed(key: str) -> Sample:
        coats = (("primer", WHITE, "sharp"), ("paint", GREEN, "sharp"), ("primer", WHITE, "soiled"), ("paint", BLUE, "fused"))
        layers = tuple(
            Layer(f"{key}/{number}", kind, lab=lab, lower_boundary=joint) for number, (kind, lab, joint) in enumerate(coats, start=1)
        )
        return Sample(key, key, "shutter", "complete", "complete", layers)

    found = correlate([primed("A"), primed("B"), primed("C")])
    assert _same(found, "A/1", "A/2")
    assert _same(found, "A/3", "A/4")
    assert not _same(found, "A/2", "A/3")
    assert _same(found, "A/1", "C/1")


def test_a_stack_of_near_whites_is_fast_and_says_how_unsure_it_is() -> None:
    """Seventy-one near-whites, as on one terrace house (P. Baty, report of 2010, synopsis): order kept, little certainty."""
    random = np.random.default_rng(71)
    whites = [sample(f"W{n}", *[tuple(WHITE + random.normal(0, 1.0, 3)) for _ in range(71)]) for n in range(3)]
    found = correlate(whites, parameters=QUICK)
    assert order_violations(whites, {key: one.generation for key, one in found.placements.items()}) == 0
    clear = [sample(f"C{n}", *COLOURS) for n in range(5)]
    sure = np.mean([one.confidence for one in correlate(clear, parameters=QUICK).placements.values()])
    unsure = np.mean([one.confidence for one in found.placements.values()])
    assert unsure < 0.6 < 0.85 < sure
