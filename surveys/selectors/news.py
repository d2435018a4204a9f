"""What is new for a person: in one project in full, in all projects as counts. The number of queries does not depend on how much there is.

'New' is what others wrote after the change that the person has read up to (`surveys.models.Seen`). What waits for a person (questions,
reviews) is told as long as it waits.
"""

from typing import Any, Final

from django.db.models import Case, CharField, Count, Exists, F, IntegerField, Max, OuterRef, Q, QuerySet, Subquery, Value, When, Window
from django.db.models.functions import Coalesce, RowNumber
from django.utils import timezone

from surveys import access
from surveys.models import (
    Change,
    Comment,
    Element,
    Evidence,
    Generation,
    Interpretation,
    Layer,
    Membership,
    Person,
    Project,
    Question,
    ReviewRequest,
    Ruling,
    Sample,
    Seen,
    Space,
)
from surveys.rules import natural_key
from surveys.selectors import abouts
from surveys.selectors.talk import overdue

# Told by themselves, or no news to anybody else.
ELSEWHERE: Final = ("comment", "question", "citation", "reviewrequest", "invitation")
COMPUTED: Final = ("Correlated.", "Dated.")
COMPUTATION: Final = "computed"
FORMER: Final = "no longer a member"
SHOWN: Final = 8
READ: Final = 40
MOST: Final = 100

SPACES: Final[tuple[tuple[Any, tuple[str, ...]], ...]] = (
    (Space, ("number",)),
    (Element, ("space__number",)),
    (Sample, ("element__space__number",)),
    (Layer, ("sample__element__space__number",)),
    (Generation, ("space__number",)),
    (Ruling, ("first_layer__sample__element__space__number",)),
    (Evidence, ("space__number", "element__space__number", "generation__space__number")),
    (Interpretation, ("space__number", "element__space__number", "generation__space__number", "layer__sample__element__space__number")),
)


def read_up_to(person: Person, project: Project) -> Seen | None:
    """How far a person has read the history of a project; None where he never has."""
    return Seen.objects.filter(person=person, project=project).first()


def of_project(person: Person, project: Project, since: int, upto: int) -> dict[str, Any]:
    """What others wrote in a project after one change and up to another, and what waits for the person there."""
    discipline = Membership.objects.filter(person=person, project=project).values_list("discipline", flat=True).first() or ""
    lines = _lines(person, project, since, upto)
    fresh = _fresh(since, upto)
    mentions = _comments(Comment.objects.filter(fresh, project=project, mentions__person=person).exclude(created_by=person))
    answers = _comments(Comment.objects.filter(fresh, _in_my_threads(person), project=project).exclude(created_by=person))
    waiting = _questions(open_to(person, discipline).filter(project=project).order_by(F("needed_by").asc(nulls_last=True), "number"))
    answered = _questions(Question.objects.filter(_moved(since, upto), project=project, created_by=person, state="answered"))
    names = abouts.names(project, [(one["about_type"], one["about_id"]) for one in (*mentions, *answers, *waiting, *answered)])
    for one in (*mentions, *answers, *waiting, *answered):
        one["about_name"] = names.get((one["about_type"], one["about_id"]))
    return {
        "groups": _groups(lines),
        "comments": Comment.objects.filter(fresh, project=project).exclude(created_by=person).count(),
        "mentions": mentions,
        "answers": answers,
        "questions": waiting,
        "answered": answered,
        "reviews": _reviews(ReviewRequest.objects.filter(project=project, person=person, answered_at__isnull=True)),
    }


# -- changes of the record --------------------------------------------------------------------------------------------------------


def _lines(person: Person, project: Project, since: int, upto: int) -> QuerySet[Change]:
    """The lines of others, each with the discipline of who wrote it and the space that it is in."""
    mine = Membership.objects.filter(project=project, person=OuterRef("actor")).values("discipline")[:1]
    discipline = Case(
        When(reason__in=COMPUTED, then=Value(COMPUTATION)),
        default=Coalesce(Subquery(mine), Value(FORMER)),
        output_field=CharField(),
    )
    lines = Change.objects.filter(project=project, sequence__gt=since, sequence__lte=upto)
    return lines.exclude(actor=person).exclude(record_type__in=ELSEWHERE).annotate(discipline=discipline, space=_space())


def _space() -> Any:
    """The number of the space that a changed record is in; '' for what is of the whole structure, or gone."""
    found = []
    for model, paths in SPACES:
        number: Any = Coalesce(*(F(path) for path in paths)) if len(paths) > 1 else F(paths[0])
        record = model._default_manager.filter(pk=OuterRef("record_id")).values_list(number)[:1]
        found.append(When(record_type=model._meta.model_name, then=Coalesce(Subquery(record), Value(""))))
    return Case(*found, default=Value(""), output_field=CharField())


def _groups(lines: QuerySet[Any]) -> list[dict[str, Any]]:
    """Counts by discipline and space, with the records that were touched last."""

    def records(action: str) -> Any:
        return Count("record_id", filter=Q(action__in=("created", "restored") if action == "created" else (action,)), distinct=True)

    counted = lines.order_by().values("discipline", "space")
    groups = {
        (one["discipline"], one["space"]): {**one, "records": []}
        for one in counted.annotate(
            count=Count("record_id", distinct=True),
            created=records("created"),
            changed=records("changed"),
            removed=records("removed"),
            last_at=Max("at"),
        )
    }
    by_group = Window(RowNumber(), partition_by=[F("discipline"), F("space")], order_by=F("sequence").desc())
    latest = lines.annotate(place=by_group).filter(place__lte=READ).order_by("-sequence")
    told = ("discipline", "space", "record_type", "record_id", "record_name", "action", "at", "actor__name")
    for discipline, space, kind, pk, name, action, at, actor in latest.values_list(*told):
        shown = groups[discipline, space]["records"]
        if len(shown) < SHOWN and all(one["id"] != pk for one in shown):
            shown.append({"type": kind, "id": pk, "name": name, "action": action, "at": at, "actor": actor})
    return sorted(groups.values(), key=lambda one: (one["discipline"], natural_key(one["space"])))


