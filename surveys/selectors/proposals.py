"""What was read along a line, as the kernels know it and as it is shown: layers with colours, the profile, several lines as one stack.

The kernels are loaded inside the functions: whoever only lists records does without them.
"""

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from analysis.core import colour
from surveys.errors import Conflict
from surveys.models import Layer, Measurement, Registration, Sample, Traverse
from surveys.selectors import lines, standing

if TYPE_CHECKING:
    from analysis.core.micrographs import Reading

ENDS: Final = {"below": "substrate", "above": "resin"}
MOST_STEPS: Final = 2_000
NONE_READ: Final = "No line of this sample has been read yet: draw one from the substrate to the surface on its visible micrograph."
UNCALIBRATED: Final = "Uncalibrated: colours are what camera and light made of them, and are not taken over into layers."
AGAIN: Final = "Have it read again: move it, or ask for it."
UPSIDE_DOWN: Final = (
    "What was read fits the layers that stand plainly better from the surface down. A line leads from the substrate to the surface: "
    "draw it anew if it does not, or the layers are taken over in the wrong order."
)
NO_SCALE: Final = "The picture has no scale, so no thickness is told."


def kept(reading: "Reading", boundaries: Sequence[float] | None, beside: Mapping[str, Any], cautions: Sequence[str] = ()) -> dict[str, Any]:
    """What is kept of a reading: it itself as it was found, and its layers as they are shown with a person's boundaries.

    `beside` says which UV picture there was (`uv_beside`); it may be what was told of an earlier reading. MicrographRefused if the
    boundaries do not fit the reading.
    """
    from analysis.core.micrographs import place_boundaries, plain

    shown = reading if boundaries is None else place_boundaries(reading, boundaries)
    found = plain(reading)
    found["profile"] = {name: _rounded(part) for name, part in found["profile"].items()}
    return {"refusal": "", "layers": layers_of(shown), "told": _told(shown, beside, cautions), "found": found}


def uv_beside(registration: Registration | None) -> dict[str, Any]:
    """The UV picture that is read along with a visible one, by its number, or why one that lies on it is not."""
    if registration is None:
        return {"uv_attachment": None, "uv_caution": ""}
    number, doubt = registration.moving.number, lines.doubt(registration)
    if not doubt:
        return {"uv_attachment": number, "uv_caution": ""}
    return {"uv_attachment": None, "uv_caution": f"UV picture {number} was not read along, for how it lies cannot be relied on. {doubt}"}


def found_of(traverse: Traverse) -> "Reading":
    """The reading of a line as it was found; Conflict if a program of another version wrote it down otherwise."""
    from analysis.core.micrographs import Reading, from_plain

    assert traverse.reading is not None, "a line that was read"
    try:
        return from_plain(Reading, traverse.reading["found"])
    except (AttributeError, KeyError, TypeError, ValueError):
        raise Conflict(f"{str(traverse).capitalize()} was read by an earlier version of the program. {AGAIN}", code="not-read") from None


def proposal(traverse: Traverse) -> "Reading":
    """The reading of a line with its boundaries where a person put them."""
    from analysis.core.micrographs import place_boundaries

    found = found_of(traverse)
    return found if traverse.boundaries is None else place_boundaries(found, traverse.boundaries)


def version_of(traverse: Traverse) -> str:
    """Which version of the reading what stands is of; '' where that was not kept yet."""
    return str(traverse.reading["told"].get("version", "")) if traverse.reading else ""


def is_read(traverse: Traverse) -> bool:
    """Whether what stands was read along a line, and could be."""
    return bool(traverse.read_digest and traverse.reading and not traverse.reading["refusal"])


def _rounded(part: Any) -> Any:
    if isinstance(part, list):
        return [_rounded(one) for one in part]
    return round(part, 3) if isinstance(part, float) else part


def _told(reading: "Reading", beside: Mapping[str, Any], more: Sequence[str]) -> dict[str, Any]:
    uv_caution = beside.get("uv_caution", "")
    cautions = [*more, *([uv_caution] if uv_caution else []), *reading.cautions, *(end.sentence for end in reading.ends)]
    if reading.scale is None:
        cautions.append(NO_SCALE)
    return {
        "version": reading.version,
        "calibrated": reading.scale is not None,
        "colour_state": reading.colour_status,
        "uv_state": reading.uv_status,
        "uv_attachment": beside.get("uv_attachment") if reading.uv_status else None,
        "uv_caution": uv_caution,
        "cautions": list(dict.fromkeys(cautions)),
    }


