"""Which generation was in force: against enumeration of every set of years, by hand, by bounds and phases, and what is no evidence."""

import random
from fractions import Fraction
from itertools import product

import pytest

from analysis.core import as_of as kernel
from analysis.core import dating
from analysis.core.as_of import FOUND, NO_EVIDENCE, Generation, PhaseEnd, as_of, certainty_word, reached_by_phase, reached_by_year
from analysis.core.elements import Element, Layer, Sample


def door(*ordinals: int, base: str = "complete", top: str = "complete") -> Element:
    """An element with one sample that shows one painted layer of each generation named."""
    layers = tuple(
        Layer(f"S/{place}", place, "paint", generation=ordinal, lab=(80.0, 0.0, float(ordinal)), munsell=f"N {ordinal}")
        for place, ordinal in enumerate(ordinals, start=1)
    )
    return Element("D", "1", "door leaf", "wood", (Sample("S", base, top, layers),))


def dated(bounds: list[tuple[int, int]]) -> list[Generation]:
    keys = [dating.Generation(str(number), "1", number) for number in range(1, len(bounds) + 1)]
    given = [dating.DatedGeneration(one.key, *pair, (), (), ()) for one, pair in zip(keys, bounds, strict=True)]
    (space,) = dating.distributions(keys, given)
    return [
        Generation(number, earliest=low, latest=high, distribution=curve)
        for number, ((low, high), curve) in enumerate(zip(bounds, space.generations, strict=True), start=1)
    ]


def chances(answer: kernel.ElementAsOf) -> dict[int | None, float | None]:
    first = () if answer.in_force is None else (answer.in_force,)
    return {one.ordinal: one.probability for one in (*first, *answer.alternatives)}


# --- against enumeration ------------------------------------------------------------------------------------------------------


def _random_bounds(draw: random.Random) -> list[tuple[int, int]]:
    while True:
        first = sorted(draw.randrange(1800, 1808) for _ in range(draw.randint(2, 4)))
        high = [low + draw.randrange(1, 7) for low in first]
        bounds = list(zip(first, [min(high[place:]) for place in range(len(high))], strict=True))
        if all(low <= last for low, last in bounds):
            return bounds


@pytest.mark.parametrize("seed", range(60))
def test_the_probability_of_each_generation_is_its_share_of_all_ordered_sets_of_years(seed: int) -> None:
    draw = random.Random(seed)
    bounds = _random_bounds(draw)
    carried = sorted(draw.sample(range(1, len(bounds) + 1), draw.randint(1, len(bounds))))
    year = draw.randrange(1799, 1814)
    sets = [years for years in product(*(range(low, high + 1) for low, high in bounds)) if list(years) == sorted(years)]
    expected: dict[int | None, Fraction] = {}
    for years in sets:
        painted = [ordinal for ordinal in carried if years[ordinal - 1] <= year]
        last = painted[-1] if painted else None
        expected[last] = expected.get(last, Fraction(0)) + Fraction(1, len(sets))
    (answer,) = as_of([door(*carried)], {"1": dated(bounds)}, year)
    found = chances(answer)
    for ordinal, share in expected.items():
        if float(share) >= 0.005:
            if answer.in_force is None and ordinal is None:
                continue
            assert found[ordinal] == pytest.approx(float(share), abs=1e-12)
    likeliest = max(expected.values())
    if answer.in_force is None:
        assert expected[None] == likeliest
    else:
        assert expected[answer.in_force.ordinal] == likeliest
    assert {one for one in found if one is not None} <= set(carried)


def test_two_generations_in_three_years_by_hand() -> None:
    # Ordered pairs of 1800..1802, each a sixth: 00 01 02 11 12 22. At the end of 1801 the first was painted in 5 of 6, the second in
    # 3 of 6 (00 01 11): so nothing 1/6, the first 5/6 - 3/6 = 2/6, the second 3/6.
    (answer,) = as_of([door(1, 2)], {"1": dated([(1800, 1802), (1800, 1802)])}, 1801)
    assert answer.in_force is not None
    assert answer.in_force.ordinal == 2
    assert chances(answer) == {2: pytest.approx(3 / 6), 1: pytest.approx(2 / 6), None: pytest.approx(1 / 6)}
    assert [one.ordinal for one in answer.alternatives] == [1, None]


