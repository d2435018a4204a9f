"""Doing a job: a worker takes it, says how far it is, and says what became of it, as long as it is still its own."""

import contextlib
import datetime as dt
import errno
import logging
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

from django.db import InterfaceError, OperationalError, connection
from django.db.models import F, Q
from django.db.models.functions import Now
from django.utils import timezone

from surveys import meanwhile
from surveys.errors import Cancelled, DomainError
from surveys.jobs.bell import ring
from surveys.jobs.files import forget_others
from surveys.models import Job

LEASE = dt.timedelta(seconds=60)
# How often a job says how far it is, in seconds; that its process lives is said by itself.
BEAT = 0.5
ATTEMPTS = 3
CRASHED = "Something went wrong in the program, and nothing was changed. Quote job {} to whoever runs it."
STOPPED = "Stopped, as you asked. Nothing was changed."
NO_ROOM = "The disk is full, so the file could not be kept, and nothing was changed. Tell whoever runs the program, then try again."
AWAY = "The database did not answer while this was under way, and nothing was changed. Try again."
# How long a worker that lost the database tries to give its job back, in seconds between tries; then the sweeper's turn comes.
TRIES = (0.5, 1, 2, 4, 8, 15, 15, 15, 15)
log = logging.getLogger(__name__)


class LeaseLost(Exception):
    """The job is no longer this worker's."""


def claim(job_id: str, worker: str) -> Job | None:
    """Take a job if it is queued, or if whoever had it has not been heard of for a lease; None if it is not to be had."""
    free = Q(state="queued") | unheard_of()
    taken = Job.objects.filter(free, pk=job_id, attempt__lt=ATTEMPTS).update(
        state="running",
        worker=worker,
        heartbeat=Now(),
        started_at=timezone.now(),
        attempt=F("attempt") + 1,
        done=0,
        total=0,
        now="Starting",
    )
    if not taken:
        return None
    return Job.objects.select_related("project", "created_by").get(pk=job_id)


def unheard_of() -> Q:
    """The jobs whose worker was not heard of for a lease. By the database's clock alone: those of many machines need not agree."""
    return Q(state="running", heartbeat__lt=Now() - LEASE)


