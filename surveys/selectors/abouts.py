"""What a comment, a question or an answer is about: the record of a type and an id, and what people call it.

The one place that goes from (type, id) to a record; it costs at most one query a type, however many are asked for.
"""

import uuid
from collections.abc import Iterable, Mapping
from typing import Any, Final

from django.db.models import BooleanField, ExpressionWrapper, Model, OuterRef, Q, Subquery

from surveys import models
from surveys.models import Project
from surveys.models.findings import TALKED_ABOUT

# So many ids go into one query (SQLite takes 32,766); beyond, the whole collection is looked through.
BATCH: Final = 5_000
MODELS: Final[Mapping[str, Any]] = {
    str(one._meta.model_name): one for one in vars(models).values() if isinstance(one, type) and issubclass(one, Model)
}
# What a record's name is made of beyond its own row.
NAMED_WITH: Final[Mapping[str, tuple[str, ...]]] = {
    "layer": ("sample",),
    "generation": ("space",),
    "ruling": ("first_layer__sample", "second_layer__sample", "generation__space"),
    "scheduleissue": ("schedule",),
    "traverse": ("sample",),
    "registration": ("fixed", "moving"),
    "measurement": ("layer__sample", "traverse__sample"),
}
# The columns that names are made of, where people talk about many records of a kind: for a name nothing else is read, and no record made.
# A test holds them to what the records call themselves.
NAMED_BY: Final[Mapping[str, tuple[str, ...]]] = {
    "space": ("number",),
    "element": ("code",),
    "sample": ("number",),
    "layer": ("sample__number", "position"),
    "generation": ("space__number", "ordinal"),
    "phase": ("ordinal",),
    "evidence": ("reference",),
    "interpretation": ("number",),
    "question": ("number",),
}

About = tuple[str, uuid.UUID]


def records(project: Project, wanted: Iterable[tuple[str, Any]]) -> dict[About, Any]:
    """The records of this project that are meant, by type and id; what is of another project, or gone, is not among them."""
    return {
        (about_type, record.pk): record for about_type, some in _by_type(wanted).items() for record in _of_type(project, about_type, some)
    }


def _by_type(wanted: Iterable[tuple[str, Any]]) -> dict[str, list[uuid.UUID]]:
    ids: dict[str, set[uuid.UUID]] = {}
    for about_type, about_id in wanted:
        if about_type in TALKED_ABOUT:
            ids.setdefault(about_type, set()).add(about_id if isinstance(about_id, uuid.UUID) else uuid.UUID(str(about_id)))
    return {about_type: list(some) for about_type, some in ids.items()}


def _of_type(project: Project, about_type: str, ids: list[uuid.UUID]) -> Iterable[Any]:
    if about_type == "project":
        return [project] if project.pk in ids else []
    query = MODELS[about_type]._default_manager.select_related(*NAMED_WITH.get(about_type, ()))
    if len(ids) <= BATCH:
        # The project is looked at here: asked for both, a database may go through the whole project for a few ids.
        return [record for record in query.filter(pk__in=ids) if record.project_id == project.pk]
    wanted = set(ids)
    return [record for record in query.filter(project=project) if record.pk in wanted]


def _looked_up(model: Any, path: str) -> Any:
    """A column, or that of the record that another names, found one by one: joined, PostgreSQL goes through all samples there are."""
    reference, _, column = path.partition("__")
    if not column:
        return path
    other = model._meta.get_field(reference).related_model
    return Subquery(other._default_manager.filter(pk=OuterRef(f"{reference}_id")).values(column)[:1])


def names(project: Project, wanted: Iterable[tuple[str, Any]]) -> dict[About, str]:
    """What people call each record; those that are gone have no name."""
    found: dict[About, str] = {}
    for about_type, ids in _by_type(wanted).items():
        if about_type in NAMED_BY and len(ids) <= BATCH:
            query = (
                MODELS[about_type]._default_manager.filter(pk__in=ids).annotate(own=ExpressionWrapper(Q(project=project), BooleanField()))
            )
            rows = query.values_list("pk", "own", *(_looked_up(MODELS[about_type], path) for path in NAMED_BY[about_type]))
            found |= {(about_type, pk): "/".join(map(str, parts)) for pk, own, *parts in rows if own}
        else:
            found |= {(about_type, record.pk): name_of(record) for record in _of_type(project, about_type, ids)}
    return found


def name_of(record: Any) -> str:
    """What people call a record, beside the word for what it is: '3' of 'interpretation 3'."""
    kind = f"{record._meta.verbose_name} "
    return str(record).removeprefix(kind)
