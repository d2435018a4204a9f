"""The life of a job: asked for, claimed, under way, done, failed or cancelled; and brought back when a worker died.

The Job row is the truth. The broker only rings a bell: a message carries a job's id and nothing else, a lost one is sent again by the
sweeper, a second one finds the job claimed.
"""

import datetime as dt
import errno
import hashlib
import io
import logging
import time
from collections.abc import Callable, Mapping
from typing import IO, Any

from django.conf import settings
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.db import IntegrityError, InterfaceError, OperationalError, connection, transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.module_loading import import_string

from analysis.kinds import KINDS, BadParameters, Kind
from surveys import access, meanwhile, selectors
from surveys.errors import Cancelled, Conflict, DomainError, Invalid, NotFound
from surveys.models import Attachment, Job, Person, Project, Space, Upload
from surveys.rules import is_id
from surveys.selectors import lines, plates

LEASE = dt.timedelta(seconds=60)
UNHEARD = dt.timedelta(seconds=30)
BEAT = dt.timedelta(seconds=0.5)
ATTEMPTS = 3
CRASHED = "Something went wrong in the program, and nothing was changed. Quote job {} to whoever runs it."
NO_ROOM = "The disk is full, so the file could not be kept, and nothing was changed. Tell whoever runs the program, then try again."
AWAY = "The database did not answer while this was under way, and nothing was changed. Try again."
# How long a worker that lost the database tries to give its job back, in seconds between tries; then the sweeper's turn comes.
TRIES = (0.5, 1, 2, 4, 8, 15, 15, 15, 15)
log = logging.getLogger(__name__)


class LeaseLost(Exception):
    """The job is no longer this worker's."""


# -- asking ---------------------------------------------------------------------------------------------------------------


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
    with transaction.atomic():
        found = _standing(project, kind, digest)
        if found is not None:
            return found, False
        job = Job(project=project, created_by=actor, kind=kind.name, params=kept, digest=digest)
        try:
            with transaction.atomic():
                job.save(force_insert=True)
        except IntegrityError:
            return Job.objects.get(project=project, digest=digest, state__in=("queued", "running")), False
        transaction.on_commit(lambda: ring(job), robust=True)
    return job, True


def _standing(project: Project, kind: Kind, digest: str) -> Job | None:
    states = ("queued", "running", "done") if kind.once else ("queued", "running")
    return Job.objects.filter(project=project, digest=digest, state__in=states).order_by("-created_at").first()


def input_digest(project: Project, kind: Kind, params: Mapping[str, Any]) -> str:
    """The digest of a job's kind, its version, its parameters and all that it reads."""
    return selectors.digest_of([kind.name, kind.version, dict(params), _reads(project, kind, params)])


def _reads(project: Project, kind: Kind, params: Mapping[str, Any]) -> Any:
    """What a job of the kind reads of the record, in short: the same for the same input."""
    if kind.name == "correlate":
        spaces = [space_named(project, params["space"])] if "space" in params else list(project.spaces.order_by("number"))
        return [[space.number, selectors.correlation_digest(space.pk)] for space in spaces] + [selectors.dating_digest(project)]
    if kind.name == "date":
        return selectors.dating_digest(project)
    if kind.name == "preview":
        space = space_named(project, params["space"])
        return [selectors.correlation_digest(space.pk), selectors.digest_of(selectors.chart(space))]
    if kind.name == "chart":
        return selectors.digest_of(selectors.chart(space_named(project, params["space"])))
    if kind.name == "picture":
        return picture_named(project, params["attachment"]).upload.sha256
    if kind.name == "read-line":
        line = lines.line(project, params["traverse"]) if is_id(params["traverse"]) else None
        if line is None:
            raise NotFound(f"There is no such line in {project.code}.")
        return lines.line_digest(line, lines.registered_uv(line.attachment))
    if kind.name == "picture-colour":
        picture = picture_named(project, params["attachment"])
        return [picture.upload.sha256, picture.colour_target]
    if kind.name == "plate":
        return [project.version, project.change_sequence, plates.plates_digest(project)]
    if kind.name == "chapter":
        return [selectors.whole_record_digest(project, params), settings.SITE_ADDRESS, plates.plates_digest(project)]
    if kind.name in ("archive", "labels", "sampling-plan"):
        return [selectors.whole_record_digest(project, params), settings.SITE_ADDRESS]
    if "upload" in params:
        return [upload_named(project, params["upload"]).sha256, project.change_sequence]
    return [project.version, project.change_sequence]


