"""Distributions: against enumeration, against a twin in whole numbers, against order statistics, and by hand."""

import random
from fractions import Fraction
from itertools import pairwise, product

import pytest

from analysis.core.dating import (
    ORDERED_UNIFORM,
    PRIORS,
    UNIFORM_SPAN,
    DatedGeneration,
    DatingError,
    Generation,
    SpaceDistributions,
    distributions,
)

Bounds = list[tuple[int | None, int | None]]


def _room(bounds: Bounds, prior: str = ORDERED_UNIFORM) -> SpaceDistributions:
    generations = tuple(Generation(str(number), "103", number) for number in range(1, len(bounds) + 1))
    dated = tuple(DatedGeneration(one.key, *pair, (), (), ()) for one, pair in zip(generations, bounds, strict=True))
    return distributions(generations, dated, prior=prior)[0]


def _close(found: SpaceDistributions, expected: list[dict[int, Fraction]], tolerance: float = 1e-12) -> None:
    for one, exact in zip(found.generations, expected, strict=True):
        years = {one.first_year + offset: value for offset, value in enumerate(one.probabilities)}
        assert {year for year, value in years.items() if value} == set(exact)
        for year, value in exact.items():
            assert abs(years[year] - float(value)) < tolerance


# --- by hand ------------------------------------------------------------------------------------------------------------------


def test_two_generations_in_three_years_by_hand() -> None:
    # Ordered pairs of 0, 1, 2: 00 01 02 11 12 22. First is 0 in three of six, 1 in two, 2 in one.
    found = _room([(0, 2), (0, 2)])
    assert found.generations[0].probabilities == pytest.approx((3 / 6, 2 / 6, 1 / 6), abs=1e-15)
    assert found.generations[1].probabilities == pytest.approx((1 / 6, 2 / 6, 3 / 6), abs=1e-15)
    assert found.generations[0].median == 0
    assert found.generations[1].interval_95 == (0, 2)


def test_two_generations_in_three_years_by_hand_when_spans_are_equally_likely() -> None:
    # Span 0: 00 11 22; span 1: 01 12; span 2: 02; a third each. First is 0: 1/9 + 1/6 + 1/3 = 11/18; 1: 1/9 + 1/6 = 5/18; 2: 1/9.
    found = _room([(0, 2), (0, 2)], UNIFORM_SPAN)
    assert found.generations[0].probabilities == pytest.approx((11 / 18, 5 / 18, 2 / 18), abs=1e-15)
    assert found.generations[1].probabilities == pytest.approx((2 / 18, 5 / 18, 11 / 18), abs=1e-15)


# --- enumeration --------------------------------------------------------------------------------------------------------------


def _propagated(bounds: list[tuple[int, int]]) -> list[tuple[int, int]]:
    low = [max(pair[0] for pair in bounds[: place + 1]) for place in range(len(bounds))]
    high = [min(pair[1] for pair in bounds[place:]) for place in range(len(bounds))]
    return list(zip(low, high, strict=True))


def _random_bounds(seed: int) -> list[tuple[int, int]]:
    draw = random.Random(seed)
    while True:
        firsts = [draw.randrange(1800, 1806) for _ in range(draw.randint(1, 4))]
        found = _propagated([(first, first + draw.randrange(7)) for first in sorted(firsts)])
        if all(low <= high for low, high in found):
            return found


def _enumerated(bounds: list[tuple[int, int]], prior: str) -> list[dict[int, Fraction]]:
    sets = [years for years in product(*(range(low, high + 1) for low, high in bounds)) if list(years) == sorted(years)]
    spans = [years[-1] - years[0] for years in sets]
    count = {span: spans.count(span) for span in spans}
    weight = [Fraction(1, len(sets)) if prior == ORDERED_UNIFORM else Fraction(1, len(count)) * Fraction(1, count[span]) for span in spans]
    marginals: list[dict[int, Fraction]] = [{} for _ in bounds]
    for years, part in zip(sets, weight, strict=True):
        for place, year in enumerate(years):
            marginals[place][year] = marginals[place].get(year, Fraction(0)) + part
    return marginals


@pytest.mark.parametrize("prior", PRIORS)
@pytest.mark.parametrize("seed", range(40))
def test_marginals_are_those_of_enumeration(seed: int, prior: str) -> None:
    bounds = _random_bounds(seed)
    exact = _enumerated(bounds, prior)
    found = _room(list(bounds), prior)
    _close(found, exact)
    for one, marginal in zip(found.generations, exact, strict=True):
        passed = Fraction(0)
        seen = []
        for year in sorted(marginal):
            passed += marginal[year]
            seen.append((year, passed))

        def quantile(part: str, seen: list[tuple[int, Fraction]] = seen) -> int:
            return next(year for year, passed in seen if passed >= Fraction(part))

        assert one.median == quantile("1/2")
        assert one.interval_68 == (quantile("0.16"), quantile("0.84"))
        assert one.interval_95 == (quantile("0.025"), quantile("0.975"))
        assert one.mean == pytest.approx(float(sum(year * value for year, value in marginal.items())), abs=1e-9)


# --- the twin in whole numbers ------------------------------------------------------------------------------------------------


def _whole_number_twin(bounds: list[tuple[int, int]]) -> list[dict[int, Fraction]]:
    """Count sets in integers of any length: slow and free of rounding."""

    def sweep(rows: list[tuple[int, int]], step: int) -> list[dict[int, int]]:
        ways: list[dict[int, int]] = []
        for low, high in rows:
            years = range(low, high + 1) if step > 0 else range(high, low - 1, -1)
            before = ways[-1] if ways else None
            row, passed, waiting = {}, 0, sorted(before, reverse=step < 0) if before else []
            for year in years:
                while before and waiting and (waiting[0] - year) * step <= 0:
                    passed += before[waiting.pop(0)]
                row[year] = passed if before else 1
            ways.append(row)
        return ways

    forward, backward = sweep(bounds, 1), sweep(bounds[::-1], -1)[::-1]
    found = []
    for there, back in zip(forward, backward, strict=True):
        counts = {year: there[year] * back[year] for year in there if there[year] * back[year]}
        total = sum(counts.values())
        found.append({year: Fraction(value, total) for year, value in counts.items()})
    return found


