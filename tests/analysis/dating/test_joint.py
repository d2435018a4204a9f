"""Spaces that the order of phases joins: against enumeration of all sets of years of all of them, exactly and by sampling."""

import random
from fractions import Fraction
from itertools import product

import numpy as np
import pytest

from analysis.core.dating import (
    ORDERED_UNIFORM,
    PRIORS,
    UNIFORM_SPAN,
    Generation,
    Phase,
    Records,
    SpaceDistributions,
    Statement,
    Study,
    date_generations,
    distributions,
)
from analysis.core.dating.joint import Chain, exact_marginals, linked
from analysis.core.dating.marginals import span_weights
from analysis.core.dating.sampling import sampled_marginals

PHASES = (Phase("p1", 1), Phase("p2", 2), Phase("p3", 3))


def _chains(draw: random.Random, *, spaces: int = 2, longest: int = 3, years: int = 5) -> list[Chain]:
    """Spaces whose generations belong to phases in order or to none; bounds as tight as the order makes them."""
    while True:
        generations: list[Generation] = []
        statements: list[Statement] = []
        for space in range(spaces):
            at = 0
            for number in range(1, draw.randint(1, longest) + 1):
                at = min(2, at + draw.randint(0, 1))
                generations.append(Generation(f"{space}.{number}", str(space), number, draw.choice([None, PHASES[at].key, PHASES[at].key])))
                if draw.random() < 0.4:
                    first = 1800 + draw.randrange(years)
                    statements.append(
                        Statement(f"s{len(statements)}", "generation", f"{space}.{number}", "between", first, first + draw.randrange(4))
                    )
        dated = date_generations(Records(tuple(generations), PHASES, tuple(statements), study=Study(1800, 1800 + years)))
        if dated.conflicts:
            continue
        bounds = {one.key: (one.earliest, one.latest) for one in dated.generations}
        found = []
        for space in range(spaces):
            mine = [one for one in generations if one.space == str(space)]
            rank = {phase.key: index for index, phase in enumerate(PHASES)}
            low, high = (np.array([bounds[one.key][side] for one in mine]) for side in (0, 1))
            found.append(Chain(str(space), low, high, tuple(None if one.phase is None else rank[one.phase] for one in mine)))
        if len(linked(found)) < spaces:
            return found


def _enumerated(chains: list[Chain], prior: str) -> list[list[dict[int, Fraction]]]:
    """Every set of years of all spaces, one by one: ordered in each space, phases in order everywhere, weighed by the spaces' priors."""
    own = []
    for chain in chains:
        sets = [
            one
            for one in product(*(range(low, high + 1) for low, high in zip(chain.low, chain.high, strict=True)))
            if list(one) == sorted(one)
        ]
        spans = [one[-1] - one[0] for one in sets]
        own.append(
            [
                (one, Fraction(1) if prior == ORDERED_UNIFORM else Fraction(1, spans.count(span)))
                for one, span in zip(sets, spans, strict=True)
            ]
        )
    found: list[list[dict[int, Fraction]]] = [[{} for _ in chain.low] for chain in chains]
    total = Fraction(0)
    for chosen in product(*own):
        placed = [
            (phase, year)
            for chain, (years, _) in zip(chains, chosen, strict=True)
            for phase, year in zip(chain.phases, years, strict=True)
            if phase is not None
        ]
        if any(one < other and early > late for one, early in placed for other, late in placed):
            continue
        weight = Fraction(1)
        for _, part in chosen:
            weight *= part
        total += weight
        for index, (years, _) in enumerate(chosen):
            for place, year in enumerate(years):
                found[index][place][year] = found[index][place].get(year, Fraction(0)) + weight
    return [[{year: value / total for year, value in one.items()} for one in rows] for rows in found]


def _furthest(rows: list[np.ndarray], expected: list[list[dict[int, Fraction]]], first: int) -> float:
    worst = 0.0
    for found, exact in zip(rows, expected, strict=True):
        for row, one in zip(found, exact, strict=True):
            for offset, value in enumerate(row):
                worst = max(worst, abs(float(value) - float(one.get(first + offset, 0))))
    return worst


# --- exactly ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(30))
def test_joint_marginals_are_those_of_enumeration(seed: int) -> None:
    chains = _chains(random.Random(seed), spaces=2 + seed % 2, longest=2 if seed % 2 else 3)
    first = min(int(chain.low.min()) for chain in chains)
    assert _furthest(exact_marginals(chains), _enumerated(chains, ORDERED_UNIFORM), first) < 1e-12


def test_two_spaces_of_one_generation_each_in_two_years_by_hand() -> None:
    # Phase 1 in one space, phase 2 in the other, each 1800 or 1801: 00, 01, 11 remain of four. The earlier is 1800 in two of three.
    generations = (Generation("a", "hall", 1, "p1"), Generation("b", "attic", 1, "p2"))
    dated = date_generations(Records(generations, PHASES, study=Study(1800, 1801)))
    attic, hall = distributions(generations, dated.generations, phases=PHASES)
    assert hall.generations[0].probabilities == pytest.approx((2 / 3, 1 / 3))
    assert attic.generations[0].probabilities == pytest.approx((1 / 3, 2 / 3))
    assert "Spaces attic, hall are taken together, for the order of phases joins their years; exactly." in hall.sentence


