"""Who belongs to a project."""

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional, serializers
from surveys.api.collections import MEMBERS
from surveys.api.serializers import accounts
from surveys.api.views.base import View
from surveys.api.views.records import CollectionView, ListView
from surveys.models import Membership
from surveys.selectors import people


class MemberList(ListView):
    """The members of a project."""

    collection = MEMBERS
    sends = {"POST": serializers.NewMember}
    answers = {"POST": {201: serializers.MemberShape}}
    repeatable = ("POST",)

    def post(self, request: Request, code: str) -> Response:
        """Let somebody in."""
        return self.once(request, request.data, lambda: self._add(request, code))

    def _add(self, request: Request, code: str) -> Response:
        project = self.project(code, access.MANAGE)
        body = bodies.take(serializers.NewMember, request.data)
        member = records.add_member(self.actor, project, body["username"], body["role"], body["discipline"])
        return conditional.shown(request, self.row(project, member.pk), 201, {"Location": self.address(project, member.pk)})


class Member(CollectionView):
    """One member."""

    collection = MEMBERS
    sends = {"PATCH": serializers.MemberChange(partial=True)}
    answers = {"GET": {200: serializers.MemberShape}, "PATCH": {200: serializers.MemberShape}}
    conditioned = ("GET", "PATCH", "DELETE")

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The membership."""
        return conditional.shown(request, self.row(self.project(code), record_id))

    def patch(self, request: Request, code: str, record_id: UUID) -> Response:
        """Give another role or discipline."""
        project = self.project(code, access.MANAGE)
        version = conditional.version_named(request)
        body = bodies.take(serializers.MemberChange, request.data)
        records.change_member(self.actor, project, record_id, version, body)
        return conditional.shown(request, self.row(project, record_id))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """End the membership."""
        project = self.project(code, access.MANAGE)
        records.remove_member(self.actor, project, record_id, conditional.version_named(request))
        return Response(status=204)


class Leaving(View):
    """Leaving a project: oneself, whatever one's role; or as coordinator, another."""

    sends = {"POST": accounts.Leave}
    answers = {"GET": {200: accounts.LeavingShape}}

    def get(self, request: Request, code: str, record_id: UUID | None = None) -> Response:
        """What is still asked of the member, and what ends with the membership."""
        return Response(people.left_behind(self._member(code, record_id)))

    def post(self, request: Request, code: str, record_id: UUID | None = None) -> Response:
        """Leave. What was written stays, with the name; what is still asked may go to other members."""
        member = self._member(code, record_id)
        body = bodies.take(accounts.Leave, request.data)
        records.leave(self.actor, member.project, member.pk, **{name: body.get(name) for name in ("questions_to", "reviews_to")})
        return Response(status=204)

    def _member(self, code: str, record_id: UUID | None) -> Membership:
        mine = access.membership(self.actor, code)
        return mine if record_id is None else records.own_or_managed(self.actor, mine.project, record_id)


class HandingOver(CollectionView):
    """Handing over a project."""

    collection = MEMBERS
    sends = {"POST": accounts.HandOver}
    answers = {"POST": {200: serializers.MemberShape}}

    def post(self, request: Request, code: str) -> Response:
        """Make another member coordinator and step down, in one act; answers one's own membership."""
        project = self.project(code, access.MANAGE)
        body = bodies.take(accounts.HandOver, request.data)
        mine = records.hand_over(self.actor, project, body["to"], body["role"])
        return conditional.shown(request, self.row(project, mine.pk))
