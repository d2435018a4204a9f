"""Estimating the correction of a picture's colours from the target that somebody marked in it."""

import math
from collections.abc import Sequence
from typing import Any, Final

from analysis.core import targets
from surveys import access, jobs, pictures
from surveys.errors import Invalid
from surveys.jobs import Progress
from surveys.models import Attachment, Job
from surveys.records import scales
from surveys.records.computed import InputChanged

TRIES: Final = 3
# A target that fills a large picture is looked at reduced to so many px, which its colours stand; no patch becomes smaller than this.
MOST_PX: Final = 64_000_000
LEAST_PATCH_PX: Final = 40


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
    around = _around(picture, target["patches"])
    most = _most_px(around, target["patches"])
    seen = pictures.pixels(picture, around, most, tell=lambda done, total, now: progress(0, 2))
    boxes = [_whole(patch["box"], seen) for patch in target["patches"]]
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


def _most_px(around: Sequence[float], patches: Any) -> int | None:
    """To how many px on its longest side the part is reduced; None where it is not so large, or its patches are too small for that."""
    reduced = max(
        math.sqrt(MOST_PX / (around[2] * around[3])), LEAST_PATCH_PX / min(side for patch in patches for side in patch["box"][2:])
    )
    return None if reduced >= 1 else max(math.floor(max(around[2:]) * reduced), 1)


def _whole(box: Any, seen: pictures.Pixels) -> tuple[int, int, int, int]:
    """A box in whole px that lie in it, told from the part that is at hand."""
    found = []
    for axis, most in ((0, seen.array.shape[1]), (1, seen.array.shape[0])):
        first = round((box[axis] - seen.box[axis]) * seen.scale)
        last = min(round((box[axis] + box[axis + 2] - seen.box[axis]) * seen.scale), most)
        found.append((min(first, most - 1), max(last - first, 1)))
    (left, wide), (top, high) = found
    return left, top, wide, high