def test_published_panelling_of_1795_in_the_middle_of_its_life() -> None:
    # Stratford Hall, dining-room wainscot (A Vivid View, 2017, p. 2): six generations of 1795..1937, nothing known between. The k-th of
    # six ordered years of m = 143 is not later than the j-th year with the probability that at least k of them are; a non-decreasing
    # set of which exactly i lie in the first j years: C(j + i - 1, i)·C(m - j + 5 - i, 6 - i) of C(m + 5, 6).
    from math import comb

    m, j = 143, 1866 - 1795 + 1
    exactly = [comb(j + i - 1, i) * comb(m - j + 5 - i, 6 - i) / comb(m + 5, 6) for i in range(7)]
    assert sum(exactly) == pytest.approx(1.0)
    (answer,) = as_of([door(1, 2, 3, 4, 5, 6)], {"1": dated([(1795, 1937)] * 6)}, 1866)
    found = chances(answer)
    assert {ordinal: found[ordinal] for ordinal in range(1, 7)} == {
        ordinal: pytest.approx(exactly[ordinal], abs=1e-12) for ordinal in range(1, 7)
    }
    (before,) = as_of([door(1, 2, 3, 4, 5, 6)], {"1": dated([(1795, 1937)] * 6)}, 1794)
    assert before.state == NO_EVIDENCE
    assert "generation 1 of 1795 to 1937, is later; it was bare until then, or not yet there" in before.sentence


def test_a_film_that_may_belong_to_another_generation_brings_that_doubt_along_by_hand() -> None:
    # The film of generation 1 (certainly painted) may belong to generation 3 (certainly not yet): 0.6 to 0.2, and the rest of 0.2 to
    # generation 2 (certainly painted), which the film above leaves open: it was there with 0.8. The one above stands in generation 2 with
    # 0.5, and the rest is shared by 1 and 3: 0.75. So it is in force with 0.75, the one below with 0.05, nothing recorded with 0.2.
    # Where the lower one is held it was certainly there.
    generations = [Generation(1, latest=1800), Generation(2, latest=1810), Generation(3, earliest=1900)]
    lower = Layer("S/1", 1, "paint", generation=1, confidence=0.6, runner_up=3, runner_up_confidence=0.2)
    upper = Layer("S/2", 2, "paint", generation=2, confidence=0.5)
    one = Element("D", "1", "door leaf", samples=(Sample("S", "complete", "complete", (lower, upper)),))
    (answer,) = as_of([one], {"1": generations}, 1850)
    assert chances(answer) == {2: pytest.approx(0.75), 1: pytest.approx(0.05), None: pytest.approx(0.2)}
    held = Layer("S/1", 1, "paint", generation=1, confidence=0.6, held=True, runner_up=3, runner_up_confidence=0.2)
    settled = Element("D", "1", "door leaf", samples=(Sample("S", "complete", "complete", (held, upper)),))
    (sure,) = as_of([settled], {"1": generations}, 1850)
    assert chances(sure) == {2: pytest.approx(0.75), 1: pytest.approx(0.25)}


def test_a_lonely_film_that_nothing_places_may_belong_to_all_that_its_neighbours_leave_open_by_hand() -> None:
    # Generation 2 of 1 to 5 with 0.1, between films held in 1 and 4: the rest of 0.9 is shared by 1, 3 and 4. Painted by then: 1 and 2,
    # so it was there with 0.1 + 0.3 = 0.4; the film of 4 was not.
    generations = [Generation(1, latest=1800), Generation(2, latest=1810), *(Generation(one, earliest=1900) for one in (3, 4, 5))]
    layers = (
        Layer("S/1", 1, "paint", generation=1, held=True, confidence=0.5),
        Layer("S/2", 2, "paint", generation=2, confidence=0.1),
        Layer("S/3", 3, "paint", generation=4, held=True, confidence=0.5),
    )
    (answer,) = as_of([Element("D", "1", "door leaf", samples=(Sample("S", "complete", "complete", layers),))], {"1": generations}, 1850)
    assert chances(answer) == {1: pytest.approx(0.6), 2: pytest.approx(0.4)}


# --- by bounds alone, and by phases -------------------------------------------------------------------------------------------


def test_without_distributions_bounds_say_surely_surely_not_or_nothing() -> None:
    generations = [Generation(1, latest=1820), Generation(2, earliest=1810, latest=1850), Generation(3), Generation(4, earliest=1900)]
    assert reached_by_year(generations, 1830) == [1.0, None, None, 0.0]
    (answer,) = as_of([door(1, 2, 3, 4)], {"1": generations}, 1830)
    assert answer.state == FOUND
    assert chances(answer) == {1: None, 2: None, 3: None}
    assert "which dates leave open" in answer.sentence
    assert answer.certainty == "undated"


def test_what_lies_below_a_painted_generation_was_painted_and_what_lies_above_one_to_come_was_not() -> None:
    assert reached_by_year([Generation(1), Generation(2, latest=1800), Generation(3)], 1800) == [1.0, 1.0, None]
    assert reached_by_year([Generation(1), Generation(2, earliest=1801), Generation(3)], 1800) == [None, 0.0, 0.0]


