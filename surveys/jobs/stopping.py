"""Stopping jobs, and bringing back those whose worker died."""

import datetime as dt
from collections.abc import Callable
from typing import Any

from django.db.models import Q
from django.utils import timezone

from surveys import access, meanwhile
from surveys.errors import Conflict
from surveys.jobs import doing
from surveys.jobs.bell import is_quick, ring
from surveys.jobs.files import forget_others
from surveys.models import Job, Person, Project

UNHEARD = dt.timedelta(seconds=30)


def wish_to_stop(actor: Person, project: Project, job_id: Any) -> Job:
    """Tell a job to stop without writing, for its act may keep all other writers waiting. Who asked for it may, and any coordinator."""
    job = access.get(actor, project, Job, job_id)
    if job.created_by_id != actor.pk:
        access.require(actor, project, access.MANAGE)
    if job.state in ("queued", "running"):
        meanwhile.wish(job.pk)
    return job


def cancel(actor: Person, project: Project, job_id: Any) -> Job:
    """Stop a job: a queued one at once, a running one at its next step. Who asked for it may, and any coordinator."""
    job = wish_to_stop(actor, project, job_id)
    was = job.state
    # First the wish, whichever of the two it is just now: a job may be taken, or given back, between two looks.
    wished = Job.objects.filter(pk=job.pk, state__in=("queued", "running")).update(cancel_asked=True)
    Job.objects.filter(pk=job.pk, state="queued").update(
        state="cancelled", finished_at=timezone.now(), error="Stopped before it began, as you asked."
    )
    if not wished:
        job.refresh_from_db()
        if job.state == "cancelled" and was in ("queued", "running"):
            return job
        raise Conflict(f"This job is {job.state} already.", code="ended")
    job.refresh_from_db()
    return job


def release(gone: Callable[[str], bool]) -> int:
    """Put jobs back in the queue whose worker is known to be gone, without waiting for its lease to end; answer how many."""
    released = 0
    for job in Job.objects.filter(state="running").exclude(worker=""):
        if gone(job.worker) and doing.mine(job).update(state="queued", worker="", heartbeat=None, now="Waiting, after its worker ended"):
            ring(job)
            released += 1
    return released


def sweep(unread: Callable[[bool], int] | None = None, *, at_start: bool = False) -> int:
    """Ring again for jobs that nobody took or whose worker died, and answer for how many; give up on one that ended its worker too often.

    `unread` tells how many messages still lie in the queue of quick and of long work: while there are any, workers know that they have to
    do, and to ring again would only pile up messages behind a long job. `at_start` is for the embedded start only, when no worker can be
    alive: every running job goes back to the queue.
    """
    now = timezone.now()
    if at_start:
        Job.objects.filter(state="running").update(state="queued", worker="", heartbeat=None, now="Waiting, after a restart")
    lost = doing.unheard_of()
    worn = list(Job.objects.filter(lost | Q(state="queued"), attempt__gte=doing.ATTEMPTS).values_list("pk", flat=True))
    Job.objects.filter(lost | Q(state="queued"), pk__in=worn, attempt__gte=doing.ATTEMPTS).update(
        state="failed",
        finished_at=now,
        error=f"This ended its worker {doing.ATTEMPTS} times and was given up. Quote the job to whoever runs the program.",
    )
    for job in Job.objects.filter(pk__in=worn, state="failed") if worn else ():
        # It may have ended its worker in the midst of a file.
        forget_others(job, None)
    waiting = Q(state="queued") if at_start else Q(state="queued", created_at__lt=now - UNHEARD)
    jobs = list(Job.objects.filter(lost | waiting).order_by("created_at")[:500])
    told = {quick: unread is not None and unread(quick) > 0 for quick in {is_quick(job) for job in jobs}}
    unheard = [job for job in jobs if not told[is_quick(job)]]
    for job in unheard:
        ring(job)
    return len(unheard)
