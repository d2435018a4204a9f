"""How likely each history is: against a slow twin in fractions over every coming, by hand, and what must never happen."""

import random
from fractions import Fraction
from itertools import product

import pytest

from analysis.core.readings import HISTORIES, Signs, weigh
from analysis.core.readings.weighing import (
    AGAINST_EVIDENCE,
    ALONE,
    BASE,
    BROUGHT,
    BROUGHT_ALONE,
    DOUBTFUL,
    MISPLACED,
    PRIOR,
    SIGN,
)


def signs(shown: str, rate: float = 0.8, alone: str = "", **more: object) -> Signs:
    """Signs of an element that carries the generations marked + (oldest first) and not those marked -."""
    given: dict[str, object] = {
        "rates": (rate,) * len(shown), "shown": tuple(one == "+" for one in shown),
        "alone": tuple(str(index) in alone for index in range(len(shown))), "open": (0.0,) * len(shown), "base": "complete",
        "residue": False, "possible": tuple(range(len(shown))), **more,
    }  # fmt: skip
    return Signs(**given)  # type: ignore[arg-type]


def _slow(one: Signs) -> dict[str, Fraction]:
    """Weigh in fractions, coming by coming and generation by generation, from the words of the documentation alone."""
    exact = lambda value: Fraction(str(value))  # noqa: E731
    count = len(one.rates)
    weights = dict.fromkeys(HISTORIES, Fraction(0))
    for history, begins in product(HISTORIES, range(count)):
        if (history == "from the start") != (begins == 0):
            continue
        weight = Fraction(1) if begins == 0 else Fraction(1, count - 1)
        stood = history in ("from the start", "stripped")
        if (0 if stood else begins) not in one.possible:
            weight *= exact(AGAINST_EVIDENCE)
        for index in range(count):
            chance = exact(one.rates[index])
            if index < begins and history == "reused":
                chance = exact(BROUGHT_ALONE) if one.alone[index] else min(Fraction(1, 2), Fraction(3, count))
            elif index < begins:
                chance = max(exact(MISPLACED), exact(DOUBTFUL) * exact(one.open[index])) if one.shown[index] else exact(MISPLACED)
            weight *= chance if one.shown[index] else 1 - chance
        kind = "stripped" if history == "stripped" else "otherwise"
        weight *= exact(PRIOR[history]) * exact(BASE[one.base][kind])
        weight *= exact(SIGN[kind]) if one.residue else 1 - exact(SIGN[kind])
        weights[history] += weight
    total = sum(weights.values())
    return {history: weight / total for history, weight in weights.items()}


@pytest.mark.parametrize("seed", range(60))
def test_the_chances_are_those_of_the_slow_twin(seed: int) -> None:
    draw = random.Random(seed)
    count = draw.randint(2, 9)
    shown = tuple(draw.random() < 0.6 for _ in range(count))
    lonely = set(draw.sample([index for index in range(count) if shown[index]], min(sum(shown), draw.randint(0, ALONE))))
    given = Signs(
        rates=tuple(round(draw.uniform(0.05, 0.95), 2) for _ in range(count)),
        shown=shown,
        alone=tuple(index in lonely for index in range(count)),
        open=tuple(round(draw.random(), 2) if one else 0.0 for one in shown),
        base=draw.choice(list(BASE)),
        residue=draw.random() < 0.5,
        possible=tuple(sorted(draw.sample(range(count), draw.randint(0, count)))),
    )
    found, expected = weigh(given).chances, _slow(given)
    for history in HISTORIES:
        assert found[history] == pytest.approx(float(expected[history]), rel=1e-9)
    assert sum(found.values()) == pytest.approx(1.0)


