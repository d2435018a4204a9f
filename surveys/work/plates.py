"""Plates of sections: the visible and the UV picture brought onto each other, turned so that the substrate lies at the foot."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from surveys import access, pictures
from surveys.jobs import Progress, keep_file
from surveys.models import Attachment, Job, Layer
from surveys.selectors import cautions_for, lines
from surveys.selectors import plates as record
from surveys.work import micrographs

TYPES: Final = {"png": "image/png", "pdf": "application/pdf"}
# The picture in a plate is so wide for its height, and as wide in px at most.
SHAPE: Final = 0.8
MOST_PX: Final = 1_400
# What is shown before and beyond the line, as a share of its length, and px that a pixel of the picture may become.
BEYOND: Final = 0.1
LARGEST: Final = 4.0
# Outside the picture.
EMPTY: Final = (239, 239, 239)
SURER: Final = "A UV response suggests materials; it proves none. Screen and print are no paint match."
Matrix = NDArray[np.float64]


def plate(job: Job, progress: Progress) -> tuple[Any, list[dict[str, Any]]]:
    """Set a plate of a sample as PNG or PDF."""
    from analysis.drawing.pdf import sheets_pdf
    from analysis.drawing.plate import plate_pages
    from analysis.drawing.png import sheet_png
    from analysis.papers.tree import MARGINS, PAGES

    project, params = job.project, job.params
    access.require(job.created_by, project, access.SEE)
    sample = record.sample_named(project, params["sample"])
    shown = record.shown(sample, params.get("visible"), params.get("uv"), params.get("traverse"))
    progress(0, 2, "Opening the pictures")
    cautions = cautions_for(Layer.objects.filter(sample=sample))
    made = made_of(shown, MOST_PX, cautions)
    progress(1, 2, "Setting the plate")
    short, long = PAGES[params.get("page", "A4")]
    sheet = plate_pages(made, (long, short), MARGINS[True])
    content = sheet_png(sheet, MOST_PX / 350) if params["format"] == "png" else sheets_pdf([sheet])
    progress(2, 2)
    name = f"{project.code} plate {sample.number}.{params['format']}"
    told = {"sample": sample.number, "layers": len(shown.layers), "accepted": sum(1 for _, layer in shown.layers if layer is not None)}
    return told, [keep_file(job, name, TYPES[params["format"]], content)]


def made_of(shown: record.Shown, most_px: int, cautions: Sequence[str] = ()) -> Any:
    """What is shown as a plate to be drawn (`analysis.drawing.plate`)."""
    from analysis.drawing.plate import Bracket, Panel, Plate

    to_picture, size = _field(shown, most_px)
    scale = float(np.hypot(to_picture[0, 0], to_picture[1, 0]))
    um = shown.visible.um_per_pixel
    per_px = None if um is None else um * scale
    panels = [Panel(_cut(shown.visible, to_picture, size), *size, per_px, _about_visible(shown.visible))]
    if shown.registration is not None:
        back = np.linalg.inv(np.array(shown.registration.matrix, dtype=np.float64))
        uv = shown.registration.moving
        panels.append(Panel(_cut(uv, back @ to_picture, size), *size, per_px, _about_uv(shown)))
    onto = np.linalg.inv(to_picture)
    path = shown.line.path if shown.line is not None else []
    where = lambda spot: (onto @ (*spot, 1.0))[:2]  # noqa: E731
    drawn = tuple((float(x), float(y)) for x, y in map(where, path))
    brackets = []
    for one, layer in reversed(shown.layers):
        top, foot = (float(where(_along(path, one[end]))[1]) for end in ("to_px", "from_px"))
        brackets.append(Bracket(min(top, foot), max(top, foot), *_names(one, layer), layer is not None))
    sample = shown.sample
    element = sample.element
    place = f"{element.element_class} {element.code}" + (f", {element.position}" if element.position else "")
    # Where all cautions stand there is no need of the short one.
    notes = (*_notes(shown), *(() if cautions else (SURER,)))
    title = f"Sample {sample.number}: cross-section"
    return Plate(title, f"{place}; space {element.space}", tuple(panels), drawn, tuple(brackets), notes, tuple(cautions))


def _names(one: dict[str, Any], layer: Layer | None) -> tuple[str, str]:
    """The layer's number, and its generation or kind."""
    if layer is None:
        return f"read {one['index']}", ""
    return str(layer.position), f"gen. {layer.generation.ordinal}" if layer.generation else layer.kind


def _notes(shown: record.Shown) -> list[str]:
    said = []
    accepted = sum(1 for _, layer in shown.layers if layer is not None)
    if shown.line is not None:
        said.append(
            f"Brackets: layers along line {shown.line.number}, from the substrate at the foot; the number is the layer's in the "
            "stratigraphy, then its generation, or its kind where it has none."
        )
        left = len(shown.layers) - accepted
        if left:
            are = "is" if left == 1 else "are"
            said.append(f"{left} of {len(shown.layers)} {are} read only and not taken over by anybody (broken bracket): a proposal.")
    if shown.visible.um_per_pixel is None:
        said.append("No scale: the picture has none, so there is no scale bar and no thickness.")
    return said


def _about_visible(picture: Attachment) -> tuple[str, ...]:
    return ("Visible light", _taken(picture), _scale(picture), _colours(picture))


def _about_uv(shown: record.Shown) -> tuple[str, ...]:
    laid = shown.registration
    assert laid is not None
    how = {"points": "by places that a person named"}.get(laid.method, f"by {laid.method}")
    return (
        "Under ultraviolet",
        _taken(laid.moving),
        f"Laid on the visible picture {how}, residual {laid.residual_px:.1f} px.",
        *((f"Not to be relied on. {doubt}",) if (doubt := lines.doubt(laid)) else ()),
        "Colours and strengths are of this exposure.",
    )


