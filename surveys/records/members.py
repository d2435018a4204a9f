"""Who belongs to a project: letting in, another role, leaving, handing over. A project is never without a coordinator."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils import timezone

from surveys import access, rules
from surveys.errors import Fault, Forbidden, Invalid, NotFound
from surveys.models import Invitation, Membership, Person, Project, Question, ReviewRequest
from surveys.records.writing import Pen, opened, refuse, writing


def add_member(actor: Person, project: Project, username: str, role: str, discipline: str) -> Membership:
    """Let a person, named by the name that he signs in with, into a project."""
    with writing(actor, project, access.MANAGE) as pen:
        person = Person.objects.filter(username=username, is_active=True).first()
        if person is None:
            raise Invalid("Nobody signs in by that name.", faults=(Fault("username", "not-found", "Nobody signs in by that name."),))
        kept, faults = rules.clean(Membership, {"role": role, "discipline": discipline})
        refuse(faults)
        if Membership.objects.filter(project=project, person=person).exists():
            raise Invalid("This person is a member already.", faults=(Fault("username", "taken", "This person is a member already."),))
        member = Membership(project=pen.project, person=person, **kept)
        pen.create([member])
        return member


def change_member(
    actor: Person, project: Project, member_id: Any, version: int | None, values: Mapping[str, Any], *, reason: str = ""
) -> Membership:
    """Give a member another role or discipline."""
    with writing(actor, project, access.MANAGE, reason=reason) as pen:
        member: Membership = pen.find(Membership, member_id, version)
        kept, faults = rules.clean(Membership, {name: value for name, value in values.items() if name != "person"})
        refuse(faults)
        if kept.get("role", member.role) != "coordinator":
            _keep_a_coordinator(member)
            withdraw_invitations_of(pen, member)
        pen.change(member, kept)
        return member


def remove_member(actor: Person, project: Project, member_id: Any, version: int | None) -> None:
    """End a membership. What the person wrote stays, with the person's name."""
    with writing(actor, project, access.MANAGE) as pen:
        _end(pen, pen.find(Membership, member_id, version))


def leave(actor: Person, project: Project, member_id: Any, *, questions_to: Any = None, reviews_to: Any = None) -> None:
    """End a membership, one's own or (a coordinator) another's; what is still asked of the person may go to others by the same act."""
    member = own_or_managed(actor, project, member_id)
    if questions_to is not None or reviews_to is not None:
        access.require(actor, project, access.SEE)  # who may not see the record learns nothing of its members by naming some
    with opened(actor, project, reason="Left." if member.person_id == actor.pk else "") as pen:
        current = Membership.objects.select_related("person").filter(pk=member.pk).first()
        if current is None:
            raise NotFound(f"There is no such membership in {project.code} any more.")
        _hand_questions(pen, current, _heir(pen, current, questions_to, "questions_to", access.TALK))
        _hand_reviews(pen, current, _heir(pen, current, reviews_to, "reviews_to", access.REVIEW))
        _end(pen, current)


def own_or_managed(actor: Person, project: Project, member_id: Any) -> Membership:
    """A membership that the actor may end: his own, or as coordinator any."""
    member = Membership.objects.select_related("person").filter(project=project, pk=member_id).first()
    if member is not None and member.person_id == actor.pk and actor.is_active:
        return member
    access.require(actor, project, access.MANAGE)
    if member is None:
        raise NotFound(f"There is no such membership in {project.code}.")
    return member


def hand_over(actor: Person, project: Project, to: Any, role: str) -> Membership:
    """Make another member coordinator and step down oneself, in one act; answer one's own membership as it now is."""
    with writing(actor, project, access.MANAGE, reason="Handed over.") as pen:
        kept, faults = rules.clean(Membership, {"role": role})
        refuse(faults)
        if kept["role"] == "coordinator":
            text = "Say what you will be afterwards: consultant, owner or contractor. To have two coordinators, change the other's role."
            raise Invalid(text, faults=(Fault("role", "invalid", text),))
        mine = Membership.objects.select_related("person").get(project=pen.project, person=actor)
        access.require(actor, pen.project, access.MANAGE)  # again, now that nobody else changes roles
        other = _member(pen, to, "to")
        if other.pk == mine.pk:
            text = "Choose another member: you cannot hand over to yourself."
            raise Invalid(text, faults=(Fault("to", "invalid", text),))
        withdraw_invitations_of(pen, mine)
        pen.change_many([(other, {"role": "coordinator"}), (mine, kept)])
        return mine


