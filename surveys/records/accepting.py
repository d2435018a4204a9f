"""Taking over into the stratigraphy what was read along a line: layer by layer, each as a person says, all as one act.

A reading makes a new layer, stands beside a standing one as a measurement, or takes the place of fields of a standing one that the person
named, at the version that he saw. Whatever it does, a measurement points from the layer back to the line and its picture.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from surveys import access
from surveys.errors import Conflict, Fault, Invalid, NotFound, Stale, VersionMissing
from surveys.models import Layer, Measurement, Person, Project, Sample, Traverse
from surveys.records import editing, lines
from surveys.records.editing import Operation
from surveys.records.writing import Pen, refuse, writing
from surveys.selectors.lines import with_accepted

NEW, BESIDE, REPLACE = DEEDS = ("new", "beside", "replace")
# What of a layer a reading may say.
FIELDS: Final = ("thickness_um", "lab", "munsell", "uv_colour", "uv_strength", "lower_boundary")
# What a new layer takes over unasked: the boundary is a hint, for the eye to tell.
UNASKED: Final = ("thickness_um", "lab", "munsell", "uv_colour", "uv_strength")
COLOURS: Final = frozenset({"lab", "munsell"})
UNKNOWN_KIND: Final = "unknown"
MEANWHILE: Final = (
    "Somebody else changed the layers of this sample meanwhile. Look at them as they stand now; nothing was taken into the record yet."
)


@dataclass(frozen=True, slots=True)
class Row:
    """What becomes of one layer of a line (`index`, 1 next to the substrate)."""

    index: int
    deed: str
    position: int | None = None
    layer: str | None = None
    layer_version: int | None = None
    fields: tuple[str, ...] | None = None
    kind: str | None = None


@dataclass(frozen=True, slots=True)
class Accepted:
    """The layers as they now stand, and their measurements, in the order of the rows from the substrate up."""

    layers: Sequence[Layer]
    measurements: Sequence[Measurement]


def accept(
    actor: Person,
    project: Project,
    sample_id: Any,
    traverse_id: Any,
    version: int | None,
    rows: Sequence[Row],
    kind: str | None = None,
    standing: Sequence[str] | None = None,
) -> Accepted:
    """Take over layers of a line as the rows say; one fault, and nothing is done.

    `version` is that of the line as the person saw it: Stale, if it was moved or read anew since. `kind` is that of new layers whose row
    names none; without it they are of unknown kind. `standing` is the stack as the person saw it, ids from the substrate up: where
    another stands by now (a colleague took over another line of the section), a Conflict says so instead of making it twice.
    """
    sample = access.get(actor, project, Sample, sample_id)
    with writing(actor, project, reason="Taken over from a line on a picture.") as pen:
        line: Traverse = pen.find(Traverse, traverse_id, version)
        if line.sample_id != sample.pk:
            raise NotFound(f"{str(line).capitalize()} is not of sample {sample}.")
        lines.require_read(line)
        assert line.reading is not None
        read = {layer["index"]: layer for layer in line.reading["layers"] if not layer["end"]}
        calibrated = line.reading["told"]["colour_state"] != "uncalibrated"
        ordered = sorted(rows, key=lambda one: one.index)
        order = list(Layer.objects.filter(sample=sample).select_related("sample").order_by("position"))
        found = {str(layer.pk): layer for layer in order}
        if standing is not None and list(found) != [one.lower() for one in standing]:
            raise Conflict(MEANWHILE, code="layers-changed")
        taken = _taken(line)
        refuse([fault for row in ordered for fault in _faults(row, ordered, read, found, calibrated, taken)])
        _refuse_stale(ordered, found)
        operations = _operations(sample, ordered, read, order, calibrated, kind)
        done = iter(editing.apply(pen, Layer, operations))
        layers = [found[_key(row)] if row.deed == BESIDE else next(done).record for row in ordered]
        by_id = {layer.pk: layer for layer in Layer.objects.filter(sample=sample).select_related("sample")}
        layers = [by_id[layer.pk] for layer in layers]
        _refuse_disorder(ordered, layers)
        _forget_former(pen, line, [taken.get(row.index) for row in ordered], layers)
        return Accepted(layers, _measure(pen, line, [(read[row.index], layer) for row, layer in zip(ordered, layers, strict=True)]))


def _taken(line: Traverse) -> dict[int, Any]:
    """The layers of a line that were taken over before, by index, each with the id of the layer that it became."""
    assert line.reading is not None
    shown = with_accepted(line.reading["layers"], Measurement.objects.filter(traverse=line).order_by("from_px"))
    return {one["index"]: one["accepted"] for one in shown if one["accepted"]}


def _key(row: Row) -> str:
    return str(row.layer).lower()


def _faults(
    row: Row, rows: Sequence[Row], read: Mapping[int, Any], standing: Mapping[str, Layer], calibrated: bool, taken: Mapping[int, Any]
) -> list[Fault]:
    """What is wrong with one row; the sentence names the layer of the line."""
    told = f"Layer {row.index} of the line"
    found: list[tuple[str, str]] = []
    if row.index not in read:
        found.append(("not-found", f"The line shows no layer {row.index}; it shows {len(read)}."))
    if [one.index for one in rows].count(row.index) > 1:
        found.append(("twice", f"{told} is named twice."))
    if row.deed not in DEEDS:
        found.append(("unknown-word", f"'{row.deed}' is no way to take over a layer: it is 'new', 'beside' or 'replace'."))
    if row.deed == NEW and row.index in taken:
        # Who presses twice, or has a colleague who was quicker, does not get the stack twice.
        was = standing.get(str(taken[row.index]))
        became = f"as layer {was}. Let it stand beside that one, or take its place." if was else "into another sample."
        found.append(("accepted", f"{told} was taken over already, {became}"))
    if row.deed == NEW and row.layer is not None:
        found.append(("not-needed", f"{told} becomes a new layer, so it names no standing one."))
    if row.deed in (BESIDE, REPLACE):
        if row.layer is None:
            found.append(("required", f"Say beside which layer {told[0].lower()}{told[1:]} stands, or whose place it takes."))
        elif _key(row) not in standing:
            found.append(("not-found", f"The sample has no such layer for layer {row.index} of the line."))
        elif [_key(one) for one in rows if one.layer is not None].count(_key(row)) > 1:
            found.append(("twice", f"Two layers of the line are told to be layer {standing[_key(row)]}."))
        if row.position is not None:
            found.append(("not-needed", f"{told} is told to be a standing layer, which has its position."))
    found += _field_faults(row, told, calibrated)
    return [Fault("rows", code, text) for code, text in found]


def _field_faults(row: Row, told: str, calibrated: bool) -> list[tuple[str, str]]:
    found = []
    if row.deed == REPLACE and not row.fields:
        found.append(("required", f"Say which fields of the standing layer {told[0].lower()}{told[1:]} is to replace."))
    if row.deed == BESIDE and row.fields:
        found.append(("not-needed", f"{told} only stands beside the layer, so it replaces no fields."))
    for name in row.fields or ():
        if name not in FIELDS:
            found.append(("unknown-word", f"'{name[:80]}' is nothing that a line reads. It reads: {', '.join(FIELDS)}."))
        elif name in COLOURS and not calibrated:
            text = (
                "The picture has no colour target, so the colour is uncalibrated: it stands beside the layer as a measurement, and is not "
                "taken over. Mark a target, or leave the colour out."
            )
            found.append(("uncalibrated", text))
    return found


def _refuse_stale(rows: Sequence[Row], standing: Mapping[str, Layer]) -> None:
    """What takes the place of what a person entered must have been seen beside it as it now stands."""
    for row in rows:
        if row.deed != REPLACE:
            continue
        layer = standing[_key(row)]
        if row.layer_version is None:
            raise VersionMissing(f"Say which version of layer {layer} you saw (layer_version), so that nobody's work is overwritten.")
        if row.layer_version != layer.version:
            text = f"Layer {layer} was changed meanwhile: it is at version {layer.version}, you saw version {row.layer_version}."
            raise Stale(text, layer)


def _operations(
    sample: Sample, rows: Sequence[Row], read: Mapping[int, Any], order: Sequence[Layer], calibrated: bool, kind: str | None
) -> list[Operation]:
    """What is done to layers, from the substrate up: each new one is put in above what lies below it on the line."""
    found = []
    stack: list[str] = [str(layer.pk) for layer in order]
    below: int | None = None
    for number, row in enumerate(rows):
        if row.deed != NEW:
            below = stack.index(_key(row))
            if row.deed == REPLACE:
                layer = next(one for one in order if str(one.pk) == _key(row))
                values = _values(read[row.index], row.fields or (), calibrated)
                _refuse_nothing(row, values)
                found.append(Operation("change", values, str(layer.pk), layer.version))
            continue
        place = row.position - 1 if row.position is not None else _place_in(stack, below, rows[number + 1 :])
        values = {**_values(read[row.index], UNASKED if row.fields is None else row.fields, calibrated), "sample": sample.pk}
        found.append(Operation("create", {**values, "position": place + 1, "kind": row.kind or kind or UNKNOWN_KIND}))
        stack.insert(place, f"new {row.index}")
        below = place
    return found


def _place_in(stack: Sequence[str], below: int | None, later: Sequence[Row]) -> int:
    """Right above what lies below it on the line; else right below the next standing layer above it; else on top."""
    if below is not None:
        return below + 1
    above = next((row for row in later if row.deed != NEW), None)
    return len(stack) if above is None else stack.index(_key(above))


def _refuse_nothing(row: Row, values: Mapping[str, Any]) -> None:
    """A reading that says nothing does not clear what stands."""
    wanted = {"lab_l" if name == "lab" else name for name in row.fields or ()}
    lost = sorted(wanted - set(values))
    if lost:
        name = "colour" if lost[0] == "lab_l" else lost[0].replace("_um", "").replace("_", " ")
        text = f"The line reads no {name} of layer {row.index}, so it cannot take the place of what stands."
        raise Invalid(text, faults=(Fault("rows", "not-read", text),))


def _values(read: Mapping[str, Any], fields: Sequence[str], calibrated: bool) -> dict[str, Any]:
    """What a reading says of these fields, without what it does not say."""
    told: dict[str, Any] = {}
    for name in fields:
        if name == "lab" and calibrated:
            told |= dict(zip(("lab_l", "lab_a", "lab_b"), read["lab"], strict=True))
        elif name == "munsell" and calibrated and read["munsell"]:
            told |= {"munsell": read["munsell"], "munsell_by": "measured"}
        elif name == "lower_boundary" and read["boundary"]:
            told["lower_boundary"] = read["boundary"]
        elif name in ("thickness_um", "uv_colour", "uv_strength") and read[name] not in (None, ""):
            told[name] = read[name]
    return told


def _refuse_disorder(rows: Sequence[Row], layers: Sequence[Layer]) -> None:
    for (row, one), (other_row, other) in pairwise(zip(rows, layers, strict=True)):
        if one.position >= other.position:
            text = (
                f"On the line layer {other_row.index} lies above layer {row.index}, but {other} would not lie above {one}. "
                "Choose other layers or positions."
            )
            raise Invalid(text, code="against-the-order", faults=(Fault("rows", "against-the-order", text),))


def _forget_former(pen: Pen, line: Traverse, taken: Sequence[Any], layers: Sequence[Layer]) -> None:
    """What is told to be another layer now was not that which it was told to be before: it is measured once."""
    now = {layer.pk for layer in layers}
    gone = {former for former, layer in zip(taken, layers, strict=True) if former not in (None, layer.pk)} - now
    pen.remove(list(Measurement.objects.filter(traverse=line, layer__in=gone).select_related("layer__sample", "traverse__sample")))


def _measure(pen: Pen, line: Traverse, taken: Sequence[tuple[Mapping[str, Any], Layer]]) -> list[Measurement]:
    """Keep what was read of each layer; what was kept of it from this line before is changed."""
    before = {one.layer_id: one for one in Measurement.objects.filter(traverse=line).select_related("layer__sample", "traverse__sample")}
    assert line.reading is not None
    calibrated = line.reading["told"]["colour_state"] != "uncalibrated"
    new, changed, found = [], [], []
    for read, layer in taken:
        values = _measured(read, calibrated)
        one = before.get(layer.pk)
        if one is None:
            one = Measurement(project=pen.project, traverse=line, layer=layer, **values)
            new.append(one)
        else:
            changed.append((one, values))
        found.append(one)
    pen.create(new)
    pen.change_many(changed)
    return found


def _measured(read: Mapping[str, Any], calibrated: bool) -> dict[str, Any]:
    same = ("from_px", "to_px", "thickness_um", "thickness_error_um", "uv_colour", "uv_strength", "boundary_um", "confidence", "lab_spread")
    lab = dict(zip(("lab_l", "lab_a", "lab_b"), read["lab"], strict=True))
    return {**{name: read[name] for name in same}, **lab, "colour_calibrated": calibrated}
