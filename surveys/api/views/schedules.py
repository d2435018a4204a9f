"""Finish schedules: their rows as they follow from the record, and issues, which a contractor sees too."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from surveys import access, records
from surveys.api import bodies, conditional, serializers
from surveys.api.collections import ISSUES, SCHEDULES
from surveys.api.files import ANSWERS, sent
from surveys.api.serializers.schedules import IssueRemark, IssueRemarkList, RemarkRequest, ScheduleShape
from surveys.api.views.base import View, listed
from surveys.api.views.records import CollectionView, ListView
from surveys.errors import NotFound
from surveys.models import Schedule, ScheduleIssue
from surveys.records import remarks
from surveys.records import schedules as moving
from surveys.selectors import talk
from surveys.work import schedules


class Draft(View):
    """A schedule as it is now."""

    answers = {"GET": {200: serializers.DraftShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """Its rows as they follow from the record now, with what people added, and what changed since it last went out."""
        schedule = access.get(self.actor, self.project(code), Schedule, record_id)
        made = schedules.content(schedule)
        changes = schedules.since_last_issue(schedule, made.rows)
        return Response({**made.content, "changes": changes, "next_revision": records.next_revision(schedule)})


class Transitions(CollectionView):
    """Moving a schedule from state to state, before it is issued."""

    collection = SCHEDULES
    conditioned = ("POST",)
    repeatable = ("POST",)
    sends = {"POST": serializers.TransitionRequest}
    answers = {"POST": {200: ScheduleShape}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Move it, if the table of states lets you; If-Match says which version you read."""
        return self.once(request, request.data, lambda: self._move(request, code, record_id))

    def _move(self, request: Request, code: str, record_id: UUID) -> Response:
        project = self.project(code, access.REVIEW)
        version = conditional.version_named(request)
        body = bodies.take(serializers.TransitionRequest, request.data)
        moving.transition(self.actor, project, record_id, version, body["to"], body.get("reason", ""))
        return conditional.shown(request, self.row(project, record_id))


class Issues(ListView):
    """The issues of a project's schedules."""

    collection = ISSUES

    def get(self, request: Request, code: str) -> Response:
        """All that went out, newest first; a contractor sees them too."""
        return listed(self, self.collection, self.project(code, access.SEE_ISSUED), request)


class OneIssue(CollectionView):
    """One issue."""

    collection = ISSUES
    answers = {"GET": {200: serializers.WholeIssue}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The issue as it went out."""
        project = self.project(code, access.SEE_ISSUED)
        issue = _issue(project, record_id)
        return Response({"issue": self.row(project, issue.pk), "content": issue.content, "changes": issue.changes})


class Remarks(View):
    """What is said about an issue, by those to whom it went out too."""

    repeatable = ("POST",)
    to_hear = access.SEE_ISSUED
    sends = {"POST": RemarkRequest}
    answers = {"GET": {200: IssueRemarkList}, "POST": {201: IssueRemark}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """All of it, oldest first; answers follow what they answer."""
        issue = _issue(self.project(code, access.SEE_ISSUED), record_id)
        return Response({"results": talk.remarks(issue)})

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Say something about it, or answer the first comment of a thread."""
        return self.once(request, request.data, lambda: self._say(request, code, record_id))

    def _say(self, request: Request, code: str, record_id: UUID) -> Response:
        project = self.project(code, access.TALK_ISSUED)
        issue = _issue(project, record_id)
        body = bodies.take(RemarkRequest, request.data)
        made = remarks.remark(self.actor, project, issue, body["text"], body.get("thread"))
        return Response(next(one for one in talk.remarks(issue) if one["id"] == made.pk), status=201)


class IssueFile(View):
    """A file that went out."""

    ranged = ("GET",)
    answers = {"GET": ANSWERS}

    def get(self, request: Request, code: str, record_id: UUID, name: str) -> Any:
        """The file, byte for byte as it went out."""
        issue = _issue(self.project(code, access.SEE_ISSUED), record_id)
        return sent(request, issue.files, name, "This issue has no such file.")


class Since(View):
    """What became of an issue's ground."""

    answers = {"GET": {200: serializers.ChangedSince}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """The rows whose evidence has changed since the issue, with each change."""
        found = schedules.changed_since(_issue(self.project(code), record_id))
        return Response({"rows": [{"element": element, "changes": changes} for element, changes in found.items()]})


def _issue(project: Any, record_id: UUID) -> ScheduleIssue:
    found = ScheduleIssue.objects.select_related("schedule").filter(project=project, pk=record_id).first()
    if found is None:
        raise NotFound(f"There is no such issue of a schedule in {project.code}.")
    return found
