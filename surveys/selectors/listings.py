"""Records as the interface lists them: the queries that carry the names and counts shown beside each record.

What is put together here is the same for all projects and all requests, so it is put together once (`cache`); a list only says of which
project. A query is never run as it is kept: to narrow it makes another.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from django.db.models import Case, CharField, Count, F, IntegerField, OuterRef, QuerySet, Subquery, Value, When
from django.db.models.functions import Cast, Coalesce, Concat

from surveys import access
from surveys.models import (
    Change,
    Element,
    Evidence,
    Generation,
    Job,
    Layer,
    Membership,
    Person,
    Phase,
    Project,
    Ruling,
    Sample,
    Upload,
)

BATCH = 500


def named(first: str, second: str) -> Any:
    """Two columns as one name: 'K-014/3'."""
    return Concat(F(first), Value("/"), Cast(second, CharField()), output_field=CharField())


def counted(records: QuerySet[Any], path: str) -> Any:
    """How many records refer to this one."""
    # COUNT(*), as an index alone answers it; COUNT(id) looks every record up.
    each = records.filter(**{path: OuterRef("pk")}).order_by().values(path).annotate(n=Count("*")).values("n")
    return Coalesce(Subquery(each, output_field=IntegerField()), 0)


def elements(project: Project) -> QuerySet[Element]:
    """The elements of a project."""
    return Element.objects.filter(project=project)


def samples(project: Project) -> QuerySet[Sample]:
    """The samples of a project, with how many layers each has."""
    return _samples().filter(project=project)


@cache
def _samples() -> QuerySet[Sample]:
    return Sample.objects.annotate(layer_count=counted(Layer.objects.all(), "sample"))


def layers(project: Project) -> QuerySet[Layer]:
    """The layers of a project, with their names."""
    # Said of the samples too: PostgreSQL goes through all samples there are for an order by their numbers otherwise.
    return _layers().filter(project=project, sample__project=project)


def layers_by_sample(project: Project) -> QuerySet[Layer]:
    """The same, so said that a database begins with the samples in their order and stops at the end of a page: 5 times faster at 50,000."""
    return _layers().filter(sample__project=project)


@cache
def _layers() -> QuerySet[Layer]:
    return Layer.objects.annotate(name=named("sample__number", "position"))


def rulings(project: Project) -> QuerySet[Ruling]:
    """The rulings of a project, with the names of their layers."""
    return _rulings().filter(project=project)


@cache
def _rulings() -> QuerySet[Ruling]:
    return Ruling.objects.annotate(
        first_layer_name=named("first_layer__sample__number", "first_layer__position"),
        second_layer_name=Case(
            When(second_layer__isnull=False, then=named("second_layer__sample__number", "second_layer__position")),
            default=None,
            output_field=CharField(),
        ),
    )


def generations(project: Project) -> QuerySet[Generation]:
    """The generations of a project, with their names and how many layers each has."""
    return _generations().filter(project=project)


@cache
def _generations() -> QuerySet[Generation]:
    return Generation.objects.annotate(name=named("space__number", "ordinal"), layer_count=counted(Layer.objects.all(), "generation"))


def phases(project: Project) -> QuerySet[Phase]:
    """The phases of a project, with how many generations each has."""
    return _phases().filter(project=project)


@cache
def _phases() -> QuerySet[Phase]:
    return Phase.objects.annotate(generation_count=counted(Generation.objects.all(), "phase"))


def evidence(project: Project) -> QuerySet[Evidence]:
    """The evidence of a project."""
    return Evidence.objects.filter(project=project)


def members(project: Project) -> QuerySet[Membership]:
    """Who belongs to a project."""
    return Membership.objects.filter(project=project)


def jobs(project: Project) -> QuerySet[Job]:
    """The jobs of a project."""
    return Job.objects.filter(project=project)


def uploads(project: Project) -> QuerySet[Upload]:
    """The files brought to a project."""
    return Upload.objects.filter(project=project)


def my_projects(actor: Person) -> QuerySet[Project]:
    """The projects that a person belongs to, with his place in each."""
    mine = Membership.objects.filter(project=OuterRef("pk"), person=actor)
    return access.projects_of(actor).annotate(role=Subquery(mine.values("role")), discipline=Subquery(mine.values("discipline")))


def rows(query: QuerySet[Any], columns: Mapping[str, str]) -> list[dict[str, Any]]:
    """Records as plain rows: each shown name with the value of its column. One query, no model objects."""
    names = list(columns)
    return [dict(zip(names, values, strict=True)) for values in query.values_list(*columns.values())]


def rows_of(query: QuerySet[Any], columns: Mapping[str, str], ids: Sequence[Any]) -> dict[Any, dict[str, Any]]:
    """The rows of certain records by id, however many; those that are gone are not in it."""
    found: dict[Any, dict[str, Any]] = {}
    for start in range(0, len(ids), BATCH):
        for row in rows(query.filter(pk__in=ids[start : start + BATCH]).order_by(), columns):
            found[row["id"]] = row
    return found


def changes(project: Project, after: int, limit: int, record_id: Any = None) -> tuple[list[Change], int, bool]:
    """(the changes after a cursor, oldest first; the cursor from which to go on; whether there is more already)."""
    # Read before the lines: whatever is committed meanwhile has a higher number and comes with the next call.
    last = Project.objects.values_list("change_sequence", flat=True).get(pk=project.pk)
    query = Change.objects.filter(project=project, sequence__gt=after).select_related("actor").order_by("sequence")
    if record_id is not None:
        query = query.filter(record_id=record_id)
    found = list(query[: limit + 1])
    if len(found) > limit:
        return found[:limit], found[limit - 1].sequence, True
    return found, max([after if after > last else last, *(line.sequence for line in found)]), False