def test_one_case_by_hand() -> None:
    # Two generations, carried by 3 of 4 and 1 of 2; the element shows the second only; base stripped, a scraped surface.
    # From the start: (1 - 3/4)·1/2 = 1/8. Later it can only have come before the second: nothing misplaced below 97/100, times 1/2; if
    # reused, it brought nothing that shows: of two generations each is as likely as not, so 1/2, times 1/2.
    assert (PRIOR, BASE["stripped"], SIGN, MISPLACED, BROUGHT) == (
        {"from the start": 0.70, "inserted": 0.12, "stripped": 0.12, "reused": 0.06},
        {"stripped": 0.55, "otherwise": 0.02},
        {"stripped": 0.45, "otherwise": 0.05},
        0.03,
        3.0,
    )
    weights = {
        "from the start": 0.70 * 0.125 * 0.02 * 0.05,
        "inserted": 0.12 * 0.97 * 0.5 * 0.02 * 0.05,
        "stripped": 0.12 * 0.97 * 0.5 * 0.55 * 0.45,
        "reused": 0.06 * 0.5 * 0.5 * 0.02 * 0.05,
    }
    found = weigh(signs("-+", base="stripped", residue=True, rates=(0.75, 0.5)))
    for history in HISTORIES:
        assert found.chances[history] == pytest.approx(weights[history] / sum(weights.values()), rel=1e-12)
    assert found.begins == {"from the start": 0, "inserted": 1, "stripped": 1, "reused": 1}


def test_counts_alone_do_not_tell_an_insertion_from_a_stripping() -> None:
    # Same base, no sign, no evidence: only how likely such a base and no sign are parts the two, never how many are missing.
    for shown in ("-+++", "--++", "---+"):
        found = weigh(signs(shown, base="unknown")).chances
        assert found["stripped"] / found["inserted"] == pytest.approx(0.27 * 0.55 / (0.12 * 0.95))


def test_evidence_that_it_was_made_later_speaks_for_an_insertion_and_against_the_rest() -> None:
    silent, later, older = (weigh(signs("-++", 0.5, possible=one)).chances for one in ((0, 1, 2), (1, 2), (0,)))
    assert later["inserted"] > silent["inserted"] > older["inserted"]
    assert later["from the start"] < silent["from the start"] < older["from the start"]
    assert later["inserted"] / later["stripped"] == pytest.approx(silent["inserted"] / silent["stripped"] / AGAINST_EVIDENCE)


def test_more_early_generations_missing_speak_against_its_having_stood_from_the_start() -> None:
    chances = [weigh(signs("-" * first + "+" * (6 - first))).chances["from the start"] for first in range(5)]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > 0.95
    assert chances[4] < 0.05


def test_one_film_below_a_gap_may_well_be_misplaced_and_several_were_rather_brought_along() -> None:
    one, several = weigh(signs("+------+++")), weigh(signs("+++----+++", rates=(0.3, 0.3, 0.3, *(0.9,) * 7)))
    assert one.chances["inserted"] / one.chances["reused"] > 10 * several.chances["inserted"] / several.chances["reused"]
    assert one.chances["from the start"] < 0.05
    assert one.begins["inserted"] == 7
    assert several.chances["reused"] > several.chances["inserted"]
    assert several.begins["reused"] == 7


def test_a_film_placed_with_little_confidence_below_a_gap_speaks_less_for_an_old_element() -> None:
    sure = weigh(signs("+---++", open=(0.0,) * 6)).chances
    unsure = weigh(signs("+---++", open=(0.9, *(0.0,) * 5))).chances
    assert unsure["inserted"] > sure["inserted"]
    assert unsure["from the start"] < sure["from the start"]


def test_more_than_three_generations_of_its_own_say_no_more_than_three() -> None:
    ratios = []
    for count in (3, 6):
        found = weigh(
            signs("+" * count + "----" + "++", alone="".join(str(index) for index in range(count)), rates=(0.1,) * count + (0.8,) * 6)
        )
        ratios.append(found.chances["reused"] / found.chances["from the start"])
    # Each by itself would multiply the odds by 0.5/0.1 = 5, three more by 125; held to three they leave little but the number of comings.
    assert ratios[1] < 2 * ratios[0]
