"""Lines across sections: their profiles, several as one stack, taking them over; measurements and registrations."""

from dataclasses import asdict
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional
from surveys.api.collections import BY_MODEL, MEASUREMENTS, REGISTRATIONS, TRAVERSES
from surveys.api.serializers import lines as shapes
from surveys.api.views.base import View
from surveys.api.views.records import CollectionView, ListView
from surveys.models import Layer, Project, Registration, Sample, Traverse


class Profile(CollectionView):
    """The colours along a line."""

    collection = TRAVERSES
    answers = {"GET": {200: shapes.ProfileShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The profile, with the boundaries as they stand and as they were found."""
        from surveys.selectors import proposals

        line = access.get(self.actor, self.project(code), Traverse, record_id)
        return Response(proposals.profile(line))


class SampleLines(View):
    """All lines of a sample as one stack."""

    answers = {"GET": {200: shapes.StackShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The stack beside the layers that stand, and where they differ."""
        from surveys.selectors import proposals

        sample = access.get(self.actor, self.project(code), Sample, record_id)
        return Response(proposals.stack(sample))


class Accepting(View):
    """Taking over into the stratigraphy what was read along a line."""

    repeatable = ("POST",)
    sends = {"POST": shapes.AcceptRequest}
    answers = {"POST": {200: shapes.TakenOverShape}}

    def current(self, record: Any) -> dict[str, Any] | None:
        """A line or a layer as it now stands, for whoever came too late."""
        collection = TRAVERSES if isinstance(record, Traverse) else BY_MODEL[Layer]
        return collection.row(record.project, record.pk)

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """New layers, measurements beside standing ones, or fields of these in place: all of it, or nothing."""
        return self.once(request, request.data, lambda: self._do(self.project(code, access.WRITE), record_id, request.data))

    def _do(self, project: Project, record_id: UUID, data: Any) -> Response:
        body = bodies.take(shapes.AcceptRequest, data)
        rows = [records.Row(**{**row, "fields": tuple(row["fields"]) if "fields" in row else None}) for row in body["rows"]]
        kind = body.get("kind") or None
        done = records.accept_layers(self.actor, project, record_id, body["traverse"], body["version"], rows, kind, body.get("standing"))
        layers = BY_MODEL[Layer].rows_of(project, [one.pk for one in done.layers])
        measured = MEASUREMENTS.rows_of(project, [one.pk for one in done.measurements])
        return Response(
            {
                "layers": [layers[one.pk] for one in done.layers],
                "measurements": [measured[one.pk] for one in done.measurements],
            }
        )


class Measurements(ListView):
    """What was accepted from lines."""

    collection = MEASUREMENTS


class OneMeasurement(CollectionView):
    """One measurement."""

    collection = MEASUREMENTS
    conditioned = ("GET",)
    answers = {"GET": {200: shapes.MeasurementShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """What a line read of a layer."""
        return conditional.shown(request, self.row(self.project(code), record_id))


class Registrations(ListView):
    """How pictures lie on each other; they are found by a job, 'register-pictures'."""

    collection = REGISTRATIONS


class OneRegistration(CollectionView):
    """One registration."""

    collection = REGISTRATIONS
    conditioned = ("GET", "DELETE")
    answers = {"GET": {200: shapes.RegistrationShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """How the moving picture lies on the fixed one."""
        return conditional.shown(request, self.row(self.project(code), record_id))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Remove it; lines that were read by it are read without."""
        project = self.project(code, access.WRITE)
        records.remove(self.actor, project, Registration, record_id, conditional.version_named(request))
        return Response(status=204)


class Targets(View):
    """The colour targets whose patches are known."""

    answers = {"GET": {200: shapes.TargetList}}

    def get(self, request: Request, code: str) -> Response:
        """Each with its patches in the order in which they lie, and where their values come from."""
        from analysis.core.targets import TARGETS

        self.project(code)
        return Response({"results": [asdict(one) for one in TARGETS]})
