"""Bounds: against linear programming, and each relation as the table in the package's docstring says."""

import random

import pytest
from scipy.optimize import linprog  # type: ignore[import-untyped]

from analysis.core.dating import DatingError, Element, Generation, MaterialFind, Phase, Records, Statement, Study, date_generations
from tests.analysis.dating.cases import demands, make_records, order_steps

FAR = 10_000
"""A year that no record names: a bound that lies there is open."""


def _by_linear_programming(keys: list[str], held: list[tuple[str, str]], limits: dict[str, tuple[int, int]]) -> dict[str, tuple[int, int]]:
    """Minimise and maximise each year under the order and the records: the tightest bounds there are (scipy.optimize.linprog)."""
    rows = [[(key == first) - (key == second) for key in keys] for first, second in held] or [[0] * len(keys)]
    found = {}
    for place, key in enumerate(keys):
        ends = []
        for sign in (1, -1):
            aim = [0] * len(keys)
            aim[place] = sign
            answer = linprog(aim, A_ub=rows, b_ub=[0] * len(rows), bounds=[limits[one] for one in keys], method="highs")
            assert answer.success
            ends.append(round(sign * answer.fun))
        found[key] = (ends[0], ends[1])
    return found


@pytest.mark.parametrize("seed", range(40))
def test_bounds_are_those_of_linear_programming(seed: int) -> None:
    tentative = seed % 2 == 0
    records = make_records(seed, spread=15 if seed % 3 else 60)
    dating = date_generations(records, include_tentative=tentative)
    aside = {record for conflict in dating.conflicts for record in conflict.set_aside}
    limits = {generation.key: (-FAR, FAR) for generation in records.generations}
    for one in demands(records, tentative=tentative):
        if one.record not in aside:
            for key in {*one.lower, *one.upper}:
                low, high = limits[key]
                limits[key] = max(low, one.lower.get(key, low)), min(high, one.upper.get(key, high))
    expected = _by_linear_programming(sorted(limits), order_steps(records), limits)
    for generation in dating.generations:
        low, high = expected[generation.key]
        assert generation.earliest == (None if low == -FAR else low), generation
        assert generation.latest == (None if high == FAR else high), generation


def test_the_random_records_bound_and_contradict_often_enough_to_mean_something() -> None:
    datings = [date_generations(make_records(seed, spread=15 if seed % 3 else 60)) for seed in range(40)]
    assert sum(1 for dating in datings if dating.conflicts) >= 10
    assert sum(1 for dating in datings if not dating.conflicts) >= 10
    moved = [one for dating in datings for one in dating.generations if len(one.earliest_by) > 1 or len(one.latest_by) > 1]
    assert len(moved) >= 50


# --- each relation on each target ---------------------------------------------------------------------------------------------

HOUSE = (Generation("1", "hall", 1, "p1"), Generation("2", "hall", 2, "p2"), Generation("3", "hall", 3), Generation("other", "attic", 1))
PHASES = (Phase("p1", 1), Phase("p2", 2))
DOOR = (Element("door", ("2", "3")),)


def _bounds(statement: Statement) -> dict[str, tuple[int | None, int | None]]:
    dating = date_generations(Records(HOUSE, PHASES, (statement,), elements=DOOR))
    return {one.key: (one.earliest, one.latest) for one in dating.generations}


OPEN = (None, None)