def space_named(project: Project, name: str) -> Space:
    """A space of the project by its number."""
    found = Space.objects.filter(project=project, number=name).select_related("project").first()
    if found is None:
        raise NotFound(f"There is no space {name} in {project.code}.")
    return found


def picture_named(project: Project, attachment_id: str) -> Attachment:
    """A picture of the project, by its id."""
    query = Attachment.objects.filter(project=project, pk=attachment_id) if is_id(attachment_id) else Attachment.objects.none()
    found = query.select_related("upload").first()
    if found is None:
        raise NotFound(f"There is no such attachment in {project.code}.")
    return found


def upload_named(project: Project, upload_id: str) -> Upload:
    """A file brought to the project, by its id."""
    found = Upload.objects.filter(project=project, pk=upload_id).first() if is_id(upload_id) else None
    if found is None:
        raise NotFound(f"There is no such file in {project.code}. Bring it first.")
    return found


def upload(actor: Person, project: Project, name: str, content: bytes) -> Upload:
    """Keep a file that somebody brought to be imported."""
    access.require(actor, project, access.IMPORT)
    kept = Upload(project=project, created_by=actor, name=name[-200:], size=len(content), sha256=hashlib.sha256(content).hexdigest())
    # The name that it came with is shown, never used as a path.
    kept.file.save(f"{kept.pk}.bin", ContentFile(content), save=False)
    kept.save(force_insert=True)
    return kept


def ring(job: Job) -> None:
    """Tell a worker that there is something to do. If nobody hears, the sweeper rings again."""
    try:
        import_string(settings.JOB_DISPATCHER)(str(job.pk), job.kind in KINDS and KINDS[job.kind].quick)
    except Exception:
        log.warning("Could not ring for job %s; the sweeper will.", job.pk, exc_info=True)


# -- doing ----------------------------------------------------------------------------------------------------------------


def claim(job_id: str, worker: str) -> Job | None:
    """Take a job if it is queued, or if whoever had it has not been heard of for a lease; None if it is not to be had."""
    now = timezone.now()
    free = Q(state="queued") | Q(state="running", heartbeat__lt=now - LEASE)
    taken = Job.objects.filter(free, pk=job_id, attempt__lt=ATTEMPTS).update(
        state="running", worker=worker, heartbeat=now, started_at=now, attempt=F("attempt") + 1, done=0, total=0, now="Starting"
    )
    if not taken:
        return None
    return Job.objects.select_related("project", "created_by").get(pk=job_id)


