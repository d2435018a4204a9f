"""What one discipline needs from another: asked, answered, withdrawn."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access
from surveys.api import bodies, conditional, serializers
from surveys.api.collections import QUESTIONS
from surveys.api.views.base import listed
from surveys.api.views.records import CollectionView, ListView
from surveys.api.views.talk import ME
from surveys.models import Project
from surveys.records import questions


class Questions(ListView):
    """The questions of a project."""

    collection = QUESTIONS
    repeatable = ("POST",)
    sends = {"POST": serializers.QuestionValues}
    answers = {"POST": {201: serializers.QuestionShape}}

    def get(self, request: Request, code: str) -> Response:
        """A page of them. `to_person` and `author` take 'me'."""
        for name in ("to_person", "author"):
            if self.given.get(name) == ME:
                self.given[name] = self.actor.username
        return listed(self, self.collection, self.project(code), request)

    def post(self, request: Request, code: str) -> Response:
        """Ask a person or a discipline."""
        return self.once(request, request.data, lambda: self._ask(request, code))

    def _ask(self, request: Request, code: str) -> Response:
        project = self.project(code, access.TALK)
        made = questions.ask(self.actor, project, bodies.take(serializers.QuestionValues, request.data))
        return conditional.shown(request, self.row(project, made.pk), 201, {"Location": self.address(project, made.pk)})


class OneQuestion(CollectionView):
    """One question."""

    collection = QUESTIONS
    conditioned = ("GET", "PATCH")
    sends = {"PATCH": serializers.QuestionWords(partial=True)}
    answers = {"GET": {200: serializers.QuestionShape}, "PATCH": {200: serializers.QuestionShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The question."""
        return conditional.shown(request, self.row(self.project(code), record_id))

    def patch(self, request: Request, code: str, record_id: UUID) -> Response:
        """Put one's own open question otherwise, or to somebody else."""
        project = self.project(code, access.TALK)
        version = conditional.version_named(request)
        questions.reword(self.actor, project, record_id, version, bodies.take(serializers.QuestionWords, request.data))
        return conditional.shown(request, self.row(project, record_id))


class Deed(CollectionView):
    """What is done with a question."""

    collection = QUESTIONS
    repeatable = ("POST",)
    answers = {"POST": {200: serializers.QuestionShape}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Do it, or refuse it in words."""
        body = request.data if self.sends else None
        return self.once(request, body, lambda: self._do(self.project(code, access.TALK), record_id, body))

    def _do(self, project: Project, record_id: UUID, body: Any) -> Response:
        self.done(project, record_id, body)
        return Response(self.row(project, record_id))

    def done(self, project: Project, record_id: UUID, body: Any) -> None:
        """The deed."""
        raise NotImplementedError


class Answering(Deed):
    """Answering a question."""

    sends = {"POST": serializers.AnswerRequest}

    def done(self, project: Project, record_id: UUID, body: Any) -> None:
        """By who is asked, with the records that the answer rests on."""
        said = bodies.take(serializers.AnswerRequest, body)
        questions.answer(self.actor, project, record_id, said["answer"], said.get("records", []))


class Withdrawing(Deed):
    """Withdrawing a question."""

    def done(self, project: Project, record_id: UUID, body: Any) -> None:
        """By who asked it."""
        questions.withdraw(self.actor, project, record_id)


class AskingAgain(Deed):
    """Opening a question again."""

    def done(self, project: Project, record_id: UUID, body: Any) -> None:
        """By who asked it; the answer so far stays to be read."""
        questions.reopen(self.actor, project, record_id)