def withdraw_invitations_of(pen: Pen, member: Membership) -> None:
    """Who is no coordinator any more lets nobody in, nor himself back in: his open invitations end."""
    if member.role != "coordinator":
        return
    open_ones = Invitation.objects.filter(
        project=pen.project, created_by=member.person, accepted_at__isnull=True, revoked_at__isnull=True
    ).select_for_update()
    pen.change_many([(one, {"revoked_at": timezone.now()}) for one in open_ones])


def _end(pen: Pen, member: Membership) -> None:
    _keep_a_coordinator(member)
    withdraw_invitations_of(pen, member)
    pen.remove([member])


def _keep_a_coordinator(member: Membership) -> None:
    others = Membership.objects.filter(project=member.project_id, role="coordinator", person__is_active=True).exclude(pk=member.pk)
    if member.role == "coordinator" and not others.exists():
        raise Forbidden("A project needs a coordinator. Make somebody else coordinator first.")


def _member(pen: Pen, member_id: Any, field: str) -> Membership:
    members = Membership.objects.select_related("person").filter(project=pen.project)
    found = members.filter(pk=member_id).first() if rules.is_id(member_id) else None
    if found is None:
        text = f"There is no such member in {pen.project.code}."
        raise Invalid(text, faults=(Fault(field, "not-found", text),))
    return found


def _heir(pen: Pen, leaver: Membership, member_id: Any, field: str, capability: str) -> Membership | None:
    """Who takes over what is asked of a leaver, if anybody is named."""
    if member_id is None:
        return None
    found = _member(pen, member_id, field)
    if found.pk == leaver.pk or not access.may(found.role, capability):
        text = (
            f"{found.person} leaves." if found.pk == leaver.pk else f"As {found.role}, {found.person} may not {access.DEEDS[capability]}."
        )
        text += " Choose another member."
        raise Invalid(text, faults=(Fault(field, "invalid", text),))
    return found


def questions_to(project: Project, person: Person) -> Sequence[Question]:
    """The open questions to a person."""
    return list(Question.objects.filter(project=project, to_person=person, state="open").order_by("number"))


def reviews_of(project: Project, person: Person) -> Sequence[ReviewRequest]:
    """The reviews asked of a person that he has not given."""
    asked = ReviewRequest.objects.filter(project=project, person=person, answered_at__isnull=True)
    return list(asked.select_related("interpretation__created_by", "person").order_by("interpretation__number"))


def _hand_questions(pen: Pen, leaver: Membership, heir: Membership | None) -> None:
    if heir is not None:
        pen.change_many([(question, {"to_person": heir.person}) for question in questions_to(pen.project, leaver.person)])


def _hand_reviews(pen: Pen, leaver: Membership, heir: Membership | None) -> None:
    """An author cannot review his own finding; who is asked already is not asked twice."""
    if heir is None:
        return
    asked = reviews_of(pen.project, leaver.person)
    own = [one.interpretation for one in asked if one.interpretation.created_by_id == heir.person_id]
    if own:
        text = f"{own[0]} is by {heir.person}, and nobody reviews what is his own. Choose another member."
        raise Invalid(text, faults=(Fault("reviews_to", "own", text),))
    there = set(
        ReviewRequest.objects.filter(interpretation__in=[one.interpretation_id for one in asked], person=heir.person).values_list(
            "interpretation_id", flat=True
        )
    )
    pen.remove([one for one in asked if one.interpretation_id in there])
    pen.change_many([(one, {"person": heir.person, "answered_at": None}) for one in asked if one.interpretation_id not in there])
