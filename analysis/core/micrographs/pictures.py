"""Reading parts of a picture, so that a large one is never whole in memory as numbers with a point.

A picture is anything that has a `shape` of (height, width) or (height, width, 1, 3 or 4) and gives the pixels of a rectangle for two
slices: an array, a memory-mapped one, or a reader of tiles. Eight bits go from 0 to 255, sixteen to 65,535, and floats from 0 to 1; a
fourth channel is opacity and is left out.
"""

from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs.values import Box, MicrographRefused

Floats = NDArray[np.float64]
# The side of the pieces in which a picture is worked through, px.
TILE: Final = 512


class Picture(Protocol):
    """What the kernels ask of a picture."""

    @property
    def shape(self) -> tuple[int, ...]:
        """Height, width, and channels where there is more than one."""

    def __getitem__(self, where: Any, /) -> Any:
        """Pixels of ``[y1:y2, x1:x2]`` as an array."""


def size(picture: Picture) -> tuple[int, int]:
    """Width and height in px; refused where it is no picture."""
    shape = picture.shape
    if len(shape) not in (2, 3) or min(shape[:2]) < 1 or (len(shape) == 3 and shape[2] not in (1, 3, 4)):
        raise MicrographRefused(f"This is no picture: it has the shape {tuple(shape)}, not height, width and 1, 3 or 4 channels.")
    return int(shape[1]), int(shape[0])


def pixels(picture: Picture, box: Box) -> Floats:
    """Red, green and blue from 0 to 1 of a rectangle that lies in the picture: an array of its height, its width and 3."""
    x, y, width, height = box
    part = np.asarray(picture[y : y + height, x : x + width])
    if part.ndim == 2:
        part = part[:, :, None]
    if part.shape[2] == 1:
        part = np.repeat(part, 3, axis=2)
    return scaled(part[:, :, :3])


def scaled(part: NDArray[Any]) -> Floats:
    """Numbers of a picture as floats from 0 to 1."""
    if part.dtype == np.uint8 or part.dtype == np.uint16:
        return part.astype(np.float64) / np.iinfo(part.dtype).max
    if part.dtype == np.bool_ or not np.issubdtype(part.dtype, np.floating):
        raise MicrographRefused(f"A picture has 8 or 16 bits a channel, or floats from 0 to 1; this has {part.dtype}.")
    return part.astype(np.float64)