def test_when_nothing_dates_a_space_there_is_no_evidence_and_it_says_so() -> None:
    (answer,) = as_of([door(1, 2)], {"1": [Generation(1), Generation(2)]}, 1850)
    assert answer.state == NO_EVIDENCE
    assert answer.in_force is None
    assert answer.sentence.startswith("No evidence for 1850: the first finish that it shows, generation 1, has no years to tell.")
    assert "Otherwise generation 1 or generation 2" in answer.sentence


@pytest.mark.parametrize(
    ("phases", "latest", "expected"),
    [
        # Asked for phase 2: 1 and 2 are in, 3 and up are out; what lies between goes by the last year of the phase.
        ([1, 2, 2, 3], None, [1.0, 1.0, 1.0, 0.0]),
        ([None, 2, None, 3], None, [1.0, 1.0, None, 0.0]),
        ([None, 3, None], None, [None, 0.0, 0.0]),
        ([1, None, None], None, [1.0, None, None]),
        ([1, None, None], 1850, [1.0, 1.0, 0.0]),
    ],
)
def test_a_phase_takes_in_its_generations_and_all_below_them(
    phases: list[int | None], latest: int | None, expected: list[float | None]
) -> None:
    years = [(None, 1800), (None, 1850), (1851, None), (1900, None)]
    generations = [Generation(n, phase=phase, earliest=years[n - 1][0], latest=years[n - 1][1]) for n, phase in enumerate(phases, start=1)]
    assert reached_by_phase(generations, PhaseEnd(2, latest)) == expected


def test_as_of_a_phase_an_element_that_it_left_out_keeps_its_older_finish_and_the_gap_is_told() -> None:
    generations = [Generation(1, phase=1), Generation(2, phase=2), Generation(3, phase=3)]
    (answer,) = as_of([door(1, 3)], {"1": generations}, PhaseEnd(2, None, "phase 2"))
    assert answer.in_force is not None
    assert (answer.in_force.ordinal, answer.in_force.probability) == (1, 1.0)
    assert answer.sentence.startswith("As of phase 2 the door leaf D showed N 1 (paint): generation 1, surely (100 %), on 1 sample.")
    assert "Generation 2 of the space was painted by then and does not show on it: left out, or missed." in answer.doubts


# --- no evidence, doubts ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("element", "why"),
    [
        (Element("D", "1", "door leaf"), "no sample was taken of it"),
        (Element("D", "1", "door leaf", samples=(Sample("S"),)), "1 sample of it is recorded, without layers"),
        (Element("D", "1", "door leaf", samples=(Sample("S", layers=(Layer("S/1", 1, "paint"),)),)), "none of its 1 layer is placed"),
        (door(2, base="stripped"), "generation 2 of 1900 to 1910, is later; what was there before was stripped"),
        (door(2, base="detached"), "no sample reaches its substrate"),
        (door(2, base="unknown"), "what was there before is not known"),
    ],
)
def test_no_evidence_is_an_answer_with_its_reason(element: Element, why: str) -> None:
    generations = [Generation(1, earliest=1800, latest=1810), Generation(2, earliest=1900, latest=1910)]
    (answer,) = as_of([element], {"1": generations}, 1850)
    assert answer.state == NO_EVIDENCE
    assert answer.in_force is None
    assert why in answer.sentence


def test_a_lost_top_is_told_only_where_the_last_generation_is_in_force() -> None:
    generations = [Generation(1, latest=1800), Generation(2, earliest=1900, latest=1900)]
    later, earlier = (as_of([door(1, 2, top="lost")], {"1": generations}, year)[0] for year in (1950, 1850))
    assert any("later finish may be missing" in one for one in later.doubts)
    assert not any("later finish may be missing" in one for one in earlier.doubts)
    whole = as_of([door(1, 2)], {"1": generations}, 1950)[0]
    assert not any("later finish may be missing" in one for one in whole.doubts)


def test_of_equally_likely_generations_the_later_is_told_first() -> None:
    # Two free generations of two years: 00 01 11. At the end of the first year: nothing 1/3, first 1/3, second 1/3.
    (answer,) = as_of([door(1, 2)], {"1": dated([(1800, 1801), (1800, 1801)])}, 1800)
    assert answer.in_force is not None
    assert [answer.in_force.ordinal, *(one.ordinal for one in answer.alternatives)] == [2, 1, None]


@pytest.mark.parametrize(
    ("probability", "word"),
    [(1.0, "surely"), (0.95, "surely"), (0.94, "very likely"), (0.8, "very likely"), (0.5, "likely"), (0.49, "perhaps"), (None, "undated")],
)
def test_a_probability_has_its_word(probability: float | None, word: str) -> None:
    assert certainty_word(probability) == word


def test_years_before_the_common_era_are_said_as_people_do() -> None:
    (answer,) = as_of([door(1)], {"1": [Generation(1, latest=-50)]}, -20)
    assert answer.sentence.startswith("As of 20 BCE ")