# -- talk -------------------------------------------------------------------------------------------------------------------------


def _fresh(since: Any, upto: int | None = None) -> Exists:
    """That a comment was made, brought back or worded otherwise after a change (and up to another)."""
    worded = Q(action="changed", fields__has_key="text")
    return Exists(_told("comment", since, upto).filter(Q(action__in=("created", "restored")) | worded))


def _moved(since: Any, upto: int | None = None) -> Exists:
    """That the state of a question was changed after a change (and up to another)."""
    return Exists(_told("question", since, upto).filter(action="changed", fields__has_key="state"))


def _told(kind: str, since: Any, upto: int | None) -> QuerySet[Change]:
    lines = Change.objects.filter(record_type=kind, record_id=OuterRef("pk"), project=OuterRef("project"), sequence__gt=since)
    return lines if upto is None else lines.filter(sequence__lte=upto)


def _in_my_threads(person: Person) -> Any:
    """That a comment is an answer in a thread in which a person wrote something."""
    wrote = Comment.objects.filter(thread=OuterRef("thread"), created_by=person)
    return Q(thread__isnull=False) & (Q(thread__created_by=person) | Exists(wrote))


def _comments(query: QuerySet[Comment]) -> list[dict[str, Any]]:
    told = ("id", "created_at", "about_type", "about_id", "about_field", "thread", "text")
    found = query.order_by("-created_at")[:MOST].values_list(*told, "created_by__name")
    return [dict(zip((*told, "created_by"), one, strict=True)) for one in found]


def open_to(person: Person, discipline: str) -> QuerySet[Question]:
    """The open questions that ask a person, or the discipline that is his."""
    mine = Q(to_person=person) | (Q(to_discipline=discipline) if discipline else Q(pk__in=[]))
    return Question.objects.filter(mine, state="open")


def _questions(query: QuerySet[Question]) -> list[dict[str, Any]]:
    told = ("id", "number", "created_at", "about_type", "about_id", "text", "needed_by", "to_discipline", "answer")
    found = query[:MOST].values_list(*told, "created_by__name", "to_person__name", "answered_by__name")
    today = timezone.localdate()
    rows = [dict(zip((*told, "created_by", "to_name", "answered_by"), one, strict=True)) for one in found]
    for row in rows:
        row["overdue"] = row["needed_by"] is not None and row["needed_by"] < today
    return rows


def _reviews(query: QuerySet[ReviewRequest]) -> list[dict[str, Any]]:
    told = ("interpretation", "interpretation__number", "interpretation__statement", "created_by__name", "created_at")
    names = ("interpretation", "number", "statement", "created_by", "created_at")
    return [dict(zip(names, one, strict=True)) for one in query.order_by("created_at")[:MOST].values_list(*told)]


# -- all projects -----------------------------------------------------------------------------------------------------------------


def counts(person: Person) -> list[dict[str, Any]]:
    """For each project that a person sees: how much is new there, and how much waits for him."""
    places = Membership.objects.filter(person=person, role__in=access.SEEING_ROLES, person__is_active=True)
    since = _seen_in(person)
    # Counted project by project, from where the person stopped reading: no more of the history is looked at than is new.
    lines = Change.objects.filter(project=OuterRef("project"), sequence__gt=OuterRef("since")).exclude(actor=person)
    places = places.annotate(since=since, changes=_how_many(lines.exclude(record_type__in=ELSEWHERE)))
    projects = {one["project"]: one for one in places.values("project", "project__code", "changes").order_by("project__code")}
    said = Comment.objects.filter(_fresh(since), project__in=projects).exclude(created_by=person)
    mine = Membership.objects.filter(project=OuterRef("project"), person=person).values("discipline")[:1]
    waiting = Question.objects.filter(project__in=projects, state="open").filter(Q(to_person=person) | Q(to_discipline=Subquery(mine)))
    found = {
        "comments": said,
        "mentions": said.filter(mentions__person=person),
        "answers": said.filter(_in_my_threads(person)),
        "questions": waiting,
        "overdue": waiting.filter(overdue(timezone.localdate())),
        "answered": Question.objects.filter(_moved(since), project__in=projects, created_by=person, state="answered"),
        "reviews": ReviewRequest.objects.filter(project__in=projects, person=person, answered_at__isnull=True),
    }
    many = {name: _by_project(query) for name, query in found.items()}
    return [
        {"code": one["project__code"], "changes": one["changes"], **{name: some.get(pk, 0) for name, some in many.items()}}
        for pk, one in projects.items()
    ]


def _by_project(query: QuerySet[Any]) -> dict[Any, int]:
    return dict(query.order_by().values_list("project").annotate(many=Count("pk")))


def _how_many(lines: QuerySet[Any]) -> Any:
    each = lines.order_by().values("project").annotate(n=Count("*")).values("n")
    return Coalesce(Subquery(each, output_field=IntegerField()), 0)


def _seen_in(person: Person) -> Any:
    """How far a person has read the project of a line of the history."""
    seen = Seen.objects.filter(person=person, project=OuterRef("project")).values("sequence")[:1]
    return Coalesce(Subquery(seen), 0)
