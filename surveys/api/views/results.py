"""What was found: the chart of a space, the years of generations; and the closed lists of words."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from analysis.core import vocabulary
from surveys import access, selectors
from surveys.api import bodies, serializers
from surveys.api.files import with_charset
from surveys.api.middleware import DRAWING
from surveys.api.views.base import View
from surveys.models import Space
from surveys.models.chronology import BEARS_ON
from surveys.models.stratigraphy import PLACED_BY
from surveys.models.work import JOB_STATES

WORDS = {
    "layer_kinds": vocabulary.LAYER_KINDS,
    "completeness": vocabulary.COMPLETENESS,
    "lower_boundaries": vocabulary.LOWER_BOUNDARIES,
    "base_states": vocabulary.BASE_STATES,
    "top_states": vocabulary.TOP_STATES,
    "uv_strengths": vocabulary.UV_STRENGTHS,
    "munsell_bases": vocabulary.MUNSELL_BASES,
    "sample_statuses": vocabulary.SAMPLE_STATUSES,
    "space_kinds": vocabulary.SPACE_KINDS,
    "ruling_kinds": vocabulary.RULING_KINDS,
    "disciplines": vocabulary.DISCIPLINES,
    "evidence_kinds": vocabulary.EVIDENCE_KINDS,
    "relations": vocabulary.RELATIONS,
    "certainties": vocabulary.CERTAINTIES,
    "roles": vocabulary.ROLES,
    "review_states": vocabulary.REVIEW_STATES,
    "question_states": vocabulary.QUESTION_STATES,
    "issue_purposes": vocabulary.ISSUE_PURPOSES,
    "picture_kinds": vocabulary.PICTURE_KINDS,
    "scale_sources": vocabulary.SCALE_SOURCES,
    "registration_methods": vocabulary.REGISTRATION_METHODS,
    "element_classes": vocabulary.ELEMENT_CLASSES,
    "bears_on": BEARS_ON,
    "placed_by": PLACED_BY,
    "job_states": JOB_STATES,
}

LISTS = {"type": "object", "additionalProperties": {"type": "array", "items": {"type": "string"}}}


class SpaceResult(View):
    """A result of one space."""

    def space(self, code: str, record_id: UUID) -> Space:
        """The space of the address, with its project at hand."""
        project = self.project(code)
        space = access.get(self.actor, project, Space, record_id)
        space.project = project
        return space


class Chart(SpaceResult):
    """The generation chart of a space."""

    answers = {"GET": {200: serializers.ChartShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Generations, samples and cells, one a layer."""
        return Response(selectors.chart(self.space(code, record_id)))


class ChartDrawing(SpaceResult):
    """The generation chart of a space, drawn."""

    answers = {"GET": {(200, "image/svg+xml"): {"type": "string"}}}

    def get(self, request: Request, code: str, record_id: UUID) -> Any:
        """The chart as a picture for a page."""
        from analysis.drawing import chart_svg

        drawn = chart_svg(selectors.chart(self.space(code, record_id)))
        answer = HttpResponse(drawn, content_type=with_charset("image/svg+xml"))
        answer.headers["Content-Security-Policy"] = DRAWING
        answer.headers["X-Content-Type-Options"] = "nosniff"
        return answer


class Dating(View):
    """The years of generations."""

    takes = {"GET": ("tentative",)}
    answers = {"GET": {200: serializers.DatingShape}}

    def get(self, request: Request, code: str) -> Response:
        """Bounds with the records that set them, distributions within them, and conflicts."""
        from surveys.work import dating

        tentative = bodies.truth(self.given.get("tentative", "false"), "tentative")
        return Response(dating.answer(self.project(code), include_tentative=tentative))


class Coverage(View):
    """How far the study has come."""

    answers = {"GET": {200: serializers.CoverageShape}}

    def get(self, request: Request, code: str) -> Response:
        """What is sampled, examined, placed and dated, by space and element class; and what is missing, most to be gained first."""
        from surveys.work import coverage

        return Response(coverage.answer(self.project(code)))


class Vocabulary(View):
    """The closed lists."""

    answers = {"GET": {200: LISTS}}

    def get(self, request: Request) -> Response:
        """Every list of words, in the order in which a person would look for them."""
        return Response({name: list(words) for name, words in WORDS.items()})