def test_the_twin_itself_agrees_with_enumeration() -> None:
    for seed in range(20):
        assert _whole_number_twin(_random_bounds(seed)) == _enumerated(_random_bounds(seed), ORDERED_UNIFORM)


def test_forty_generations_in_four_hundred_years_agree_with_the_twin() -> None:
    draw = random.Random(7)
    bounds = _propagated(
        [(1600 + (draw.randrange(9 * place) if place else 0), 2000 - draw.randrange(380 - 9 * place)) for place in range(40)]
    )
    assert all(low <= high for low, high in bounds)
    _close(_room(list(bounds)), _whole_number_twin(bounds))


def test_forty_generations_free_in_four_hundred_years_agree_with_the_twin() -> None:
    bounds = [(1600, 1999)] * 40
    _close(_room(list(bounds)), _whole_number_twin(bounds))


# --- order statistics ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "first", "last"), [(1, 1795, 1937), (6, 1795, 1937), (40, 1600, 1999), (5, 1800, 1800)])
def test_means_of_a_free_chain_are_the_order_statistics(count: int, first: int, last: int) -> None:
    # E = a + (b - a)·k/(n + 1) holds for whole years too, not only in the limit. A non-decreasing set of n of m = b - a + 1 years,
    # with k - 1 added to its k-th, is a set of n different numbers of 1..m + n - 1, whose k-th has the mean k(m + n)/(n + 1). Taking
    # k - 1 off again and counting from a: a - 1 + k(m + n)/(n + 1) - (k - 1) = a + k(m - 1)/(n + 1). So only rounding is allowed.
    found = _room([(first, last)] * count)
    for k, one in enumerate(found.generations, start=1):
        assert one.mean == pytest.approx(first + (last - first) * k / (count + 1), abs=1e-8)


def test_equally_likely_spans_lie_nearer_together_than_ordered_uniform_years() -> None:
    # Nicholls & Jones (2001): ordered uniform years favour long spans. For n free generations of 0..R the mean span is R(n - 1)/(n + 1)
    # by order statistics, and by construction R/2 when every span 0..R is equally likely.
    bounds: Bounds = [(0, 200)] * 10
    wide, even = _room(bounds), _room(bounds, UNIFORM_SPAN)
    assert wide.generations[-1].mean - wide.generations[0].mean == pytest.approx(200 * 9 / 11, abs=1e-8)
    assert even.generations[-1].mean - even.generations[0].mean == pytest.approx(100, abs=1e-8)


# --- windows, words, refusals -------------------------------------------------------------------------------------------------


def test_open_ends_are_closed_by_the_outermost_years_and_it_says_so() -> None:
    found = _room([(None, 1850), (1800, None), (1820, 1900)])
    assert found.window == (1800, 1900)
    assert "no record bounds the oldest from below, so 1800, the earliest year of any record, stands in" in found.sentence
    assert "1900, the latest year of any record, stands in" in found.sentence


@pytest.mark.parametrize(
    ("bounds", "side"),
    [
        ([(None, None), (None, None)], "below and above"),
        ([(1800, None)], "above"),
        ([(None, 1900)], "below"),
        ([(None, 1790), (1800, 1900)], "below"),
    ],
)
def test_a_space_that_nothing_encloses_is_not_datable_and_says_so(bounds: Bounds, side: str) -> None:
    found = _room(bounds)
    assert found.generations == ()
    assert (
        found.sentence == f"Space 103 is not datable: no record bounds its generations from {side}. Give the study a first and a last year."
    )


@pytest.mark.parametrize("prior", PRIORS)
def test_the_sentence_names_the_prior(prior: str) -> None:
    assert prior in _room([(1800, 1900)], prior).sentence
    assert ("Nicholls & Jones 2001" in _room([(1800, 1900)], prior).sentence) == (prior == ORDERED_UNIFORM)


def test_the_probability_of_having_been_painted_by_a_year_never_rises_from_one_generation_to_the_next() -> None:
    found = _room([(1795, 1937)] * 6)
    for year in (1700, 1795, 1850, 1937, 2000):
        chances = [one.by(year) for one in found.generations]
        assert all(later <= earlier + 1e-12 for earlier, later in pairwise(chances))
    assert found.generations[0].by(1794) == 0
    assert found.generations[5].by(1937) == pytest.approx(1)


def test_an_unknown_prior_an_undated_generation_and_crossed_bounds_are_refused() -> None:
    generation = Generation("1", "103", 1)
    with pytest.raises(DatingError, match="prior 'flat' is unknown"):
        distributions([generation], [DatedGeneration("1", 1800, 1900, (), (), ())], prior="flat")
    with pytest.raises(DatingError, match="has not been dated"):
        distributions([generation], [])
    with pytest.raises(DatingError, match="allow no ordered set"):
        _room([(1850, 1900), (1800, 1840)])


def test_fifty_spaces_of_twenty_generations_are_all_given_distributions() -> None:
    generations = [Generation(f"{space}.{number}", f"{space}", number) for space in range(50) for number in range(20)]
    dated = [DatedGeneration(one.key, 1700, 2000, (), (), ()) for one in generations]
    assert len(distributions(generations, dated)) == 50
