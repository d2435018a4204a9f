"""Laying one picture of a section on another of it, taken in other light."""

from collections.abc import Callable, Iterable
from typing import Any, Final

import numpy as np

from surveys import access, pictures, records
from surveys.errors import Conflict, Invalid
from surveys.jobs import Progress
from surveys.models import Attachment, Job, Registration
from surveys.selectors import lines

# A larger picture is looked at reduced to this: its matrix is as sure, for it follows from hundreds of places.
MOST_PX: Final = 8_000
TRY_POINTS: Final = "Mark three or more places that you recognise in both pictures, and lay them on each other by these."


def register(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """Find how the moving picture lies on the fixed one (or take it from places that a person named), and keep it."""
    from analysis.core.micrographs import MicrographRefused
    from surveys.work.micrographs import cornered, finite

    access.require(job.created_by, job.project, access.WRITE)
    points = job.params.get("points") or []
    fixed, moving = records.pictures_of_one_sample(job.created_by, job.project, job.params["fixed"], job.params["moving"])
    progress(0, 3, "Opening the pictures")
    try:
        found, matrix, px = _by_points(fixed, moving, points) if points else _by_themselves(fixed, moving, progress)
    except MicrographRefused as refusal:
        raise Invalid(f"{refusal} {'' if points else TRY_POINTS}".strip(), code="not-registered") from None
    kept = cornered(matrix)
    if not finite(kept) or abs(float(np.linalg.det(kept))) < 1e-9:
        raise Invalid(f"These places tell of no way to lay one picture on the other. {TRY_POINTS}", code="not-registered")
    if not found.reliable:
        _refuse_doubtful(fixed, moving, found.sentence, by_hand=bool(points))
    values = {
        "method": found.method,
        "matrix": [[float(one) for one in row] for row in kept],
        "points": points,
        "residual_px": float(found.median_px) * px,
        "inliers": int(found.inliers),
    }
    digests = (fixed.upload.sha256, moving.upload.sha256)
    stored = records.store_registration(job.created_by, job.project, fixed.pk, moving.pk, digests, values)
    progress(3, 3)
    told = {"registration": str(stored.pk), **{name: values[name] for name in ("method", "residual_px", "inliers")}}
    return {**told, "p95_px": found.p95_px * px, "reliable": found.reliable, "sentence": found.sentence}, []


def _refuse_doubtful(fixed: Attachment, moving: Attachment, sentence: str, *, by_hand: bool) -> None:
    """What cannot be relied on is kept where a person named the places and nothing better stands; it is said wherever it shows."""
    if not by_hand:
        raise Invalid(f"{sentence} {TRY_POINTS}", code="not-registered")
    standing = Registration.objects.filter(fixed=fixed, moving=moving).first()
    if standing is not None and not lines.doubt(standing):
        how = "places that a person named" if standing.method == "points" else standing.method
        stays = (
            f"The pictures stay as they lie, by {how} with a residual of {standing.residual_px:.1f} px. Remove that first to lay them so."
        )
        raise Invalid(f"{sentence} {stays}", code="not-registered")


def _by_points(fixed: Attachment, moving: Attachment, points: Any) -> tuple[Any, Any, float]:
    """The registration by places that a person named, its matrix, and px of the fixed picture for one of its px."""
    from analysis.core.micrographs import register_points
    from surveys.work.micrographs import MIDDLE

    if not fixed.width or not fixed.height:
        raise Conflict(f"Attachment {fixed.number} is not ready to be shown yet. Wait until it is.", code="not-ready")
    for number, pair in enumerate(points, start=1):
        _refuse_outside(number, zip(pair, (moving, fixed), strict=True))
    pairs = [tuple((x - MIDDLE, y - MIDDLE) for x, y in pair) for pair in points]
    found = register_points(pairs, (fixed.width, fixed.height))  # type: ignore[arg-type]
    return found, np.array(found.matrix), 1.0


def _refuse_outside(number: int, places: Iterable[tuple[Any, Attachment]]) -> None:
    for (x, y), picture in places:
        if picture.width and picture.height and not (0 <= x <= picture.width and 0 <= y <= picture.height):
            told = f"Pair {number} has a place outside attachment {picture.number}, which is {picture.width:,} × {picture.height:,} px"
            raise Invalid(f"{told}. The place in the moving picture comes first.", code="not-registered")


def _by_themselves(fixed: Attachment, moving: Attachment, progress: Progress) -> tuple[Any, Any, float]:
    """The registration of the pictures, reduced where they are large; its matrix in their own px, and how much they were reduced."""
    from analysis.core.micrographs import register as find
    from surveys.work.micrographs import Watched

    seen = []
    for number, picture in enumerate((fixed, moving), start=1):
        seen.append(pictures.pixels(picture, most_px=MOST_PX, tell=_alive(progress, number - 1)))
        progress(number, 3, "Looking for what both show")
    found = find(*(Watched(one.array, lambda: progress(2, 3)) for one in seen))
    to_fixed, to_moving = (_reduced(one.scale) for one in seen)
    return found, np.linalg.inv(to_fixed) @ np.array(found.matrix) @ to_moving, 1 / seen[0].scale


def _alive(progress: Progress, done: int) -> Callable[[int, int, str], object]:
    """What says, while a picture is opened, that the job goes on."""
    return lambda part, parts, now: progress(done, 3)


def _reduced(scale: float) -> Any:
    """From the middle of a pixel in a picture to that in the picture reduced by so much."""
    off = (scale - 1) / 2
    return np.array(((scale, 0.0, off), (0.0, scale, off), (0.0, 0.0, 1.0)))
