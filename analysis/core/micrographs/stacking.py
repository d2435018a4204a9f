"""From boundaries along a profile to layers with thickness, colour and words; also after a person has changed the boundaries."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from analysis.core.cautions import cautions
from analysis.core.colour import OutsideRenotation, delta_e_2000, lab_to_munsell
from analysis.core.micrographs.edges import BREADTH
from analysis.core.micrographs.glow import colour_of, strength_of
from analysis.core.micrographs.pictures import Floats
from analysis.core.micrographs.proposals import Boundary, End, ProposedLayer, Reading
from analysis.core.micrographs.values import Line, Profile, Scale, Triple

END_PX: Final = 3.0  # a line that begins this near to a boundary begins at it
_SAMPLES: Final = 80  # of a layer's colours are compared with each other
_SHARP: Final = 1.7  # times the breadth that the microscope's blur gives every boundary
_FUSED: Final = 2.5
_LEAST_FUSED_PX: Final = 5.0
_NARROW_PX: Final = 8.0
_STEEP_DEG: Final = 38.0


def assembled(
    line: Line,
    scale: Scale | None,
    profile: Profile,
    boundaries: Sequence[Boundary],
    colour_status: str,
    uv_status: str,
    version: str,
) -> Reading:
    """The reading that follows from boundaries."""
    boundaries = tuple(boundaries)
    layers = tuple(_layer(number + 1, boundaries, profile, scale) for number in range(len(boundaries) - 1))
    reading = Reading(line, scale, boundaries, layers, _ends(boundaries, profile), profile, colour_status, uv_status, (), version)
    return Reading(line, scale, boundaries, layers, reading.ends, profile, colour_status, uv_status, _cautions(reading), version)


def _layer(number: int, boundaries: Sequence[Boundary], profile: Profile, scale: Scale | None) -> ProposedLayer:
    lower, upper = boundaries[number - 1], boundaries[number]
    lab, spread = _colour(profile.lab, profile.start_px, lower, upper)
    munsell, off = "", None
    try:
        nearest = lab_to_munsell(lab)
        munsell, off = str(nearest.notation), round(nearest.delta_e, 2)
    except OutsideRenotation:
        pass
    uv = _colour(profile.uv, profile.start_px, lower, upper)[0] if profile.uv is not None else None
    thickness, error, along = _thickness(lower, upper, profile, scale)
    return ProposedLayer(
        number=number,
        from_px=lower.at_px,
        to_px=upper.at_px,
        thickness_um=thickness,
        thickness_error_um=error,
        along_um=along,
        lab=lab,
        spread=spread,
        munsell=munsell,
        munsell_delta_e=off,
        uv_lab=uv,
        uv_colour=colour_of(uv) if uv is not None else "",
        uv_strength=strength_of(uv) if uv is not None else "",
        lower_boundary=_meeting(lower, boundaries),
        boundary_um=None if scale is None else round(lower.breadth_px * scale.um_per_px * _cosine(profile), 2),
        confidence=round(lower.confidence * upper.confidence, 3),
    )


def _cosine(profile: Profile) -> float:
    return float(np.cos(np.radians(profile.tilt_deg))) if profile.tilted else 1.0


def _thickness(lower: Boundary, upper: Boundary, profile: Profile, scale: Scale | None) -> tuple[float | None, float | None, float | None]:
    """Thickness normal to the layers, its error, and the way along the line, µm."""
    if scale is None:
        return None, None, None
    along = (upper.at_px - lower.at_px) * scale.um_per_px
    cosine = _cosine(profile)
    by_ends = float(np.hypot(lower.error_px, upper.error_px)) * scale.um_per_px * cosine
    by_scale = along * cosine * scale.error_um_per_px / scale.um_per_px
    by_tilt = along * abs(float(np.sin(np.radians(profile.tilt_deg)))) * float(np.radians(profile.tilt_error_deg))
    error = float(np.sqrt(by_ends**2 + by_scale**2 + by_tilt**2))
    return round(along * cosine, 3), round(error, 3), round(along, 3)


def _colour(colours: Sequence[Triple], start_px: float, lower: Boundary, upper: Boundary) -> tuple[Triple, float]:
    """Medoid of a layer's samples away from its boundaries, and their median ΔE00 from it."""
    gap = upper.at_px - lower.at_px
    first = lower.at_px + min(0.6 * lower.breadth_px + 0.5, 0.35 * gap) - start_px
    last = upper.at_px - min(0.6 * upper.breadth_px + 0.5, 0.35 * gap) - start_px
    return medoid(colours, first, last)


