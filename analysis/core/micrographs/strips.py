"""A strip of a picture along a line, straightened: columns run along the line, and each may be shifted so that the layers lie level."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs.pictures import Floats, Picture, pixels, size
from analysis.core.micrographs.values import Line, MicrographRefused, Point

SHORTEST_PX: Final = 16.0
# A path that turns by more than this at one point is no way from the substrate to the surface.
SHARPEST_TURN_DEG: Final = 100.0
MOST_COLUMNS: Final = 241
STRAIGHT_DEG: Final = 5.0
_ROWS: Final = 192  # of the strip, sampled at a time


def checked(line: Line, picture: Picture) -> None:
    """Refuse a line that cannot be read, in words."""
    across, down = size(picture)
    points = np.array(line.points, dtype=np.float64)
    if points.ndim != 2 or points.shape[0] < 2 or points.shape[1] != 2 or not np.isfinite(points).all():
        raise MicrographRefused("A line needs two or more points, from the substrate to the surface.")
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    if lengths.min() == 0 or lengths.sum() < SHORTEST_PX:
        raise MicrographRefused(
            f"The line is too short: {lengths.sum():.0f} px, and no two points may coincide. Draw one of 16 px or more."
        )
    if not (np.isfinite(line.width_px) and 1 <= line.width_px <= max(across, down)):
        raise MicrographRefused("The width of a line is from 1 px to the size of the picture.")
    cosines = np.sum(steps[1:] * steps[:-1], axis=1) / (lengths[1:] * lengths[:-1])
    if len(cosines) and cosines.min() < np.cos(np.radians(SHARPEST_TURN_DEG)):
        raise MicrographRefused("The line doubles back: draw it from the substrate to the surface without turning round.")
    if (points < -0.5).any() or (points > (across - 0.5, down - 0.5)).any():
        raise MicrographRefused(f"The line leaves the picture ({across} × {down} px).")


def length(line: Line) -> float:
    """Length of a line, px."""
    return float(np.hypot(*np.diff(np.array(line.points, dtype=np.float64), axis=0).T).sum())


def places(line: Line, along: Floats) -> tuple[Floats, Floats]:
    """Points (n, 2) of the line at places along it, and its right hand there (unit vectors, (n, 2)); straight on beyond its ends."""
    points = np.array(line.points, dtype=np.float64)
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    directions = steps / lengths[:, None]
    starts = np.concatenate(((0.0,), np.cumsum(lengths)[:-1]))
    piece = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, len(lengths) - 1)
    at = points[piece] + directions[piece] * (along - starts[piece])[:, None]
    right = np.stack((-directions[piece, 1], directions[piece, 0]), axis=1)
    if len(lengths) > 1:
        # At a bend the perpendicular turns over half the strip's breadth, lest places there be read twice on one side and never on the
        # other.
        right = _eased(right, along, starts[1:], line.width_px / 2)
    return at, right


def point_at(line: Line, at_px: float) -> Point:
    """Where in the picture a place along a line is; before and beyond the line straight on.

    Parameters
    ----------
    line : Line
    at_px : float

    Returns
    -------
    tuple of two floats
        x, y in px.
    """
    (x, y), *_ = places(line, np.array([at_px]))[0].tolist()
    return float(x), float(y)


def straight(line: Line) -> bool:
    """Whether a line has no bend at which strips much broader than it would lie upon themselves."""
    steps = np.diff(np.array(line.points, dtype=np.float64), axis=0)
    return bool(np.ptp(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))) <= np.radians(STRAIGHT_DEG))


def offsets(line: Line, breadth: float = 0.0) -> tuple[Floats, slice]:
    """Columns of a strip: their places to the right of the line, px, and which of them are the line's own.

    At most `MOST_COLUMNS` over the line's own width; as close beside it, to a strip of `breadth` px, as far as the number allows.
    """
    own = int(np.clip(np.floor(line.width_px), 1, MOST_COLUMNS))
    apart = line.width_px / own
    beside = int(np.clip(np.ceil((breadth - line.width_px) / 2 / apart), 0, (MOST_COLUMNS - own) // 2))
    places = (np.arange(own + 2 * beside) - (own - 1) / 2 - beside) * apart
    return np.asarray(places, dtype=np.float64), slice(beside, beside + own)


def inside(picture: Picture, line: Line, along: Floats, aside: Floats, to_picture: Floats | None = None) -> NDArray[np.bool_]:
    """Whether a picture shows each place of a strip whose layers are not made level: (n, columns). See :func:`sample`."""
    at, right = places(line, along)
    spots = at[:, None] + right[:, None] * aside[:, None]
    if to_picture is not None:
        spots = spots @ to_picture[:2, :2].T + to_picture[:2, 2]
    return _within(picture, spots)


def _within(picture: Picture, spots: Floats) -> NDArray[np.bool_]:
    across, down = size(picture)
    return np.asarray((spots >= -0.5).all(axis=-1) & (spots <= (across - 0.5, down - 0.5)).all(axis=-1))


def sample(
    picture: Picture, line: Line, along: Floats, aside: Floats, shifts: Floats, to_picture: Floats | None = None
) -> NDArray[np.float32]:
    """Red, green and blue of the strip.

    Parameters
    ----------
    picture : Picture
    line : Line
    along : ndarray, shape (n,)
    aside : ndarray, shape (columns,)
        How far to the right of the line each column is, px.
    shifts : ndarray, shape (columns,)
        By how much each column is read further along.
    to_picture : ndarray, shape (3, 3), or None
        From px of the line's picture to px of this one.

    Returns
    -------
    ndarray of float32, shape (n, columns, 3)
        0 to 1; NaN outside the picture.

    Notes
    -----
    Only the rectangles that the strip needs are read, some 200 px of the line at a time.
    """
    from scipy.ndimage import map_coordinates

    across, down = size(picture)
    strip: NDArray[np.float32] = np.full((len(along), len(aside), 3), np.nan, dtype=np.float32)
    for first in range(0, len(along), _ROWS):
        rows = along[first : first + _ROWS, None] + shifts
        at, right = places(line, rows.ravel())
        spots = at + right * np.tile(aside, len(rows))[:, None]
        if to_picture is not None:
            spots = spots @ to_picture[:2, :2].T + to_picture[:2, 2]
        there = _within(picture, spots)
        if not there.any():
            continue
        spots = np.clip(spots, 0, (across - 1, down - 1))
        low = np.floor(spots[there].min(axis=0)).astype(int)
        high = np.minimum(np.ceil(spots[there].max(axis=0)).astype(int) + 1, (across - 1, down - 1))
        part = pixels(picture, (int(low[0]), int(low[1]), int(high[0] - low[0] + 1), int(high[1] - low[1] + 1)))
        where = (spots[there] - low).T[::-1]
        block = np.full((len(spots), 3), np.nan, dtype=np.float32)
        for band in range(3):
            block[there, band] = map_coordinates(part[:, :, band], where, order=1, mode="nearest")
        strip[first : first + _ROWS] = block.reshape(len(rows), len(aside), 3)
    return strip


def _eased(right: Floats, along: Floats, bends: Sequence[float] | Floats, reach: float) -> Floats:
    eased = right.copy()
    for bend in bends:
        before, after = right[along < bend], right[along >= bend]
        if not len(before) or not len(after):
            continue
        share = np.clip((along - bend) / (2 * max(reach, 1.0)) + 0.5, 0, 1)[:, None]
        near = (share > 0) & (share < 1)
        low, high = before[np.argmax(along[along < bend])], after[np.argmin(along[along >= bend])]
        eased = np.where(near, low * (1 - share) + high * share, eased)
    return np.asarray(eased / np.hypot(*eased.T)[:, None])
