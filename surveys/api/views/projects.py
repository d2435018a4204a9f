"""The projects that one belongs to, and one of them."""

from collections.abc import Iterable
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional
from surveys.api.collections import CARDS, PROJECTS
from surveys.api.filters import filters_of
from surveys.api.serializers import CARD
from surveys.api.shapes import page_of
from surveys.api.views.base import LIST_PARAMETERS, View, listed
from surveys.errors import NotFound
from surveys.models import Person
from surveys.selectors import listings


def mine(actor: Person, code: str) -> dict[str, Any]:
    """A project as its member sees it: whole, or no more than that it exists and what one is in it."""
    rows = PROJECTS.rows(actor, listings.my_projects(actor).filter(code=code))
    if not rows:
        raise NotFound(f"There is no project {code} here, or you do not belong to it.")
    return as_seen(rows[0])


def as_seen(row: dict[str, Any]) -> dict[str, Any]:
    """The part of a project's row that the role in it lets one see."""
    return row if access.may(row["role"], access.SEE) else {name: row[name] for name in CARD}


class Projects(View):
    """The projects that one belongs to."""

    repeatable = ("POST",)
    sends = {"POST": PROJECTS.values}
    answers = {"GET": {200: page_of(CARDS)}, "POST": {201: PROJECTS.shape}}

    def parameters_by(self, method: str) -> Iterable[str]:
        """Those of a list, and every filter."""
        return (*LIST_PARAMETERS, *filters_of(CARDS.name)) if method == "GET" else ()

    def collection_name(self) -> str:
        """The collection by which filters are found."""
        return CARDS.name

    def get(self, request: Request) -> Response:
        """A page of them."""
        return listed(self, CARDS, self.actor, request)

    def post(self, request: Request) -> Response:
        """Begin a project; who does is its coordinator."""
        return self.once(request, request.data, lambda: self._begin(request))

    def _begin(self, request: Request) -> Response:
        project = records.create_project(self.actor, bodies.values(PROJECTS, request.data))
        row = mine(self.actor, project.code)
        return conditional.shown(request, row, 201, {"Location": f"/api/v1/projects/{project.code}"})


class OneProject(View):
    """One project."""

    conditioned = ("GET", "PATCH")
    sends = {"PATCH": PROJECTS.values(partial=True)}
    answers = {"GET": {200: PROJECTS.shape}, "PATCH": {200: PROJECTS.shape}}

    def current(self, project: Any) -> dict[str, Any]:
        """The project as it now stands."""
        return mine(self.actor, project.code)

    def get(self, request: Request, code: str) -> Response:
        """The project, and what one is in it."""
        row = mine(self.actor, code)
        return conditional.shown(request, row) if "version" in row else Response(row)

    def patch(self, request: Request, code: str) -> Response:
        """Change its settings."""
        project = self.project(code, access.MANAGE)
        version = conditional.version_named(request)
        records.change_project(self.actor, project, version, bodies.values(PROJECTS, request.data))
        return conditional.shown(request, mine(self.actor, code))
