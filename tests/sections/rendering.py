"""Pictures of an invented section, visible and UV: blur, grain, cracks and bubbles, uneven light, noise, JPEG."""

import io
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import affine_transform, gaussian_filter
from scipy.special import ndtr

from tests.sections.stacks import Film, Floats, Lab, Section

# Linear sRGB of XYZ (IEC 61966-2-1), written out here so that the kernel's own conversion has a second witness.
_TO_RGB = np.array(((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570)))
_WHITE = np.array((0.95047, 1.0, 1.08883))
MARGIN_PX = 60


class Pictures(NamedTuple):
    """The visible picture, the UV one, the line's two ends (x, y) and the matrix from px of the UV picture to px of the visible one."""

    visible: NDArray[np.generic]
    uv: NDArray[np.generic]
    line: tuple[tuple[float, float], tuple[float, float]]
    uv_to_visible: Floats


def render(section: Section) -> Pictures:
    """Photograph a section in both lights."""
    rng = np.random.default_rng([9, section.seed])
    start, end, shape = _frame(section)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float64)
    direction = (np.array(end) - start) / section.length_px
    right = np.array((-direction[1], direction[0]))
    along = (x - start[0]) * direction[0] + (y - start[1]) * direction[1]
    offset = (x - start[0]) * right[0] + (y - start[1]) * right[1]
    across, height = section.from_line(along, offset)
    light, glow = _composed(section, rng, across, height)
    spoilt = _spoilt(section, rng, across, height)
    light = light * (1 - spoilt[..., None] * 0.85)
    glow = glow * (1 - spoilt[..., None] * 0.7)
    to_visible = _misregistration(section, shape)
    return Pictures(
        _photographed(section, rng, light, section.noise, section.light),
        _photographed(section, rng, _moved(glow, to_visible), section.noise * 1.3, (section.light[1], section.light[0], section.light[2])),
        (start, end),
        to_visible,
    )


def _frame(section: Section) -> tuple[tuple[float, float], tuple[float, float], tuple[int, int]]:
    """Ends of the line and height and width of the picture; the line runs upwards, leaning with the stack."""
    angle = np.radians(section.lean_deg + section.tilt_deg)
    reach = np.array((np.sin(angle), -np.cos(angle))) * section.length_px
    side = section.width_px / 2 + MARGIN_PX
    width, height = abs(reach[0]) + 2 * side, abs(reach[1]) + 2 * side
    start = (side if reach[0] >= 0 else width - side, height - side)
    return start, (float(start[0] + reach[0]), float(start[1] + reach[1])), (int(height) + 1, int(width) + 1)


def _composed(section: Section, rng: np.random.Generator, across: Floats, height: Floats) -> tuple[Floats, Floats]:
    """Light of the section in both pictures (linear sRGB), film upon film, each with its grain."""
    films = (section.base, *section.films, section.resin)
    light = np.zeros((*across.shape, 3))
    glow = np.zeros_like(light)
    surfaces = section.surfaces(across)
    for number, film in enumerate(films):
        grain = _grain(rng, film, across.shape)
        if number == 0:
            cover = np.ones_like(across)
        else:
            above = height - surfaces[number - 1]
            cover = ndtr(above / max(film.fused_px, 0.3))
            grain = grain + film.fades * (np.clip(above / (film.thickness_um / section.um_per_px), 0, 1) - 0.5)
        light += cover[..., None] * (_coloured(film.lab, grain) - light)
        glow += cover[..., None] * (_coloured(film.uv, grain * -0.6) - glow)
    return light, glow


def _grain(rng: np.random.Generator, film: Film, shape: tuple[int, ...]) -> Floats:
    """Particles: blotches of L* of the film's size and strength, a few of them large."""
    noise = gaussian_filter(rng.standard_normal(shape), film.grain_px / 2)
    coarse = gaussian_filter(rng.standard_normal(shape), film.grain_px * 1.5)
    specks = np.where(coarse > 2.6 * coarse.std(), -2.5, 0.0)
    return film.grain * (noise / noise.std() * 0.7 + gaussian_filter(specks, 0.6))


