"""Random records, and a second, slow reading of what they demand, written from the table of relations alone."""

import random
from dataclasses import dataclass
from itertools import combinations

from analysis.core.dating import Element, Generation, MaterialFind, Phase, Records, Statement, Study
from analysis.core.vocabulary import CERTAINTIES, RELATIONS


def make_records(seed: int, *, spaces: int = 3, longest: int = 5, statements: int = 8, spread: int = 60) -> Records:
    """Invent records whose years cluster around their place in the order: a wider spread contradicts more often."""
    draw = random.Random(seed)
    phases = [Phase(f"p{number}", number, label=f"{number}") for number in range(3)]
    if draw.random() < 0.5:
        first = draw.randrange(1780, 1840)
        phases[1] = Phase("p1", 1, first, first + draw.randrange(60), "1")
    generations = []
    for space in range(spaces):
        for number in range(1, draw.randint(2, longest) + 1):
            phase = draw.choice([None, f"p{min(2, number // 2)}"])
            generations.append(Generation(f"{space}.{number}", f"space {space}", number, phase))
    keys = [generation.key for generation in generations]
    elements = [Element(f"e{number}", tuple(draw.sample(keys, draw.randint(0, 3)))) for number in range(3)]
    targets = {
        "structure": [""],
        "phase": [phase.key for phase in phases],
        "space": [f"space {number}" for number in range(spaces)],
        "element": [element.key for element in elements],
        "generation": keys,
    }
    made = []
    for number in range(statements):
        kind = draw.choice(["generation"] * 5 + list(targets))
        target = draw.choice(targets[kind])
        place = int(target.split(".")[1]) if kind == "generation" else 1
        first = 1740 + 30 * place + draw.randint(-spread, spread)
        written = draw.choice([(first, first + draw.randint(-1, 14)), (first, None), (None, first)])
        certainty = draw.choice(CERTAINTIES)
        made.append(Statement(f"s{number:02}", kind, target, draw.choice(RELATIONS), *written, certainty, f"E-{number:02}"))
    finds = []
    for number in range(3):
        key = draw.choice(keys)
        year = draw.choice([None, 1700 + 30 * int(key.split(".")[1]) + draw.randint(-spread, spread)])
        finds.append(MaterialFind(f"m{number}", key, "zinc white", year, draw.random() < 0.7, f"K-{number}"))
    study = Study(draw.choice([None, 1700]), draw.choice([None, 2000]))
    return Records(tuple(generations), tuple(phases), tuple(made), tuple(finds), tuple(elements), study)


@dataclass(frozen=True)
class Demand:
    """One record: generation to lowest and highest year."""

    record: tuple[str, str]
    strength: int
    lower: dict[str, int]
    upper: dict[str, int]


def demands(records: Records, *, tentative: bool) -> list[Demand]:
    """Read records by the table, without the program's reading."""
    found = []
    in_phase = {phase.key: [one.key for one in records.generations if one.phase == phase.key] for phase in records.phases}
    everyone = [one.key for one in records.generations]
    carried = {element.key: list(element.generations) for element in records.elements}
    for one in records.statements:
        if one.certainty == "tentative" and not tentative:
            continue
        first, last = one.earliest, one.latest
        if one.relation != "between":
            first, last = (last if first is None else first), (first if last is None else last)
        if one.relation == "made after":
            last = None
        if one.relation == "made before":
            first = None
        if one.target_kind in ("structure", "space", "element"):
            last = None
        members = {
            "structure": everyone,
            "phase": in_phase.get(one.target, []),
            "space": [generation.key for generation in records.generations if generation.space == one.target],
            "element": carried.get(one.target, []),
            "generation": [one.target],
        }[one.target_kind]
        strength = {"firm": 2, "likely": 1, "tentative": 0}[one.certainty]
        found.append(_demand(("evidence", one.key), strength, members, first, last))
    for find in records.finds:
        if find.identified or tentative:
            found.append(_demand(("material", find.key), 2 if find.identified else 0, [find.generation], find.earliest, None))
    for phase in records.phases:
        found.append(_demand(("phase", phase.key), 2, in_phase[phase.key], phase.earliest, phase.latest))
    found.append(_demand(("study", "first year"), 3, everyone, records.study.first, None))
    found.append(_demand(("study", "last year"), 3, everyone, None, records.study.last))
    return [one for one in found if one.lower or one.upper]


def _demand(record: tuple[str, str], strength: int, members: list[str], first: int | None, last: int | None) -> Demand:
    lower = {} if first is None else dict.fromkeys(members, first)
    upper = {} if last is None else dict.fromkeys(members, last)
    return Demand(record, strength, lower, upper)


def order_steps(records: Records) -> list[tuple[str, str]]:
    """Every pair of generations of which the first is not later than the second, for one single reason."""
    rank = {phase.key: phase.ordinal for phase in records.phases}
    steps = []
    for one, other in combinations(records.generations, 2):
        for first, second in ((one, other), (other, one)):
            by_number = first.space == second.space and first.ordinal < second.ordinal
            by_phase = first.phase is not None and second.phase is not None and rank[first.phase] < rank[second.phase]
            if by_number or by_phase:
                steps.append((first.key, second.key))
    return steps
