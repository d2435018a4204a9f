"""What paint, documents, and the building itself say of one space or element; where they agree, where not, what is still asked.

Only what can be shown is told. *Agreements*: interpretations that were agreed to, and years that records of two disciplines bound together
without contradiction. *Contradictions*: conflicts of date (`analysis.core.dating`), interpretations that somebody disputes, and readings of
elements (`analysis.core.readings`) that speak against evidence on when an element was made.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Any, Final

from surveys.models import Element, Project, Space
from surveys.selectors import sides
from surveys.work import dating, readings

DOCUMENTS: Final = frozenset({"document", "photograph", "drawing", "inscription", "oral account"})
# What dating calls a find of a material is a layer.
TYPES: Final = {"material": "layer"}
# Of whose discipline the paint speaks.
PAINT: Final = "paint conservation"


def answer(project: Project, place: Space | Element, disciplines: Collection[str] = ()) -> dict[str, Any]:
    """All of it, as plain values; where disciplines are chosen, of evidence, interpretations and their questions only theirs."""
    place.project = project
    bounds, conflicts = dating.told(project)
    generations = [{**one, **_years(bounds, one["name"])} for one in sides.generations(place)]
    evidence = sides.evidence(place, [one["id"] for one in generations])
    said = sides.interpretations(place)
    questions = sides.questions(place, [one["id"] for one in evidence], [one["id"] for one in said])
    read = _readings(project, place)
    names = {one["name"] for one in generations}
    disputed = [one for one in conflicts if names & set(one["generations"])]
    by_id = sides.disciplines(place)
    chosen = lambda rows: [one for one in rows if not disciplines or one["discipline"] in disciplines]  # noqa: E731
    return {
        **sides.place_of(place),
        "disciplines": sorted({one["discipline"] for one in (*evidence, *said) if one["discipline"]} | ({PAINT} if generations else set())),
        "generations": generations,
        "readings": read,
        "documents": [one for one in chosen(evidence) if one["kind"] in DOCUMENTS],
        "construction": [one for one in chosen(evidence) if one["kind"] not in DOCUMENTS],
        "interpretations": chosen(said),
        "agreements": [*_agreed(said), *_dated_together(generations, disputed, by_id)],
        "contradictions": [*_conflicts(disputed, by_id), *_disputes(said), *_against(read, evidence, bounds)],
        "questions": questions,
    }


def _years(bounds: Mapping[str, Mapping[str, Any]], name: str) -> dict[str, Any]:
    return dict(bounds.get(name, {"earliest": None, "latest": None, "earliest_by": [], "latest_by": []}))


def _readings(project: Project, place: Space | Element) -> list[dict[str, Any]]:
    space = place.space if isinstance(place, Element) else place
    told = ("element", "element_id", "element_class", "space", "first", "conclusion", "certainty", "sentence")
    found = readings.answer(project, space)["elements"]
    return [{name: one[name] for name in told} for one in found if isinstance(place, Space) or str(one["element_id"]) == str(place.pk)]


def _record(kind: str, record_id: Any, name: str, discipline: str) -> dict[str, Any]:
    return {"type": kind, "id": record_id, "name": name, "discipline": discipline}


# -- where they agree -------------------------------------------------------------------------------------------------------


def _agreed(said: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "kind": "interpretation",
            "sentence": f"{one['state_by']} agrees with {one['author']}: {one['statement']}",
            "records": [_record("interpretation", one["id"], str(one["number"]), one["discipline"])],
        }
        for one in said
        if one["state"] == "agreed"
    ]


def _dated_together(
    generations: Sequence[Mapping[str, Any]], disputed: Sequence[Mapping[str, Any]], by_id: Mapping[str, str]
) -> list[dict[str, Any]]:
    """Generations whose two bounds come from records of different disciplines, and that no conflict touches; told once for each pair."""
    touched = {name for one in disputed for name in one["generations"]}
    found: dict[str, tuple[list[str], list[dict[str, Any]], str]] = {}
    for one in generations:
        if one["name"] in touched or one["earliest"] is None or one["latest"] is None:
            continue
        low, high = (_setters(one[side], by_id) for side in ("earliest_by", "latest_by"))
        if low and high and {record["discipline"] for record in low} != {record["discipline"] for record in high}:
            years = f"{one['earliest']}–{one['latest']}"
            who = f"{_named(low)} and {_named(high)}"
            found.setdefault(f"{who} {years}", ([], [*low, *high], f"{who} together date {{}} to {years}."))[0].append(one["name"])
    return [
        {"kind": "dates", "sentence": sentence.format(_run(names)), "records": list({one["id"]: one for one in records}.values())}
        for names, records, sentence in found.values()
    ]


def _run(names: Sequence[str]) -> str:
    return f"generation {names[0]}" if len(names) == 1 else f"{len(names)} generations, {names[0]} to {names[-1]},"


def _setters(steps: Sequence[Mapping[str, Any]], by_id: Mapping[str, str]) -> list[dict[str, Any]]:
    """The records among the steps to a bound that somebody answers for: evidence, and what was found in the paint."""
    found = []
    for step in steps:
        if step["kind"] == "evidence" and step["id"] is not None:
            found.append(_record("evidence", step["id"], step["key"], by_id.get(str(step["id"]), "")))
        if step["kind"] == "material" and step["id"] is not None:
            found.append(_record("layer", step["id"], step["key"], PAINT))
    return found


def _named(records: Sequence[Mapping[str, Any]]) -> str:
    return ", ".join(f"{one['name']} ({one['discipline'] or 'no discipline'})" for one in records)


# -- where they do not ------------------------------------------------------------------------------------------------------


def _conflicts(disputed: Sequence[Mapping[str, Any]], by_id: Mapping[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "kind": "dates",
            "sentence": one["sentence"],
            "records": [
                _record(
                    TYPES.get(record["kind"], record["kind"]),
                    record["id"],
                    record["key"],
                    PAINT if record["kind"] in TYPES else by_id.get(str(record["id"]), ""),
                )
                for record in one["records"]
            ],
        }
        for one in disputed
    ]


def _disputes(said: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "kind": "dispute",
            "sentence": f"{one['state_by']} disputes what {one['author']} says, “{one['statement']}”: {one['state_reason']}",
            "records": [_record("interpretation", one["id"], str(one["number"]), one["discipline"])],
        }
        for one in said
        if one["state"] == "disputed"
    ]


def _against(
    read: Sequence[Mapping[str, Any]], evidence: Sequence[Mapping[str, Any]], bounds: Mapping[str, Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Readings of elements that speak against evidence on when the element was made."""
    found = []
    for one in read:
        for other in evidence:
            if other["bears_on"] != "element" or other["target"] != one["element"]:
                continue
            sentence = speaks_against(one, other, bounds.get(f"{one['space']}/{one['first']}", {}))
            if sentence:
                records = [
                    _record("element", one["element_id"], one["element"], PAINT),
                    _record("evidence", other["id"], other["reference"], other["discipline"]),
                ]
                found.append({"kind": "reading", "sentence": sentence, "records": records})
    return found


def speaks_against(reading: Mapping[str, Any], evidence: Mapping[str, Any], first: Mapping[str, Any]) -> str:
    """Why a reading speaks against a piece of evidence on when its element was made; '' where it does not.

    Two cases, both of arithmetic: it reads as inserted later and its first paint is younger than the evidence has the element; or it
    reads as there from the start and its first paint is older than the evidence lets the element be.
    """
    made_by = evidence["latest"] if evidence["relation"] in ("made in", "made before", "between") else None
    made_after = evidence["earliest"] if evidence["relation"] in ("made in", "made after", "between") else None
    start = f"{evidence['reference']} has {reading['element']}"
    paint = f"the first generation that it carries ({reading['first']})"
    earliest, latest = first.get("earliest"), first.get("latest")
    if reading["conclusion"] == "inserted" and made_by is not None and earliest is not None and made_by < earliest:
        return f"{start} made by {made_by}, but it reads as inserted later: {paint} is of {earliest} at the earliest."
    if reading["conclusion"] == "from the start" and made_after is not None and latest is not None and latest < made_after:
        return f"{start} made no earlier than {made_after}, but it reads as there from the start: {paint} is of {latest} at the latest."
    return ""
