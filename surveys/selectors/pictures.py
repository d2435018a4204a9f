"""Pictures and documents as they are listed and shown."""

from collections.abc import Mapping, Sequence
from typing import Any, Final
from uuid import UUID

from django.db.models import Case, CharField, F, Q, QuerySet, Value, When
from django.db.models.functions import Concat

from surveys.models import Attachment, Layer, Microscope, Project
from surveys.pictures import pyramid
from surveys.selectors import lines, talk, unfinished

DOCUMENT: Final = "document"
# Of two scales in µm a pixel.
SAME: Final = 1e-6
# Of a correction: the CIEDE2000 of the target's patches, and of each by a correction that has not seen it.
LEFT: Final = {"mean": "mean_delta_e", "max": "max_delta_e", "left_out_mean": "mean_left_out", "left_out_max": "max_left_out"}


def microscopes(project: Project) -> QuerySet[Microscope]:
    """The microscopes of a project, one row a magnification."""
    return Microscope.objects.filter(project=project)


def attachments(project: Project) -> QuerySet[Attachment]:
    """The pictures and documents of a project, each with its microscope by name."""
    named = Concat(F("microscope__name"), Value(", "), F("microscope__magnification"), output_field=CharField())
    scope = Case(When(microscope__isnull=False, then=named), default=None, output_field=CharField())
    return Attachment.objects.filter(project=project).annotate(microscope_name=scope)


def of_sample(sample: UUID) -> Q:
    """That an attachment is about a sample or one of its layers."""
    layers = Layer.objects.filter(sample=sample).values("pk")
    return Q(about_type="sample", about_id=sample) | Q(about_type="layer", about_id__in=layers)


def complete(project: Project, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put in what is no column: what each is about by name, how its colours stand, where its sizes are to be had."""
    talk.with_names(project, rows)
    troubles = _troubles(project, rows)
    for row in rows:
        shown, own, other = row.pop("shown"), row.pop("correction"), row.pop("correction_of_other")
        row["colour_state"], row["colour_residual"] = colours(row["kind"], own or other)
        row["remarks"] = [*shown.get("remarks", []), *_rescaled(row, row.pop("microscope_um"), row.pop("microscope_width"))]
        here = f"/api/v1/projects/{project.code}/attachments/{row['id']}"
        ready = row["prepared"] == "ready" and "folder" in shown
        version = version_of(row["sha256"], shown)
        row["pictures"] = {name: f"{here}/{name}?version={version}" if ready else None for name in ("thumbnail", "tiles")}
        row["troubles"] = troubles.get(row["id"], [])
    return rows


def _rescaled(row: Mapping[str, Any], um: float | None, measured_width: int | None) -> list[str]:
    """That the scale of a picture's microscope has been put right since the picture was scaled by it, which nobody overwrites unasked."""
    if row["scale_by"] != "microscope" or um is None:
        return []
    # As `scale_from_microscope` of the kernels, which are not loaded for a list.
    now = um * measured_width / row["width"] if measured_width and row["width"] else um
    if abs(now - row["um_per_pixel"]) <= SAME * now:
        return []
    was = f"this picture was scaled by {row['um_per_pixel']:.4g}. Name the microscope again to take that over."
    return [f"Its microscope is now said to give {now:.4g} µm a pixel; {was}"]


def version_of(sha256: str, shown: Mapping[str, Any]) -> str:
    """By what a browser knows that what it keeps of a picture is what is shown now."""
    return pyramid.version_of(sha256, shown.get("pyramid", "1"))


def _troubles(project: Project, rows: Sequence[Mapping[str, Any]]) -> dict[Any, list[dict[str, str]]]:
    """By id, what should have been made of a picture and was not: the kind of job that is to be asked for again, and why."""
    waiting = [(unfinished.PICTURE, row) for row in rows if row["prepared"] == "waiting"]
    waiting += [(unfinished.COLOURS, row) for row in rows if _awaits_colours(row)]
    told = unfinished.troubles(project, [(kind, row["id"], row["created_at"]) for kind, row in waiting])
    found: dict[Any, list[dict[str, str]]] = {}
    for kind, row in waiting:
        if (kind, str(row["id"])) in told:
            found.setdefault(row["id"], []).append({"kind": kind, "sentence": told[kind, str(row["id"])]})
    return found


def _awaits_colours(row: Mapping[str, Any]) -> bool:
    return bool(row["colour_target"]) and not row["correction"] and row["prepared"] != "refused"


def waits_for(picture: Attachment) -> str:
    """Why a picture that waits is not made ready; '' where it is under way."""
    return next(iter(unfinished.troubles(picture.project, [(unfinished.PICTURE, picture.pk, picture.created_at)]).values()), "")


def colours(kind: str, correction: Any) -> tuple[str, Any]:
    """('calibrated' or 'white-balanced', what is left of error), ('uncalibrated', None), or ('', None) for what is no picture."""
    if kind == DOCUMENT:
        return "", None
    if not correction:
        return "uncalibrated", None
    left = {short: correction.get(name) for short, name in LEFT.items()}
    return lines.colour_state(correction), {name: value for name, value in left.items() if value is not None}
