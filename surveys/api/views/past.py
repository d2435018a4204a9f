"""The history of a record in words, putting back what was, and the list of what was removed."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, pagination
from surveys.api.collections import BY_MODEL
from surveys.api.problems import unknown_parameter
from surveys.api.serializers import past as shapes
from surveys.api.views.base import View
from surveys.api.views.changes import MOST_SEQUENCE
from surveys.selectors import past

USUAL, MOST_ACTS = 50, 50
KINDS = tuple(str(model._meta.model_name) for model in records.ORDER)


class History(View):
    """What befell a record."""

    takes = {"GET": ("before", "limit")}
    answers = {"GET": {200: shapes.HistoryPage}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """In words, newest first: who, when, which field from what to what, and what else changed in the same act."""
        project = self.project(code)
        limit = pagination.size_of(self.given.get("limit"), USUAL, parameter="limit")
        return Response(past.history(self.actor, project, record_id, self.before(), limit))

    def before(self) -> int | None:
        """Before which change the page begins."""
        given = self.given.get("before")
        return None if given is None else bodies.whole(given, 0, MOST_SEQUENCE, "before")


class PuttingBack(View):
    """Putting back former values."""

    repeatable = ("POST",)
    sends = {"POST": shapes.PutBack}
    answers = {"POST": {200: shapes.PutBackDone}}

    def current(self, record: Any) -> dict[str, Any] | None:
        """The record as it now stands, for whoever came too late."""
        return BY_MODEL[type(record)].row(record.project, record.pk) if type(record) in BY_MODEL else None

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """As a new change, if the rules that hold now allow it."""
        return self.once(request, request.data, lambda: self._put_back(request, code, record_id))

    def _put_back(self, request: Request, code: str, record_id: UUID) -> Response:
        project = self.project(code)
        body = bodies.take(shapes.PutBack, request.data)
        record = records.put_back(self.actor, project, record_id, body["sequence"], body["fields"], body["version"])
        told = {"type": record._meta.model_name, "id": record.pk, "name": str(record), "version": record.version}
        return Response(told)


class Removed(History):
    """What was removed from a project; for its coordinators."""

    takes = {"GET": ("before", "limit", "record_type")}
    answers = {"GET": {200: shapes.RemovedPage}}

    def get(self, request: Request, code: str) -> Response:  # type: ignore[override]
        """Act by act, newest first: by whom, when, and whether it can be brought back (POST restorations/)."""
        project = self.project(code, access.RECOVER)
        limit = pagination.size_of(self.given.get("limit"), MOST_ACTS, parameter="limit")
        kind = self.given.get("record_type")
        if kind is not None and kind not in KINDS:
            raise unknown_parameter("record_type", f"'record_type' is one of: {', '.join(KINDS)}.")
        return Response(past.removed(project, self.before(), min(limit, MOST_ACTS), KINDS, kind))
