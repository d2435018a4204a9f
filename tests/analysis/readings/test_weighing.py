"""How likely each history is: against enumeration of every pattern of generations carried, and by hand."""

import random
from fractions import Fraction
from itertools import product

import pytest

from analysis.core.readings import HISTORIES, Signs, chance_of_start, weigh
from analysis.core.readings.weighing import AGAINST_EVIDENCE, BASE, FOREIGN, PRIOR, SIGN


def _signs(**more: object) -> Signs:
    given: dict[str, object] = {
        "rates": (0.8, 0.5, 0.9), "first": 0, "foreign": 0, "foreign_rate": 0.1, "doubt": 0.02, "base": "complete", "residue": False,
        "possible": (0, 1, 2), **more,
    }  # fmt: skip
    return Signs(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(30))
def test_the_chance_of_a_beginning_is_its_share_over_all_comings_and_all_patterns(seed: int) -> None:
    draw = random.Random(seed)
    rates = [Fraction(draw.randint(1, 9), 10) for _ in range(draw.randint(2, 6))]
    coming = [Fraction(draw.randint(0, 3)) for _ in rates]
    coming = [one / sum(coming) for one in coming] if sum(coming) else [Fraction(1, len(rates))] * len(rates)
    shares: dict[int | None, Fraction] = {}
    for start, pattern in product(range(len(rates)), product((False, True), repeat=len(rates))):
        if any(pattern[:start]):
            continue  # it was not there yet
        chance = coming[start]
        for index in range(start, len(rates)):
            chance *= rates[index] if pattern[index] else 1 - rates[index]
        first = next((index for index, carried in enumerate(pattern) if carried), None)
        shares[first] = shares.get(first, Fraction(0)) + chance
    assert sum(shares.values()) == 1
    for first in (*range(len(rates)), None):
        found = chance_of_start([float(one) for one in rates], first, [float(one) for one in coming])
        assert found == pytest.approx(float(shares.get(first, 0)), abs=1e-12)


def test_one_case_by_hand() -> None:
    # Two generations, carried by 3 of 4 and 1 of 2; the element starts at the second; base stripped, a scraped surface, nothing foreign.
    # Start at the second, had it stood from the start: (1 - 3/4)·1/2 = 1/8; had it come, or been stripped, before the second: 1/2.
    # With doubt 2 %: 0.98·p + 0.02/3.
    signs = _signs(rates=(0.75, 0.5), first=1, base="stripped", residue=True, possible=(0, 1))
    misread = 0.02 / 3
    start, late = 0.98 / 8 + misread, 0.98 / 2 + misread
    weights = {
        "from the start": 0.70 * start * 0.02 * 0.05 * 0.9,
        "inserted": 0.12 * late * 0.02 * 0.05 * 0.9,
        "stripped": 0.12 * late * 0.55 * 0.45 * 0.9,
        "reused": 0.06 * late * 0.02 * 0.05 * 0.15,
    }
    assert (PRIOR, BASE["stripped"], SIGN, FOREIGN[0]) == (
        {"from the start": 0.70, "inserted": 0.12, "stripped": 0.12, "reused": 0.06},
        {"stripped": 0.55, "otherwise": 0.02},
        {"stripped": 0.45, "otherwise": 0.05},
        0.15,
    )
    found = weigh(signs)
    for history in HISTORIES:
        assert found[history] == pytest.approx(weights[history] / sum(weights.values()), rel=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_the_chances_sum_to_one_and_none_is_ruled_out(seed: int) -> None:
    draw = random.Random(seed)
    count = draw.randint(2, 8)
    signs = _signs(
        rates=tuple(draw.uniform(0.05, 0.95) for _ in range(count)),
        first=draw.choice([None, *range(count)]),
        foreign=draw.randint(0, 5),
        base=draw.choice(list(BASE)),
        residue=draw.random() < 0.5,
        possible=tuple(sorted(draw.sample(range(count), draw.randint(0, count)))),
    )
    found = weigh(signs)
    assert sum(found.values()) == pytest.approx(1.0)
    assert all(value > 0 for value in found.values())


def test_counts_alone_do_not_tell_an_insertion_from_a_stripping() -> None:
    # Same base, no sign, no evidence: only how likely such a base and no sign are parts the two, never how many are missing.
    ratios = []
    for first in (1, 2):
        found = weigh(_signs(first=first, base="unknown", doubt=0.02))
        ratios.append(found["stripped"] / found["inserted"])
    assert ratios[0] == pytest.approx(ratios[1])
    assert ratios[0] == pytest.approx(0.27 * 0.55 / (0.12 * 0.95))


def test_evidence_that_it_was_made_later_speaks_for_an_insertion_and_against_the_rest() -> None:
    silent = weigh(_signs(rates=(0.5, 0.5, 0.5), first=1, doubt=0.0))
    later = weigh(_signs(rates=(0.5, 0.5, 0.5), first=1, doubt=0.0, possible=(1,)))
    older = weigh(_signs(rates=(0.5, 0.5, 0.5), first=1, doubt=0.0, possible=(0,)))
    assert later["inserted"] > silent["inserted"] > older["inserted"]
    assert later["from the start"] < silent["from the start"] < older["from the start"]
    assert later["inserted"] / later["stripped"] == pytest.approx(silent["inserted"] / silent["stripped"] / AGAINST_EVIDENCE)


def test_more_early_generations_missing_speak_against_its_having_stood_from_the_start() -> None:
    chances = [weigh(_signs(rates=(0.8,) * 6, first=first, possible=tuple(range(6))))["from the start"] for first in range(5)]
    assert chances == sorted(chances, reverse=True)
    # By hand, for all five: nothing is missing, so it cannot be later; and four of five missing four times running is 1 in 625.
    assert chances[0] > 0.95
    assert chances[4] < 0.1