class Progress:
    """What running work reports to: it writes the job's progress now and then, and raises Cancelled when it was told to stop."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._last = timezone.now() - BEAT
        self._within = False

    def __call__(self, done: int, total: int, now: str = "") -> None:
        """Say how far the work is; cheap enough to be called in a loop."""
        moment = timezone.now()
        if moment - self._last < BEAT and done < total:
            return
        self._last = moment
        if now:
            self._job.now = now[:200]
        beat = _mine(self._job).update(done=done, total=total, now=self._job.now, heartbeat=moment)
        if not beat:
            raise LeaseLost
        self._tell(done, total)
        if Job.objects.filter(pk=self._job.pk, cancel_asked=True).exists() or meanwhile.wished(self._job.pk):
            raise Cancelled("Stopped, as you asked. Nothing was changed.")

    def _tell(self, done: int, total: int) -> None:
        """Within an act nobody else sees the row before it commits."""
        within = connection.in_atomic_block
        if within:
            meanwhile.say(self._job.pk, self._job.attempt, done, total, self._job.now)
        elif self._within:
            meanwhile.unsay(self._job.pk)
        self._within = within


def _mine(job: Job) -> Any:
    return Job.objects.filter(pk=job.pk, worker=job.worker, attempt=job.attempt, state="running")


def finish(job: Job, result: Any, files: list[dict[str, Any]]) -> bool:
    """The job is done; False if it was taken from this worker meanwhile."""
    return bool(_mine(job).update(state="done", result=result, files=files, finished_at=timezone.now(), now="", done=F("total"), error=""))


def conclude(job: Job, result: Any, files: list[dict[str, Any]]) -> None:
    """The job is done by the very act that this is called in: both stand, or neither, and a worker that dies right after loses nothing.

    LeaseLost, which undoes the act, if the job was taken from this worker meanwhile.
    """
    if not finish(job, result, files):
        raise LeaseLost


def fail(job: Job, error: str, result: Any = None) -> bool:
    """The job failed; the error is a sentence for the person who asked."""
    return bool(_mine(job).update(state="failed", error=error, result=result, finished_at=timezone.now(), now=""))


def run(job_id: str, worker: str, work: Callable[[Job, Progress], tuple[Any, list[dict[str, Any]]]]) -> None:
    """Claim a job, do its work as the person who asked, and say what became of it."""
    job = claim(job_id, worker)
    if job is None:
        return
    try:
        result, files = work(job, Progress(job))
        finish(job, result, files)
    except LeaseLost:
        log.warning("Job %s went to another worker.", job.pk)
    except Cancelled as stop:
        _mine(job).update(state="cancelled", error=stop.detail, finished_at=timezone.now(), now="")
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
            elif _mine(job).update(state="queued", worker="", heartbeat=None, now="Waiting, after the database was away"):
                ring(job)
            return
        except (OperationalError, InterfaceError):
            time.sleep(wait)
    log.warning("Job %s could not be given back; the sweeper will find it.", job.pk)


def keep_file(job: Job, name: str, content_type: str, content: bytes) -> dict[str, Any]:
    """Keep a file that a job made; answer how its row describes it."""
    return keep_stream(job, name, content_type, io.BytesIO(content))


def keep_stream(job: Job, name: str, content_type: str, content: IO[bytes]) -> dict[str, Any]:
    """Keep a file that is too large for memory, from its beginning; answer how its row describes it."""
    content.seek(0)
    sha256 = hashlib.file_digest(content, "sha256").hexdigest()  # type: ignore[arg-type]
    size = content.seek(0, io.SEEK_END)
    content.seek(0)
    wanted = f"outputs/{job.pk}/{job.attempt}/{hashlib.sha256(name.encode()).hexdigest()[:16]}"
    try:
        path = default_storage.save(wanted, File(content))
    except OSError:
        # Half a file on a full disk is of no use to anybody.
        default_storage.delete(wanted)
        raise
    return {"name": name, "content_type": content_type, "size": size, "sha256": sha256, "path": path}


# -- stopping and bringing back ----------------------------------------------------------------------------------------------


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
    stopped = Job.objects.filter(pk=job.pk, state="queued").update(
        state="cancelled", finished_at=timezone.now(), cancel_asked=True, error="Stopped before it began, as you asked."
    )
    if not stopped and not Job.objects.filter(pk=job.pk, state="running").update(cancel_asked=True):
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
        if gone(job.worker) and _mine(job).update(state="queued", worker="", heartbeat=None, now="Waiting, after its worker ended"):
            ring(job)
            released += 1
    return released


def sweep(*, at_start: bool = False) -> int:
    """Ring again for jobs that nobody took or whose worker died; give up on one that ended its worker too often.

    `at_start` is for the embedded start only, when no worker can be alive: every running job goes back to the queue.
    """
    now = timezone.now()
    if at_start:
        Job.objects.filter(state="running").update(state="queued", worker="", heartbeat=None, now="Waiting, after a restart")
    lost = Q(state="running", heartbeat__lt=now - LEASE)
    Job.objects.filter(lost | Q(state="queued"), attempt__gte=ATTEMPTS).update(
        state="failed",
        finished_at=now,
        error=f"This ended its worker {ATTEMPTS} times and was given up. Quote the job to whoever runs the program.",
    )
    waiting = Q(state="queued") if at_start else Q(state="queued", created_at__lt=now - UNHEARD)
    jobs = list(Job.objects.filter(lost | waiting)[:500])
    for job in jobs:
        ring(job)
    return len(jobs)