@pytest.mark.parametrize(
    ("kind", "target", "relation", "expected"),
    [
        # hall 1, hall 2, hall 3, attic 1; the statement says 1800 to 1810 and order carries it on.
        ("generation", "2", "made in", [(None, 1810), (1800, 1810), (1800, None), OPEN]),
        ("generation", "2", "between", [(None, 1810), (1800, 1810), (1800, None), OPEN]),
        ("generation", "2", "made after", [OPEN, (1800, None), (1800, None), OPEN]),
        ("generation", "2", "made before", [(None, 1810), (None, 1810), OPEN, OPEN]),
        ("phase", "p2", "made in", [(None, 1810), (1800, 1810), (1800, None), OPEN]),
        ("phase", "p2", "made before", [(None, 1810), (None, 1810), OPEN, OPEN]),
        ("phase", "p2", "made after", [OPEN, (1800, None), (1800, None), OPEN]),
        ("element", "door", "made in", [OPEN, (1800, None), (1800, None), OPEN]),
        ("element", "door", "between", [OPEN, (1800, None), (1800, None), OPEN]),
        ("element", "door", "made after", [OPEN, (1800, None), (1800, None), OPEN]),
        ("element", "door", "made before", [OPEN, OPEN, OPEN, OPEN]),
        ("space", "hall", "made in", [(1800, None), (1800, None), (1800, None), OPEN]),
        ("space", "hall", "made before", [OPEN, OPEN, OPEN, OPEN]),
        ("structure", "", "between", [(1800, None), (1800, None), (1800, None), (1800, None)]),
        ("structure", "", "made before", [OPEN, OPEN, OPEN, OPEN]),
    ],
)
def test_a_relation_bounds_what_the_table_says(
    kind: str, target: str, relation: str, expected: list[tuple[int | None, int | None]]
) -> None:
    found = _bounds(Statement("s", kind, target, relation, 1800, 1810))
    assert found == dict(zip(("1", "2", "3", "other"), expected, strict=True))


@pytest.mark.parametrize(
    ("relation", "years", "expected"),
    [
        ("made in", (1800, None), (1800, 1800)),
        ("made in", (None, 1800), (1800, 1800)),
        ("made after", (None, 1800), (1800, None)),
        ("made before", (1800, None), (None, 1800)),
        ("between", (1800, None), (1800, None)),
        ("between", (None, 1800), (None, 1800)),
    ],
)
def test_one_year_stands_for_both_except_between(
    relation: str, years: tuple[int | None, int | None], expected: tuple[int | None, int | None]
) -> None:
    assert _bounds(Statement("s", "generation", "other", relation, *years))["other"] == expected


def test_a_phase_bounds_the_phases_after_it_in_every_space() -> None:
    generations = (Generation("a", "hall", 1, "p1"), Generation("b", "attic", 1, "p2"))
    dating = date_generations(Records(generations, (Phase("p1", 1, 1800, 1820), Phase("p2", 2, None, 1850))))
    assert [(one.key, one.earliest, one.latest) for one in dating.generations] == [("b", 1800, 1850), ("a", 1800, 1820)]
    assert [step.kind for step in dating.generations[0].earliest_by] == ["phase", "order of phases"]


def test_a_material_bounds_from_below_only_and_only_when_identified() -> None:
    def bound(*, identified: bool, ask: bool = False) -> tuple[int | None, int | None]:
        find = MaterialFind("m", "other", "chrome yellow", 1809, identified, "K-014/3")
        one = date_generations(Records(HOUSE, PHASES, finds=(find,)), include_tentative=ask).generations[0]
        return one.earliest, one.latest

    assert bound(identified=True) == (1809, None)
    assert bound(identified=False) == OPEN
    assert bound(identified=False, ask=True) == (1809, None)


def test_tentative_evidence_bounds_nothing_until_somebody_asks() -> None:
    statement = Statement("s", "generation", "other", "made in", 1800, certainty="tentative", label="E-01")
    records = Records(HOUSE, PHASES, (statement,))
    plain, what_if = date_generations(records), date_generations(records, include_tentative=True)
    assert plain.generations[0].earliest is None
    assert [one.key for one in plain.unused] == ["s"]
    assert what_if.generations[0].earliest == 1800
    assert what_if.unused == ()


def test_the_study_bounds_all_from_both_sides() -> None:
    dating = date_generations(Records(HOUSE, PHASES, study=Study(1705, 2010)))
    assert {(one.earliest, one.latest) for one in dating.generations} == {(1705, 2010)}
    assert dating.generations[0].earliest_by[0].key == "first year"


