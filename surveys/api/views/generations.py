"""Joining and splitting the generations of a space."""

from typing import Any, Final
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies
from surveys.api.collections import BY_MODEL
from surveys.api.serializers import Body, GenerationShape
from surveys.api.typed import ID, Id, Text, Typed, Whole
from surveys.api.views.records import CollectionView
from surveys.models import Generation, Project

HIGHEST: Final = 2_147_483_647
MOST: Final = 5_000


def _ids() -> Typed:
    """A list of ids of records."""
    test = lambda value: isinstance(value, list) and all(isinstance(one, str) and ID.fullmatch(one) for one in value)  # noqa: E731
    schema = {"type": "array", "items": {"type": "string", "format": "uuid"}, "maxItems": MOST}
    return Typed(schema, test, "This must be a list of ids of layers.")


class JoinRequest(Body):
    """The version of the kept generation, and the other one with its version."""

    version = Whole(1, HIGHEST)
    other = Id()
    other_version = Whole(1, HIGHEST)


class SplitRequest(Body):
    """The version of the generation, the layers that go into a new one, and on which side, where no sample says that."""

    version = Whole(1, HIGHEST)
    layers = _ids()
    place = Text(description="One of: above, below.", required=False)


class Generations(serializers.Serializer):
    """Generations as they now are."""

    generations = GenerationShape(many=True)


class Reshape(CollectionView):
    """What is done to a generation beyond a change of its fields. Versions stand in the body, since there may be several."""

    collection = BY_MODEL[Generation]
    repeatable = ("POST",)
    answers = {"POST": {200: Generations}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Do it, or refuse it in words."""
        return self.once(request, request.data, lambda: self._do(self.project(code, access.WRITE), record_id, request.data))

    def _do(self, project: Project, record_id: UUID, data: Any) -> Response:
        body = bodies.take(self.sends["POST"], data)
        return Response({"generations": [self.row(project, one.pk) for one in self.done(project, record_id, body)]})

    def done(self, project: Project, record_id: UUID, body: dict[str, Any]) -> list[Generation]:
        """The generations that come of it."""
        raise NotImplementedError


class Join(Reshape):
    """Making two generations one."""

    sends = {"POST": JoinRequest}

    def done(self, project: Project, record_id: UUID, body: dict[str, Any]) -> list[Generation]:
        """The kept one."""
        return [records.join(self.actor, project, record_id, body["version"], body["other"], body["other_version"])]


class Split(Reshape):
    """Making one generation two."""

    sends = {"POST": SplitRequest}

    def done(self, project: Project, record_id: UUID, body: dict[str, Any]) -> list[Generation]:
        """The old one and the new one."""
        return list(records.split(self.actor, project, record_id, body["version"], body["layers"], body.get("place") or None))
