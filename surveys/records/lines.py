"""Writes of lines across sections: drawn, moved, read.

What was read along one is bookkeeping: it follows from its pictures, and is made anew whenever they change.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.db.models import Max, Q
from django.utils import timezone

from surveys.errors import Conflict, Fault, Invalid, NotFound
from surveys.models import Attachment, Change, Measurement, Person, Project, Registration, Sample, Traverse
from surveys.records.computed import InputChanged
from surveys.records.writing import Pen, refuse, writing
from surveys.selectors import lines, proposals

Rows = list[tuple[Any, dict[str, Any]]]
JOB: Final = "read-line"
# Where these change, what was read is of another line.
DRAWN: Final = frozenset({"path", "width_px"})


def write(pen: Pen, rows: Rows) -> None:
    """Draw lines, with their numbers, and change them; what must be read is asked for."""
    refuse([fault for place, (line, values) in enumerate(rows) for fault in _faults(line, values, place)])
    refuse(_faults_of_leading_elsewhere(rows))
    new = [line for line, _ in rows if line._state.adding]
    _give_samples(pen, new)
    _number(new)
    pen.create(new)
    fresh = {line.pk for line in new}
    changes = [(line, values) for line, values in rows if line.pk not in fresh]
    changed = pen.change_many(changes)
    wanted = list(new)
    for line, _ in changes:
        touched = set(changed.get(line.pk, ()))
        if touched & DRAWN:
            wanted.append(line)
        elif "boundaries" in touched:
            _bound(pen, line)
    _ask(pen, wanted)


def _faults(line: Traverse, values: Mapping[str, Any], place: int) -> Iterable[Fault]:
    if line._state.adding:
        return
    picture = values.get("attachment")
    if picture is not None and picture.pk != line.attachment_id:
        yield Fault("attachment", "fixed", "A line stays on its picture. Remove it here and draw it there.", place)
    moved = any(name in values and values[name] != getattr(line, name) for name in DRAWN)
    boundaries = values.get("boundaries")
    if not moved and boundaries is not None and boundaries != line.boundaries and not proposals.is_read(line):
        yield Fault("boundaries", "not-read", "This line is not read yet, so it has no boundaries to move. Wait until it is.", place)


def _faults_of_leading_elsewhere(rows: Rows) -> list[Fault]:
    """Boundaries and measurements are told along the path, so another path would put what people entered elsewhere, or lose it."""
    led = {
        line.pk: (place, line, values)
        for place, (line, values) in enumerate(rows)
        if not line._state.adding and "path" in values and values["path"] != line.path
    }
    measured = set(Measurement.objects.filter(traverse__in=list(led)).values_list("traverse", flat=True))
    found = []
    for pk, (place, line, values) in led.items():
        if pk in measured:
            text = "Layers were taken over from this line, and their places are told along it. Draw another line, and leave this one."
            found.append(Fault("path", "accepted", text, place))
        elif line.boundaries is not None and "boundaries" not in values:
            text = (
                "A person has placed the boundaries of this line, and on another path they would lie elsewhere. "
                "Have them as they were found first (boundaries: null), or draw another line."
            )
            found.append(Fault("path", "boundaries-placed", text, place))
    return found


def _give_samples(pen: Pen, new: Sequence[Traverse]) -> None:
    faults = []
    samples: dict[Any, Sample] = {}
    for place, line in enumerate(new):
        found = lines.sample_of(line.attachment)
        if found not in samples:
            samples |= {one.pk: one for one in Sample.objects.filter(project=pen.project, pk=found)}
        if found in samples:
            line.sample = samples[found]
        else:
            faults.append(Fault("attachment", "not-found", f"The sample that attachment {line.attachment.number} shows is gone.", place))
    refuse(faults)


def _number(new: Sequence[Traverse]) -> None:
    """Lines are numbered within their sample; the number of one that was removed is not used again."""
    highest: dict[Any, int] = {}
    for line in new:
        if line.sample_id not in highest:
            standing = Traverse.objects.filter(sample=line.sample_id).aggregate(highest=Max("number"))["highest"] or 0
            made = Change.objects.filter(
                project=line.project_id, record_type="traverse", action="created", fields__sample=[None, str(line.sample_id)]
            )
            highest[line.sample_id] = max(standing, made.count())
        highest[line.sample_id] += 1
        line.number = highest[line.sample_id]


def _ask(pen: Pen, wanted: Iterable[Traverse]) -> None:
    """What was read of these lines is of the past; they are read again."""
    for line in wanted:
        pen.mark(line, read_digest="")
        pen.want(JOB, {"traverse": str(line.pk)})


def again(pen: Pen, pictures: Iterable[Any]) -> None:
    """Read again the lines that rest on these pictures (ids), whose scale, colours or registration changed."""
    _ask(pen, lines.lines_resting_on(pictures))


def brought_back(pen: Pen, records: Sequence[Any]) -> None:
    """What came back is read again: lines, and those that rest on registrations."""
    _ask(pen, [one for one in records if isinstance(one, Traverse)])
    again(pen, [one.fixed_id for one in records if isinstance(one, Registration)])


def refuse_leaving(pictures: Iterable[tuple[int, Attachment]]) -> list[Fault]:
    """Faults of pictures, with their rows, whose lines or registrations would be of another sample or light than they were made for."""
    found = []
    for row, picture in pictures:
        drawn = Traverse.objects.filter(attachment=picture).select_related("sample").first()
        if drawn is not None and (picture.kind != lines.VISIBLE or lines.sample_of(picture) != drawn.sample_id):
            text = f"Lines are drawn on this picture ({drawn}), so it stays a {lines.VISIBLE} of that sample. Remove them first."
            found.append(Fault("about_id" if picture.kind == lines.VISIBLE else "kind", "cited", text, row))
            continue
        laid = Registration.objects.filter(Q(fixed=picture) | Q(moving=picture)).select_related("fixed", "moving").first()
        if laid is not None:
            was = laid.fixed if laid.fixed_id == picture.pk else laid.moving
            other = laid.moving if laid.fixed_id == picture.pk else laid.fixed
            if picture.kind != was.kind or lines.sample_of(picture) != lines.sample_of(was):
                text = (
                    f"It and attachment {other.number} are laid on each other, so it stays a {was.kind} of that sample. Remove that first."
                )
                found.append(Fault("kind" if picture.kind != was.kind else "about_id", "cited", text, row))
    return found


def _bound(pen: Pen, line: Traverse) -> None:
    """Put the layers between the boundaries as they now are; nothing is read for that."""
    from analysis.core.micrographs import MicrographRefused

    assert line.reading is not None
    try:
        again = proposals.kept(proposals.found_of(line), line.boundaries, line.reading["told"])
    except MicrographRefused as refusal:
        raise Invalid(str(refusal), faults=(Fault("boundaries", "refused", str(refusal)),)) from None
    pen.mark(line, reading={**again, "found": line.reading["found"]})


def store_reading(actor: Person, project: Project, traverse_id: Any, digest: str, reading: Any, refusal: str = "") -> Traverse:
    """Keep what was read along a line (or why it cannot be), if it was read from what now stands; InputChanged otherwise.

    A reading that says something else than the one before counts as a version of its own: what somebody saw at a version is one reading.
    """
    from analysis.core.micrographs import MicrographRefused

    with writing(actor, project, reason="Read.") as pen:
        line = lines.line(pen.project, traverse_id)
        if line is None:
            raise NotFound(f"The line was removed from {pen.project.code} while it was read.")
        registration = lines.registered_uv(line.attachment)
        if lines.line_digest(line, registration) != digest:
            raise InputChanged(f"{line} was changed while it was read.")
        beside = proposals.uv_beside(registration)
        if refusal:
            kept: dict[str, Any] = {"refusal": refusal, "layers": [], "told": {}, "found": None}
        else:
            try:
                kept = proposals.kept(reading, line.boundaries, beside)
            except MicrographRefused as misfit:
                # Where a person put them is no place on what was read now.
                lost = _set_aside(line, str(misfit))
                pen.change(line, {"boundaries": None})
                kept = proposals.kept(reading, None, beside, [lost])
        before = line.reading or {}
        same = all(before.get(name) == kept[name] for name in ("refusal", "layers", "told"))
        pen.mark(line, reading=kept, read_digest=digest, read_at=timezone.now(), version=line.version + (not same))
        return line


def _set_aside(line: Traverse, why: str) -> str:
    places = ", ".join(f"{place:g}" for place in line.boundaries or ())
    return (
        f"Boundaries that a person had placed, at {places} px, do not fit what was read now and were set aside; the history has them. {why}"
    )


def require_read(line: Traverse) -> None:
    """Refuse what needs a reading that is of the present."""
    if not line.read_digest:
        raise Conflict(f"{str(line).capitalize()} is being read just now. Wait until it is, and look again.", code="not-read")
    if line.reading is None or line.reading["refusal"]:
        told = line.reading["refusal"] if line.reading else ""
        raise Conflict(f"{str(line).capitalize()} could not be read: {told}", code="not-read")
