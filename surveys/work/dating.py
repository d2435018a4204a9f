"""Deriving the years of generations, and telling what cannot all be true."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from analysis.core import dating, materials
from surveys import access, records, selectors
from surveys.errors import Conflict, Invalid
from surveys.models import Evidence, Generation, Layer, Person, Phase, Project
from surveys.records import Bounds, InputChanged

Progress = Callable[[int, int, str], None]
TRIES = 3
# Answers of this process by the digest of what they read: an unchanged record gives the same.
KEPT: dict[tuple[str, bool, str], tuple[dating.SpaceDistributions, ...]] = {}
MOST_KEPT = 16


def date(actor: Person, project: Project, progress: Progress) -> dict[str, Any]:
    """Derive and store the bounds of every generation of a project; answer what changed and what conflicts."""
    access.require(actor, project, access.COMPUTE)
    for _ in range(TRIES):
        progress(0, 2, "Deriving the years of generations")
        facts = selectors.dating_facts(project)
        answer = _date(facts)
        progress(1, 2, "Storing the years of generations")
        try:
            changed = records.store_dating(actor, project, selectors.digest_of(facts), _by_id(project, answer))
        except InputChanged:
            continue
        progress(2, 2, "Dated")
        return {"generations_changed": changed, "conflicts": [_conflict(one) for one in answer.conflicts]}
    raise Conflict("The record is being changed faster than it can be dated. Try again when the team pauses.")


@dataclass(frozen=True, slots=True)
class Years:
    """The years of all generations of a project, as they follow from the record now."""

    bounds: dict[str, dating.DatedGeneration]
    curves: dict[str, dating.YearDistribution]
    sentences: dict[str, str]
    current: bool


def bounds(project: Project, *, include_tentative: bool = False) -> dict[str, dating.DatedGeneration]:
    """The bounds of all generations by their keys ('101/3'), as they follow from the record now."""
    found = _date(selectors.dating_facts(project), include_tentative=include_tentative)
    return {one.key: one for one in found.generations}


def years(project: Project, *, prior: str = dating.ORDERED_UNIFORM, include_tentative: bool = False) -> Years:
    """Bounds and distributions of all generations by their keys ('101/3'), and of each space how they were reckoned."""
    facts = selectors.dating_facts(project)
    found = _date(facts, include_tentative=include_tentative)
    spaces = _distributions(facts, found, prior)
    return Years(
        bounds={one.key: one for one in found.generations},
        curves={one.key: one for space in spaces for one in space.generations},
        sentences={space.space: space.sentence for space in spaces},
        current=project.dated_digest == selectors.digest_of(facts),
    )


def answer(project: Project, *, include_tentative: bool = False) -> dict[str, Any]:
    """Bounds, distributions and conflicts as they follow from the record now, without storing them."""
    facts = selectors.dating_facts(project)
    found = _date(facts, include_tentative=include_tentative)
    links = _links(project)
    curves: dict[str, list[dict[str, Any]]] = {}
    sentences: list[dict[str, str]] = []
    for prior in dating.PRIORS:
        for space in _distributions(facts, found, prior):
            sentences.append({"space": space.space, "prior": prior, "sentence": space.sentence})
            for one in space.generations:
                curves.setdefault(one.key, []).append(_curve(prior, one))
    return {
        "include_tentative": include_tentative,
        "generations": [
            {
                "id": links.get(("generation", one.key)),
                "space": one.key.rpartition("/")[0],
                "ordinal": int(one.key.rpartition("/")[2]),
                "earliest": one.earliest,
                "latest": one.latest,
                "earliest_by": [_step(step, links) for step in one.earliest_by],
                "latest_by": [_step(step, links) for step in one.latest_by],
                "distributions": curves.get(one.key, []),
                "conflicts": list(one.conflicts),
            }
            for one in found.generations
        ],
        "spaces": sentences,
        "conflicts": [_conflict(one, links) for one in found.conflicts],
        "unused": [{"kind": one.kind, "key": one.key, "sentence": one.sentence} for one in found.unused],
        "current": project.dated_digest == selectors.digest_of(facts),
    }


def told(project: Project) -> tuple[dict[str, dict[str, Any]], list[dict[str, Any]]]:
    """(the bounds of each generation by its key, with the records that set them; conflicts), as they follow now, without distributions."""
    found = _date(selectors.dating_facts(project))
    links = _links(project)
    bounds = {
        one.key: {
            "earliest": one.earliest,
            "latest": one.latest,
            "earliest_by": [_step(step, links) for step in one.earliest_by],
            "latest_by": [_step(step, links) for step in one.latest_by],
        }
        for one in found.generations
    }
    return bounds, [_conflict(one, links) for one in found.conflicts]


def standing(project: Project) -> tuple[set[str], list[dict[str, Any]], bool]:
    """(keys of the generations that records date on both sides; conflicts; whether what is stored still follows), without distributions.

    The study's own first and last year bound everything, so they date nothing.
    """
    facts = selectors.dating_facts(project)
    found = _date(facts)
    links = _links(project)
    dated = {one.key for one in found.generations if _by_record(one.earliest_by) and _by_record(one.latest_by)}
    current = project.dated_digest == selectors.digest_of(facts)
    return dated, [_conflict(one, links) for one in found.conflicts], current


def _distributions(facts: Mapping[str, Any], found: dating.Dating, prior: str) -> tuple[dating.SpaceDistributions, ...]:
    """The distributions of all spaces; where spaces hang together they take seconds, so answers are kept for a while by what they read."""
    key = (selectors.digest_of(facts), found.with_tentative, prior)
    kept = KEPT.get(key)
    if kept is None:
        read = _records(facts)
        kept = dating.distributions(read.generations, found.generations, prior=prior, phases=read.phases)
        if len(KEPT) >= MOST_KEPT:
            KEPT.clear()
        KEPT[key] = kept
    return kept


def _by_record(steps: tuple[dating.Step, ...]) -> bool:
    return any(step.kind in dating.RECORD_KINDS and step.kind != "study" for step in steps)


def _date(facts: Mapping[str, Any], *, include_tentative: bool = False) -> dating.Dating:
    try:
        return dating.date_generations(_records(facts), include_tentative=include_tentative)
    except dating.DatingError as error:
        raise Invalid(str(error)) from None


def _records(facts: Mapping[str, Any]) -> dating.Records:
    key = "{0}/{1}".format
    return dating.Records(
        generations=tuple(
            dating.Generation(
                key=key(one["space"], one["ordinal"]),
                space=one["space"],
                ordinal=one["ordinal"],
                phase=str(one["phase"]) if one["phase"] is not None else None,
            )
            for one in facts["generations"]
        ),
        phases=tuple(
            dating.Phase(str(one["ordinal"]), one["ordinal"], one["earliest"], one["latest"], one["label"] or f"phase {one['ordinal']}")
            for one in facts["phases"]
        ),
        statements=tuple(_statement(one) for one in facts["evidence"] if _dates(one)),
        finds=tuple(find for one in facts["finds"] for find in _finds(one)),
        elements=tuple(
            dating.Element(code, tuple(key(space, ordinal) for space, ordinal in one["generations"]), code)
            for code, one in facts["elements"].items()
        ),
        study=dating.Study(facts["first_year"], facts["last_year"]),
    )


def _dates(evidence: Mapping[str, Any]) -> bool:
    """Whether evidence says when: what bears on nothing, or names no year or no relation to one, bounds nothing."""
    year = evidence["earliest"] is not None or evidence["latest"] is not None
    return bool(year and evidence["relation"] and evidence["bears_on"])


def _statement(one: Mapping[str, Any]) -> dating.Statement:
    target = one["target"]
    if one["bears_on"] == "generation":
        target = f"{target[0]}/{target[1]}"
    return dating.Statement(
        key=one["reference"],
        target_kind=one["bears_on"],
        target="" if target is None else str(target),
        relation=one["relation"],
        earliest=one["earliest"],
        latest=one["latest"],
        # What nobody has vouched for bounds nothing until somebody asks for it.
        certainty=one["certainty"] or "tentative",
        label=one["reference"],
    )


def _finds(one: Mapping[str, Any]) -> list[dating.MaterialFind]:
    """The dated materials among the pigments and the binder of one layer."""
    table = selectors.material_table()
    made = []
    for part in [*materials.parse_list(one["pigments"]), *materials.parse_list(one["binder"])]:
        known = materials.match_material(part.name, table)
        if known is None or known.earliest_year is None:
            continue
        made.append(
            dating.MaterialFind(
                key=f"{one['layer']} {part.name}",
                generation="/".join(str(piece) for piece in one["generation"]),
                material=known.name,
                earliest=known.earliest_year,
                identified=part.basis == "identified",
                label=one["layer"],
            )
        )
    return list({find.key: find for find in made}.values())


def _links(project: Project) -> dict[tuple[str, str], str]:
    """Ids of the records that dating names, by what it calls them."""
    links = {("evidence", reference): str(pk) for reference, pk in Evidence.objects.filter(project=project).values_list("reference", "pk")}
    links |= {("phase", str(ordinal)): str(pk) for ordinal, pk in Phase.objects.filter(project=project).values_list("ordinal", "pk")}
    for pk, number, ordinal in Generation.objects.filter(project=project).values_list("pk", "space__number", "ordinal"):
        links["generation", f"{number}/{ordinal}"] = str(pk)
    layers = Layer.objects.filter(project=project).exclude(pigments="", binder="")
    for pk, number, position in layers.values_list("pk", "sample__number", "position"):
        links["layer", f"{number}/{position}"] = str(pk)
    return links


def _step(step: dating.Step, links: Mapping[tuple[str, str], str]) -> dict[str, Any]:
    return {"kind": step.kind, "key": step.key, "id": links.get(_record(step.kind, step.key)), "sentence": step.sentence}


def _record(kind: str, key: str) -> tuple[str, str]:
    """The record that dating names: of a find of a material, the layer in which it was made."""
    return ("layer", key.split(" ", 1)[0]) if kind == "material" else (kind, key)


def _conflict(one: dating.Conflict, links: Mapping[tuple[str, str], str] | None = None) -> dict[str, Any]:
    return {
        "sentence": one.sentence,
        "records": [{"kind": kind, "key": key, "id": (links or {}).get(_record(kind, key))} for kind, key in one.records],
        "steps": [_step(step, links or {}) for step in one.steps],
        "generations": list(one.generations),
        "set_aside": [{"kind": kind, "key": key} for kind, key in one.set_aside],
    }


def _curve(prior: str, one: dating.YearDistribution) -> dict[str, Any]:
    return {
        "prior": prior,
        "first_year": one.first_year,
        "probabilities": [round(part, 6) for part in one.probabilities],
        "median": one.median,
        "interval_68": list(one.interval_68),
        "interval_95": list(one.interval_95),
    }


def _by_id(project: Project, answer: dating.Dating) -> dict[str, Bounds]:
    links = _links(project)
    return {
        links["generation", one.key]: Bounds(
            one.earliest,
            one.latest,
            [{key: value for key, value in _step(step, links).items() if value} for step in one.earliest_by],
            [{key: value for key, value in _step(step, links).items() if value} for step in one.latest_by],
        )
        for one in answer.generations
        if ("generation", one.key) in links
    }