def layers_of(reading: "Reading") -> list[dict[str, Any]]:
    """Layers from the substrate up, between what was taken for the ends of the section."""
    rows = [_end(end, 0) for end in reading.ends if end.which == "below"]
    rows += [_layer(layer) for layer in reading.layers]
    return rows + [_end(end, len(reading.layers) + 1) for end in reading.ends if end.which == "above"]


def _layer(layer: Any) -> dict[str, Any]:
    return {
        "index": layer.number,
        "end": "",
        "from_px": round(layer.from_px, 3),
        "to_px": round(layer.to_px, 3),
        "thickness_um": _to(layer.thickness_um, 2),
        "thickness_error_um": _to(layer.thickness_error_um, 2),
        **_colour(layer.lab),
        "lab_spread": round(layer.spread, 2),
        "munsell": layer.munsell,
        "munsell_difference": _to(layer.munsell_delta_e, 2),
        "uv_colour": layer.uv_colour,
        "uv_strength": layer.uv_strength,
        "uv_hex": colour.lab_to_srgb(layer.uv_lab).hex if layer.uv_lab else None,
        "boundary_um": _to(layer.boundary_um, 2),
        "boundary": layer.lower_boundary,
        "confidence": round(layer.confidence, 3),
    }


def _end(end: Any, index: int) -> dict[str, Any]:
    nothing = dict.fromkeys(
        ("thickness_um", "thickness_error_um", "lab_spread", "munsell_difference", "boundary_um", "confidence"),
    )
    words = {"munsell": "", "uv_colour": "", "uv_strength": "", "boundary": ""}
    place = {"index": index, "end": ENDS[end.which], "from_px": round(end.from_px, 3), "to_px": round(end.to_px, 3)}
    return {**place, **nothing, **words, **_colour(end.lab), "uv_hex": colour.lab_to_srgb(end.uv_lab).hex if end.uv_lab else None}


def _colour(lab: Any) -> dict[str, Any]:
    return {"lab": [round(float(part), 2) for part in lab], "hex": colour.lab_to_srgb(tuple(lab)).hex}


def _to(value: float | None, places: int) -> float | None:
    return None if value is None else round(value, places)


# -- the profile ----------------------------------------------------------------------------------------------------------------


def profile(traverse: Traverse) -> dict[str, Any]:
    """The colours along a line in at most 2,000 steps, where its boundaries are, and where they were found."""
    nothing = {"start_px": 0.0, "step_px": 1.0, "length_px": 0.0, "lab": [], "uv": None, "boundaries": [], "found": []}
    if not is_read(traverse):
        return nothing
    try:
        found, shown = found_of(traverse), proposal(traverse)
    except Conflict:
        return nothing
    along = found.profile
    step = max(1, math.ceil(len(along.lab) / MOST_STEPS))
    return {
        # Each step is shown at its middle.
        "start_px": along.start_px + (step - 1) / 2,
        "step_px": float(step),
        "length_px": along.length_px,
        "lab": _steps(along.lab, step),
        "uv": None if along.uv is None else _steps(along.uv, step),
        "boundaries": [{"at_px": one.at_px, "confidence": one.confidence, "by_hand": one.by_hand} for one in shown.boundaries],
        "found": [one.at_px for one in found.boundaries],
    }


def _steps(colours: Sequence[Sequence[float]], step: int) -> list[list[float]]:
    parts = (colours[start : start + step] for start in range(0, len(colours), step))
    return [[round(sum(one[axis] for one in part) / len(part), 2) for axis in range(3)] for part in parts]


# -- several lines as one stack --------------------------------------------------------------------------------------------------


def stack(sample: Sample) -> dict[str, Any]:
    """All lines of a sample as one stack, beside the layers that stand in the stratigraphy."""
    drawn = list(Traverse.objects.filter(sample=sample).select_related("sample").order_by("number"))
    proposals, lost = _proposals(drawn)
    told: dict[str, Any] = {"traverses": [one.pk for one in drawn], "layers": [], "sentence": NONE_READ, "cautions": lost}
    if not proposals:
        return told
    rows, sentence, cautions = _together(proposals)
    cautions += lost
    layers = list(Layer.objects.filter(sample=sample).order_by("position"))
    fixed = _accepted(rows, proposals)
    calibrated = all(reading.colour_status != "uncalibrated" for _, reading in proposals)
    beside = standing.beside(rows, layers, fixed, calibrated)
    for row, (layer, differences) in zip(rows, beside, strict=True):
        row |= {"colour_calibrated": calibrated, "standing": layer and layer.pk, "differences": differences}
    cautions += [] if calibrated else [UNCALIBRATED]
    if not fixed and standing.upside_down(rows, layers, calibrated):
        cautions.insert(0, UPSIDE_DOWN)
    return {**told, "layers": rows, "sentence": sentence, "cautions": list(dict.fromkeys(cautions))}


