"""What a comment, a question or an answer is about: the record of a type and an id, and what people call it.

The one place that goes from (type, id) to a record; it costs at most one query a type, however many are asked for.
"""

import uuid
from collections.abc import Iterable, Mapping
from typing import Any, Final

from django.db.models import Model

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
# The columns that names are made of, where people talk about many records of a kind: no others are read for a name.
NAMED_BY: Final[Mapping[str, tuple[str, ...]]] = {
    "space": ("number",),
    "element": ("code",),
    "sample": ("number",),
    "layer": ("position", "sample__number"),
    "generation": ("ordinal", "space__number"),
    "phase": ("ordinal",),
    "evidence": ("reference",),
    "interpretation": ("number",),
    "question": ("number",),
}

About = tuple[str, uuid.UUID]


def records(project: Project, wanted: Iterable[tuple[str, Any]], *, for_names: bool = False) -> dict[About, Any]:
    """The records of this project that are meant, by type and id; what is of another project, or gone, is not among them."""
    ids: dict[str, set[uuid.UUID]] = {}
    for about_type, about_id in wanted:
        ids.setdefault(about_type, set()).add(uuid.UUID(str(about_id)))
    found: dict[About, Any] = {}
    for about_type, some in ids.items():
        if about_type in TALKED_ABOUT:
            found |= {(about_type, record.pk): record for record in _of_type(project, about_type, list(some), for_names)}
    return found


def _of_type(project: Project, about_type: str, ids: list[uuid.UUID], for_names: bool) -> Iterable[Any]:
    if about_type == "project":
        return [project] if project.pk in ids else []
    query = MODELS[about_type]._default_manager.select_related(*NAMED_WITH.get(about_type, ()))
    if for_names and about_type in NAMED_BY:
        query = query.only("project", *NAMED_BY[about_type])
    if len(ids) <= BATCH:
        # The project is looked at here: asked for both, a database may go through the whole project for a few ids.
        return [record for record in query.filter(pk__in=ids) if record.project_id == project.pk]
    wanted = set(ids)
    return [record for record in query.filter(project=project) if record.pk in wanted]


def names(project: Project, wanted: Iterable[tuple[str, Any]]) -> dict[About, str]:
    """What people call each record; those that are gone have no name."""
    return {about: name_of(record) for about, record in records(project, wanted, for_names=True).items()}


def name_of(record: Any) -> str:
    """What people call a record, beside the word for what it is: '3' of 'interpretation 3'."""
    kind = f"{record._meta.verbose_name} "
    return str(record).removeprefix(kind)
