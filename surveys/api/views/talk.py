"""Comments on records, in threads."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional, serializers
from surveys.api.collections import COMMENTS
from surveys.api.problems import unknown_parameter
from surveys.api.views.base import View, listed
from surveys.api.views.records import CollectionView, ListView
from surveys.models import Comment, Person, Project
from surveys.models.findings import TALKED_ABOUT
from surveys.records import talk as threads
from surveys.selectors import talk

ME = "me"


class Comments(ListView):
    """What is said about the records of a project."""

    collection = COMMENTS
    repeatable = ("POST",)
    sends = {"POST": serializers.CommentValues}
    answers = {"POST": {201: serializers.CommentShape}}

    def get(self, request: Request, code: str) -> Response:
        """A page of them. `mentions` and `author` take 'me'."""
        for name in ("mentions", "author"):
            if self.given.get(name) == ME:
                self.given[name] = self.actor.username
        return listed(self, self.collection, self.project(code), request)

    def post(self, request: Request, code: str) -> Response:
        """Say something about a record, about one column of it, or in answer to the first comment of a thread."""
        return self.once(request, request.data, lambda: self._say(request, code))

    def _say(self, request: Request, code: str) -> Response:
        project = self.project(code, access.TALK)
        made = records.create(self.actor, project, Comment, bodies.values(self.collection, request.data))
        return conditional.shown(request, self.row(project, made.pk), 201, {"Location": self.address(project, made.pk)})


class OneComment(CollectionView):
    """One comment."""

    collection = COMMENTS
    conditioned = ("GET", "PATCH", "DELETE")
    sends = {"PATCH": serializers.CommentText}
    answers = {"GET": {200: serializers.CommentShape}, "PATCH": {200: serializers.CommentShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The comment."""
        return conditional.shown(request, self.row(self.project(code), record_id))

    def patch(self, request: Request, code: str, record_id: UUID) -> Response:
        """Put one's own comment otherwise; what it said before stays in the history."""
        project = self.project(code, access.TALK)
        version = conditional.version_named(request)
        body = bodies.take(serializers.CommentText, request.data)
        records.change(self.actor, project, Comment, record_id, version, body)
        return conditional.shown(request, self.row(project, record_id))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Take back one's own comment, or as a coordinator anybody's, with its answers. A coordinator can bring it back."""
        project = self.project(code, access.TALK)
        records.remove(self.actor, project, Comment, record_id, conditional.version_named(request))
        return Response(status=204)


class Settling(CollectionView):
    """A thread, by its first comment."""

    collection = COMMENTS
    repeatable = ("POST",)
    answers = {"POST": {200: serializers.CommentShape}}
    deed: Callable[[Person, Project, Any], Comment]

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Settle it, or open it again."""
        return self.once(request, None, lambda: self._do(code, record_id))

    def _do(self, code: str, record_id: UUID) -> Response:
        project = self.project(code, access.TALK)
        type(self).deed(self.actor, project, record_id)
        return Response(self.row(project, record_id))


class Resolve(Settling):
    """Settling a thread."""

    deed = staticmethod(threads.resolve)


class Reopen(Settling):
    """Opening a thread again."""

    deed = staticmethod(threads.reopen)


class Candidates(View):
    """Who can be called in a comment, or asked."""

    answers = {"GET": {200: serializers.CandidateList}}

    def get(self, request: Request, code: str) -> Response:
        """The members who see the project, and nobody else."""
        return Response({"results": talk.candidates(self.project(code))})


class Threads(View):
    """Where threads are."""

    takes = {"GET": ("about_type",)}
    answers = {"GET": {200: serializers.ThreadCountList}}

    def get(self, request: Request, code: str) -> Response:
        """How many threads are open and resolved on each record and each column that has any."""
        about_type = self.given.get("about_type", "")
        if about_type and about_type not in TALKED_ABOUT:
            raise unknown_parameter("about_type", f"'about_type' is one of: {', '.join(TALKED_ABOUT)}.")
        return Response({"results": talk.thread_counts(self.project(code), about_type)})