@pytest.mark.parametrize("count", [2, 3, 5])
def test_spaces_of_one_generation_in_phases_one_after_the_other_have_the_means_of_order_statistics(count: int) -> None:
    # They form one chain across spaces: E = a + (b - a)·k/(n + 1), as for a chain within a space.
    phases = tuple(Phase(f"p{number}", number) for number in range(count))
    generations = tuple(Generation(f"g{number}", f"space {number}", 1, f"p{number}") for number in range(count))
    dated = date_generations(Records(generations, phases, study=Study(1800, 1860)))
    found = distributions(generations, dated.generations, phases=phases)
    for k, one in enumerate(found, start=1):
        assert one.generations[0].mean == pytest.approx(1800 + 60 * k / (count + 1), abs=1e-8)


def test_spaces_that_bounds_keep_apart_are_taken_each_by_itself() -> None:
    generations = (Generation("a", "hall", 1, "p1"), Generation("b", "hall", 2, "p2"), Generation("c", "attic", 1, "p2"))
    apart = (Phase("p1", 1, 1800, 1810), Phase("p2", 2, 1810, 1830))
    touching = (Phase("p1", 1, 1800, 1811), Phase("p2", 2, 1810, 1830))
    for phases, together in ((apart, False), (touching, True)):
        dated = date_generations(Records(generations, phases, study=Study(1790, 1900)))
        found = distributions(generations, dated.generations, phases=phases)
        assert all(("taken together" in one.sentence) == together for one in found)
        alone: tuple[SpaceDistributions, ...] = distributions(generations, dated.generations)
        assert (found[1].generations == alone[1].generations) == (not together)


def test_a_space_that_no_phase_touches_is_as_it_was() -> None:
    generations = (Generation("a", "hall", 1, "p1"), Generation("b", "attic", 1, "p2"), Generation("c", "cellar", 1))
    dated = date_generations(Records(generations, PHASES, study=Study(1800, 1850)))
    joint = {one.space: one for one in distributions(generations, dated.generations, phases=PHASES)}
    alone = {one.space: one for one in distributions(generations, dated.generations)}
    assert joint["cellar"] == alone["cellar"]
    assert joint["hall"].generations != alone["hall"].generations


# --- by sampling --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("prior", PRIORS)
@pytest.mark.parametrize("seed", range(6))
def test_sampling_is_within_two_in_a_hundred_of_enumeration(seed: int, prior: str) -> None:
    chains = _chains(random.Random(100 + seed), spaces=2 + seed % 2, longest=3 if seed % 2 == 0 else 2)
    weights = [None if prior == ORDERED_UNIFORM else span_weights(chain) for chain in chains]
    rows, apart = sampled_marginals(chains, weights)
    first = min(int(chain.low.min()) for chain in chains)
    assert _furthest(rows, _enumerated(chains, prior), first) < 0.02
    assert apart < 0.06


def test_sampling_many_generations_agrees_with_the_exact_computation() -> None:
    # Three spaces of six generations in 60 years, phases without years: the two halves meet, near what is exact.
    low, high = np.full(6, 1800), np.full(6, 1860)
    chains = [Chain(str(number), low, high, (0, 0, 1, 1, 2, 2)) for number in range(3)]
    exact = exact_marginals(chains)
    rows, apart = sampled_marginals(chains, [None] * 3)
    gaps = [np.abs(np.cumsum(one - other, axis=1)).max() for one, other in zip(rows, exact, strict=True)]
    assert max(gaps) < 0.06
    assert apart < 0.15


def test_the_same_input_gives_the_same_sample_and_it_says_how_far_its_halves_are_apart() -> None:
    generations = tuple(Generation(f"{space}.{number}", str(space), number, f"p{number}") for space in range(2) for number in (1, 2, 3))
    dated = date_generations(Records(generations, PHASES, study=Study(1800, 1830)))
    once, again = (distributions(generations, dated.generations, prior=UNIFORM_SPAN, phases=PHASES) for _ in range(2))
    assert once == again
    assert "by sampling (32 runs of 50 rounds), of which the two halves differ by at most" in once[0].sentence
    turned = distributions(generations[::-1], dated.generations[::-1], prior=UNIFORM_SPAN, phases=PHASES[::-1])
    assert turned == once


def test_where_no_way_together_is_good_enough_each_space_is_taken_by_itself_and_it_says_so() -> None:
    generations = tuple(
        Generation(f"{space}.{number}", str(space), number, f"p{1 + number // 4}") for space in range(8) for number in range(1, 12)
    )
    dated = date_generations(Records(generations, PHASES, study=Study(1800, 2000)))
    joint = distributions(generations, dated.generations, phases=PHASES)
    assert all("too many to be reckoned together: each is taken by itself" in one.sentence for one in joint)
    assert all("Phases with years of their own would part them." in one.sentence for one in joint)
    assert [one.generations for one in joint] == [one.generations for one in distributions(generations, dated.generations)]
