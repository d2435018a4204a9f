"""What is new for who asks, and saying that one has seen it."""

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import seen
from surveys.api import bodies
from surveys.api.serializers import news as shapes
from surveys.api.views.base import View
from surveys.selectors import news


class AllNews(View):
    """What is new in all projects."""

    answers = {"GET": {200: shapes.NewsList}}

    def get(self, request: Request) -> Response:
        """How much, by project."""
        return Response({"results": news.counts(self.actor)})


class News(View):
    """What is new in one project."""

    answers = {"GET": {200: shapes.NewsShape}}

    def get(self, request: Request, code: str) -> Response:
        """What others wrote since one last said that one had seen it, and what waits for one."""
        project = self.project(code)
        read = news.read_up_to(self.actor, project)
        since = read.sequence if read else 0
        told = {"since": since, "seen_at": read.seen_at if read else None, "sequence": project.change_sequence}
        return Response({**told, **news.of_project(self.actor, project, since, project.change_sequence)})


class SeenNews(View):
    """Having read."""

    repeatable = ("POST",)
    sends = {"POST": shapes.SeenUpTo}
    answers = {"POST": {200: shapes.SeenShape}}

    def post(self, request: Request, code: str) -> Response:
        """Say up to which change one has seen everything; it never goes back."""
        return self.once(request, request.data, lambda: self._mark(request, code))

    def _mark(self, request: Request, code: str) -> Response:
        project = self.project(code)
        row = seen.mark(self.actor, project, bodies.take(shapes.SeenUpTo, request.data)["sequence"])
        return Response({"sequence": row.sequence, "seen_at": row.seen_at})
