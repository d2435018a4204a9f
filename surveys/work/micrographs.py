"""From pictures on record to what the kernels ask: pixels of parts of a picture, its scale and colours, how another lies on it.

On record (0, 0) is the upper left corner of the first pixel; to the kernels it is that pixel's middle. One is made the other here.
"""

import contextlib
import math
from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs import (
    ColourCorrection,
    Line,
    Registration,
    Scale,
    from_plain,
    scale_as_stated,
    scale_from_line,
    uncalibrated,
)
from surveys import pictures
from surveys.models import Attachment, Traverse
from surveys.models import Registration as Kept
from surveys.selectors import lines

# From a pixel's corner to its middle.
MIDDLE: Final = 0.5
# The kernels look a little beyond a line and beside it.
AROUND_PX: Final = 256
# Of a measured scale of a microscope: `scale_from_microscope` of the kernels.
MICROSCOPE_ERROR: Final = 0.01


class Part:
    """A picture of which a part is at hand; what lies beyond is fetched when it is asked for."""

    def __init__(self, source: pictures.Opened, size: tuple[int, int] | None, box: Sequence[float] | None) -> None:
        self._source = source
        self._held = self._read(box if size else None)
        across, down = size or self._held.box[2:]
        self.shape = (down, across, 3)

    def _read(self, box: Sequence[float] | None) -> pictures.Pixels:
        return self._source.pixels(box)

    def __getitem__(self, where: tuple[slice, slice]) -> NDArray[Any]:
        rows, columns = where
        (top, bottom, _), (left, right, _) = rows.indices(self.shape[0]), columns.indices(self.shape[1])
        x, y, wide, high = self._held.box
        if not (x <= left and y <= top and right <= x + wide and bottom <= y + high):
            low, upper = (min(left, x), min(top, y)), (max(right, x + wide), max(bottom, y + high))
            self._held = self._read((*low, upper[0] - low[0], upper[1] - low[1]))
            x, y, _, _ = self._held.box
        return self._held.array[top - y : bottom - y, left - x : right - x]


@contextlib.contextmanager
def part_of(picture: Attachment, spots: Sequence[Sequence[float]], around: float) -> Iterator[Part]:
    """A picture with the part at hand that these spots (px) and so much around them need."""
    size = (picture.width, picture.height) if picture.width and picture.height else None
    low = [min(spot[axis] for spot in spots) - around for axis in (0, 1)]
    high = [max(spot[axis] for spot in spots) + around for axis in (0, 1)]
    box = [low[0], low[1], high[0] - low[0], high[1] - low[1]]
    if size is not None:
        left, top = (min(max(one, 0.0), side - 1.0) for one, side in zip(low, size, strict=True))
        box = [left, top, max(min(high[0], size[0]) - left, 1.0), max(min(high[1], size[1]) - top, 1.0)]
    with pictures.opened(picture) as source:
        yield Part(source, size, box)


def around_of(line: Traverse) -> float:
    """How far around a line is looked, px."""
    return AROUND_PX + float(line.width_px)


def line_of(line: Traverse) -> Line:
    """A line as the kernels know it."""
    return Line(tuple((x - MIDDLE, y - MIDDLE) for x, y in line.path), float(line.width_px))


def scale_of(picture: Attachment) -> Scale | None:
    """The scale of a picture, with how sure it is; None where it has none."""
    if picture.um_per_pixel is None:
        return None
    if picture.scale_line:
        return scale_from_line(picture.scale_line["points"], picture.scale_line["length_um"])
    if picture.scale_by == "microscope":
        return Scale(picture.um_per_pixel, picture.um_per_pixel * MICROSCOPE_ERROR, "microscope")
    return scale_as_stated(picture.um_per_pixel)


def correction_of(picture: Attachment) -> ColourCorrection:
    """How a picture's numbers become colours: as its target says, or uncalibrated."""
    kept = lines.effective_correction(picture)
    return from_plain(ColourCorrection, kept) if kept else uncalibrated()


def centred(matrix: Any) -> NDArray[np.float64]:
    """A matrix between two pictures told from their corners, as it is from the middles of their first pixels."""
    return _shift(-MIDDLE) @ np.array(matrix, dtype=np.float64) @ _shift(MIDDLE)


def cornered(matrix: Any) -> NDArray[np.float64]:
    """The reverse of `centred`."""
    return _shift(MIDDLE) @ np.array(matrix, dtype=np.float64) @ _shift(-MIDDLE)


def _shift(by: float) -> NDArray[np.float64]:
    return np.array(((1.0, 0.0, by), (0.0, 1.0, by), (0.0, 0.0, 1.0)))


def registration_of(kept: Kept) -> Registration:
    """A registration that stands, as the kernels know it."""
    matrix = tuple(tuple(float(one) for one in row) for row in centred(kept.matrix))
    residual = float(kept.residual_px)
    carried, doubt = kept.inliers or len(kept.points), lines.doubt(kept)
    return Registration(matrix, kept.method, "affine", carried, residual, residual, None, not doubt, doubt)  # type: ignore[arg-type]


def spots_on_moving(kept: Kept, spots: Sequence[Sequence[float]]) -> list[list[float]]:
    """Where spots of the fixed picture lie on the moving one, px."""
    back = np.linalg.inv(np.array(kept.matrix, dtype=np.float64))
    return [[float(one) for one in (back @ (x, y, 1.0))[:2]] for x, y in spots]


def finite(matrix: Any) -> bool:
    """Whether all numbers of a matrix are numbers."""
    return all(math.isfinite(one) for row in matrix for one in row)
