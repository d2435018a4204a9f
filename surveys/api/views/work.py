"""Files that people bring, and jobs with the files that they make."""

import hashlib
from typing import Any
from uuid import UUID

from django.conf import settings
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from analysis.kinds import KINDS
from surveys import access, jobs
from surveys.api import bodies, serializers
from surveys.api.collections import JOBS, UPLOADS
from surveys.api.files import ANSWERS, sent
from surveys.api.views.records import CollectionView, ListView
from surveys.errors import Fault, Invalid, TooLarge
from surveys.models import Job

# What a form adds around its file.
WRAPPING = 64 * 1024


class Uploads(ListView):
    """The files brought to a project."""

    collection = UPLOADS
    parser_classes = [MultiPartParser]
    repeatable = ("POST",)
    sends = {"POST": serializers.UploadRequest}
    answers = {"POST": {201: serializers.UploadShape}}

    def post(self, request: Request, code: str) -> Response:
        """Bring a file, to be imported by a job."""
        project = self.project(code, access.IMPORT)
        name, content = _file(request)
        told = {"name": name, "sha256": hashlib.sha256(content).hexdigest()}

        def keep() -> Response:
            kept = jobs.upload(self.actor, project, name, content)
            return Response(self.row(project, kept.pk), status=201, headers={"Location": self.address(project, kept.pk)})

        return self.once(request, told, keep)


def _file(request: Request) -> tuple[str, bytes]:
    """The one file of a form; refused before it is read, if the request says that it is too large."""
    limit = settings.UPLOAD_MAX_BYTES
    refusal = TooLarge(f"A file may have at most {limit / 1024 / 1024:.0f} MB.")
    if int(request.META.get("CONTENT_LENGTH") or 0) > limit + WRAPPING:
        raise refusal
    others = sorted(set(request.data) - {"file"})
    given = request.FILES.getlist("file")
    if len(given) != 1 or others or len(request.FILES) != 1:
        text = f"Send one file, in a part called 'file'{f', and no {others[0][:80]!r}' if others else ''}."
        raise Invalid(text, faults=(Fault("file", "required", text),))
    if given[0].size > limit:
        raise refusal
    name = str(given[0].name or "file")
    return name, given[0].read()


class OneUpload(CollectionView):
    """One file that was brought."""

    collection = UPLOADS
    answers = {"GET": {200: serializers.UploadShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """What it is; the file itself is for the jobs that read it."""
        return Response(self.row(self.project(code), record_id))


class Jobs(ListView):
    """The jobs of a project."""

    collection = JOBS
    repeatable = ("POST",)
    sends = {"POST": serializers.JobRequest}
    answers = {"POST": {200: serializers.JobShape, 202: serializers.JobShape}}

    def post(self, request: Request, code: str) -> Response:
        """Ask for a job. One on unchanged input that is done or under way is answered instead (200)."""
        return self.once(request, request.data, lambda: self._ask(request, code))

    def _ask(self, request: Request, code: str) -> Response:
        project = self.project(code)
        body = bodies.take(serializers.JobRequest, request.data)
        job, fresh = jobs.ask_or_find(self.actor, project, body["kind"], body.get("params", {}))
        headers = {"Location": self.address(project, job.pk)}
        return Response(self.row(project, job.pk), status=202 if fresh else 200, headers=headers)


class OneJob(CollectionView):
    """One job."""

    collection = JOBS
    answers = {"GET": {200: serializers.JobShape}, "DELETE": {200: serializers.JobShape}}

    def get(self, request: Request, code: str, record_id: UUID) -> Response:
        """How far it is, and what came of it."""
        return Response(self.row(self.project(code), record_id))

    def delete(self, request: Request, code: str, record_id: UUID) -> Response:
        """Stop it."""
        return _cancel(self, code, record_id)


class Cancel(CollectionView):
    """Stopping a job."""

    collection = JOBS
    repeatable = ("POST",)
    answers = {"POST": {200: serializers.JobShape}}

    def post(self, request: Request, code: str, record_id: UUID) -> Response:
        """Stop it: at once if it waits, at its next step if it runs."""
        # Before anything is written: the job's act may hold the lock that a write would wait for.
        jobs.wish_to_stop(self.actor, self.project(code), record_id)
        return self.once(request, None, lambda: _cancel(self, code, record_id))


def _cancel(view: CollectionView, code: str, record_id: UUID) -> Response:
    project = view.project(code)
    jobs.cancel(view.actor, project, record_id)
    return Response(view.row(project, record_id))


class JobFile(CollectionView):
    """A file that a job made."""

    collection = JOBS
    ranged = ("GET",)
    answers = {"GET": ANSWERS}

    def get(self, request: Request, code: str, record_id: UUID, name: str) -> Any:
        """The file, to be kept, not shown: it never runs in the program's own pages."""
        project = self.project(code)
        job = access.get(self.actor, project, Job, record_id)
        # Who may not ask for such a paper may not fetch it.
        access.require(self.actor, project, KINDS[job.kind].capability if job.kind in KINDS else access.SEE)
        return sent(request, job.files, name, "This job has no such file.")
