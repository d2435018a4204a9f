"""Blocks of two pictures laid on each other: how far each still is off, in which directions it can tell, and the transform that follows.

Visible and UV pictures differ in brightness and contrast, but their edges lie in the same places; so it is edges that are compared, evened
out over the picture. A block that holds only straight layers tells where it lies across them and nothing of where it lies along them: each
block counts in the directions in which its match is sharp.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs.pictures import TILE, Floats, Picture, pixels, size

BLUR_PX: Final = 1.2
EVEN_PX: Final = 16.0
_STEPS: Final = 4  # of weighing and fitting anew
_OUT_PX: Final = 1.5  # how far off a block may be, in px of what is compared, before it counts for less


class Found(NamedTuple):
    """Of each block its middle in the fixed picture, what it is in the moving one, the directions in which it tells (n, 2, 2; the largest
    eigenvalue is 1), and the correlation at its best place."""

    fixed: Floats
    moving: Floats
    telling: Floats
    likeness: Floats


def small(picture: Picture, most: int) -> tuple[Floats, int]:
    """A grey picture of at most `most` px a side, and how many px of the picture one of its px is; read a strip of rows at a time."""
    across, down = size(picture)
    factor = max(1, -(-max(across, down) // most))
    rows = max(factor, TILE // factor * factor)
    parts = []
    for y in range(0, down - down % factor, rows):
        height = min(rows, down - down % factor - y)
        grey = pixels(picture, (0, y, across - across % factor, height)).mean(axis=2)
        parts.append(grey.reshape(height // factor, factor, -1, factor).mean(axis=(1, 3)))
    return np.concatenate(parts), factor


def edges_of(grey: Floats) -> Floats:
    """Where a grey picture changes, evened out: a strong boundary counts little more than a weak one."""
    from scipy.ndimage import gaussian_filter, gaussian_gradient_magnitude

    change = gaussian_gradient_magnitude(grey, BLUR_PX, mode="nearest")
    around = gaussian_filter(change, EVEN_PX, mode="nearest")
    return np.sqrt(change / (around + 0.25 * change.mean() + 1e-6))


def match(fixed: Floats, moving: Floats, to_moving: Floats, side: int, reach: int, most: int = 64) -> Found:
    """Match blocks of one edge picture in another.

    Parameters
    ----------
    fixed, moving : ndarray, shapes (height, width)
        Edges, of the same scale.
    to_moving : ndarray, shape (3, 3)
        From px of `fixed` to px of `moving`, roughly.
    side : int
        Of a block, px.
    reach : int
        How far off it is looked for.
    most : int
        How many blocks at most.

    Returns
    -------
    Found
        Blocks that lie in both pictures and have something in them.
    """
    height, width = fixed.shape
    step = max(side // 2, int(np.sqrt(height * width / most)))
    half = side // 2
    ys = np.arange(half, height - half, step) if height > side else np.array([])
    xs = np.arange(half, width - half, step) if width > side else np.array([])
    rows = [match_one(fixed, moving, to_moving, (int(x), int(y)), side, reach) for y in ys for x in xs]
    return gathered([row for row in rows if row is not None])


def match_one(
    fixed: Floats, moving: Floats, to_moving: Floats, middle: tuple[int, int], side: int, reach: int
) -> tuple[Floats, Floats, Floats, float] | None:
    """Match the block about one place; None where it leaves a picture or holds nothing."""
    from scipy.ndimage import map_coordinates
    from skimage.feature import match_template

    half, (x, y) = side // 2, middle
    block = fixed[y - half : y + half, x - half : x + half]
    if block.shape != (2 * half, 2 * half) or block.std() < 1e-3:
        return None
    around = np.arange(-half - reach, half + reach, dtype=np.float64)
    v, u = np.meshgrid(around, around, indexing="ij")
    spots = to_moving[:2, :2] @ np.stack((x + u.ravel(), y + v.ravel())) + to_moving[:2, 2:]
    if (spots.min(axis=1) < 0).any() or spots[0].max() > moving.shape[1] - 1 or spots[1].max() > moving.shape[0] - 1:
        return None
    field = map_coordinates(moving, spots[::-1], order=1).reshape(u.shape)
    likeness = match_template(field, block)
    at = np.unravel_index(int(np.argmax(likeness)), likeness.shape)
    row, column = int(at[0]), int(at[1])
    if not (0 < row < likeness.shape[0] - 1 and 0 < column < likeness.shape[1] - 1):
        return None
    near = likeness[row - 1 : row + 2, column - 1 : column + 2]
    bend = np.array(
        (
            (near[1, 0] - 2 * near[1, 1] + near[1, 2], (near[2, 2] + near[0, 0] - near[0, 2] - near[2, 0]) / 4),
            ((near[2, 2] + near[0, 0] - near[0, 2] - near[2, 0]) / 4, near[0, 1] - 2 * near[1, 1] + near[2, 1]),
        )
    )
    lean = np.array((near[1, 2] - near[1, 0], near[2, 1] - near[0, 1])) / 2
    values, vectors = np.linalg.eigh(-bend)
    if values[1] <= 1e-4:
        return None
    values = np.maximum(values, 0.0)
    fine = vectors @ np.diag(np.where(values > 0.05 * values[1], 1 / np.maximum(values, 1e-9), 0.0)) @ vectors.T @ lean
    shift = np.array((column - reach, row - reach), dtype=np.float64) + np.clip(fine, -0.5, 0.5)
    telling = vectors @ np.diag(np.where(values > 0.05 * values[1], values / values[1], 0.0)) @ vectors.T
    place = np.array((x, y), dtype=np.float64)
    return place, to_moving[:2, :2] @ (place + shift) + to_moving[:2, 2], telling, float(near[1, 1])


def gathered(rows: list[tuple[Floats, Floats, Floats, float]]) -> Found:
    """Matches of single blocks as one."""
    if not rows:
        return Found(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros((0, 2, 2)), np.zeros(0))
    places, there, telling, likeness = zip(*rows, strict=True)
    return Found(np.array(places), np.array(there), np.array(telling), np.array(likeness))


def fitted(found: Found, transform: str, start: Floats) -> tuple[Floats, Floats]:
    """The transform from fixed to moving px that suits the blocks best, and how far each is off it in the directions that it tells, px.

    Parameters
    ----------
    found : Found
    transform : str
        "translation", "similarity" or "affine".
    start : ndarray, shape (3, 3)
        Where to begin from: in what no block tells, the transform stays as it is here.

    Returns
    -------
    tuple of ndarray, shapes (3, 3) and (n,)
    """
    trust = found.likeness.clip(0.05) ** 2
    matrix, off = start, np.zeros(len(found.fixed))
    for _ in range(_STEPS):
        matrix = _least_squares(found, trust, transform, start)
        off = residuals(found, matrix)
        middle = max(float(np.median(off)), 0.3)
        trust = found.likeness.clip(0.05) ** 2 / (1 + (off / (_OUT_PX * middle)) ** 2) ** 2
    return matrix, off


def residuals(found: Found, matrix: Floats) -> Floats:
    """How far each block is off a transform, px, in the directions that it tells."""
    apart = found.fixed @ matrix[:2, :2].T + matrix[:2, 2] - found.moving
    return np.asarray(np.sqrt(np.maximum(np.einsum("ni,nij,nj->n", apart, found.telling, apart), 0.0)))


def _least_squares(found: Found, trust: Floats, transform: str, start: Floats) -> Floats:
    """`start` changed by as little as explains the blocks."""
    n = len(found.fixed)
    middle = found.fixed.mean(axis=0)
    far = max(float(np.sqrt(np.mean((found.fixed - middle) ** 2))), 1.0)
    x, y = ((found.fixed - middle) / far).T
    one, zero = np.ones(n), np.zeros(n)
    columns: NDArray[np.float64]
    if transform == "translation":
        columns = np.array(((one, zero), (zero, one)))
    elif transform == "similarity":
        columns = np.array(((one, zero), (zero, one), (x, y), (-y, x)))
    else:
        columns = np.array(((one, zero), (zero, one), (x, zero), (y, zero), (zero, x), (zero, y)))
    design = columns.transpose(2, 1, 0)  # blocks, two, unknowns
    known = found.moving - found.fixed @ start[:2, :2].T - start[:2, 2]
    weight = found.telling * trust[:, None, None]
    normal = np.einsum("nij,nik,nkl->jl", design, weight, design)
    right = np.einsum("nij,nik,nk->j", design, weight, known)
    told = np.linalg.lstsq(normal + 1e-3 * np.trace(normal) / len(normal) * _loose(normal), right, rcond=None)[0]
    linear = np.zeros((2, 2))
    if transform == "similarity":
        linear = np.array(((told[2], -told[3]), (told[3], told[2]))) / far
    elif transform == "affine":
        linear = np.array(((told[2], told[3]), (told[4], told[5]))) / far
    matrix = np.eye(3)
    matrix[:2, :2] = start[:2, :2] + linear
    matrix[:2, 2] = start[:2, 2] + told[:2] - linear @ middle
    return matrix


def _loose(normal: Floats) -> Floats:
    """Projection on what the blocks hardly tell, which alone is held where it was."""
    values, vectors = np.linalg.eigh(normal)
    weak = vectors[:, values < 0.02 * values[-1]]
    return np.asarray(weak @ weak.T, dtype=np.float64)