class Progress:
    """What running work reports to: it writes the job's progress now and then, and raises Cancelled when it was told to stop."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._last = time.monotonic() - BEAT
        self._within = False

    def __call__(self, done: int, total: int, now: str = "") -> None:
        """Say how far the work is; cheap enough to be called in a loop."""
        # Not by the clock of the day: set back, it would have a job neither heard nor stopped until it was as late again.
        moment = time.monotonic()
        if moment - self._last < BEAT and done < total:
            return
        self._last = moment
        if now:
            self._job.now = now[:200]
        beat = mine(self._job).update(done=done, total=total, now=self._job.now, heartbeat=Now())
        if not beat:
            raise LeaseLost
        self._tell(done, total)
        if Job.objects.filter(pk=self._job.pk, cancel_asked=True).exists():
            raise Cancelled(STOPPED)
        self.look()

    def look(self) -> None:
        """Stop if told to; for where nothing may be written, as while all is read as it was at one moment."""
        if meanwhile.wished(self._job.pk):
            raise Cancelled(STOPPED)

    def _tell(self, done: int, total: int) -> None:
        """Within an act nobody else sees the row before it commits."""
        within = connection.in_atomic_block
        if within:
            meanwhile.say(self._job.pk, self._job.attempt, done, total, self._job.now)
        elif self._within:
            meanwhile.unsay(self._job.pk)
        self._within = within


def mine(job: Job) -> Any:
    """The job's row, as long as it is this worker's."""
    return Job.objects.filter(pk=job.pk, worker=job.worker, attempt=job.attempt, state="running")


def finish(job: Job, result: Any, files: list[dict[str, Any]]) -> bool:
    """The job is done; False if it was taken from this worker meanwhile."""
    return bool(mine(job).update(state="done", result=result, files=files, finished_at=timezone.now(), now="", done=F("total"), error=""))


def conclude(job: Job, result: Any, files: list[dict[str, Any]]) -> None:
    """The job is done by the very act that this is called in: both stand, or neither, and a worker that dies right after loses nothing.

    LeaseLost, which undoes the act, if the job was taken from this worker meanwhile.
    """
    if not finish(job, result, files):
        raise LeaseLost


def fail(job: Job, error: str, result: Any = None) -> bool:
    """The job failed; the error is a sentence for the person who asked."""
    return bool(mine(job).update(state="failed", error=error, result=result, finished_at=timezone.now(), now=""))


@contextlib.contextmanager
def _alive(job: Job) -> Iterator[None]:
    """Keep the lease while a step says nothing for long, as a copy to a slow store does. It ends with the process."""
    over = threading.Event()

    def beat() -> None:
        while not over.wait(LEASE.total_seconds() / 4):
            try:
                mine(job).update(heartbeat=Now())
            except Exception:
                # The database is away, or kept by an act; whoever does the work meets that as well, and says so.
                log.debug("Job %s could not say that it lives.", job.pk, exc_info=True)
            finally:
                connection.close()

    threading.Thread(target=beat, daemon=True).start()
    try:
        yield
    finally:
        over.set()


Work = Callable[[Job, Progress], tuple[Any, list[dict[str, Any]]]]


def run(job_id: str, worker: str, work: Work) -> None:
    """Claim a job, do its work as the person who asked, say what became of it, and leave no files of what came to nothing."""
    job = claim(job_id, worker)
    if job is None:
        return
    _do(job, work)
    try:
        is_done = Job.objects.filter(pk=job.pk, attempt=job.attempt, state="done").exists()
        if not is_done or job.attempt > 1:
            forget_others(job, job.attempt if is_done else None)
    except Exception:
        log.warning("What job %s left lying could not be tidied away.", job.pk, exc_info=True)


def _do(job: Job, work: Work) -> None:
    try:
        with _alive(job):
            result, files = work(job, Progress(job))
        finish(job, result, files)
    except LeaseLost:
        log.warning("Job %s went to another worker.", job.pk)
    except Cancelled as stop:
        mine(job).update(state="cancelled", error=stop.detail, finished_at=timezone.now(), now="")
    except DomainError as refusal:
        faults = [{"field": fault.field, "code": fault.code, "detail": fault.detail} for fault in refusal.faults]
        fail(job, refusal.detail, getattr(refusal, "report", None) or {"faults": faults})
    except (OperationalError, InterfaceError) as error:
        log.warning("Job %s lost the database.", job.pk, exc_info=True)
        _give_back(job, NO_ROOM if no_room(error) else AWAY)
    except OSError as error:
        log.exception("Job %s failed.", job.pk)
        full = error.errno in (errno.ENOSPC, errno.EDQUOT)
        fail(job, NO_ROOM if full else CRASHED.format(job.pk))
    except MemoryError:
        log.exception("Job %s ran out of memory.", job.pk)
        fail(job, "This was too large for the machine. Do it in parts, or ask whoever runs the program.")
    except Exception:
        log.exception("Job %s failed.", job.pk)
        fail(job, CRASHED.format(job.pk))


def no_room(error: Exception) -> bool:
    """Whether a database says that its disk is full."""
    return any(words in str(error) for words in ("disk is full", "No space left"))


def _give_back(job: Job, error: str) -> None:
    """Put a job back whose worker lost the database, as soon as that answers; one that was tried often enough is failed in words."""
    again = job.attempt < ATTEMPTS and error != NO_ROOM
    for wait in TRIES:
        try:
            if not connection.in_atomic_block:
                connection.close()
            if not again:
                fail(job, error)
            elif mine(job).update(state="queued", worker="", heartbeat=None, now="Waiting, after the database was away"):
                ring(job)
            return
        except (OperationalError, InterfaceError):
            time.sleep(wait)
    log.warning("Job %s could not be given back; the sweeper will find it.", job.pk)