def _taken(picture: Attachment) -> str:
    told = [f"attachment {picture.number}", picture.magnification, picture.taken_on.isoformat() if picture.taken_on else ""]
    told.append(f"by {picture.taken_by}" if picture.taken_by else "")
    return ", ".join(part for part in told if part)


def _scale(picture: Attachment) -> str:
    if picture.um_per_pixel is None:
        return "No scale."
    by = {"stage micrometer": "by a stage micrometer", "microscope": "by the microscope's scale", "stated": "as stated"}[picture.scale_by]
    return f"{picture.um_per_pixel:.4g} µm a pixel, {by}."


def _colours(picture: Attachment) -> str:
    correction = lines.effective_correction(picture)
    state = lines.colour_state(correction)
    if correction is None or state == "uncalibrated":
        return "Colours uncalibrated: there is no colour target."
    left = next((correction[name] for name in ("mean_left_out", "mean_delta_e") if correction.get(name) is not None), None)
    what = "Colours calibrated by a target" if state == "calibrated" else "White-balanced by grey patches only, hues are the camera's"
    return f"{what}, mean ΔE00 {left:.1f}." if left is not None else f"{what}; no other patch checks it."


# -- geometry ---------------------------------------------------------------------------------------------------------------------


def _along(path: Sequence[Sequence[float]], at_px: float) -> tuple[float, float]:
    """Where in the picture a place along a path is; before and beyond it straight on."""
    left = at_px
    for number, ((x1, y1), (x2, y2)) in enumerate(pairwise(path)):
        length = math.dist((x1, y1), (x2, y2))
        if left <= length or number == len(path) - 2:
            return x1 + (x2 - x1) * left / length, y1 + (y2 - y1) * left / length
        left -= length
    raise AssertionError("a path has two points")


def _field(shown: record.Shown, most_px: int) -> tuple[Matrix, tuple[int, int]]:
    """From px of the plate's pictures to px of the visible one, and how large the former are."""
    if shown.line is None:
        width, height = shown.visible.width or 1, shown.visible.height or 1
        scale = max(width / most_px, height * SHAPE / most_px, 1 / LARGEST)
        return np.diag((scale, scale, 1.0)), (max(round(width / scale), 1), max(round(height / scale), 1))
    spots = np.array(shown.line.path, dtype=np.float64)
    up = spots[-1] - spots[0]
    length = float(np.hypot(*up))
    up = up / length if length else np.array((0.0, -1.0))
    right = np.array((-up[1], up[0]))
    heights = (spots - spots[0]) @ up
    asides = (spots - spots[0]) @ right
    high = (heights.max() - heights.min()) * (1 + 2 * BEYOND)
    wide = max(high * SHAPE, asides.max() - asides.min() + 1.5 * shown.line.width_px)
    middle = spots[0] + up * (heights.max() + heights.min()) / 2 + right * (asides.max() + asides.min()) / 2
    scale = max(wide / most_px, 1 / LARGEST)
    across, down = round(wide / scale), round(high / scale)
    corner = middle - right * across / 2 * scale + up * down / 2 * scale
    found = np.eye(3)
    found[:2] = np.stack((right * scale, -up * scale, corner), axis=1)
    return found, (across, down)


def _cut(picture: Attachment, to_picture: Matrix, size: tuple[int, int]) -> bytes:
    """The field of a plate out of a picture, as JPEG; grey where the picture ends. Colours as its target corrects them."""
    from PIL import Image

    from analysis.drawing.rasters import jpeg

    across, down = size
    corners = np.array(((0, 0, 1), (across, 0, 1), (0, down, 1), (across, down, 1)), dtype=np.float64) @ to_picture.T
    low, high = corners[:, :2].min(axis=0) - 2, corners[:, :2].max(axis=0) + 2
    scale = float(np.sqrt(abs(np.linalg.det(to_picture[:2, :2]))))
    left, top = max(low[0], 0.0), max(low[1], 0.0)
    right, foot = min(high[0], picture.width or high[0]), min(high[1], picture.height or high[1])
    if right - left < 1 or foot - top < 1:
        return jpeg(Image.new("RGB", size, EMPTY))
    most = max(math.ceil(max(right - left, foot - top) / scale), 1) if scale > 1 else None
    seen = pictures.pixels(picture, (left, top, right - left, foot - top), most)
    array = (seen.array >> 8).astype(np.uint8) if seen.array.dtype == np.uint16 else seen.array
    x, y, _, _ = seen.box
    into = np.array(((seen.scale, 0, -x * seen.scale), (0, seen.scale, -y * seen.scale), (0, 0, 1.0))) @ to_picture
    told = tuple(float(one) for one in (*into[0], *into[1]))
    part = Image.fromarray(np.ascontiguousarray(array)).transform(size, Image.Transform.AFFINE, told, Image.Resampling.BICUBIC)
    there = Image.new("L", (array.shape[1], array.shape[0]), 255).transform(size, Image.Transform.AFFINE, told, Image.Resampling.NEAREST)
    return jpeg(Image.composite(_corrected(picture, part), Image.new("RGB", size, EMPTY), there))


def _corrected(picture: Attachment, part: Any) -> Any:
    """Colours as the target has them, where there is one."""
    from PIL import Image

    from analysis.core.micrographs.colour import linearised

    if lines.effective_correction(picture) is None:
        return part
    correction = micrographs.correction_of(picture)
    numbers = np.asarray(part, dtype=np.float64) / 255
    light = (numbers if correction.linear else linearised(numbers)) @ np.array(correction.matrix).T
    light = np.clip(light, 0.0, 1.0)
    # The sRGB curve (IEC 61966-2-1).
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)
    return Image.fromarray(np.round(coded * 255).astype(np.uint8))
