"""What each record says about the year of each generation: the only place where relations are given their meaning."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from analysis.core.dating.values import TARGET_KINDS, DatingError, Generation, Records, Statement, Unused
from analysis.core.vocabulary import CERTAINTIES, RELATIONS

STRENGTHS = {"study": 3, "firm": 2, "likely": 1, "tentative": 0}
"""How much a record weighs when it contradicts another: the frame of the study, then by certainty."""


@dataclass(frozen=True, slots=True)
class Claim:
    """One record, reduced to the years that it demands.

    Parameters
    ----------
    kind, key : str
        As in `Step`.
    strength : int
        From `STRENGTHS`.
    lower, upper : mapping of str to int
        Generation to the year before which, after which, it cannot have been painted.
    words : str
        The record in brackets, as '(E-07, made before 1838)'.
    material : str
        Name of the material for a find, else empty; it is told differently.
    """

    kind: str
    key: str
    strength: int
    lower: Mapping[str, int] = field(default_factory=dict)
    upper: Mapping[str, int] = field(default_factory=dict)
    words: str = ""
    material: str = ""


@dataclass(frozen=True, slots=True)
class _Years:
    lower: int | None
    upper: int | None


def read(records: Records, include_tentative: bool) -> tuple[list[Claim], list[Unused]]:
    """Turn records into claims on generations, and say which bound nothing and why.

    Parameters
    ----------
    records : Records
    include_tentative : bool
        Whether tentative statements and materials that were only seen bound as well.

    Returns
    -------
    claims : list of Claim
        Sorted by kind and key; each bounds at least one generation.
    unused : list of Unused
        Sorted likewise.

    Raises
    ------
    DatingError
        On an unknown relation, certainty, target kind or target; on two records with one key; on two generations of one space, or
        two phases, with one ordinal; on a statement or phase reference that leads nowhere; on a statement without a year.
    """
    _check(records)
    claims: list[Claim] = []
    unused: list[Unused] = []
    for found in (*_statements(records, include_tentative), *_finds(records, include_tentative), *_phases(records), *_study(records)):
        (claims if isinstance(found, Claim) else unused).append(found)  # type: ignore[arg-type]
    return sorted(claims, key=_identity), sorted(unused, key=lambda one: (one.kind, one.key))


def _identity(claim: Claim) -> tuple[str, str]:
    return claim.kind, claim.key


def generation_name(generation: Generation, space_names: Mapping[str, str]) -> str:
    """Give what a person calls a generation."""
    return generation.label or f"generation {generation.ordinal} of space {space_names.get(generation.space, generation.space)}"


# --- statements ---------------------------------------------------------------------------------------------------------------


def _statements(records: Records, include_tentative: bool) -> Iterator[Claim | Unused]:
    names = _target_names(records)
    for statement in records.statements:
        label = statement.label or statement.key
        if statement.certainty == "tentative" and not include_tentative:
            yield Unused("evidence", statement.key, f"{label} is tentative and bounds nothing until somebody asks 'what if'.")
            continue
        targets = _generations_of(statement, records)
        years = _bounds(statement)
        if years.lower is None and years.upper is None:
            what = names[statement.target_kind, statement.target]
            yield Unused("evidence", statement.key, f"{label} says that {what} existed by then, which does not date the paint on it.")
        elif not targets:
            what = names[statement.target_kind, statement.target]
            yield Unused("evidence", statement.key, f"{label} bears on {what}, to which no generation belongs.")
        else:
            yield Claim(
                "evidence",
                statement.key,
                STRENGTHS[statement.certainty],
                dict.fromkeys(targets, years.lower) if years.lower is not None else {},
                dict.fromkeys(targets, years.upper) if years.upper is not None else {},
                f"({label}, {_told(statement, names)})",
            )


def _bounds(statement: Statement) -> _Years:
    """Give the years that a statement demands of the generations of its target; the table in the package's docstring."""
    first, last = _written(statement)
    if statement.target_kind in ("structure", "space", "element"):
        return _Years(None if statement.relation == "made before" else first, None)
    if statement.relation == "made after":
        return _Years(first, None)
    if statement.relation == "made before":
        return _Years(None, last)
    return _Years(first, last)


def _generations_of(statement: Statement, records: Records) -> tuple[str, ...]:
    kind, target = statement.target_kind, statement.target
    if kind == "structure":
        return tuple(generation.key for generation in records.generations)
    if kind == "space":
        return tuple(generation.key for generation in records.generations if generation.space == target)
    if kind == "phase":
        return tuple(generation.key for generation in records.generations if generation.phase == target)
    if kind == "element":
        return next(element.generations for element in records.elements if element.key == target)
    return (target,)


def _written(statement: Statement) -> tuple[int | None, int | None]:
    """Let one year stand for both, but for 'between', where a side that is not written is open."""
    if statement.relation == "between":
        return statement.earliest, statement.latest
    first = statement.earliest if statement.earliest is not None else statement.latest
    last = statement.latest if statement.latest is not None else statement.earliest
    return first, last


def _told(statement: Statement, names: Mapping[tuple[str, str], str]) -> str:
    first, last = _written(statement)
    if statement.relation == "made after":
        years = f"made after {first}"
    elif statement.relation == "made before":
        years = f"made before {last}"
    elif first == last:
        years = f"made in {first}"
    elif first is None or last is None:
        years = f"made {_span(first, last)}"
    else:
        years = f"made between {first} and {last}"
    return years if statement.target_kind == "generation" else f"{names[statement.target_kind, statement.target]} {years}"


