"""What changed, and bringing back what was removed."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records, rules
from surveys.api import bodies, pagination, serializers
from surveys.api.collections import BY_MODEL
from surveys.api.problems import unknown_parameter
from surveys.api.views.base import View
from surveys.models import Change
from surveys.selectors import listings

USUAL, MOST_SEQUENCE = 200, 2**63 - 1


class Changes(View):
    """The history of a project, as a feed."""

    takes = {"GET": ("after", "limit", "record_id")}
    answers = {"GET": {200: serializers.ChangePage}}

    def get(self, request: Request, code: str) -> Response:
        """What changed after a cursor, in the order of commits; nothing is missed and nothing repeated."""
        project = self.project(code)
        after = bodies.whole(self.given.get("after", "0"), 0, MOST_SEQUENCE, "after")
        limit = pagination.size_of(self.given.get("limit"), USUAL, parameter="limit")
        record_id = self.given.get("record_id")
        if record_id is not None and not rules.is_id(record_id):
            raise unknown_parameter("record_id", "'record_id' is the id of a record.")
        lines, cursor, more = listings.changes(project, after, limit, record_id)
        return Response({"changes": [_line(line) for line in lines], "cursor": cursor, "more": more})


def _line(line: Change) -> dict[str, Any]:
    same = ("sequence", "at", "action", "record_type", "record_id", "record_name", "version", "fields", "act", "reason")
    return {**{name: getattr(line, name) for name in same}, "actor": line.actor.name}


class Restorations(View):
    """Bringing back what was removed."""

    repeatable = ("POST",)
    sends = {"POST": serializers.Act}
    answers = {"POST": {200: serializers.RestoredList}}

    def post(self, request: Request, code: str) -> Response:
        """Bring back all that one act removed."""
        return self.once(request, request.data, lambda: self._restore(request, code))

    def _restore(self, request: Request, code: str) -> Response:
        project = self.project(code, access.RECOVER)
        body = bodies.take(serializers.Act, request.data)
        return Response({"restored": [_restored(record) for record in records.restore(self.actor, project, body["act"])]})


def _restored(record: Any) -> dict[str, Any]:
    model = type(record)
    return {
        "type": model._meta.model_name,
        "collection": BY_MODEL[model].name,
        "id": record.pk,
        "name": str(record),
        "version": record.version,
    }
