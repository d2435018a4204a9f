"""Pictures and documents as they are listed and shown."""

from typing import Any, Final
from uuid import UUID

from django.db.models import Case, CharField, F, Q, QuerySet, Value, When
from django.db.models.functions import Concat

from surveys.models import Attachment, Layer, Microscope, Project
from surveys.selectors import lines, talk

DOCUMENT: Final = "document"
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
    for row in rows:
        shown, own, other = row.pop("shown"), row.pop("correction"), row.pop("correction_of_other")
        row["colour_state"], row["colour_residual"] = colours(row["kind"], own or other)
        row["remarks"] = list(shown.get("remarks", []))
        here = f"/api/v1/projects/{project.code}/attachments/{row['id']}"
        ready = row["prepared"] == "ready" and "folder" in shown
        row["pictures"] = {name: f"{here}/{name}" if ready else None for name in ("thumbnail", "tiles")}
    return rows


def colours(kind: str, correction: Any) -> tuple[str, Any]:
    """('calibrated' or 'white-balanced', what is left of error), ('uncalibrated', None), or ('', None) for what is no picture."""
    if kind == DOCUMENT:
        return "", None
    if not correction:
        return "uncalibrated", None
    left = {short: correction.get(name) for short, name in LEFT.items()}
    return lines.colour_state(correction), {name: value for name, value in left.items() if value is not None}