def _target_names(records: Records) -> dict[tuple[str, str], str]:
    names = {("structure", ""): "the structure"}
    for generation in records.generations:
        names["generation", generation.key] = generation_name(generation, records.space_names)
        names["space", generation.space] = f"space {records.space_names.get(generation.space, generation.space)}"
    for space, name in records.space_names.items():
        names["space", space] = f"space {name}"
    names.update({("phase", phase.key): f"phase {phase.label or phase.key}" for phase in records.phases})
    names.update({("element", element.key): f"element {element.label or element.key}" for element in records.elements})
    names.update({("structure", statement.target): "the structure" for statement in records.statements})
    return names


# --- materials, phases, the study ---------------------------------------------------------------------------------------------


def _finds(records: Records, include_tentative: bool) -> Iterator[Claim | Unused]:
    for find in records.finds:
        where = find.label or find.key
        if find.earliest is None:
            yield Unused("material", find.key, f"{find.material} in {where} bounds nothing: it has no date of introduction.")
        elif not find.identified and not include_tentative:
            sentence = f"{find.material} in {where} was seen but not identified, and bounds nothing until somebody asks 'what if'."
            yield Unused("material", find.key, sentence)
        else:
            strength = STRENGTHS["firm" if find.identified else "tentative"]
            words = f"({where}, {'identified' if find.identified else 'seen only'}{find.source and '; ' + find.source})"
            yield Claim("material", find.key, strength, {find.generation: find.earliest}, {}, words, find.material)


def _phases(records: Records) -> Iterator[Claim | Unused]:
    for phase in records.phases:
        if phase.earliest is None and phase.latest is None:
            continue
        members = [generation.key for generation in records.generations if generation.phase == phase.key]
        name = phase.label or phase.key
        if not members:
            yield Unused("phase", phase.key, f"phase {name} has years, but no generation belongs to it.")
            continue
        yield Claim(
            "phase",
            phase.key,
            STRENGTHS["firm"],
            dict.fromkeys(members, phase.earliest) if phase.earliest is not None else {},
            dict.fromkeys(members, phase.latest) if phase.latest is not None else {},
            f"(phase {name}, {_span(phase.earliest, phase.latest)})",
        )


def _study(records: Records) -> Iterator[Claim | Unused]:
    every = [generation.key for generation in records.generations]
    if records.study.first is not None and every:
        first = records.study.first
        yield Claim("study", "first year", STRENGTHS["study"], dict.fromkeys(every, first), {}, f"(the study begins in {first})")
    if records.study.last is not None and every:
        last = records.study.last
        yield Claim("study", "last year", STRENGTHS["study"], {}, dict.fromkeys(every, last), f"(the study ends in {last})")


def _span(earliest: int | None, latest: int | None) -> str:
    if earliest is None:
        return f"not after {latest}"
    if latest is None:
        return f"not before {earliest}"
    return f"{earliest} to {latest}"


# --- what cannot be read ------------------------------------------------------------------------------------------------------


def _check(records: Records) -> None:
    keys = {generation.key for generation in records.generations}
    _once([generation.key for generation in records.generations], "Two generations share the key {}.")
    _once([phase.key for phase in records.phases], "Two phases share the key {}.")
    _once([element.key for element in records.elements], "Two elements share the key {}.")
    _once([one.key for one in records.statements] + [one.key for one in records.finds], "Two records share the key {}.")
    _once([(one.space, one.ordinal) for one in records.generations], "Two generations of one space have one number: {}.")
    _once([phase.ordinal for phase in records.phases], "Two phases have the number {}; phases follow one another.")
    phases = {phase.key for phase in records.phases}
    for generation in records.generations:
        if generation.phase is not None and generation.phase not in phases:
            raise DatingError(f"Generation {generation.key} belongs to the phase '{generation.phase}', which is not among the phases.")
    for element in records.elements:
        for key in element.generations:
            if key not in keys:
                raise DatingError(f"Element {element.label or element.key} carries the unknown generation '{key}'.")
    for find in records.finds:
        if find.generation not in keys:
            raise DatingError(f"{find.material} in {find.label or find.key} lies in the unknown generation '{find.generation}'.")
    known = {
        "phase": phases,
        "space": {generation.space for generation in records.generations} | set(records.space_names),
        "element": {element.key for element in records.elements},
        "generation": keys,
    }
    for statement in records.statements:
        _check_statement(statement, known)


def _check_statement(statement: Statement, known: Mapping[str, set[str]]) -> None:
    label = statement.label or statement.key
    for word, allowed, what in (
        (statement.target_kind, TARGET_KINDS, "kind of target"),
        (statement.relation, RELATIONS, "relation"),
        (statement.certainty, CERTAINTIES, "certainty"),
    ):
        if word not in allowed:
            raise DatingError(f"{label} has the unknown {what} '{word}'; it is one of: {', '.join(allowed)}.")
    if statement.target_kind != "structure" and statement.target not in known[statement.target_kind]:
        raise DatingError(f"{label} bears on the {statement.target_kind} '{statement.target}', which is not among those given.")
    if statement.earliest is None and statement.latest is None:
        raise DatingError(f"{label} says '{statement.relation}' without a year; write at least one.")


def _once(values: Sequence[object], sentence: str) -> None:
    seen: set[object] = set()
    for value in values:
        if value in seen:
            raise DatingError(sentence.format(value))
        seen.add(value)