def _proposals(drawn: Sequence[Traverse]) -> tuple[list[tuple[Traverse, "Reading"]], list[str]]:
    """The lines that show layers, each with what it proposes; and why others do not."""
    found, lost = [], []
    for line in drawn:
        try:
            reading = proposal(line) if is_read(line) else None
        except Conflict as refusal:
            lost.append(refusal.detail)
            continue
        if reading is not None and reading.layers:
            found.append((line, reading))
    return found, lost


def _together(proposals: Sequence[tuple[Traverse, "Reading"]]) -> tuple[list[dict[str, Any]], str, list[str]]:
    from analysis.core.micrographs import reconcile

    readings = [reading for _, reading in proposals]
    names = [str(line.pk) for line, _ in proposals]
    numbers = [str(line.number) for line, _ in proposals]
    if len(readings) == 1:
        rows = [_alone(layer, names[0]) for layer in readings[0].layers]
        many = f"{len(rows)} layers" if len(rows) != 1 else "one layer"
        return rows, f"One line was read, line {proposals[0][0].number}: {many}.", list(readings[0].cautions)
    found = reconcile(readings, numbers)
    rows = [
        {
            "index": layer.number,
            "by_traverse": dict(zip(names, layer.members, strict=True)),
            "thickness_um": _range(layer.thickness_um, layer.thinnest_um, layer.thickest_um),
            **_colour(layer.lab),
            "lab_spread": round(layer.spread, 2),
            "uv_colour": layer.uv_colour,
            "uv_strength": layer.uv_strength,
            "agreement": round(layer.agreement, 3),
            "sentence": layer.sentence,
        }
        for layer in found.layers
    ]
    return rows, found.sentence, [*found.cautions, *_by_line(readings, numbers)]


def _by_line(readings: Sequence["Reading"], numbers: Sequence[str]) -> list[str]:
    """What is to be known of each line, with its number where it does not hold of all."""
    said = dict.fromkeys(one for reading in readings for one in reading.cautions)
    of = {one: [number for number, reading in zip(numbers, readings, strict=True) if one in reading.cautions] for one in said}
    return [
        one if len(which) == len(readings) else f"Line{'s' if len(which) > 1 else ''} {', '.join(which)}: {one}"
        for one, which in of.items()
    ]


def _alone(layer: Any, name: str) -> dict[str, Any]:
    return {
        "index": layer.number,
        "by_traverse": {name: layer.number},
        "thickness_um": _range(layer.thickness_um, layer.thickness_um, layer.thickness_um),
        **_colour(layer.lab),
        "lab_spread": round(layer.spread, 2),
        "uv_colour": layer.uv_colour,
        "uv_strength": layer.uv_strength,
        "agreement": 1.0,
        "sentence": "",
    }


def _range(median: float | None, least: float | None, most: float | None) -> dict[str, float] | None:
    if median is None or least is None or most is None:
        return None
    return {"median": round(median, 2), "least": round(least, 2), "most": round(most, 2)}


def _accepted(rows: Sequence[Mapping[str, Any]], proposals: Sequence[tuple[Traverse, "Reading"]]) -> dict[int, Any]:
    """For each row of which a line was accepted into a layer, that layer's id (of most lines, where they disagree)."""
    told: dict[int, list[Any]] = {}
    measured = list(Measurement.objects.filter(traverse__in=[line.pk for line, _ in proposals]).order_by("from_px"))
    for line, _ in proposals:
        assert line.reading is not None
        shown = lines.with_accepted(line.reading["layers"], [one for one in measured if one.traverse_id == line.pk])
        into = {one["index"]: one["accepted"] for one in shown if one["accepted"]}
        for place, row in enumerate(rows):
            layer = into.get(row["by_traverse"][str(line.pk)])
            if layer is not None:
                told.setdefault(place, []).append(layer)
    return {place: max(found, key=found.count) for place, found in told.items()}
