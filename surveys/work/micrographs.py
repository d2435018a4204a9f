"""From pictures on record to what the kernels ask: pixels of parts of a picture, its scale and colours, how another lies on it.

On record (0, 0) is the upper left corner of the first pixel; to the kernels it is that pixel's middle. One is made the other here.
"""

import contextlib
import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final, Protocol

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
# So many px of a picture are held at a time (384 MB of 16 bits); of more, pieces of so many px a side, with a rim for what leans back.
MOST_HELD: Final = 64_000_000
PIECE_PX: Final = 4_096
RIM_PX: Final = 256
# Of a measured scale of a microscope: `scale_from_microscope` of the kernels.
MICROSCOPE_ERROR: Final = 0.01


Corner = tuple[int, int]


class Source(Protocol):
    """What a part of a picture is fetched from."""

    def pixels(self, box: Sequence[float] | None, *, tell: pictures.opening.Tell) -> pictures.Pixels:
        """The pixels of a box, or of the whole."""


class Watched:
    """A picture at hand whole, which tells whenever pixels of it are asked for."""

    def __init__(self, array: NDArray[Any], tell: Callable[[], object]) -> None:
        self._array = array
        self._tell = tell
        self.shape = array.shape

    def __getitem__(self, where: Any) -> Any:
        self._tell()
        return self._array[where]


class Part:
    """A picture of which a part is at hand; what lies beyond is fetched when it is asked for.

    No more than `MOST_HELD` px are held: along a line that runs aslant over a large picture they are fetched piece after piece.
    `tell` is called whenever the kernels ask for pixels and while they are fetched, so that a job of minutes is heard and can be stopped.
    """

    def __init__(
        self, source: Source, size: tuple[int, int] | None, box: Sequence[float] | None, tell: Callable[[], object] = lambda: None
    ) -> None:
        self._source = source
        self._tell = tell
        self._held: pictures.Pixels | None = None
        self._in_pieces = box is not None and box[2] * box[3] > MOST_HELD
        if size is None or box is None:
            self._held = self._read(None)
            size = self._held.box[2], self._held.box[3]
        elif not self._in_pieces:
            self._held = self._read(box)
        self.shape = (size[1], size[0], 3)

    def _read(self, box: Sequence[float] | None) -> pictures.Pixels:
        # What was held goes first.
        self._held = None
        return self._source.pixels(box, tell=lambda done, total, now: self._tell())

    def __getitem__(self, where: tuple[slice, slice]) -> NDArray[Any]:
        self._tell()
        rows, columns = where
        (top, bottom, _), (left, right, _) = rows.indices(self.shape[0]), columns.indices(self.shape[1])
        x, y, wide, high = before = self._held.box if self._held is not None else (left, top, 0, 0)
        if self._held is None or not (x <= left and y <= top and right <= x + wide and bottom <= y + high):
            low, upper = (min(left, x), min(top, y)), (max(right, x + wide), max(bottom, y + high))
            if self._in_pieces or (upper[0] - low[0]) * (upper[1] - low[1]) > MOST_HELD:
                low, upper = self._onwards((left, top), (right, bottom), before if self._held is not None else None)
            self._held = self._read((*low, upper[0] - low[0], upper[1] - low[1]))
            x, y, _, _ = self._held.box
        return self._held.array[top - y : bottom - y, left - x : right - x]

    def _onwards(self, low: Corner, upper: Corner, before: Sequence[int] | None) -> tuple[Corner, Corner]:
        """What is asked for and more, on to where the kernels go: away from what was held before, and if nothing was, to all sides."""
        found = []
        for axis, most in ((0, self.shape[1]), (1, self.shape[0])):
            more = max(PIECE_PX - (upper[axis] - low[axis]), 0)
            back, on = more // 2, more // 2
            if before is not None:
                ahead = low[axis] + upper[axis] >= 2 * before[axis] + before[axis + 2]
                back, on = (RIM_PX, more - RIM_PX) if ahead else (more - RIM_PX, RIM_PX)
            found.append((max(low[axis] - max(back, 0), 0), min(upper[axis] + max(on, 0), most)))
        (left, right), (top, foot) = found
        return (left, top), (right, foot)


@contextlib.contextmanager
def part_of(
    picture: Attachment, spots: Sequence[Sequence[float]], around: float, tell: Callable[[], object] = lambda: None
) -> Iterator[Part]:
    """A picture with the part at hand that these spots (px) and so much around them need."""
    size = (picture.width, picture.height) if picture.width and picture.height else None
    low = [min(spot[axis] for spot in spots) - around for axis in (0, 1)]
    high = [max(spot[axis] for spot in spots) + around for axis in (0, 1)]
    box = [low[0], low[1], high[0] - low[0], high[1] - low[1]]
    if size is not None:
        left, top = (min(max(one, 0.0), side - 1.0) for one, side in zip(low, size, strict=True))
        box = [left, top, max(min(high[0], size[0]) - left, 1.0), max(min(high[1], size[1]) - top, 1.0)]
    with pictures.opened(picture) as source:
        yield Part(source, size, box, tell)


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
