"""What each discipline says of one space or one element: generations, evidence, interpretations, open questions."""

from collections.abc import Collection
from typing import Any, Final

from django.db.models import Count, Min, Q, QuerySet

from surveys.models import Element, Evidence, Generation, Layer, Phase, Question, Sample, Space
from surveys.selectors import abouts, findings
from surveys.selectors.listings import named

Place = Space | Element
EVIDENCE: Final = (
    "id", "reference", "discipline", "kind", "source", "statement", "bears_on", "relation", "earliest", "latest", "years_as_written",
    "certainty", "element__code", "space__number", "generation_name", "phase__ordinal",
)  # fmt: skip
INTERPRETATION: Final = (
    "id", "number", "discipline", "created_by__name", "subject", "subject_name", "statement", "certainty", "state", "state_by__name",
    "state_reason", "citation_count",
)  # fmt: skip


def layers_of(place: Place) -> QuerySet[Layer]:
    """The layers of a space or an element."""
    return Layer.objects.filter(**{"sample__element" if isinstance(place, Element) else "sample__element__space": place})


def generations(place: Place) -> list[dict[str, Any]]:
    """The generations of a space, or those that an element carries: with how many layers show each there, and how surely at least."""
    space = place.space if isinstance(place, Element) else place
    placed = layers_of(place).filter(generation__isnull=False).order_by().values("generation")
    shown = {row["generation"]: row for row in placed.annotate(layers=Count("pk"), least=Min("confidence"))}
    query = Generation.objects.filter(space=space).select_related("phase").order_by("ordinal")
    return [
        {
            "id": one.pk,
            "name": f"{space.number}/{one.ordinal}",
            "ordinal": one.ordinal,
            "label": one.label,
            "phase": one.phase.label or str(one.phase) if one.phase else None,
            "layers": shown[one.pk]["layers"] if one.pk in shown else 0,
            "least_confidence": shown[one.pk]["least"] if one.pk in shown else None,
        }
        for one in query
        if isinstance(place, Space) or one.pk in shown
    ]


def evidence(place: Place, generation_ids: Collection[Any]) -> list[dict[str, Any]]:
    """The evidence that bears on a place: on itself, its space, its generations and their phases, or on the whole structure."""
    phases = Phase.objects.filter(generations__in=list(generation_ids)).values("pk")
    bears = Q(bears_on="structure") | Q(generation__in=list(generation_ids)) | Q(phase__in=phases)
    if isinstance(place, Element):
        bears |= Q(element=place) | Q(space=place.space_id)
    else:
        bears |= Q(space=place) | Q(element__space=place)
    query = Evidence.objects.filter(bears, project=place.project)
    query = query.annotate(generation_name=named("generation__space__number", "generation__ordinal"))
    return [_evidence(row) for row in query.order_by("reference").values(*EVIDENCE)]


def _evidence(row: dict[str, Any]) -> dict[str, Any]:
    targets = {name: row.pop(column) for name, column in (
        ("element", "element__code"), ("space", "space__number"), ("generation", "generation_name"), ("phase", "phase__ordinal"),
    )}  # fmt: skip
    target = targets.get(row["bears_on"])
    return {**row, "target": None if target is None else str(target)}


def disciplines(place: Place) -> dict[str, str]:
    """The discipline of each piece of evidence of the project, by its id: what bears elsewhere may bound a year here."""
    return {str(pk): discipline for pk, discipline in Evidence.objects.filter(project=place.project).values_list("pk", "discipline")}


def interpretations(place: Place) -> list[dict[str, Any]]:
    """The interpretations about a place or something in it, or that cite something in it; superseded ones are left to the list of all."""
    query = findings.interpretations(place.project).filter(findings.concerning(place.pk)).exclude(state="superseded")
    rows = query.order_by("number").values(*INTERPRETATION)
    return [{"author": row.pop("created_by__name"), "state_by": row.pop("state_by__name"), **row} for row in rows]


def questions(place: Place, evidence_ids: Collection[Any], interpretation_ids: Collection[Any]) -> list[dict[str, Any]]:
    """The open questions about a place or anything in it, or about what is said of it."""
    elements = Element.objects.filter(pk=place.pk) if isinstance(place, Element) else Element.objects.filter(space=place)
    inside: dict[str, Any] = {
        "element": elements.values("pk"),
        "sample": Sample.objects.filter(element__in=elements).values("pk"),
        "layer": layers_of(place).values("pk"),
        "evidence": list(evidence_ids),
        "interpretation": list(interpretation_ids),
    }
    if isinstance(place, Space):
        inside |= {"space": [place.pk], "generation": Generation.objects.filter(space=place).values("pk")}
    about = Q()
    for kind, ids in inside.items():
        about |= Q(about_type=kind, about_id__in=ids)
    found = list(
        Question.objects.filter(about, project=place.project, state="open")
        .order_by("needed_by", "number")
        .values("id", "number", "created_by__name", "to_person__name", "to_discipline", "text", "needed_by", "about_type", "about_id")
    )
    names = abouts.names(place.project, [(row["about_type"], row["about_id"]) for row in found])
    return [
        {
            "id": row["id"],
            "number": row["number"],
            "asked_by": row["created_by__name"],
            "to": row["to_person__name"] or row["to_discipline"],
            "discipline": row["to_discipline"],
            "text": row["text"],
            "needed_by": row["needed_by"],
            "about_type": row["about_type"],
            "about_id": row["about_id"],
            "about_name": names.get((row["about_type"], row["about_id"])),
        }
        for row in found
    ]


def place_of(place: Place) -> dict[str, Any]:
    """What the place is called."""
    space = place.space if isinstance(place, Element) else place
    told = ("code", "element_class", "position")
    element = {"id": place.pk, **{name: getattr(place, name) for name in told}} if isinstance(place, Element) else None
    return {"space": {"id": space.pk, "number": space.number, "name": space.name}, "element": element}
