"""Every list costs the same number of queries for one row as for many."""

import copy
import uuid
from typing import Any

from django.db import connection, models
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.api.collections import BY_NAME
from surveys.models import Attachment, Element, Layer, Membership
from tests.surveys.archives.conftest import full  # noqa: F401 -- a project with one of everything

# A list of projects is one person's, not a project's; members are people, of whom the cast has several.
LISTS = sorted(set(BY_NAME) - {"projects"})
MANY = 4


def again(record: Any, turn: int, others: dict[str, Any]) -> Any:
    """A record once more, with what must be its own changed; `others` are its references that may not repeat."""
    twin = copy.copy(record)
    twin._state = copy.copy(record._state)
    twin._state.adding = True
    twin.pk = uuid.uuid4()
    single = {name for one in twin._meta.constraints if isinstance(one, models.UniqueConstraint) for name in one.fields}
    for field in twin._meta.concrete_fields:
        if field.name in others:
            setattr(twin, field.name, others[field.name])
        elif field.name in ("email", "digest"):
            setattr(twin, field.name, f"{turn}{getattr(record, field.name)}"[: field.max_length])
        elif field.name not in single or field.is_relation:
            continue
        elif isinstance(field, models.IntegerField):
            setattr(twin, field.name, 1_000 * turn + (getattr(record, field.name) or 0))
        elif isinstance(field, models.CharField) and not field.choices:
            setattr(twin, field.name, f"{turn}{getattr(record, field.name)}"[: field.max_length])
    return twin


def multiply(project: Any) -> None:
    """Each kind of record of the lists, several times over."""
    twins: dict[type, list[Any]] = {}
    for model in sorted({BY_NAME[name].model for name in LISTS}, key=lambda model: model is not Attachment):
        first = model._default_manager.filter(project=project).order_by("created_at").first()
        if model is Membership or first is None:
            continue
        made = []
        for turn in range(1, MANY + 1):
            # What is one of a kind by what it refers to, refers to another each time.
            others: dict[str, Any] = {}
            if model._meta.model_name == "schedulerow":
                others["element"] = again(Element.objects.filter(project=project)[0], 50 + turn, {})
                others["element"].save(force_insert=True)
            if model._meta.model_name == "registration":
                others["moving"] = twins[Attachment][turn - 1]
            if model._meta.model_name in ("measurement", "ruling"):
                name = "layer" if model._meta.model_name == "measurement" else "first_layer"
                others[name] = again(Layer.objects.filter(project=project)[0], 50 + turn, {})
                others[name].position += 5_000 + (0 if name == "layer" else 50_000)
                others[name].save(force_insert=True)
            made.append(again(first, turn, others))
        for one in made:
            one.save(force_insert=True)
        twins[model] = made


def cost(api: Any, path: str) -> tuple[int, int]:
    """How many queries a list takes, and how many rows it tells."""
    owner = api("coordinator")
    with CaptureQueriesContext(connection) as caught:
        answer = owner.get(path)
    assert answer.status_code == 200, answer.content
    return len(caught), len(answer.json()["results"])


def test_every_list_costs_the_same_for_one_row_as_for_many(api, cast, full):  # noqa: F811
    records.invite(cast.coordinator, full, {"name": "Gast", "role": "owner", "discipline": "ownership"})
    multiply(full)
    one = {name: cost(api, f"{name}/?page_size=1") for name in LISTS}
    many = {name: cost(api, f"{name}/?page_size=1000") for name in LISTS}
    assert {name: rows for name, (_, rows) in one.items()} == dict.fromkeys(LISTS, 1)
    assert {name: rows for name, (_, rows) in many.items() if rows <= 2} == {}
    assert {name: queries for name, (queries, _) in many.items()} == {name: queries for name, (queries, _) in one.items()}
    assert max(queries for queries, _ in many.values()) <= 9
