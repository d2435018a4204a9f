"""Writes of pictures and documents on records. The file stays as it came; what is shown of it is bookkeeping, made from it by a job."""

import copy
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Final

from django.core.files.storage import default_storage

from surveys import pictures
from surveys.errors import Conflict, Fault, Invalid, NotFound
from surveys.models import Attachment, Person, Project, Upload
from surveys.pictures.sniffing import HEAD
from surveys.records import lines, scales
from surveys.records.writing import Pen, refuse, writing
from surveys.selectors import abouts

Rows = list[tuple[Attachment, dict[str, Any]]]
JOB: Final = "picture"
DOCUMENT: Final = "document"
WAITING, READY, REFUSED = "waiting", "ready", "refused"


def write(pen: Pen, rows: Rows) -> None:
    """Attach files, with their numbers, and change what is said of them; what must be made of new ones is asked for."""
    new = [record for record, _ in rows if record._state.adding]
    for place, (record, values) in enumerate(rows):
        _settle(pen, record, values, place)
    refuse([*_faults(pen, rows), *lines.refuse_leaving(list(_moving(rows)))])
    pen.number(new)
    pen.create(new)
    fresh = {record.pk for record in new}
    changed = pen.change_many([(record, values) for record, values in rows if record.pk not in fresh])
    ask(pen, new)
    scales.afterwards(pen, {**changed, **{record.pk: ["colour_target"] for record in new if record.colour_target}})


def ask(pen: Pen, records: Sequence[Attachment]) -> None:
    """Have made what is to be shown of pictures that wait for it; documents of other kinds are shown by nobody."""
    for record in records:
        if record.prepared == WAITING:
            pen.want(JOB, {"attachment": str(record.pk)})


def brought_back(pen: Pen, records: Sequence[Any]) -> None:
    """What came back from a removal or from an archive is made ready again: nothing that was made of it is kept."""
    for record in records:
        if isinstance(record, Attachment):
            pen.mark(record, prepared=WAITING if record.content_type in pictures.PICTURES else READY, refusal="", shown={})
            ask(pen, [record])


def _settle(pen: Pen, record: Attachment, values: dict[str, Any], place: int) -> None:
    """What a file is follows from its content; what a scale or a target brings along is put beside it."""
    if record._state.adding:
        record.content_type = content_type(record.kind, record.upload, place)
        record.prepared = WAITING if record.content_type in pictures.PICTURES else READY
    settled = scales.settle(pen, record, values, place)
    values.clear()
    values.update(settled)
    for name in scales.FOLLOWS if record._state.adding else ():
        if name in values:
            setattr(record, name, values[name])


def _moving(rows: Rows) -> Iterator[tuple[int, Attachment]]:
    """Standing pictures that come to be about something else, or of another kind, as they will be."""
    for place, (record, values) in enumerate(rows):
        told = {name: values[name] for name in ("kind", "about_type", "about_id") if name in values}
        if not record._state.adding and any(value != getattr(record, name) for name, value in told.items()):
            would_be = copy.copy(record)
            for name, value in told.items():
                setattr(would_be, name, value)
            yield place, would_be


def content_type(kind: str, upload: Upload, place: int | None = None) -> str:
    """The media type of a file by its first bytes, if it may be attached as such a kind."""
    name = upload.file.name or ""
    if not default_storage.exists(name):
        text = f"The file {upload.name} is missing from where it is kept. Bring it again."
        raise Invalid(text, faults=(Fault("upload", "missing", text, place),))
    with default_storage.open(name) as kept:
        head = kept.read(HEAD)
    allowed = pictures.DOCUMENTS if kind == DOCUMENT else pictures.PICTURES
    try:
        return pictures.refuse_unless(allowed, upload.name, upload.size, head)
    except Invalid as refusal:
        raise Invalid(refusal.detail, code=refusal.code, faults=(Fault("upload", refusal.code, refusal.detail, place),)) from None


def _faults(pen: Pen, rows: Rows) -> list[Fault]:
    faults = []
    wanted = [(values.get("about_type", record.about_type), values.get("about_id", record.about_id)) for record, values in rows]
    there = abouts.records(pen.project, wanted)
    for place, ((record, values), about) in enumerate(zip(rows, wanted, strict=True)):
        if about not in there:
            faults.append(Fault("about_id", "not-found", f"There is no such {about[0]} in {pen.project.code}.", place))
        if record._state.adding:
            continue
        if "upload" in values and values["upload"].pk != record.upload_id:
            text = "The file of an attachment stays as it came. Attach the other file, and remove this one."
            faults.append(Fault("upload", "fixed", text, place))
        if values.get("kind", DOCUMENT) != DOCUMENT and record.content_type not in pictures.PICTURES:
            text = f"This file is no picture ({record.content_type}), so it can only be a document."
            faults.append(Fault("kind", "no-picture", text, place))
    return faults


# -- what the job found -------------------------------------------------------------------------------------------------------------


def ready(
    actor: Person, project: Project, attachment: Attachment, made: Mapping[str, Any], conclude: Callable[[], None] = lambda: None
) -> Mapping[str, Any]:
    """Note what was made of a picture; answer what was shown of it before. Refused if the picture has been removed meanwhile."""
    with writing(actor, project) as pen:
        found = _standing(pen, attachment)
        before = dict(found.shown)
        pen.mark(found, prepared=READY, refusal="", **made)
        scales.size_known(pen, found)
        conclude()
        return before


def refused(actor: Person, project: Project, attachment: Attachment, why: str) -> None:
    """Note that a picture cannot be opened, and why. The file itself stays, and can be fetched."""
    with writing(actor, project) as pen:
        pen.mark(_standing(pen, attachment), prepared=REFUSED, refusal=why[:400], shown={})


def _standing(pen: Pen, attachment: Attachment) -> Attachment:
    found = Attachment.objects.filter(project=pen.project, pk=attachment.pk).first()
    if found is None:
        raise NotFound(f"Attachment {attachment.number} was removed meanwhile.")
    if found.upload_id != attachment.upload_id:
        raise Conflict(f"Attachment {attachment.number} has another file now. Have it made ready again.")
    return found