def medoid(colours: Sequence[Triple], first: float, last: float) -> tuple[Triple, float]:
    """Of the samples from place `first` to `last` that which is nearest to all others, and the median ΔE00 from it."""
    low = int(np.clip(np.ceil(first), 0, len(colours) - 1))
    high = int(np.clip(np.floor(last), 0, len(colours) - 1))
    if high < low:
        low = high = int(np.clip(round((first + last) / 2), 0, len(colours) - 1))
    chosen = np.unique(np.linspace(low, high, min(high - low + 1, _SAMPLES)).astype(int))
    some: Floats = np.array([colours[at] for at in chosen])
    apart = delta_e_2000(some[:, None], some[None, :])
    middle = int(np.argmin(apart.sum(axis=1)))
    lightness, a, b = (round(float(value), 2) for value in some[middle])
    return (lightness, a, b), round(float(np.median(apart[middle])), 2)


def _meeting(lower: Boundary, boundaries: Sequence[Boundary]) -> str:
    """A hint for the lower boundary: by its breadth against that of the section's sharpest, which the microscope's blur gives to all."""
    if len(boundaries) < 3:
        return "unclear"
    blur = max(float(np.percentile([each.breadth_px for each in boundaries], 20)), BREADTH * 0.4)
    if lower.breadth_px >= max(_FUSED * blur, _LEAST_FUSED_PX):
        return "fused"
    return "sharp" if lower.breadth_px <= _SHARP * blur else "unclear"


def _ends(boundaries: Sequence[Boundary], profile: Profile) -> tuple[End, ...]:
    """What the line runs through before its first boundary and after its last."""
    first = boundaries[0].at_px if boundaries else profile.length_px
    last = boundaries[-1].at_px if boundaries else profile.length_px
    found = []
    if first > END_PX:
        found.append(("below", 0.0, min(first, profile.length_px), "the substrate, or a layer of which the line misses the foot"))
    if profile.length_px - last > END_PX and boundaries:
        found.append(("above", last, profile.length_px, "the mounting resin, or a layer of which the line misses the top"))
    ends = []
    for which, start, stop, taken in found:
        lab, _ = medoid(profile.lab, start - profile.start_px + 1, stop - profile.start_px - 1)
        uv = medoid(profile.uv, start - profile.start_px + 1, stop - profile.start_px - 1)[0] if profile.uv is not None else None
        where = "begins" if which == "below" else "ends"
        sentence = f"The line {where} inside this, with no boundary there: taken for {taken}. Make a layer of it if it is one."
        ends.append(End(which, round(start, 3), round(stop, 3), lab, uv, sentence))
    return tuple(ends)


def _cautions(reading: Reading) -> tuple[str, ...]:
    said = []
    profile = reading.profile
    if reading.colour_status == "uncalibrated":
        said.append(
            "Colours are uncalibrated: no colour target tells what camera and light made of them, and no notation may rest on them."
        )
    elif reading.colour_status == "white-balanced":
        said.append("Colours are white-balanced by neutral patches only: lightness is measured, hues are the camera's.")
    if reading.scale is None:
        said.append("There is no scale: thicknesses in µm cannot be told.")
    if reading.line.width_px < _NARROW_PX:
        said.append(f"The line is only {reading.line.width_px:.0f} px broad: a crack or a coarse particle on it may be taken for a layer.")
    if abs(profile.tilt_deg) > _STEEP_DEG:
        said.append("The line crosses the layers at a slant: draw it nearer to the perpendicular.")
    elif profile.tilted:
        said.append(
            f"The layers lean by {abs(profile.tilt_deg):.0f}° from the line's perpendicular: thicknesses are the way along the line times "
            f"{_cosine(profile):.3f}."
        )
    if profile.seen[0] > 0 or profile.seen[1] < profile.length_px - 1:
        said.append("Part of the line lies outside the picture.")
    if not reading.layers:
        said.append(
            "No layer was found between two boundaries: draw the line from the substrate across the whole stack, or set boundaries."
        )
    thin = [str(layer.number) for layer, (a, b) in zip(reading.layers, pairwise(reading.boundaries), strict=True) if b.at_px - a.at_px < 4]
    if thin:
        said.append(f"Less than 4 px thick, so that blur changes thickness and colour: layer {', '.join(thin)}.")
    if reading.uv_status:
        said.append("UV strengths are by the exposure of this picture: they compare layers in it, not pictures with each other.")
    usual = cautions((), untested_old_paint=False, shows_colour=bool(reading.layers), shows_uv=bool(reading.uv_status))
    return (*said, *usual)
