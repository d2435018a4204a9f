"""Who is invited to a project, and what a member would leave behind."""

from typing import Any, Final

from django.db.models import Case, CharField, F, QuerySet, Value, When
from django.db.models.functions import Now

from surveys import access
from surveys.models import Invitation, Membership, Project, Question, ReviewRequest

INVITATION_STATES: Final = ("open", "accepted", "withdrawn", "expired")


def invitations(project: Project) -> QuerySet[Invitation]:
    """The invitations of a project, each with what became of it."""
    state = Case(
        When(accepted_at__isnull=False, then=Value("accepted")),
        When(revoked_at__isnull=False, then=Value("withdrawn")),
        When(expires_at__lte=Now(), then=Value("expired")),
        default=Value("open"),
        output_field=CharField(),
    )
    return Invitation.objects.filter(project=project).annotate(state=state)


def left_behind(member: Membership) -> dict[str, Any]:
    """What is still asked of a member, and what ends with his membership. Who may not see the record is told nothing of it."""
    sees = access.may(member.role, access.SEE)
    leads = member.role == "coordinator"
    others = Membership.objects.filter(project=member.project_id, role="coordinator").exclude(pk=member.pk)
    asked = Question.objects.filter(project=member.project_id, to_person=member.person_id, state="open").order_by("number")
    wanted = ReviewRequest.objects.filter(project=member.project_id, person=member.person_id, answered_at__isnull=True)
    made = Invitation.objects.filter(project=member.project_id, created_by=member.person_id, accepted_at__isnull=True)
    open_ones = made.filter(revoked_at__isnull=True, expires_at__gt=Now())
    reviews = wanted.values("id", "interpretation", number=F("interpretation__number")).order_by("number")
    return {
        "name": member.person.name,
        "last_coordinator": leads and not others.exists(),
        "invitations": open_ones.count() if leads else 0,
        "questions": list(asked.values("id", "number", "text")) if sees else [],
        "reviews": list(reviews) if sees else [],
    }
