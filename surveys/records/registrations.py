"""Writes of registrations: how one picture of a section lies on another. They are found by a job, and lines are read anew by them."""

from typing import Any, Final

from surveys import access
from surveys.errors import Fault, Invalid
from surveys.models import Attachment, Person, Project, Registration
from surveys.records import lines
from surveys.records.computed import InputChanged
from surveys.records.writing import writing
from surveys.selectors import lines as reading

MICROGRAPHS: Final = (reading.VISIBLE, reading.UV)


def pair(actor: Person, project: Project, fixed_id: Any, moving_id: Any) -> tuple[Attachment, Attachment]:
    """Two pictures that may lie on each other; refused in words where they are not two micrographs of one sample."""
    fixed, moving = (access.get(actor, project, Attachment, one) for one in (fixed_id, moving_id))
    _refuse(fixed, moving)
    return fixed, moving


def _refuse(fixed: Attachment, moving: Attachment) -> None:
    text, field = "", "moving"
    for name, picture in (("fixed", fixed), ("moving", moving)):
        if picture.kind not in MICROGRAPHS:
            text, field = f"Attachment {picture.number} is a {picture.kind}; only micrographs are laid on each other.", name
        elif picture.prepared == "refused":
            text, field = f"Attachment {picture.number} could not be opened: {picture.refusal}", name
    if fixed.pk == moving.pk:
        text = f"Attachment {fixed.number} is both pictures. Name two."
    elif not text:
        samples = {reading.sample_of(picture) for picture in (fixed, moving)}
        if len(samples) != 1 or None in samples:
            text = f"Attachments {fixed.number} and {moving.number} do not show the same sample."
    if text:
        raise Invalid(text, faults=(Fault(field, "not-a-pair", text),))


def store(actor: Person, project: Project, fixed_id: Any, moving_id: Any, digests: tuple[str, str], values: dict[str, Any]) -> Registration:
    """Keep how a picture lies on another, in place of what stood; InputChanged if one of them is another file now."""
    with writing(actor, project, reason="Pictures laid on each other.") as pen:
        fixed, moving = pair(actor, pen.project, fixed_id, moving_id)
        if (fixed.upload.sha256, moving.upload.sha256) != digests:
            raise InputChanged("One of the pictures was changed meanwhile.")
        found = Registration.objects.filter(fixed=fixed, moving=moving).select_related("fixed", "moving").first()
        if found is None:
            found = Registration(project=pen.project, fixed=fixed, moving=moving, **values)
            pen.create([found])
        else:
            pen.change(found, values)
        lines.again(pen, [fixed.pk])
        return found
