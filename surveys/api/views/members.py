"""Who belongs to a project."""

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional, serializers
from surveys.api.collections import MEMBERS
from surveys.api.views.records import CollectionView, ListView


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
