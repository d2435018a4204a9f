"""Named views of registers: one's own, and nobody else's."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import saved_views
from surveys.api import bodies, conditional
from surveys.api.serializers import views as shapes
from surveys.api.views.base import View
from surveys.models import SavedView


class SavedViews(View):
    """One's own views of a project's registers."""

    takes = {"GET": ("register",)}
    sends = {"POST": shapes.NewView}
    answers = {"GET": {200: shapes.SavedViewList}, "POST": {201: shapes.SavedViewShape}}
    repeatable = ("POST",)

    def get(self, request: Request, code: str) -> Response:
        """All of them, or those of one register."""
        found = saved_views.of(self.actor, self.project(code), self.given.get("register", ""))
        return Response({"results": [_shown(view) for view in found]})

    def post(self, request: Request, code: str) -> Response:
        """Keep one."""
        return self.once(request, request.data, lambda: self._make(request, code))

    def _make(self, request: Request, code: str) -> Response:
        project = self.project(code)
        body = bodies.take(shapes.NewView, request.data)
        made = saved_views.make(self.actor, project, body["register"], body["name"], body["arrangement"])
        return conditional.shown(request, _shown(made), 201, {"Location": f"/api/v1/projects/{project.code}/views/{made.pk}"})


class OneSavedView(View):
    """One of one's own views."""

    sends = {"PATCH": shapes.ViewChange}
    answers = {"GET": {200: shapes.SavedViewShape}, "PATCH": {200: shapes.SavedViewShape}}
    conditioned = ("GET", "PATCH", "DELETE")

    def current(self, view: SavedView) -> dict[str, Any]:
        """The view as it stands, for who had another version."""
        return _shown(view)

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The view."""
        return conditional.shown(request, _shown(saved_views.get(self.actor, self.project(code), record_id)))

    def patch(self, request: Request, code: str, record_id: UUID) -> Response:
        """Give it another name or arrangement."""
        project = self.project(code)
        version = conditional.version_named(request)
        body = bodies.take(shapes.ViewChange, request.data)
        return conditional.shown(request, _shown(saved_views.change(self.actor, project, record_id, version, body)))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Forget it."""
        saved_views.forget(self.actor, self.project(code), record_id, conditional.version_named(request))
        return Response(status=204)


def _shown(view: SavedView) -> dict[str, Any]:
    return {name: getattr(view, name) for name in shapes.SavedViewShape.Meta.fields}
