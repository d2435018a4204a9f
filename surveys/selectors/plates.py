"""What a plate of a section shows, as it stands on record: its pictures, the line across it, and the layers that were taken over."""

from dataclasses import dataclass
from typing import Any

from surveys.errors import Invalid, NotFound
from surveys.models import Attachment, Layer, Measurement, Project, Registration, Sample, Traverse
from surveys.rules import is_id
from surveys.selectors import lines, proposals
from surveys.selectors.facts import digest_of
from surveys.selectors.pictures import of_sample


@dataclass(frozen=True, slots=True)
class Shown:
    """The pictures of a plate, the line across the section, and the layers along it from the substrate up.

    Each of `layers` has from_px and to_px along the line, and the standing layer as which it was accepted, or None.
    """

    sample: Sample
    visible: Attachment
    registration: Registration | None
    line: Traverse | None
    layers: tuple[tuple[dict[str, Any], Layer | None], ...]


def sample_named(project: Project, sample_id: str) -> Sample:
    """A sample of the project by its id."""
    query = Sample.objects.filter(project=project, pk=sample_id) if is_id(sample_id) else Sample.objects.none()
    found = query.select_related("element__space").first()
    if found is None:
        raise NotFound(f"There is no such sample in {project.code}.")
    return found


def shown(sample: Sample, visible: str | None = None, uv: str | None = None, traverse: str | None = None) -> Shown:
    """What a plate of a sample shows: what is named, else the line with most accepted layers and the pictures that go with it."""
    line = _line(sample, traverse, visible)
    picture = line.attachment if line is not None else _visible(sample, visible)
    registration = _registration(picture, uv)
    layers: list[tuple[dict[str, Any], Layer | None]] = []
    if line is not None and line.reading is not None:
        measured = Measurement.objects.filter(traverse=line).order_by("from_px")
        found = lines.with_accepted(line.reading["layers"], measured)
        by_id = {one.pk: one for one in Layer.objects.filter(sample=sample).select_related("generation")}
        layers = [(one, by_id.get(one["accepted"])) for one in found if not one["end"]]
    return Shown(sample, picture, registration, line, tuple(layers))


def _line(sample: Sample, traverse: str | None, visible: str | None) -> Traverse | None:
    drawn = Traverse.objects.filter(sample=sample).select_related("attachment__upload", "attachment__colour_from").order_by("number")
    if traverse is not None:
        found = drawn.filter(pk=traverse).first() if is_id(traverse) else None
        if found is None:
            raise NotFound(f"Sample {sample} has no such line.")
        if visible is not None and str(found.attachment_id) != visible.lower():
            raise Invalid(f"Line {found.number} is not on that picture. Name one of the two.")
        if not proposals.is_read(found):
            raise Invalid(f"Line {found.number} has not been read, so it shows no layers.")
        return found
    read = [one for one in drawn if proposals.is_read(one) and (visible is None or str(one.attachment_id) == visible.lower())]
    measured = list(Measurement.objects.filter(traverse__in=[one.pk for one in read]).values_list("traverse", flat=True))
    return max(read, key=lambda one: (measured.count(one.pk), -one.number), default=None)


def _visible(sample: Sample, visible: str | None) -> Attachment:
    pictures = Attachment.objects.filter(of_sample(sample.pk), project=sample.project_id, kind=lines.VISIBLE, prepared="ready")
    pictures = pictures.select_related("upload", "colour_from")
    if visible is not None:
        found = pictures.filter(pk=visible).first() if is_id(visible) else None
        text = f"Sample {sample} has no such visible micrograph that is ready to be shown."
    else:
        found = pictures.order_by("-number").first()
        text = f"Sample {sample} has no visible micrograph that is ready to be shown. Bring one first."
    if found is None:
        raise NotFound(text)
    return found


def _registration(picture: Attachment, uv: str | None) -> Registration | None:
    if uv is None:
        return lines.registered_uv(picture)
    query = Registration.objects.filter(fixed=picture, moving__pk=uv) if is_id(uv) else Registration.objects.none()
    found = query.select_related("moving__upload", "moving__colour_from").first()
    if found is None:
        raise NotFound("That UV picture is not laid on the visible one yet. Lay it on it first.")
    return found


def plates_digest(project: Project) -> str:
    """By what it is known that the pictures, lines and measurements of a project are what they were."""
    kinds = (
        (Attachment, ("pk", "version", "um_per_pixel", "prepared", "correction__status", "correction__mean_left_out", "upload__sha256")),
        (Registration, ("pk", "version")),
        (Traverse, ("pk", "version", "read_digest")),
        (Measurement, ("pk", "version")),
    )
    queries = [kind._default_manager.filter(project=project).order_by("pk").values_list(*names) for kind, names in kinds]
    return digest_of([[list(map(str, row)) for row in query] for query in queries])


def samples_with_plates(project: Project) -> list[Sample]:
    """The samples of a project of which there is a visible micrograph that can be shown, in the order of the register."""
    about = Attachment.objects.filter(project=project, kind=lines.VISIBLE, prepared="ready")
    pairs = list(about.values_list("about_type", "about_id"))
    of_layers = Layer.objects.filter(project=project, pk__in=[pk for kind, pk in pairs if kind == "layer"]).values_list("sample", flat=True)
    ids = {pk for kind, pk in pairs if kind == "sample"} | set(of_layers)
    found = Sample.objects.filter(project=project, pk__in=ids).select_related("element__space")
    return list(found.order_by("element__space__sort_key", "element__space__number", "number"))


def measured(project: Project) -> dict[Any, list[dict[str, Any]]]:
    """What was accepted from lines, by sample, from the substrate up."""
    found: dict[Any, list[dict[str, Any]]] = {}
    query = Measurement.objects.filter(project=project).select_related("layer__sample", "layer__generation", "traverse")
    for one in query.order_by("layer__sample__number", "layer__position", "traverse__number"):
        found.setdefault(one.layer.sample_id, []).append(
            {
                "layer": str(one.layer),
                "line": one.traverse.number,
                "generation": one.layer.generation.ordinal if one.layer.generation else None,
                **{name: getattr(one, name) for name in ("thickness_um", "thickness_error_um", "boundary_um", "confidence")},
                "lab": None if one.lab_l is None else (one.lab_l, one.lab_a, one.lab_b),
                "spread": one.lab_spread,
                **{name: getattr(one, name) for name in ("colour_calibrated", "uv_colour", "uv_strength")},
            }
        )
    return found
