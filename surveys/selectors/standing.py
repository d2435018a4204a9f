"""What was read beside what stands in the stratigraphy: which layer is which, and where the two differ."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from analysis.core import colour
from analysis.core.side_by_side import Seen, match, runs_against
from surveys.models import Layer
from surveys.selectors.chart import lab_of

Row = Mapping[str, Any]
# A colour difference that a trained eye just sees on two chips side by side: common practice.
JUST_SEEN: Final = 2.0
# Of thicknesses that a person estimated along a scale in the eyepiece: common practice.
ESTIMATED: Final = 0.1


def beside(
    rows: Sequence[Row], layers: Sequence[Layer], fixed: Mapping[int, Any], calibrated: bool
) -> list[tuple[Layer | None, list[Any]]]:
    """For each row the standing layer that it most likely is, and where the two differ.

    Those that were accepted are as they were accepted (`fixed`, by the place of the row), the rest in order between them.
    """
    by_id = {layer.pk: place for place, layer in enumerate(layers)}
    held = {place: by_id[layer] for place, layer in fixed.items() if layer in by_id}
    found = match([_read(row, calibrated) for row in rows], [_stands(layer) for layer in layers], _rising(held))
    return [
        (None, []) if place is None else (layers[place], differences(row, layers[place], calibrated))
        for row, place in zip(rows, found, strict=True)
    ]


def upside_down(rows: Sequence[Row], layers: Sequence[Layer], calibrated: bool) -> bool:
    """Whether the rows were plainly read from the surface down, by the layers that stand."""
    return runs_against([_read(row, calibrated) for row in rows], [_stands(layer) for layer in layers])


def _rising(held: Mapping[int, int]) -> dict[int, int]:
    """Without what contradicts the order, as layers that were moved since they were accepted may."""
    kept: dict[int, int] = {}
    for place in sorted(held):
        if held[place] > max(kept.values(), default=-1):
            kept[place] = held[place]
    return kept


def _read(row: Row, calibrated: bool) -> Seen:
    thickness = row["thickness_um"]
    return Seen(thickness["median"] if thickness else None, tuple(row["lab"]), calibrated)


def _stands(layer: Layer) -> Seen:
    return Seen(layer.thickness_um, lab_of(layer.munsell, (layer.lab_l, layer.lab_a, layer.lab_b)), True)


def differences(row: Row, layer: Layer, calibrated: bool) -> list[dict[str, Any]]:
    """Where a reading says something else than a layer, or something where it says nothing: field, what stands, what was read."""
    found = []
    thickness = row["thickness_um"]
    if thickness and _apart(layer.thickness_um, thickness):
        found.append({"field": "thickness_um", "standing": layer.thickness_um, "read": thickness["median"]})
    lab = None if layer.lab_l is None else [layer.lab_l, layer.lab_a, layer.lab_b]
    seen = lab_of(layer.munsell, (layer.lab_l, layer.lab_a, layer.lab_b))
    if calibrated and (seen is None or float(colour.delta_e_2000(seen, row["lab"])) > max(JUST_SEEN, row["lab_spread"])):
        found.append({"field": "lab", "standing": lab or layer.munsell or None, "read": row["lab"]})
    for name in ("uv_colour", "uv_strength"):
        if row[name] and row[name] != getattr(layer, name):
            found.append({"field": name, "standing": getattr(layer, name) or None, "read": row[name]})
    return found


def _apart(stands: float | None, thickness: Mapping[str, float]) -> bool:
    if stands is None:
        return True
    slack = ESTIMATED * max(stands, thickness["median"])
    return not thickness["least"] - slack <= stands <= thickness["most"] + slack
