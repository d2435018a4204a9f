"""Interpretations as they are listed and reviewed: what each is about and cites by name, who was asked, what changed since."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any, Final
from uuid import UUID

from django.db.models import Case, CharField, F, OuterRef, Q, QuerySet, Subquery, UUIDField, When
from django.db.models.functions import Cast, Coalesce

from surveys.models import Change, Citation, Element, Generation, Interpretation, Layer, Phase, Project, ReviewRequest, Space
from surveys.rules import grounds
from surveys.selectors import wording
from surveys.selectors.listings import counted, named

# The columns of a citation: its record's id, name and version, by kind.
TARGETS: Final[Mapping[str, tuple[str, str, str]]] = {
    "sample": ("sample", "sample__number", "sample__version"),
    "layer": ("layer", "layer_name", "layer__version"),
    "evidence": ("evidence", "evidence__reference", "evidence__version"),
    "interpretation": ("cited", "cited__number", "cited__version"),
}


def interpretations(project: Project) -> QuerySet[Interpretation]:
    """The interpretations of a project, with what each is about by name, the space in which that lies, and how much it cites."""
    return _interpretations().filter(project=project)


@cache
def _interpretations() -> QuerySet[Interpretation]:
    """The same of all projects, each name looked up by itself: to plan a join with all that there may be takes PostgreSQL longer."""
    within = Coalesce(
        F("space_id"),
        _of(Element, "element", "space_id"),
        _of(Generation, "generation", "space_id"),
        _of(Layer, "layer", "sample__element__space_id"),
        output_field=UUIDField(),
    )
    name = Case(
        When(subject="space", then=_of(Space, "space", "number")),
        When(subject="element", then=_of(Element, "element", "code")),
        When(subject="generation", then=_of(Generation, "generation", named("space__number", "ordinal"))),
        When(subject="layer", then=_of(Layer, "layer", named("sample__number", "position"))),
        default=_of(Phase, "phase", Cast("ordinal", CharField())),
        output_field=CharField(),
    )
    found = Interpretation.objects.annotate(
        subject_name=name, within=within, citation_count=counted(Citation.objects.all(), "interpretation")
    )
    return found.annotate(within_number=_of(Space, "within", "number"))


def _of(model: Any, reference: str, column: Any) -> Any:
    """A column of the record that another column of an interpretation names."""
    return Subquery(model._default_manager.filter(pk=OuterRef(reference)).values_list(column)[:1])


def complete(project: Project, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put beside each row what it cites; one query for all of them."""
    cited = citations([row["id"] for row in rows])
    for row in rows:
        row["citations"] = cited.get(row["id"], [])
    return rows


def citations(ids: Sequence[Any]) -> dict[Any, list[dict[str, Any]]]:
    """What interpretations cite: kind, id, human name and present version of each record, and the note on it."""
    found: dict[Any, list[dict[str, Any]]] = {}
    query = Citation.objects.filter(interpretation__in=ids).annotate(layer_name=named("layer__sample__number", "layer__position"))
    columns = sorted({name for target in TARGETS.values() for name in target})
    for row in query.order_by("kind", "created_at", "pk").values("interpretation", "kind", "note", "cited__state", *columns):
        record, name, version = TARGETS[row["kind"]]
        found.setdefault(row["interpretation"], []).append(
            {
                "type": row["kind"],
                "id": row[record],
                "name": str(row[name]),
                "version": row[version],
                "state": row["cited__state"],
                "note": row["note"],
            }
        )
    return found


def citing(record_id: UUID) -> Q:
    """That an interpretation cites a record (of a sample, itself and not only a layer of it)."""
    cites = Q(sample=record_id) | Q(layer=record_id) | Q(evidence=record_id) | Q(cited=record_id)
    return Q(pk__in=Citation.objects.filter(cites).values("interpretation"))


