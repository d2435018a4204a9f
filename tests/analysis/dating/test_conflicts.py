"""Contradictions: shortest by networkx, none of their records superfluous, none of the records at fault left unsaid."""

import networkx as nx
import pytest
from scipy.optimize import linprog  # type: ignore[import-untyped]

from analysis.core.dating import Conflict, Generation, MaterialFind, Records, Statement, Study, date_generations
from tests.analysis.dating.cases import Demand, demands, make_records, order_steps

SEEDS = range(100)


def _records(seed: int) -> Records:
    return make_records(seed, spread=40 * (1 + seed % 4))


def _impossible(found: list[Demand], steps: list[tuple[str, str]]) -> bool:
    """Whether no years satisfy records and steps: a negative cycle of the difference constraints (networkx, Bellman-Ford)."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    limits: dict[tuple[str, str], int] = {}
    for first, second in steps:
        limits[second, first] = 0
    for one in found:
        for key, year in one.upper.items():
            limits["origin", key] = min(year, limits.get(("origin", key), year))
        for key, year in one.lower.items():
            limits[key, "origin"] = min(-year, limits.get((key, "origin"), -year))
    graph.add_weighted_edges_from((source, target, weight) for (source, target), weight in limits.items())
    return nx.negative_edge_cycle(graph)


def _parts(conflict: Conflict, found: list[Demand]) -> tuple[list[Demand], list[tuple[str, str]]]:
    return [one for one in found if one.record in conflict.records], [(step.first, step.second) for step in conflict.steps if step.second]


@pytest.mark.parametrize("seed", SEEDS)
def test_every_conflict_is_impossible_and_possible_without_any_one_of_its_records_or_steps(seed: int) -> None:
    records = _records(seed)
    found = demands(records, tentative=False)
    for conflict in date_generations(records).conflicts:
        held, steps = _parts(conflict, found)
        assert set(steps) <= set(order_steps(records))
        assert _impossible(held, steps)
        for one in held:
            assert not _impossible([other for other in held if other is not one], steps)
        for step in steps:
            assert not _impossible(held, [other for other in steps if other != step])


def _infeasible(found: list[Demand], steps: list[tuple[str, str]]) -> bool:
    """Whether linear programming (scipy, HiGHS) finds no years that satisfy records and steps."""
    keys = sorted({key for one in found for key in (*one.lower, *one.upper)} | {key for step in steps for key in step})
    if not keys:
        return False  # nothing is demanded of any year
    place = {key: index for index, key in enumerate(keys)}
    rows = []
    for first, second in steps:
        row = [0.0] * len(keys)
        row[place[first]], row[place[second]] = 1.0, -1.0
        rows.append(row)
    limits = [
        (
            max((one.lower[key] for one in found if key in one.lower), default=None),
            min((one.upper[key] for one in found if key in one.upper), default=None),
        )
        for key in keys
    ]
    if any(low is not None and high is not None and low > high for low, high in limits):
        return True  # two bounds on one year: no solver is needed, and HiGHS takes no crossed bounds
    answer = linprog([0.0] * len(keys), A_ub=rows or [[0.0] * len(keys)], b_ub=[0.0] * max(1, len(rows)), bounds=limits, method="highs")
    assert answer.status in (0, 2)
    return bool(answer.status == 2)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_conflict_is_infeasible_by_linear_programming_and_feasible_without_any_one_part(seed: int) -> None:
    records = _records(seed)
    found = demands(records, tentative=False)
    for conflict in date_generations(records).conflicts:
        held, steps = _parts(conflict, found)
        assert _infeasible(held, steps)
        for one in held:
            assert not _infeasible([other for other in held if other is not one], steps)
        for step in steps:
            assert not _infeasible(held, [other for other in steps if other != step])


def _shortest(records: Records, found: list[Demand]) -> dict[tuple[str, str], int]:
    """Give each record at fault the size of its smallest contradiction, by shortest paths of networkx over all single steps."""
    graph: nx.DiGraph[str] = nx.DiGraph(order_steps(records))
    graph.add_nodes_from(generation.key for generation in records.generations)
    away = dict(nx.all_pairs_shortest_path_length(graph))
    alone = {one.record for one in found if any(one.lower.get(key, year) > year for key, year in one.upper.items())}
    sizes = dict.fromkeys(alone, 1)
    for below in found:
        for above in found:
            if below is above or {below.record, above.record} & alone:
                continue
            for start, first in below.lower.items():
                for end, last in above.upper.items():
                    if first > last and end in away[start]:
                        size = 2 + away[start][end]
                        for one in (below, above):
                            sizes[one.record] = min(size, sizes.get(one.record, size))
    return sizes


@pytest.mark.parametrize("seed", SEEDS)
def test_each_record_at_fault_is_told_with_its_shortest_contradiction(seed: int) -> None:
    records = _records(seed)
    found = demands(records, tentative=False)
    sizes = _shortest(records, found)
    conflicts = date_generations(records).conflicts
    assert bool(conflicts) == _impossible(found, order_steps(records))
    told: dict[tuple[str, str], int] = {}
    for conflict in conflicts:
        for record in conflict.records:
            told[record] = min(len(conflict.steps), told.get(record, len(conflict.steps)))
    assert told == sizes
    if conflicts:
        assert len(conflicts[0].steps) == min(sizes.values())


@pytest.mark.parametrize("seed", SEEDS)
def test_what_stays_in_force_is_possible_and_what_is_set_aside_contradicts_something_as_strong(seed: int) -> None:
    records = _records(seed)
    found = demands(records, tentative=False)
    steps = order_steps(records)
    conflicts = date_generations(records).conflicts
    aside = {record for conflict in conflicts for record in conflict.set_aside}
    strength = {one.record: one.strength for one in found}
    assert not _impossible([one for one in found if one.record not in aside], steps)
    for one in found:
        if one.record in aside:
            assert any(_impossible([one, other], steps) for other in found if other.strength >= one.strength)
            told = [conflict for conflict in conflicts if one.record in conflict.records]
            assert any(min(strength[record] for record in conflict.records) == one.strength for conflict in told)


def test_the_random_records_contradict_with_and_without_steps_of_order() -> None:
    lengths = [len(conflict.steps) for seed in SEEDS for conflict in date_generations(_records(seed)).conflicts]
    assert {1, 2, 3, 4} <= set(lengths)


# --- what a historian reads ---------------------------------------------------------------------------------------------------

ROOM = tuple(Generation(str(number), "103", number) for number in range(1, 7))


def test_a_pigment_against_a_document_names_both_and_the_years() -> None:
    dating = date_generations(
        Records(
            ROOM,
            statements=(Statement("s", "generation", "4", "made before", 1805, label="E-07"),),
            finds=(MaterialFind("m", "4", "chrome yellow", 1809, True, "K-014/3", "date from memory"),),
        )
    )
    assert [conflict.sentence for conflict in dating.conflicts] == [
        "Generation 4 of space 103 cannot be later than 1805 (E-07, made before 1805), yet contains chrome yellow "
        "(K-014/3, identified; date from memory), not known before 1809. Until somebody decides, neither bounds anything."
    ]
    assert [one.key for one in dating.generations if one.conflicts] == ["4"]
    assert {(one.earliest, one.latest) for one in dating.generations} == {(None, None)}


def test_a_conflict_over_several_generations_touches_all_between_and_tells_the_way() -> None:
    dating = date_generations(
        Records(
            ROOM,
            statements=(
                Statement("early", "generation", "2", "made after", 1850, certainty="likely", label="E-10"),
                Statement("late", "generation", "4", "made before", 1838, label="E-07"),
            ),
        )
    )
    (conflict,) = dating.conflicts
    assert conflict.generations == ("2", "3", "4")
    assert conflict.set_aside == (("evidence", "early"),)
    assert conflict.sentence == (
        "Generation 2 of space 103 cannot be earlier than 1850 (E-10, made after 1850) and is not later than generation 4 of space 103 "
        "(by its number); yet generation 4 of space 103 cannot be later than 1838 (E-07, made before 1838). "
        "Until somebody decides, this bounds nothing: E-10, made after 1850."
    )
    # The firm statement stays in force, the likely one does not.
    assert [(one.earliest, one.latest) for one in dating.generations[:4]] == [(None, 1838)] * 4


def test_years_the_wrong_way_round_contradict_alone() -> None:
    dating = date_generations(Records(ROOM, statements=(Statement("s", "generation", "1", "between", 1810, 1800, label="E-09"),)))
    (conflict,) = dating.conflicts
    assert conflict.records == (("evidence", "s"),)
    assert "the years stand the wrong way round" in conflict.sentence


def test_one_wrong_document_does_not_unseat_the_frame_of_the_study() -> None:
    dating = date_generations(
        Records(ROOM, statements=(Statement("s", "generation", "6", "made before", 1605, label="E-01"),), study=Study(1705, 2010))
    )
    (conflict,) = dating.conflicts
    assert conflict.set_aside == (("evidence", "s"),)
    assert {(one.earliest, one.latest) for one in dating.generations} == {(1705, 2010)}
