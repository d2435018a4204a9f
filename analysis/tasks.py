"""The only Celery module: the bell, and the one task that answers it."""

import os
import socket
from typing import Any

from celery import shared_task
from celery.exceptions import SoftTimeLimitExceeded

from config.celery import unread
from surveys import idempotency, jobs, sendings, sessions
from surveys.errors import Conflict
from surveys.models import Job
from surveys.work import digest as daily
from surveys.work import pictures, table

QUICK, LONG = "quick", "long"


def ring(job_id: str, quick: bool = False) -> None:
    """Send a job's id to the workers: to those for whose work somebody waits, or to all others."""
    answer.apply_async(args=(job_id,), queue=QUICK if quick else LONG)


def _within_the_limit(job: Job, progress: jobs.Progress) -> tuple[Any, list[dict[str, Any]]]:
    """The work of a job, ended in words where it takes longer than any job may."""
    try:
        return table.do(job, progress)
    except SoftTimeLimitExceeded:
        raise Conflict("This took longer than any job may, and was ended; nothing was changed. Do it in parts.", code="too-long") from None


@shared_task(name="undercoat.answer")
def answer(job_id: str) -> None:
    """Do the job of that id, unless somebody has it."""
    jobs.run(job_id, f"{socket.gethostname()}:{os.getpid()}", _within_the_limit)


@shared_task(name="undercoat.sweep")
def sweep() -> None:
    """Ring again for what was left lying."""
    jobs.sweep(lambda quick: unread(QUICK if quick else LONG))


@shared_task(name="undercoat.tidy")
def tidy() -> None:
    """Forget answers of old requests, files that never came whole, what was made of pictures that are gone, sessions that ended."""
    idempotency.forget_old()
    sendings.forget_old()
    pictures.tidy()
    sessions.tidy()


@shared_task(name="undercoat.digest")
def digest() -> None:
    """Send the daily e-mails that are due."""
    daily.send_due()