def concerning(record_id: UUID) -> Q:
    """That an interpretation is about a record or something in it, or cites it or something in it."""
    of_layer = ("", "__sample", "__sample__element", "__sample__element__space", "__generation")
    elements = ("sample", "sample__element", "sample__element__space")
    subjects = ["space", "element", "element__space", "generation", "generation__space", "generation__phase", "phase"]
    about = _any([*subjects, *(f"layer{step}" for step in of_layer)], record_id)
    cited = _any([*elements, "evidence", "cited", *(f"layer{step}" for step in of_layer)], record_id)
    return about | Q(pk__in=Citation.objects.filter(cited).values("interpretation"))


def _any(paths: Iterable[str], value: Any) -> Q:
    found = Q()
    for path in paths:
        found |= Q(**{path: value})
    return found


# -- one of them ------------------------------------------------------------------------------------------------------------


def review(interpretation: Interpretation) -> dict[str, Any]:
    """How its review stands, for everybody: the moves made, who was asked, what changed in what it cites, who builds on it."""
    return {
        "version": interpretation.version,
        "state": interpretation.state,
        "made": moves(interpretation),
        "reviews": reviews(interpretation),
        "changed": changed_since(interpretation),
        **others(interpretation),
    }


def reviews(interpretation: Interpretation) -> list[dict[str, Any]]:
    """Who was asked to review it, by whom, and who has answered."""
    asked = ReviewRequest.objects.filter(interpretation=interpretation).select_related("person", "created_by").order_by("created_at", "pk")
    return [
        {
            "id": one.pk,
            "username": one.person.username,
            "name": one.person.name,
            "asked_by": one.created_by.name,
            "asked_at": one.created_at,
            "answered_at": one.answered_at,
        }
        for one in asked
    ]


def others(interpretation: Interpretation) -> dict[str, list[dict[str, Any]]]:
    """The interpretations that cite it, and those that supersede it or would."""
    columns = ("id", "number", "state", "statement", "discipline")
    citing_it = Interpretation.objects.filter(citations__cited=interpretation).order_by("number")
    after_it = Interpretation.objects.filter(supersedes=interpretation).order_by("number")
    return {"cited_by": list(citing_it.values(*columns)), "superseded_by": list(after_it.values(*columns))}


def moves(interpretation: Interpretation) -> list[dict[str, Any]]:
    """Each move from state to state, oldest first."""
    lines = _lines_of(interpretation)
    return [
        {
            "at": line.at,
            "actor": line.actor.name,
            "from": line.fields["state"][0],
            "to": line.fields["state"][1],
            "reason": line.fields.get("state_reason", ["", ""])[1] or "",
        }
        for line in lines
        if line.action == "changed" and "state" in line.fields
    ]


def changed_since(interpretation: Interpretation) -> list[dict[str, Any]]:
    """What changed in the records that it cites since it was last written, or moved by a person; latest first."""
    since = max((line.sequence for line in _lines_of(interpretation) if not _by_the_record(line)), default=0)
    cited = {one["id"]: (one["type"], one["id"], one["name"]) for one in citations([interpretation.pk]).get(interpretation.pk, [])}
    samples = [key for key, (kind, _, _) in cited.items() if kind == "sample"]
    within = dict(Layer.objects.filter(sample__in=samples).values_list("pk", "sample"))
    lines = Change.objects.filter(project=interpretation.project, sequence__gt=since, record_id__in=[*cited, *within])
    found = []
    for line in lines.select_related("actor").order_by("-sequence"):
        fields = grounds.told_fields(line.record_type, wording.in_order(line.record_type, line.fields))
        kind, record_id, name = cited.get(line.record_id) or cited[within[line.record_id]]
        if fields:
            told = {"type": kind, "id": record_id, "name": name, "at": line.at, "actor": line.actor.name, "action": line.action}
            found.append({**told, "changed": line.record_name, "fields": fields if line.action == "changed" else []})
    return found


def _lines_of(interpretation: Interpretation) -> list[Change]:
    lines = Change.objects.filter(project=interpretation.project, record_type="interpretation", record_id=interpretation.pk)
    return list(lines.select_related("actor").order_by("sequence"))


def _by_the_record(line: Change) -> bool:
    """Whether it was put back because its ground changed, and not by a person who looked at it."""
    return str(line.fields.get("state_reason", ["", ""])[1] or "").startswith(grounds.AGAIN)