def test_a_bound_carries_its_record_and_the_steps_that_brought_it() -> None:
    dating = date_generations(Records(HOUSE, PHASES, (Statement("s", "generation", "3", "made before", 1838, label="E-07"),)))
    first = next(one for one in dating.generations if one.key == "1")
    assert [(step.kind, step.key, step.first, step.second) for step in first.latest_by] == [
        ("evidence", "s", "3", ""),
        ("order in space", "", "1", "3"),
    ]
    assert first.latest_by[0].sentence == "generation 3 of space hall cannot be later than 1838 (E-07, made before 1838)"


def test_every_record_that_bounds_nothing_says_so() -> None:
    statements = (
        Statement("before", "element", "door", "made before", 1900, label="E-01"),
        Statement("bare", "phase", "p3", "made in", 1800, label="E-02"),
    )
    find = MaterialFind("chalk", "1", "chalk", None, True, "K-014/1")
    dating = date_generations(Records(HOUSE, (*PHASES, Phase("p3", 3, 1800, 1810, "the fire")), statements, (find,), DOOR))
    assert [one.key for one in dating.unused] == ["bare", "before", "chalk", "p3"]
    assert dating.unused[1].sentence == "E-01 says that element door existed by then, which does not date the paint on it."


def test_the_order_in_which_records_come_changes_nothing() -> None:
    for seed in range(30):
        records = make_records(seed)
        draw = random.Random(seed)
        mixed = Records(
            generations=tuple(draw.sample(records.generations, len(records.generations))),
            phases=tuple(draw.sample(records.phases, len(records.phases))),
            statements=tuple(draw.sample(records.statements, len(records.statements))),
            finds=tuple(draw.sample(records.finds, len(records.finds))),
            elements=tuple(draw.sample(records.elements, len(records.elements))),
            study=records.study,
        )
        assert date_generations(mixed) == date_generations(records)


# --- what is refused ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        (Statement("s", "generation", "1", "made during", 1800), "unknown relation 'made during'"),
        (Statement("s", "generation", "1", "made in", 1800, certainty="sure"), "unknown certainty"),
        (Statement("s", "wall", "1", "made in", 1800), "unknown kind of target"),
        (Statement("s", "generation", "9", "made in", 1800), "not among those given"),
        (Statement("s", "element", "gate", "made in", 1800), "not among those given"),
        (Statement("s", "generation", "1", "made in"), "without a year"),
    ],
)
def test_a_statement_that_cannot_be_read_is_refused_in_words(statement: Statement, words: str) -> None:
    with pytest.raises(DatingError, match=words):
        _bounds(statement)


@pytest.mark.parametrize(
    ("records", "words"),
    [
        (Records((HOUSE[0], HOUSE[0]), PHASES), "share the key"),
        (Records((Generation("a", "hall", 1), Generation("b", "hall", 1))), "have one number"),
        (Records(HOUSE[3:], (Phase("p1", 1), Phase("p2", 1))), "Two phases have the number 1"),
        (Records((Generation("a", "hall", 1, "p9"),)), "not among the phases"),
        (Records(HOUSE[3:], elements=(Element("door", ("9",)),)), "unknown generation"),
        (Records(HOUSE[3:], finds=(MaterialFind("m", "9", "chalk", None, True),)), "unknown generation"),
    ],
)
def test_records_that_do_not_hang_together_are_refused_in_words(records: Records, words: str) -> None:
    with pytest.raises(DatingError, match=words):
        date_generations(records)


def test_fifty_spaces_of_twenty_generations_are_all_bounded() -> None:
    generations = tuple(
        Generation(f"{space:02}.{number:02}", f"{space:02}", number, f"p{number // 5}") for space in range(50) for number in range(1, 21)
    )
    phases = tuple(Phase(f"p{number}", number, 1700 + 50 * number, 1760 + 50 * number) for number in range(5))
    statements = tuple(
        Statement(f"s{number:04}", "generation", f"{number % 50:02}.{1 + number % 20:02}", "made after", 1700 + 10 * (number % 20))
        for number in range(1000)
    )
    dating = date_generations(Records(generations, phases, statements, study=Study(1700, 2000)))
    assert all(one.earliest is not None and one.latest is not None for one in dating.generations)
