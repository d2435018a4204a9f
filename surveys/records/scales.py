"""The scale and the colour target of a picture: how what a person drew or named becomes the record, and what is made anew by it.

A scale is known in one way: by a line on a stage micrometer, by one of the project's microscopes, or because somebody states it.
Which way is never set by hand (`scale_by`); it follows from what was sent.
"""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from analysis.core import targets
from surveys.errors import Fault, Invalid
from surveys.models import Attachment, Microscope, Person, Project
from surveys.records import lines
from surveys.records.computed import InputChanged
from surveys.records.writing import Pen, refuse, writing

JOB: Final = "picture-colour"
SCALE: Final = ("scale_line", "microscope", "um_per_pixel")
COLOUR: Final = ("colour_target", "colour_from")
# What may come of one of these.
FOLLOWS: Final = (*SCALE, *COLOUR, "scale_by", "magnification", "correction")
# Where these change, lines on the picture are read again; a line drawn anew may give the same number and be surer of it.
READ_BY: Final = frozenset({"um_per_pixel", "scale_by", "scale_line", "correction", "colour_from"})
DOCUMENT: Final = "document"
# Of a scale that is told beside the line or the microscope from which it follows, as when a former value is put back.
SAME: Final = 1e-6


def settle(pen: Pen, record: Attachment, values: Mapping[str, Any], row: int | None = None) -> dict[str, Any]:
    """The values to write for what was sent: with what follows from a scale or a target, refused in words where it cannot be.

    `record` is as it stands (a new one: as it will be); `pen` is asked nothing yet.
    """
    told = dict(values)
    kind = told.get("kind", record.kind)
    faults = [
        Fault(name, "no-picture", "A document has no scale and no colours to be read.", row)
        for name in (*SCALE, *COLOUR)
        if kind == DOCUMENT and told.get(name) is not None
    ]
    refuse(faults)
    told |= _scale(record, told, row)
    told |= _colour(record, told, row)
    return told


def afterwards(pen: Pen, changed: Mapping[Any, Iterable[str]]) -> None:
    """Ask for what follows from changes of pictures (by id, the fields that changed): corrections to estimate, lines to read again."""
    for pk, fields in changed.items():
        if "colour_target" in set(fields) and Attachment.objects.filter(pk=pk, colour_target__isnull=False).exists():
            pen.want(JOB, {"attachment": str(pk)})
    lines.again(pen, [pk for pk, fields in changed.items() if READ_BY & set(fields)])


def size_known(pen: Pen, picture: Attachment) -> None:
    """The width of a picture has become known: the scale of its microscope holds for pictures of another width, perhaps."""
    if picture.scale_by == "microscope" and picture.microscope is not None:
        try:
            now = _from_microscope(picture.microscope, picture.width, None)
        except Invalid as refusal:
            _no_scale(pen, picture, refusal.detail)
            return
        if picture.um_per_pixel is None or abs(now - picture.um_per_pixel) > SAME * now:
            pen.change(picture, {"um_per_pixel": now})
            lines.again(pen, [picture.pk])


def _no_scale(pen: Pen, picture: Attachment, why: str) -> None:
    """A slip in what is told of a microscope costs a picture its scale, and not that it is shown."""
    told = f"{picture.microscope} gave it no scale when it was made ready. {why}"
    pen.change(picture, {"um_per_pixel": None, "scale_by": "", "microscope": None})
    pen.mark(picture, shown={**picture.shown, "remarks": [*picture.shown.get("remarks", []), told]})
    lines.again(pen, [picture.pk])


# -- scale ------------------------------------------------------------------------------------------------------------------------


def _scale(record: Attachment, told: Mapping[str, Any], row: int | None) -> dict[str, Any]:
    sent = [name for name in SCALE if told.get(name) is not None]
    if not any(name in told for name in SCALE):
        return {}
    if not sent:
        # Cleared: the scale itself, or that from which it follows.
        source = {"stage micrometer": "scale_line", "microscope": "microscope"}.get(record.scale_by, "um_per_pixel")
        cleared = "um_per_pixel" in told or source in told
        return {"um_per_pixel": None, "scale_by": "", "scale_line": None, "microscope": None} if cleared else {}
    way = sent[0]
    if "scale_line" in sent and "microscope" in sent:
        text = "Say the scale in one way: by a line of known length, or by a microscope."
        raise Invalid(text, faults=(Fault("microscope", "twice", text, row),))
    found, more = _found(record, told, way, row)
    stated = told.get("um_per_pixel")
    if way != "um_per_pixel" and stated is not None and abs(stated - found) > SAME * found:
        text = f"The {'line' if way == 'scale_line' else 'microscope'} gives {found:.4g} µm a pixel, not {stated:.4g}. Say it in one way."
        raise Invalid(text, faults=(Fault("um_per_pixel", "twice", text, row),))
    by = {"scale_line": "stage micrometer", "microscope": "microscope", "um_per_pixel": "stated"}[way]
    kept = {name: told[name] if name == way else None for name in ("scale_line", "microscope")}
    return {**kept, "um_per_pixel": found, "scale_by": by, **more}


