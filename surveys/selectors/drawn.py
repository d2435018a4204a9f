"""What was drawn on a picture, in words for the history: lines, boxes and places are counted and measured, not listed."""

from collections.abc import Mapping
from typing import Any, Final

from surveys.rules.lines import length

LABELS: Final[Mapping[str, str]] = {
    "um_per_pixel": "scale", "scale_by": "how the scale is known", "scale_line": "line of known length", "colour_target": "colour target",
    "colour_from": "picture that lends its colours", "correction": "correction of the colours", "width_px": "width of the strip",
    "boundaries": "boundaries set by hand", "points": "places named in both pictures", "residual_px": "residual",
    "matrix": "how it lies on the other", "inliers": "places that agree", "lab_spread": "spread of the colour",
    "colour_calibrated": "colour corrected by a target", "from_px": "from", "to_px": "to", "boundary_um": "breadth of the boundary",
    "thickness_error_um": "error of the thickness",
}  # fmt: skip


def said(field: str, kept: Any) -> str | None:
    """A value that was drawn, or follows from it, in words; None for all other fields."""
    if field == "path" and isinstance(kept, list):
        return f"{len(kept)} points, {length(kept):.0f} px long"
    if field == "boundaries" and isinstance(kept, list):
        return ", ".join(f"{one:.1f}" for one in kept) + " px"
    if field == "points" and isinstance(kept, list):
        return f"{len(kept)} pairs of places"
    if field == "matrix" and isinstance(kept, list):
        return f"moved by {kept[0][2]:.1f}, {kept[1][2]:.1f} px"
    if field == "scale_line" and isinstance(kept, dict):
        return f"{kept['length_um']:g} µm over {length(kept['points']):.0f} px"
    if field == "colour_target" and isinstance(kept, dict):
        many = len(kept["patches"])
        return f"{kept['target']}, {many} patch{'es' if many != 1 else ''}"
    if field == "correction" and isinstance(kept, dict):
        return str(kept.get("sentence") or kept.get("status", ""))
    return None
