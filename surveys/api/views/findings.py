"""What is done with an interpretation beyond writing it: its review, its moves, whom one asks; and findings side by side."""

from collections.abc import Mapping
from typing import Any, ClassVar
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from analysis.core.vocabulary import DISCIPLINES
from surveys import access, records
from surveys.api import bodies, conditional, serializers
from surveys.api.collections import INTERPRETATIONS
from surveys.api.problems import unknown_parameter
from surveys.api.views.base import View
from surveys.api.views.records import CollectionView
from surveys.models import Element, Interpretation, Project, Space
from surveys.selectors import findings


class OfInterpretation(CollectionView):
    """Something of one interpretation."""

    collection = INTERPRETATIONS

    def found(self, project: Project, record_id: UUID) -> Interpretation:
        """The interpretation of the address."""
        found = access.get(self.actor, project, Interpretation, record_id)
        found.project = project
        return found


class Review(OfInterpretation):
    """How the review of an interpretation stands."""

    answers = {"GET": {200: serializers.ReviewShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Where you may move it, who was asked, what happened, and what changed in what it cites."""
        project = self.project(code)
        found = self.found(project, record_id)
        return Response({**records.standing_of_review(self.actor, found), **findings.review(found)})


class Transitions(OfInterpretation):
    """Moving an interpretation from state to state."""

    conditioned = ("POST",)
    repeatable = ("POST",)
    sends = {"POST": serializers.TransitionRequest}
    answers = {"POST": {200: serializers.InterpretationShape}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Move it, if the table of states lets you; If-Match says which version you read."""
        return self.once(request, request.data, lambda: self._move(request, code, record_id))

    def _move(self, request: Request, code: str, record_id: UUID) -> Response:
        project = self.project(code, access.REVIEW)
        version = conditional.version_named(request)
        body = bodies.take(serializers.TransitionRequest, request.data)
        records.transition(self.actor, project, record_id, version, body["to"], body.get("reason", ""))
        return conditional.shown(request, self.row(project, record_id))


class Reviewers(OfInterpretation):
    """Who is asked to review."""

    repeatable = ("POST",)
    sends = {"POST": serializers.ReviewersRequest}
    answers = {"GET": {200: serializers.ReviewerList}, "POST": {200: serializers.ReviewerList}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Who was asked, and who has answered."""
        return Response({"reviews": findings.reviews(self.found(self.project(code), record_id))})

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Ask members."""
        return self.once(request, request.data, lambda: self._ask(self.project(code, access.WRITE), record_id, request.data))

    def _ask(self, project: Project, record_id: UUID, data: Any) -> Response:
        body = bodies.take(serializers.ReviewersRequest, data)
        records.ask_review(self.actor, project, record_id, body["people"])
        return Response({"reviews": findings.reviews(self.found(project, record_id))})


class Looked(OfInterpretation):
    """Answering that one has looked."""

    repeatable = ("POST",)
    answers = {"POST": {200: serializers.ReviewerList}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Say that you have looked, without moving it."""
        return self.once(request, None, lambda: self._answer(self.project(code, access.REVIEW), record_id))

    def _answer(self, project: Project, record_id: UUID) -> Response:
        records.answer_review(self.actor, project, record_id)
        return Response({"reviews": findings.reviews(self.found(project, record_id))})


class SideBySide(View):
    """What each discipline says of a space or an element."""

    place: ClassVar[type[Space] | type[Element]] = Space
    takes = {"GET": ("disciplines",)}
    answers = {"GET": {200: serializers.SideBySideShape}}
    described: ClassVar[Mapping[str, Any]] = {
        "disciplines": (
            {"type": "string", "minLength": 1},
            "Only evidence and interpretations of these disciplines, separated by commas; agreements and contradictions are all told.",
        )
    }

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Paint, documents, construction; interpretations, agreements, contradictions; open questions."""
        from surveys.work import side_by_side

        project = self.project(code)
        place = access.get(self.actor, project, self.place, record_id)
        chosen = self.given["disciplines"].split(",") if "disciplines" in self.given else []
        for one in chosen:
            if one not in DISCIPLINES:
                known = ", ".join(DISCIPLINES)
                raise unknown_parameter("disciplines", f"'{one[:80]}' is no discipline here. They are: {known}.")
        return Response(side_by_side.answer(project, place, chosen))
