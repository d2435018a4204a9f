"""Records of a collection: lists, single records, and many at once."""

from collections.abc import Iterable
from typing import Any, ClassVar
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional
from surveys.api.collections.machine import Collection
from surveys.api.filters import filters_of
from surveys.api.shapes import operations_of, outcomes_of, page_of
from surveys.api.views.base import LIST_PARAMETERS, View, listed
from surveys.errors import NotFound
from surveys.models import Project


class CollectionView(View):
    """A view of one collection, which the address names."""

    collection: ClassVar[Collection] = None  # type: ignore[assignment]

    def collection_name(self) -> str:
        """The collection by which filters are found."""
        return self.collection.name

    def current(self, record: Any) -> dict[str, Any] | None:
        """A record as it now stands, for whoever came too late."""
        return self.collection.row(record.project, record.pk)

    def row(self, project: Project, record_id: UUID) -> dict[str, Any]:
        """One record as it is shown."""
        found = self.collection.row(project, record_id)
        if found is None:
            raise NotFound(f"There is no such {self.collection.model._meta.verbose_name} in {project.code}.")
        return found

    def address(self, project: Project, record_id: Any) -> str:
        """Where a record is."""
        return f"/api/v1/projects/{project.code}/{self.collection.name}/{record_id}"


class ListView(CollectionView):
    """A collection that is listed in pages."""

    def parameters_by(self, method: str) -> Iterable[str]:
        """Those of a list, and every filter."""
        return (*LIST_PARAMETERS, *filters_of(self.collection.name)) if method == "GET" else super().parameters_by(method)

    def answers_by(self, method: str) -> Any:
        """A page, or one record."""
        return {200: page_of(self.collection)} if method == "GET" else super().answers_by(method)

    def get(self, request: Request, code: str) -> Response:
        """A page of the collection."""
        return listed(self, self.collection, self.project(code), request)


class Many(ListView):
    """A collection."""

    repeatable = ("POST",)

    def sends_by(self, method: str) -> Any:
        """The values of a new record."""
        return self.collection.values if method == "POST" else None

    def answers_by(self, method: str) -> Any:
        """A page, or the new record."""
        return {201: self.collection.shape} if method == "POST" else super().answers_by(method)

    def post(self, request: Request, code: str) -> Response:
        """Make a record."""
        return self.once(request, request.data, lambda: self._make(request, code))

    def _make(self, request: Request, code: str) -> Response:
        project = self.project(code, access.to_write(self.collection.model))
        made = records.create(self.actor, project, self.collection.model, bodies.values(self.collection, request.data))
        return conditional.shown(request, self.row(project, made.pk), 201, {"Location": self.address(project, made.pk)})


class One(CollectionView):
    """One record of a collection."""

    conditioned = ("GET", "PATCH", "PUT", "DELETE")

    def sends_by(self, method: str) -> Any:
        """Some values, or all."""
        return {"PATCH": self.collection.values(partial=True), "PUT": self.collection.values}.get(method)

    def answers_by(self, method: str) -> Any:
        """The record."""
        return None if method == "DELETE" else {200: self.collection.shape}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The record."""
        return conditional.shown(request, self.row(self.project(code), record_id))

    def patch(self, request: Request, code: str, record_id: UUID) -> Response:
        """Change the fields that are sent."""
        project = self.project(code, access.to_write(self.collection.model))
        version = conditional.version_named(request)
        values = bodies.values(self.collection, request.data)
        records.change(self.actor, project, self.collection.model, record_id, version, values)
        return conditional.shown(request, self.row(project, record_id))

    def put(self, request: Request, code: str, record_id: UUID) -> Response:
        """Set all fields; those that are not sent become blank. What is as it was stays untouched."""
        project = self.project(code, access.to_write(self.collection.model))
        version = conditional.version_named(request)
        values = bodies.values(self.collection, request.data, whole_record=True)
        before = self.row(project, record_id)
        changed = {name: value for name, value in values.items() if not _same(before[name], value)}
        records.change(self.actor, project, self.collection.model, record_id, version, changed)
        return conditional.shown(request, self.row(project, record_id))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Remove it, with what hangs on it. A coordinator can bring it back."""
        project = self.project(code, access.to_write(self.collection.model))
        records.remove(self.actor, project, self.collection.model, record_id, conditional.version_named(request))
        return Response(status=204)


def _same(before: Any, value: Any) -> bool:
    """Whether a value that was sent is what stands there: a placement that was computed is not made a person's by sending it back."""
    if value is None or before is None:
        return before in (None, "") and value in (None, "")
    return str(before).lower() == value.lower() if isinstance(before, UUID) else str(before) == str(value)


class Batch(CollectionView):
    """Many creations, changes and removals of one collection at once."""

    many = True
    repeatable = ("POST",)

    def sends_by(self, method: str) -> Any:
        """The operations."""
        return operations_of(self.collection)

    def answers_by(self, method: str) -> Any:
        """The outcomes."""
        return {200: outcomes_of(self.collection)}

    def post(self, request: Request, code: str) -> Response:
        """Do all of them, or none."""
        return self.once(request, request.data, lambda: self._do(request, code))

    def _do(self, request: Request, code: str) -> Response:
        project = self.project(code, access.to_write(self.collection.model))
        operations = bodies.operations(self.collection, request.data)
        outcomes = records.batch(self.actor, project, self.collection.model, operations)
        rows = self.collection.rows_of(project, [outcome.record.pk for outcome in outcomes if outcome.deed != "remove"])
        return Response({"outcomes": [self._outcome(outcome, rows) for outcome in outcomes]})

    @staticmethod
    def _outcome(outcome: records.Outcome, rows: dict[Any, dict[str, Any]]) -> dict[str, Any]:
        row = rows.get(outcome.record.pk)
        return {
            "op": outcome.deed,
            "id": outcome.record.pk,
            "version": row["version"] if row else outcome.record.version,
            "record": row,
        }
