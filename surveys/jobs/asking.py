"""Asking for a job: a new one, or the one that does the same already."""

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction

from analysis.kinds import KINDS, BadParameters, Kind
from surveys import access
from surveys.errors import Conflict, Invalid
from surveys.jobs.bell import ring
from surveys.jobs.inputs import input_digest
from surveys.models import Job, Person, Project

TRIES = 3


def ask(actor: Person, project: Project, kind_name: str, params: Mapping[str, Any]) -> Job:
    """Ask for a job. One on unchanged input that is done already, or under way, is answered instead of a new one."""
    return ask_or_find(actor, project, kind_name, params)[0]


def ask_or_find(actor: Person, project: Project, kind_name: str, params: Mapping[str, Any]) -> tuple[Job, bool]:
    """Ask for a job; answer it, and whether it is a new one."""
    kind = KINDS.get(kind_name)
    access.require(actor, project, kind.capability if kind else access.SEE)
    if kind is None:
        raise Invalid(f"There is no kind of job '{kind_name}'. There are: {', '.join(KINDS)}.")
    try:
        kept = kind.check(params)
    except BadParameters as error:
        raise Invalid(str(error)) from None
    digest = input_digest(project, kind, kept)
    for _ in range(TRIES):
        with transaction.atomic():
            found = _standing(project, kind, digest)
            if found is not None:
                return found, False
            job = Job(project=project, created_by=actor, kind=kind.name, params=kept, digest=digest)
            try:
                with transaction.atomic():
                    job.save(force_insert=True)
            except IntegrityError:
                continue  # somebody asked for the same at this moment; it may have ended already
            transaction.on_commit(lambda job=job: ring(job), robust=True)  # type: ignore[misc]
        return job, True
    raise Conflict("The same is being asked for by others at this moment. Try again.")


def _standing(project: Project, kind: Kind, digest: str) -> Job | None:
    states = ("queued", "running", "done") if kind.once else ("queued", "running")
    return Job.objects.filter(project=project, digest=digest, state__in=states).order_by("-created_at").first()
