"""Inviting people, and coming by an invitation. The secret of a link stands in the body, never in an address that is logged."""

from typing import Any
from uuid import UUID

from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, mail, people, records, throttling
from surveys.api import addresses, bodies, conditional
from surveys.api.authentication import address_of, from_our_page, signed_in
from surveys.api.collections import INVITATIONS
from surveys.api.serializers import accounts
from surveys.api.views.base import View, listed
from surveys.api.views.records import CollectionView, ListView
from surveys.api.views.session import as_shown
from surveys.errors import Fault, Invalid
from surveys.models import Invitation, Person, Project

ACCOUNT = ("username", "name", "email", "password")


class Invitations(ListView):
    """The invitations of a project; for its coordinators."""

    collection = INVITATIONS
    sends = {"POST": INVITATIONS.values}
    answers = {"POST": {201: accounts.InvitationMade}}

    def get(self, request: Request, code: str) -> Response:
        """A page of them."""
        return listed(self, INVITATIONS, self.project(code, access.MANAGE), request)

    def post(self, request: Request, code: str) -> Response:
        """Invite somebody, by a link that works once, for seven days: in this answer and nowhere else, and e-mailed to an address given."""
        project = self.project(code, access.MANAGE)
        invitation, secret = records.invite(self.actor, project, bodies.values(INVITATIONS, request.data))
        link = f"{addresses.site(request)}/invitation#{secret}"
        sent = mail.send(invitation.email, f"Invitation to {project.name}", _letter(self.actor, project, invitation, link))
        row = self.row(project, invitation.pk)
        headers = {"Location": self.address(project, invitation.pk), "Cache-Control": "no-store", "ETag": conditional.tag_of(row)}
        return Response({**row, "link": link, "mailed": sent and mail.reaches_people()}, status=201, headers=headers)


def _letter(actor: Person, project: Project, invitation: Invitation, link: str) -> str:
    return (
        f"Dear {invitation.name},\n\n"
        f"{actor.name} invites you to {project.name} as {invitation.role} ({invitation.discipline}). To accept, open\n\n{link}\n\n"
        f"The link works once, until {invitation.expires_at:%d %B %Y, %H:%M} UTC. If you do not know {actor.name}, do nothing.\n"
    )


class OneInvitation(CollectionView):
    """One invitation."""

    collection = INVITATIONS
    answers = {"GET": {200: accounts.InvitationShape}}
    conditioned = ("GET", "DELETE")

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The invitation, without its secret."""
        return conditional.shown(request, self.row(self.project(code, access.MANAGE), record_id))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Withdraw it: its link is dead from now on."""
        project = self.project(code, access.MANAGE)
        records.revoke(self.actor, project, record_id, conditional.version_named(request))
        return Response(status=204)


class Look(View):
    """What an invitation offers."""

    permission_classes = [AllowAny]
    sends = {"POST": accounts.Secret}
    answers = {"POST": {200: accounts.InvitationSeen}}

    def post(self, request: Request) -> Response:
        """To who holds its link, signed in or not."""
        body = bodies.take(accounts.Secret, request.data)
        throttling.secret(address_of(request))
        return Response(accounts.seen(records.standing(body["secret"])), headers={"Cache-Control": "no-store"})


class Accept(View):
    """Coming by an invitation."""

    permission_classes = [AllowAny]
    sends = {"POST": accounts.Acceptance}
    answers = {"POST": {201: accounts.Accepted}}

    def post(self, request: Request) -> Response:
        """As who is signed in; or by an account that is made from a name to sign in with, a name and a password, and then signed in."""
        person = request.user if isinstance(request.user, Person) else None
        from_our_page(request)
        body = bodies.take(accounts.Acceptance, request.data)
        throttling.secret(address_of(request))
        account = _account(person, body)
        member = people.join(person, body["secret"], account)
        if person is None:
            signed_in(request, member.person)
        told = {"person": as_shown(member.person), "project": member.project.code}
        return Response(told, status=201, headers={"Location": f"/api/v1/projects/{member.project.code}"})


def _account(person: Person | None, body: dict[str, Any]) -> dict[str, Any]:
    """What an account is to be made of; nothing, where somebody is signed in."""
    given = {name: body[name] for name in ACCOUNT if name in body}
    if person is not None and given:
        text = f"You are signed in as {person.name}. Sign out first to make another account, or send the secret alone."
        raise Invalid(text, faults=(Fault(next(iter(given)), "signed-in", text),))
    missing = [name for name in ("username", "name", "password") if name not in given]
    if person is None and missing:
        text = "Sign in, or give a name to sign in with, your name and a password."
        raise Invalid(text, faults=tuple(Fault(name, "required", "This is needed.") for name in missing))
    return given