def _found(record: Attachment, told: Mapping[str, Any], way: str, row: int | None) -> tuple[float, dict[str, Any]]:
    """µm a pixel, and what else follows; the kernels' refusal as a fault of the field."""
    from analysis.core.micrographs import MicrographRefused, scale_as_stated, scale_from_line

    try:
        if way == "scale_line":
            _refuse_outside(record, told[way]["points"], row)
            return scale_from_line(told[way]["points"], told[way]["length_um"]).um_per_px, {}
        if way == "um_per_pixel":
            return scale_as_stated(told[way]).um_per_px, {}
        microscope = told[way]
        named = {} if told.get("magnification", record.magnification) else {"magnification": microscope.magnification}
        return _from_microscope(microscope, record.width, row), named
    except MicrographRefused as refusal:
        raise Invalid(str(refusal), faults=(Fault(way, "refused", str(refusal), row),)) from None


def _refuse_outside(record: Attachment, points: Any, row: int | None) -> None:
    """A line that leaves the picture was drawn on another, or in another size of it."""
    if record.width and record.height and not all(0 <= x <= record.width and 0 <= y <= record.height for x, y in points):
        text = f"The line of known length leaves the picture, which is {record.width:,} × {record.height:,} px. Draw it on this picture."
        raise Invalid(text, faults=(Fault("scale_line", "outside", text, row),))


def _from_microscope(microscope: Microscope, width: int | None, row: int | None) -> float:
    """µm a pixel of a picture so wide; where the width is not known yet, as if it were that for which it was measured."""
    from analysis.core.micrographs import MicrographRefused, scale_from_microscope

    measured = microscope.picture_width if width else None
    try:
        return scale_from_microscope(microscope.um_per_pixel, width or 1, measured).um_per_px
    except MicrographRefused as refusal:
        raise Invalid(str(refusal), faults=(Fault("microscope", "refused", str(refusal), row),)) from None


# -- colour -----------------------------------------------------------------------------------------------------------------------


def _colour(record: Attachment, told: Mapping[str, Any], row: int | None) -> dict[str, Any]:
    if not any(name in told for name in COLOUR):
        return {}
    target, other = told.get("colour_target"), told.get("colour_from")
    if target is not None and other is not None:
        text = "Colours come from a target in this picture or from another picture, not from both."
        raise Invalid(text, faults=(Fault("colour_from", "twice", text, row),))
    if target is not None:
        return _by_target(record, target, row)
    if other is not None:
        _refuse_other(record, other, row)
        return {"colour_target": None, "correction": None}
    if "colour_target" in told and record.colour_target is not None:
        return {"correction": None}
    return {}


def _by_target(record: Attachment, target: Mapping[str, Any], row: int | None) -> dict[str, Any]:
    labs = targets.patch_labs(target["target"], target["patches"])
    if isinstance(labs, str):
        raise Invalid(labs, faults=(Fault("colour_target", "unknown-patch", labs, row),))
    if record.width and record.height:
        for (name, _), patch in zip(labs, target["patches"], strict=True):
            x, y, wide, high = patch["box"]
            if x < 0 or y < 0 or x + wide > record.width or y + high > record.height:
                text = f"Patch '{name}' lies partly outside the picture ({record.width:,} × {record.height:,} px)."
                raise Invalid(text, faults=(Fault("colour_target", "outside", text, row),))
    # What was estimated by another target holds no longer.
    same = target == record.colour_target
    return {"colour_from": None} if same else {"colour_from": None, "correction": None}


def _refuse_other(record: Attachment, other: Attachment, row: int | None) -> None:
    text = ""
    if other.pk == record.pk:
        text = "A picture cannot take its colours from itself. Mark the target in it."
    elif other.colour_target is None:
        text = f"Attachment {other.number} has no colour target of its own. Choose the picture in which the target was photographed."
    elif Attachment.objects.filter(colour_from=record.pk).exists():
        text = "Other pictures take their colours from this one, so it needs the target itself."
    if text:
        raise Invalid(text, faults=(Fault("colour_from", "no-target", text, row),))


def store_correction(
    actor: Person, project: Project, picture_id: Any, sha256: str, target: Any, correction: Mapping[str, Any]
) -> Attachment:
    """Keep the correction that was estimated from a target, if file and target still are those; InputChanged otherwise."""
    with writing(actor, project, reason="Colours measured by the target.") as pen:
        picture = Attachment.objects.filter(project=pen.project, pk=picture_id).select_related("upload").first()
        if picture is None or picture.upload.sha256 != sha256 or picture.colour_target != target:
            raise InputChanged("The picture or its target was changed meanwhile.")
        if pen.change(picture, {"correction": dict(correction)}):
            lines.again(pen, [picture.pk])
        return picture
