"""Estimating the correction of a picture's colours from the target that somebody marked in it."""

from typing import Any, Final

from analysis.core import targets
from surveys import access, jobs, pictures
from surveys.errors import Invalid
from surveys.jobs import Progress
from surveys.models import Attachment, Job
from surveys.records import scales
from surveys.records.computed import InputChanged

TRIES: Final = 3


def correct(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """Measure the patches of the picture that a job names, and keep the correction with what it leaves of error."""
    for _ in range(TRIES - 1):
        try:
            return _correct(job, progress), []
        except InputChanged:
            continue
    return _correct(job, progress), []


def _correct(job: Job, progress: Progress) -> dict[str, Any]:
    from analysis.core.micrographs import MicrographRefused, Patch, correct_colours, plain

    access.require(job.created_by, job.project, access.WRITE)
    picture = jobs.picture_named(job.project, job.params["attachment"])
    target = picture.colour_target
    if target is None:
        raise Invalid(f"No colour target is marked in attachment {picture.number}.")
    labs = targets.patch_labs(target["target"], target["patches"])
    if isinstance(labs, str):
        raise Invalid(labs)
    progress(0, 2, "Opening the picture")
    seen = pictures.pixels(picture, _around(picture, target["patches"]), tell=lambda done, total, now: progress(0, 2))
    x, y, _, _ = seen.box
    boxes = [_whole(patch["box"], x, y) for patch in target["patches"]]
    patches = [Patch(name, box, lab) for (name, lab), box in zip(labs, boxes, strict=True)]
    progress(1, 2, "Measuring the patches")
    try:
        found = plain(correct_colours(seen.array, patches))
    except MicrographRefused as refusal:
        raise Invalid(str(refusal), code="no-correction") from None
    kept = scales.store_correction(job.created_by, job.project, picture.pk, picture.upload.sha256, target, found)
    progress(2, 2)
    told = ("status", "mean_delta_e", "max_delta_e", "mean_left_out", "max_left_out", "patches", "sentence")
    return {"attachment": str(kept.pk), "number": kept.number, **{name: found[name] for name in told}}


def _around(picture: Attachment, patches: Any) -> list[float]:
    """The part of the picture in which all patches lie; refused where one does not."""
    boxes = [patch["box"] for patch in patches]
    low = [min(box[axis] for box in boxes) for axis in (0, 1)]
    high = [max(box[axis] + box[axis + 2] for box in boxes) for axis in (0, 1)]
    if min(low) < 0 or (picture.width and high[0] > picture.width) or (picture.height and high[1] > picture.height):
        raise Invalid(f"A patch of the target lies partly outside attachment {picture.number}. Mark it anew.")
    return [*low, high[0] - low[0], high[1] - low[1]]


def _whole(box: Any, x: int, y: int) -> tuple[int, int, int, int]:
    """A box in whole px that lie in it, told from the part that is at hand."""
    left, top = round(box[0]) - x, round(box[1]) - y
    return left, top, max(round(box[0] + box[2]) - x - left, 1), max(round(box[1] + box[3]) - y - top, 1)