def _coloured(lab: Lab, grain: Floats) -> Floats:
    """Linear sRGB of a colour with its lightness varied: the light is scaled as the lightness changes."""
    y = np.clip((lab[0] + 16) / 116, 0, None)
    f = np.array((y + lab[1] / 500, y, y - lab[2] / 200))
    rgb = np.maximum(_TO_RGB @ (np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * _WHITE), 0.0)
    scale = np.clip((lab[0] + grain + 16) / (lab[0] + 16), 0.05, None) ** 3
    return np.asarray(scale[..., None] * rgb)


def _spoilt(section: Section, rng: np.random.Generator, across: Floats, height: Floats) -> Floats:
    """Cracks that run up through films, and bubbles and pits: where the section is dark, 0 to 1."""
    stack = section.length_px - section.before_px - section.beyond_px
    dark = np.zeros_like(across)
    for _ in range(section.cracks):
        middle, slant, breadth = rng.uniform(-section.width_px, section.width_px), rng.uniform(-0.15, 0.15), rng.uniform(0.6, 2.0)
        bottom, top = np.sort(rng.uniform(0, stack, 2))
        path = middle + slant * height + 1.5 * np.sin(height / 9)
        dark = np.maximum(dark, np.exp(-(((across - path) / breadth) ** 2)) * ((height > bottom) & (height < top)))
    for _ in range(section.bubbles):
        middle, level = rng.uniform(-section.width_px, section.width_px), rng.uniform(-30, stack + 40)
        radius = rng.uniform(1.5, max(3.0, section.width_px / 12))
        dark = np.maximum(dark, ndtr((radius - np.hypot(across - middle, height - level)) / 0.5) * rng.uniform(0.3, 0.8))
    return dark


def _misregistration(section: Section, shape: tuple[int, int]) -> Floats:
    dx, dy, turn, size = section.uv_shift
    angle, (cy, cx) = np.radians(turn), ((shape[0] - 1) / 2, (shape[1] - 1) / 2)
    linear = size * np.array(((np.cos(angle), -np.sin(angle)), (np.sin(angle), np.cos(angle))))
    return np.vstack((np.column_stack((linear, np.array((cx + dx, cy + dy)) - linear @ (cx, cy))), (0.0, 0.0, 1.0)))


def _moved(glow: Floats, to_visible: Floats) -> Floats:
    """The UV picture in its own px: its pixel p shows what lies at to_visible p."""
    swap = np.array(((0, 1, 0), (1, 0, 0), (0, 0, 1)))
    rows = swap @ to_visible @ swap
    parts = [affine_transform(glow[..., band], rows[:2, :2], rows[:2, 2], order=1, mode="nearest") for band in range(3)]
    return np.stack(parts, axis=-1)


def _photographed(
    section: Section, rng: np.random.Generator, light: Floats, noise: float, slopes: tuple[float, float, float]
) -> NDArray[np.generic]:
    """What the camera makes of light: blur, uneven light, noise, the sRGB curve, eight or sixteen bits, JPEG."""
    rows, columns = light.shape[:2]
    v, u = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    uneven = (1 + slopes[0] * u + slopes[1] * v) * (1 - slopes[2] * (u**2 + v**2) / 2)
    blurred = gaussian_filter(light, (section.blur_px, section.blur_px, 0)) * uneven[..., None] * 0.95
    # Shot noise grows with the root of the light; a twelfth of it is there in the dark.
    spotted = blurred + rng.standard_normal(blurred.shape) * noise * np.sqrt(np.maximum(blurred, 0) + 0.01)
    spotted = np.clip(spotted, 0, 1)
    encoded = np.where(spotted <= 0.0031308, 12.92 * spotted, 1.055 * spotted ** (1 / 2.4) - 0.055)
    if section.bits == 16:
        return np.round(encoded * 65535).astype(np.uint16)
    eight = np.round(encoded * 255).astype(np.uint8)
    if section.jpeg is None:
        return eight
    packed = io.BytesIO()
    Image.fromarray(eight).save(packed, "JPEG", quality=section.jpeg)
    return np.asarray(Image.open(packed))
