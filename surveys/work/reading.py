"""Reading a line across a section: its layers as the pictures show them, kept for a person to correct."""

from contextlib import ExitStack
from typing import Any, Final

from analysis.core import versions
from surveys import access, records
from surveys.errors import Cancelled, DomainError, NotFound
from surveys.jobs import Progress
from surveys.models import Job, Registration, Traverse
from surveys.records.computed import InputChanged
from surveys.selectors import lines, proposals

TRIES: Final = 3


def read(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """Read the line that a job names; one that was read from just what now stands is not read again."""
    for _ in range(TRIES - 1):
        try:
            return _read(job, progress), []
        except InputChanged:
            continue
    return _read(job, progress), []


def _read(job: Job, progress: Progress) -> dict[str, Any]:
    access.require(job.created_by, job.project, access.WRITE)
    line = lines.line(job.project, job.params["traverse"])
    if line is None:
        raise NotFound(f"The line was removed from {job.project.code} before it was read.")
    registration = lines.registered_uv(line.attachment)
    digest = lines.line_digest(line, registration)
    told: dict[str, Any] = {"traverse": str(line.pk), "sample": line.sample.number, "line": line.number}
    if proposals.is_read(line) and line.read_digest == digest and proposals.version_of(line) == versions.MICROGRAPHS:
        return {**told, "layers": _many(line), "again": False}
    progress(0, 3, f"Opening the pictures of sample {line.sample}")
    try:
        reading = _reading(line, registration, progress)
    except Cancelled:
        # That somebody stopped it is nothing that is to be known of the line: what was read before stays.
        raise
    except DomainError as refusal:
        records.store_reading(job.created_by, job.project, line.pk, digest, None, refusal.detail)
        raise
    except ValueError as refusal:
        records.store_reading(job.created_by, job.project, line.pk, digest, None, _said(refusal))
        return {**told, "layers": 0, "again": True, "refused": str(refusal)}
    kept = records.store_reading(job.created_by, job.project, line.pk, digest, reading)
    progress(3, 3)
    return {**told, "layers": _many(kept), "again": True}


def _said(refusal: ValueError) -> str:
    """The sentence of a kernel's refusal; whatever else is no sentence for a person."""
    from analysis.core.micrographs import MicrographRefused

    if not isinstance(refusal, MicrographRefused):
        raise refusal
    return str(refusal)


def _many(line: Traverse) -> int:
    assert line.reading is not None
    return sum(1 for layer in line.reading["layers"] if not layer["end"])


def _reading(line: Traverse, registration: Registration | None, progress: Progress) -> Any:
    from analysis.core.micrographs import read_line
    from surveys.work import micrographs

    around = micrographs.around_of(line)
    done = 1

    def alive() -> None:
        progress(done, 3)

    with ExitStack() as held:
        visible = held.enter_context(micrographs.part_of(line.attachment, line.path, around, alive))
        relied_on = registration if not lines.doubt(registration) else None
        progress(1, 3, "Opening the UV picture" if relied_on else "Looking for layers")
        beside: dict[str, Any] = {}
        if relied_on is not None:
            spots = micrographs.spots_on_moving(relied_on, line.path)
            beside = {
                "uv": held.enter_context(micrographs.part_of(relied_on.moving, spots, around, alive)),
                "registration": micrographs.registration_of(relied_on),
                "uv_correction": micrographs.correction_of(relied_on.moving),
            }
        done = 2
        progress(done, 3, "Looking for layers")
        correction, scale = micrographs.correction_of(line.attachment), micrographs.scale_of(line.attachment)
        return read_line(visible, micrographs.line_of(line), scale, correction, **beside)
