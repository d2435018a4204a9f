"""Who may do what. The one place for permissions: every way in (interface, page, export, job, command) asks here.

A person who may not see a thing is told that it does not exist (NotFound); one who may see it and not do what was asked is told
so (Forbidden).
"""

import logging
from typing import Any, Final, TypeVar
from uuid import UUID

from django.db.models import Model as AnyModel
from django.db.models import QuerySet

from surveys.errors import Forbidden, NotFound
from surveys.models import Comment, Membership, Person, Project, Question

Model = TypeVar("Model", bound=AnyModel)
log = logging.getLogger(__name__)

SEE, WRITE, IMPORT, COMPUTE, MANAGE, RECOVER = "see", "write", "import", "compute", "manage", "recover"
# To comment, ask and answer; to move interpretations (another's to agreed or disputed); to issue a schedule; to see what was issued.
TALK, REVIEW, ISSUE, SEE_ISSUED = "talk", "review", "issue", "see issued schedules"
TALK_ISSUED = "comment on issued schedules"

TABLE: Final[dict[str, frozenset[str]]] = {
    "coordinator": frozenset({SEE, WRITE, IMPORT, COMPUTE, MANAGE, RECOVER, TALK, REVIEW, ISSUE, SEE_ISSUED, TALK_ISSUED}),
    "consultant": frozenset({SEE, WRITE, IMPORT, COMPUTE, TALK, REVIEW, SEE_ISSUED, TALK_ISSUED}),
    "owner": frozenset({SEE, TALK, REVIEW, SEE_ISSUED, TALK_ISSUED}),
    # A contractor sees issued schedules only, and comments on them; of the record itself, nothing.
    "contractor": frozenset({SEE_ISSUED, TALK_ISSUED}),
}
# What a refusal says that the person may not do.
DEEDS: Final = {
    SEE: "see the record",
    WRITE: "change the record",
    IMPORT: "import into the record",
    COMPUTE: "start computations on the record",
    MANAGE: "change the project's settings or members",
    RECOVER: "bring back what was removed",
    TALK: "comment, ask or answer",
    REVIEW: "review interpretations",
    ISSUE: "issue a schedule",
    SEE_ISSUED: "see issued schedules",
    TALK_ISSUED: "comment on issued schedules",
}
# What it takes to make, change or remove a record of a kind, where that is not WRITE.
TO_WRITE: Final[dict[type[AnyModel], str]] = {Comment: TALK, Question: TALK}
SEEING_ROLES: Final = tuple(role for role, may in TABLE.items() if SEE in may)


def role_of(actor: Person | None, project: Project) -> str | None:
    """The actor's role in the project, or None for a stranger."""
    if actor is None or not actor.is_active:
        return None
    return Membership.objects.filter(project=project, person=actor).values_list("role", flat=True).first()


def may(role: str | None, capability: str) -> bool:
    """Whether a role has a capability."""
    return role is not None and capability in TABLE[role]


def to_write(model: type[AnyModel]) -> str:
    """The capability that it takes to make, change or remove a record of a kind."""
    return TO_WRITE.get(model, WRITE)


def require(actor: Person | None, project: Project, capability: str) -> str:
    """Return the actor's role, or refuse: NotFound for who may not see the record, Forbidden for who may see but not do."""
    role = role_of(actor, project)
    if may(role, capability):
        assert role is not None
        return role
    if not may(role, SEE):
        # To the person it is as if it were not there; whoever runs the program may see that somebody tries doors.
        log.info("Person %s was not shown project %s, being %s in it.", getattr(actor, "pk", None), project.code, role or "nobody")
        raise NotFound(f"There is no project {project.code} here, or you do not belong to it.")
    raise Forbidden(f"As {role} of {project.code} you may not {DEEDS[capability]}. Ask a coordinator of the project.")


def require_own(actor: Person, record: Any, deed: str) -> None:
    """Refuse whoever did not write a record himself."""
    if record.created_by_id != actor.pk:
        raise Forbidden(f"Only {record.created_by} may {deed}.")


def require_own_or(actor: Person, project: Project, record: Any, capability: str, deed: str) -> None:
    """Refuse whoever did not write a record himself, and has not the capability either."""
    if record.created_by_id != actor.pk and not may(role_of(actor, project), capability):
        raise Forbidden(f"Only {record.created_by} or a coordinator of {project.code} may {deed}.")


def require_asker(actor: Person, project: Project, question: Question) -> None:
    """Refuse whoever did not ask a question; a coordinator stands in for who asked and has left."""
    if question.created_by_id == actor.pk:
        return
    role = role_of(actor, project)
    if may(role, MANAGE) and role_of(question.created_by, project) is None:
        return
    raise Forbidden(f"Only {question.created_by}, who asked it, may do this to question {question.number}.")


def require_answerer(actor: Person, project: Project, question: Question) -> None:
    """Refuse whoever is not asked: the person, or one of the discipline; a coordinator may answer for either."""
    if question.to_person_id == actor.pk:
        return
    mine = Membership.objects.filter(project=project, person=actor).first()
    if mine is not None and (may(mine.role, MANAGE) or (question.to_discipline and mine.discipline == question.to_discipline)):
        return
    asked = question.to_person or f"{question.to_discipline}"
    raise Forbidden(f"Question {question.number} is asked of {asked}. They, or a coordinator of {project.code}, may answer it.")


def membership(actor: Person, code: str) -> Membership:
    """The actor's own place in the project of that code, whatever his role."""
    found = Membership.objects.filter(project__code=code, person=actor).select_related("project", "person").first()
    if found is None or not actor.is_active:
        raise NotFound(f"There is no project {code} here, or you do not belong to it.")
    return found


def projects_of(actor: Person) -> QuerySet[Project]:
    """The projects that the actor belongs to, in whatever role."""
    if not actor.is_active:
        return Project.objects.none()
    return Project.objects.filter(memberships__person=actor)


def project(actor: Person, code: str, capability: str = SEE) -> Project:
    """The project of that code, if the actor has the capability in it. Every request asks this anew, so it takes one query."""
    place = Membership.objects.filter(project__code=code, person=actor).select_related("project").first()
    if place is not None and actor.is_active and may(place.role, capability):
        return place.project
    found = Project.objects.filter(code=code).first()
    if found is None:
        raise NotFound(f"There is no project {code} here, or you do not belong to it.")
    require(actor, found, capability)
    return found


def visible(actor: Person, model: type[Model]) -> QuerySet[Model]:
    """All records of a kind that the actor may see, of all his projects."""
    if not actor.is_active:
        return model._default_manager.none()
    return model._default_manager.filter(project__memberships__person=actor, project__memberships__role__in=SEEING_ROLES)


def get(actor: Person, project: Project, model: type[Model], record_id: UUID | str) -> Model:
    """One record of one project that the actor may see."""
    require(actor, project, SEE)
    found = model._default_manager.filter(project=project, pk=record_id).first()
    if found is None:
        raise NotFound(f"There is no such {model._meta.verbose_name} in {project.code}.")
    return found
