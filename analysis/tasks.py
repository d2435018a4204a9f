"""The only Celery module: the bell, and the one task that answers it."""

import os
import socket

from celery import shared_task

from surveys import idempotency, jobs, work
from surveys.work import digest as daily


def ring(job_id: str) -> None:
    """Send a job's id to the workers."""
    answer.delay(job_id)


@shared_task(name="undercoat.answer")
def answer(job_id: str) -> None:
    """Do the job of that id, unless somebody has it."""
    jobs.run(job_id, f"{socket.gethostname()}:{os.getpid()}", work.do)


@shared_task(name="undercoat.sweep")
def sweep() -> None:
    """Ring again for what was left lying."""
    jobs.sweep()


@shared_task(name="undercoat.tidy")
def tidy() -> None:
    """Forget the answers of old requests."""
    idempotency.forget_old()


@shared_task(name="undercoat.digest")
def digest() -> None:
    """Send the daily e-mails that are due."""
    daily.send_due()
