"""Comments and questions as they are listed, counted and shown."""

import datetime as dt
from collections.abc import Sequence
from functools import cache
from typing import Any

from django.db.models import BooleanField, Count, ExpressionWrapper, Q, QuerySet
from django.utils import timezone

from surveys import access
from surveys.models import Comment, Membership, Mention, Person, Project, Question
from surveys.selectors import abouts


def people(project: Project) -> dict[str, Person]:
    """Who can be called or asked in a project, by the name that they sign in with: members who see it."""
    members = Membership.objects.filter(project=project, role__in=access.SEEING_ROLES, person__is_active=True).select_related("person")
    return {member.person.username: member.person for member in members}


def candidates(project: Project) -> list[dict[str, str]]:
    """The same with role and discipline, in the order of their names."""
    members = Membership.objects.filter(project=project, role__in=access.SEEING_ROLES, person__is_active=True)
    told = members.order_by("person__name", "person__username").values("person__username", "person__name", "role", "discipline")
    return [
        {"username": one["person__username"], "name": one["person__name"], "role": one["role"], "discipline": one["discipline"]}
        for one in told
    ]


def comments(project: Project) -> QuerySet[Comment]:
    """The comments of a project, each with whether its thread is resolved."""
    return _comments().filter(project=project)


@cache
def _comments() -> QuerySet[Comment]:
    resolved = Q(resolved_at__isnull=False) | Q(thread__isnull=False, thread__resolved_at__isnull=False)
    return Comment.objects.annotate(resolved=ExpressionWrapper(resolved, output_field=BooleanField()))


def remarks(issue: Any) -> list[dict[str, Any]]:
    """What is said about an issue of a schedule: each first comment with its answers after it, oldest first."""
    told = Comment.objects.filter(project=issue.project, about_type="scheduleissue", about_id=issue.pk).select_related("created_by")
    rows = [
        {"id": one.pk, "thread": one.thread_id, "text": one.text, "created_by": one.created_by.name, "created_at": one.created_at,
         "resolved": one.resolved_at is not None}
        for one in told.order_by("created_at", "pk")
    ]  # fmt: skip
    heads = [row for row in rows if row["thread"] is None]
    return [one for head in heads for one in (head, *(row for row in rows if row["thread"] == head["id"]))]


def with_names(project: Project, rows: Sequence[dict[str, Any]]) -> None:
    """Put beside each row what the record that it is about is called; None where that is gone."""
    names = abouts.names(project, [(row["about_type"], row["about_id"]) for row in rows])
    for row in rows:
        row["about_name"] = names.get((row["about_type"], row["about_id"]))


def complete_comments(project: Project, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put in what is no column of a comment: what it is about by name, and whom it calls."""
    with_names(project, rows)
    called: dict[Any, list[dict[str, str]]] = {}
    # Who is called follows from the text.
    calling = [row["id"] for row in rows if "@" in row["text"]]
    told = Mention.objects.filter(comment__in=calling).order_by("person__username")
    for comment, username, name in told.values_list("comment", "person__username", "person__name"):
        called.setdefault(comment, []).append({"username": username, "name": name})
    for row in rows:
        row["mentions"] = called.get(row["id"], [])
    return rows


def thread_counts(project: Project, about_type: str = "") -> list[dict[str, Any]]:
    """How many threads are open, and how many resolved, on each record and each column of one that has any. One query."""
    heads = Comment.objects.filter(project=project, thread__isnull=True)
    if about_type:
        heads = heads.filter(about_type=about_type)
    counted = heads.order_by("about_type", "about_id", "about_field").values("about_type", "about_id", "about_field")
    open_, resolved = Q(resolved_at__isnull=True), Q(resolved_at__isnull=False)
    return [dict(one) for one in counted.annotate(open=Count("pk", filter=open_), resolved=Count("pk", filter=resolved))]


def overdue(today: dt.date) -> Q:
    """That a question is still open after the day by which its answer was needed."""
    return Q(state="open", needed_by__isnull=False, needed_by__lt=today)


def questions(project: Project) -> QuerySet[Question]:
    """The questions of a project, each with whether it is overdue today."""
    late = ExpressionWrapper(overdue(timezone.localdate()), output_field=BooleanField())
    return Question.objects.filter(project=project).annotate(overdue=late)


def complete_questions(project: Project, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put in what is no column of a question: what it is about by name, and the names of the records that the answer rests on."""
    cited = [(one["type"], one["id"]) for row in rows for one in row["answer_records"]]
    names = abouts.names(project, [*cited, *((row["about_type"], row["about_id"]) for row in rows)])
    for row in rows:
        row["about_name"] = names.get((row["about_type"], row["about_id"]))
        row["answer_records"] = [
            {"type": one["type"], "id": one["id"], "name": names.get((one["type"], abouts.uuid.UUID(one["id"])))}
            for one in row["answer_records"]
        ]
    return rows
