"""The only Celery module: the bell, and the one task that answers it."""

import contextlib
import os
import signal
import socket
import threading
from collections.abc import Iterator
from typing import Any

from celery import shared_task

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


class TooLong(BaseException):
    """A job takes longer than any may. No Exception: what forgives those on the way (a log, a cache, a library) must not forgive this."""


@contextlib.contextmanager
def _limited() -> Iterator[None]:
    """Raise TooLong at the time limit. Celery tells it by a signal, and once; what is raised at it otherwise is an Exception."""
    if not hasattr(signal, "SIGUSR1") or threading.current_thread() is not threading.main_thread():
        yield
        return

    def tell(*_: Any) -> None:
        raise TooLong

    before = signal.signal(signal.SIGUSR1, tell)
    try:
        yield
    finally:
        signal.signal(signal.SIGUSR1, before)


def _within_the_limit(job: Job, progress: jobs.Progress) -> tuple[Any, list[dict[str, Any]]]:
    """The work of a job, ended in words where it takes longer than any job may."""
    try:
        with _limited():
            return table.do(job, progress)
    except TooLong:
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
