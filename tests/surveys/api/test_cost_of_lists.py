"""Every list costs the same number of queries for one row as for many."""

import copy
import uuid
from pathlib import Path
from typing import Any

from django.db import connection, models
from django.test import Client
from django.test.utils import CaptureQueriesContext
from rest_framework import serializers

from surveys import records, saved_views, tokens
from surveys.api import urls
from surveys.api.collections import BY_NAME
from surveys.models import (
    Attachment,
    Comment,
    Element,
    Generation,
    Interpretation,
    Layer,
    Membership,
    Person,
    ReviewRequest,
    Schedule,
    ScheduleIssue,
    Space,
)
from surveys.records import questions, remarks
from tests.surveys.archives.conftest import full  # noqa: F401 -- a project with one of everything

# A list of projects is one person's, not a project's; members are people, of whom the cast has several.
LISTS = sorted(set(BY_NAME) - {"projects"})
MANY = 4
# The lists that are no collections, and the name of the list in the answer; each is asked below.
OTHERS = {
    "changes": ("changes/?limit=1000", "changes"),
    "comment-threads": ("comments/threads", "results"),
    "comment-candidates": ("comments/candidates", "results"),
    "issue-comments": ("issues/{issue}/comments/", "results"),
    "views": ("views/", "results"),
    "tokens": ("/api/v1/tokens/", "results"),
    "my-sessions": ("/api/v1/me/sessions/", "results"),
    "projects": ("/api/v1/projects/?page_size=1000", "results"),
    "my-news": ("/api/v1/me/news", "results"),
    "chart": ("spaces/{space}/chart", "cells"),
    "dating": ("dating/", "generations"),
    "review": ("interpretations/{finding}/review", "reviews"),
    "schedule-draft": ("schedules/{schedule}/draft", "rows"),
    "issue-since": ("issues/{issue}/since", "rows"),
    "leaving": ("leaving", "questions"),
}
# Those that are counted beside what else is said of them, in which file.
ELSEWHERE = {
    "history": "test_past.py", "removed": "test_past.py", "news": "test_news.py", "looking": "test_looking.py",
    "campaigns": "test_campaigns.py", "coverage": "test_coverage.py", "readings": "test_elements.py", "as-of": "test_elements.py",
    "layer-why": "test_reasons.py", "space-sides": "../findings/test_sides.py", "element-sides": "../findings/test_sides.py",
    "member-leaving": "test_cost_of_lists.py", "sample-lines": "../lines/test_lines.py",
}  # fmt: skip
# What holds a list as a part of its own row, or tells what stands in no database.
ONE_ROW = {
    "comment", "question", "issue", "job", "registration", "reviews", "traverse-profile", "attachment-tiles", "generations-one",
    "interpretations-one", "attachments-one", "traverses-one", "colours", "targets", "vocabulary", "second-factor",
}  # fmt: skip


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


def lists_of_the_interface() -> set[str]:
    """The names of all addresses whose answer to GET holds a list."""
    found = set()
    for route in urls.urlpatterns:
        made = getattr(route.callback, "cls", None) or getattr(route.callback, "view_class", None)
        view = made(**getattr(route.callback, "initkwargs", {})) if hasattr(made, "answers_by") else None
        shapes = (view.answers_by("GET") or {}).values() if view is not None and hasattr(view, "get") else ()
        for shape in shapes:
            fields = getattr(shape() if isinstance(shape, type) else shape, "fields", {})
            if any(isinstance(field, serializers.ListSerializer | serializers.ListField) for field in fields.values()):
                found.add(str(route.name))
    return found


def test_the_cost_of_every_list_of_the_interface_is_counted_somewhere():
    known = set(LISTS) | set(OTHERS) | set(ELSEWHERE) | ONE_ROW
    assert lists_of_the_interface() - known == set()
    for file in set(ELSEWHERE.values()):
        told = (Path(__file__).parent / file).read_text(encoding="utf-8")
        assert "CaptureQueriesContext" in told or "django_assert_num_queries" in told, file


def more_of_all(cast: Any, project: Any, paint: Any, issue: Any, turn: int) -> None:
    """One more row for each of the other lists."""
    person = Person.objects.create_user(username=f"more{turn}", password="not-a-real-secret", name=f"More {turn}")
    records.add_member(cast.coordinator, project, person.username, "consultant", "archaeology")
    remarks.remark(cast.historian, project, issue, f"Remark {turn}", None)
    saved_views.make(cast.coordinator, project, "layers", f"View {turn}", {})
    tokens.make(cast.coordinator, f"token {turn}")
    Client().force_login(cast.coordinator)
    records.create_project(cast.coordinator, {"code": f"MORE{turn}", "name": "x"})
    layer = records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "kind": "paint"})
    records.create(cast.historian, project, Comment, {"about_type": "layer", "about_id": str(layer.pk), "text": f"{turn}"})
    records.create(cast.conservator, project, Generation, {"space": paint.space.pk})
    records.create(cast.conservator, project, Element, {"code": f"101-{turn}", "space": paint.space.pk, "element_class": "wall"})
    question = {"about_type": "space", "about_id": paint.space.pk, "to_person": cast.coordinator.username, "text": f"{turn}?"}
    questions.ask(cast.conservator, project, question)
    for ground in Layer.objects.filter(pk__in=[one.pk for one in paint.layers["101-2"][turn : turn + 1]]):
        records.change(cast.conservator, project, Layer, ground.pk, ground.version, {"notes": f"{turn}"})
    finding = Interpretation.objects.get(project=project, number=1)
    ReviewRequest.objects.create(project=project, interpretation=finding, person=person, created_by=cast.historian)


def test_every_list_that_is_no_collection_costs_the_same_for_few_rows_as_for_many(api, cast, full, paint):  # noqa: F811
    issue = ScheduleIssue.objects.get(project=full)
    # What the issue rests on: by an element each, the layers that are changed below.
    rests_on = {str(uuid.uuid4()): [str(layer.pk)] for layer in paint.layers["101-2"]}
    ScheduleIssue.objects.filter(pk=issue.pk).update(basis={"sequence": full.change_sequence, "rows": rests_on})
    # One that has not gone out yet.
    schedule = records.create(cast.conservator, full, Schedule, {"title": "As of 1840", "year": 1840})
    space, finding = Space.objects.get(project=full), Interpretation.objects.get(project=full, number=1)
    found = {"issue": issue.pk, "space": space.pk, "finding": finding.pk, "schedule": schedule.pk}
    paths = {name: path.format(**found) for name, (path, _) in OTHERS.items()}
    more_of_all(cast, full, paint, issue, 0)

    def told() -> dict[str, tuple[int, int]]:
        asked = {}
        for name, path in paths.items():
            api("coordinator").get(path)
            with CaptureQueriesContext(connection) as caught:
                answer = api("coordinator").get(path)
            assert answer.status_code == 200, (name, answer.content)
            asked[name] = (len(caught), len(answer.json()[OTHERS[name][1]]))
        return asked

    few = told()
    for turn in range(1, MANY):
        more_of_all(cast, full, paint, issue, turn)
    many = told()
    assert {name: queries for name, (queries, _) in many.items()} == {name: queries for name, (queries, _) in few.items()}
    grown = {name for name in OTHERS if many[name][1] > few[name][1]}
    assert grown == set(OTHERS)
