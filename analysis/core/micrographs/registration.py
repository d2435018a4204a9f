"""How the UV picture of a section lies on the visible one: found by features or phase correlation, or from places that a person names.

Both ways start from small pictures of the edges; each is then made finer by blocks (:mod:`.matching`), first of the small pictures, then
of the whole ones, and that with the smaller residual is taken, if enough blocks bear it out.
"""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.core.micrographs.matching import EVEN_PX, Found, edges_of, fitted, gathered, match, match_one, residuals, small
from analysis.core.micrographs.pictures import Floats, Picture, pixels, size
from analysis.core.micrographs.starting import as_it_is, by_features, by_phase, enlarging, of_one_field, plausible, resized
from analysis.core.micrographs.values import IDENTITY, Box, Matrix, MicrographRefused, Point, Registration

SMALL_PX: Final = 900
_LEAST_BLOCKS: Final = 8
_LEAST_SHARE: Final = 0.5  # of the blocks, that lie where the transform says
_LEAST_LIKENESS: Final = 0.3  # median correlation of those that do
_GOOD_PX: Final = 1.0  # residual of 95 % of the blocks with which no other way is tried
_NEAR_PX: Final = 2.5  # px of small pictures within which a block bears a transform out
_NEAR_WHOLE_PX: Final = 4.0  # px of the whole pictures
_BY_HAND_PX: Final = 6.0  # residual of a named place beyond which it contradicts the others


def register(fixed: Picture, moving: Picture) -> Registration:
    """Find how one picture of a section lies on another of it in other light.

    Parameters
    ----------
    fixed, moving : Picture
        As a rule the visible and the UV picture. They may differ in size.

    Returns
    -------
    Registration
        By features; where these leave a px or more, phase correlation is tried too and that with the smaller residual taken. Always
        `reliable`.

    Raises
    ------
    MicrographRefused
        If neither finds one that can be relied on: pictures of different places, too little in them, blank ones.

    Notes
    -----
    Residuals are measured on blocks of the whole pictures, in the directions in which each block tells; along layers that are straight and
    even nothing can tell, and nothing is lost by it. Cost: some 3 s and 100 MB for two pictures of 60 megapixels.
    """
    (here, f), (there, g) = small(fixed, SMALL_PX), small(moving, SMALL_PX)
    if here.std() < 1e-3 or there.std() < 1e-3:
        raise MicrographRefused("One of the two pictures is blank: there is nothing to lay on each other.")
    if min(*here.shape, *there.shape) < 48:
        raise MicrographRefused("A picture of less than 48 px a side is too small to be laid on another.")
    k = f * of_one_field(size(fixed), size(moving))
    if k != g:
        there = resized(there, g / k)
    here, there = edges_of(here), edges_of(there)
    up, up_moving = enlarging(f), enlarging(k)
    tries: list[Registration] = []
    for method, begin in (("features", by_features), ("phase correlation", by_phase), ("phase correlation", as_it_is)):
        if tries and tries[0].p95_px < _GOOD_PX:
            break
        start = begin(here, there)
        rough = None if start is None else _borne_out(here, there, start)
        if rough is None:
            continue
        made = _finished(fixed, moving, up_moving @ rough @ np.linalg.inv(up), f, method)
        if made is not None:
            tries.append(made)
    if not tries:
        raise MicrographRefused(
            "The two pictures could not be laid on each other reliably: they may show different places, or too little in common."
        )
    return min(tries, key=lambda one: (one.p95_px, one.median_px))


def register_points(pairs: Sequence[tuple[Point, Point]], fixed_size: tuple[int, int]) -> Registration:
    """How one picture lies on another, from places that a person named in both.

    Parameters
    ----------
    pairs : sequence of ((x, y), (x, y))
        The same place in the moving picture and in the fixed one. One gives a shift, two or three shift, turn and size, four and more a
        full affine transform.
    fixed_size : tuple of two ints
        Width and height of the fixed picture, px.

    Returns
    -------
    Registration
        `reliable` is False where the places contradict each other, or one or two leave nothing to check them by.

    Raises
    ------
    MicrographRefused
        If there is no pair, or the places coincide or lie on one line so that they tell nothing.
    """
    if not pairs:
        raise MicrographRefused("Name a place that you see in both pictures; three or more let the result be checked.")
    named = np.array([[*moving, *fixed] for moving, fixed in pairs], dtype=np.float64)
    if not np.isfinite(named).all():
        raise MicrographRefused("A named place is no place in a picture.")
    transform = "translation" if len(named) == 1 else "similarity" if len(named) < 4 else "affine"
    around = named - named.mean(axis=0)
    spread = [np.linalg.svd(part, compute_uv=False) for part in (around[:, :2], around[:, 2:])] if len(named) > 1 else []
    least = 0.02 * max(fixed_size)
    if any(part[0] < least for part in spread):
        raise MicrographRefused("The named places lie too near to each other: choose them far apart, near the picture's corners.")
    if transform == "affine" and any(part[1] < least for part in spread):
        transform = "similarity"
    found = Found(named[:, 2:], named[:, :2], np.tile(np.eye(2), (len(named), 1, 1)), np.ones(len(named)))
    to_moving, _ = fitted(found, transform, np.eye(3))
    if abs(np.linalg.det(to_moving)) < 1e-6:
        raise MicrographRefused("The named places contradict each other: check that each pair is the same place.")
    to_fixed = np.linalg.inv(to_moving).astype(np.float64)
    off = _off(named[:, :2], named[:, 2:], to_fixed)
    median = round(float(np.median(off)), 3)
    doubt = doubt_of(pairs, _rows(to_fixed))
    return Registration(
        _rows(to_fixed),
        "points",
        transform,
        len(named),
        median,
        round(float(np.percentile(off, 95)), 3),
        None,
        not doubt,
        doubt or f"Laid by {len(named)} named places ({transform}): residual {median:.1f} px (median).",
    )


def doubt_of(pairs: Sequence[tuple[Point, Point]], matrix: Matrix) -> str:
    """Why pictures that were laid on each other by named places cannot be relied on.

    Parameters
    ----------
    pairs : sequence of ((x, y), (x, y))
        The same place in the moving picture and in the fixed one.
    matrix : three by three floats
        How the one lies on the other by them, from px of the moving picture to px of the fixed one.

    Returns
    -------
    str
        A sentence; empty where they can be relied on: most of them agree, and more of them than just fix how the pictures lie.

    Notes
    -----
    A place that contradicts the others is left aside when pictures are laid, so as many places as fix it always agree, whatever they are:
    one fixes a shift, two fix shift, turn and size (of up to three), three an affine transform.
    """
    fixing = 1 if len(pairs) == 1 else 2 if len(pairs) < 4 else 3
    if len(pairs) <= fixing:
        return "Laid by as many named places as just fix it: nothing checks them. Name another."
    off = _off([moving for moving, _ in pairs], [fixed for _, fixed in pairs], np.array(matrix, dtype=np.float64))
    agree = int((off <= _BY_HAND_PX).sum())
    if agree <= max(fixing, len(pairs) / 2):
        return f"The named places contradict each other by up to {off.max():.1f} px: check each pair."
    return ""


def _off(moving: Sequence[Point] | Floats, fixed: Sequence[Point] | Floats, to_fixed: Floats) -> Floats:
    """How far each place of the moving picture is laid from the same place of the fixed one, px of this."""
    apart = np.asarray(moving, dtype=np.float64) @ to_fixed[:2, :2].T + to_fixed[:2, 2] - np.asarray(fixed, dtype=np.float64)
    return np.asarray(np.hypot(*apart.T), dtype=np.float64)


def _borne_out(here: Floats, there: Floats, start: Floats) -> Floats | None:
    """A start made finer by blocks of the small pictures; None where they do not bear it out."""
    side = int(np.clip(min(here.shape) // 5, 32, 96)) // 2 * 2
    matrix = start
    for reach in (16, 8):
        found = match(here, there, matrix, side, reach)
        if len(found.fixed) < _LEAST_BLOCKS:
            return None
        matrix, _ = fitted(found, "similarity", matrix)
        if plausible(matrix) is None:
            return None
    near = residuals(found, matrix) < _NEAR_PX
    sound = near.mean() >= _LEAST_SHARE and near.sum() >= _LEAST_BLOCKS and np.median(found.likeness[near]) >= _LEAST_LIKENESS
    return matrix if sound else None


def _finished(fixed: Picture, moving: Picture, to_moving: Floats, factor: int, method: str) -> Registration | None:
    """The transform by blocks of the whole pictures, with its residuals."""
    found = _whole_blocks(fixed, moving, to_moving, reach=3 + 2 * factor)
    if len(found.fixed) < _LEAST_BLOCKS:
        return None
    transform = "similarity"
    matrix, off = fitted(found, transform, to_moving)
    affine, affine_off = fitted(found, "affine", matrix)
    if len(off) >= 2 * _LEAST_BLOCKS and np.median(affine_off) < 0.7 * np.median(off):
        transform, matrix, off = "affine", affine, affine_off
    near = off < _NEAR_WHOLE_PX
    if near.mean() < _LEAST_SHARE or near.sum() < _LEAST_BLOCKS:
        return None
    to_fixed = np.linalg.inv(matrix)
    size_of = np.sqrt(abs(np.linalg.det(to_fixed[:2, :2])))
    kept = Found(*(part[near] for part in found))
    halves = [fitted(Found(*(part[half::2] for part in kept)), "similarity", matrix)[0] for half in (0, 1)]
    apart = [residuals(Found(kept.fixed, kept.fixed @ halves[1][:2, :2].T + halves[1][:2, 2], kept.telling, kept.likeness), halves[0])]
    median, far = float(np.median(off[near]) * size_of), float(np.percentile(off[near], 95) * size_of)
    return Registration(
        _rows(to_fixed),
        method,
        transform,
        int(near.sum()),
        round(median, 3),
        round(far, 3),
        round(float(np.max(apart[0]) * size_of), 3),
        True,
        f"Laid by {method} ({transform}): {int(near.sum())} of {len(off)} blocks bear it out, residual {median:.1f} px (median), "
        f"{far:.1f} px for 95 % of them.",
    )


def _whole_blocks(fixed: Picture, moving: Picture, to_moving: Floats, reach: int, across: int = 7) -> Found:
    """Blocks of the whole pictures, each read by itself."""
    width, height = size(fixed)
    there_width, there_height = size(moving)
    side = int(np.clip(min(width, height) // 6, 40, 160)) // 2 * 2
    size_of = float(np.sqrt(abs(np.linalg.det(to_moving[:2, :2]))))
    around = int(np.ceil((reach + 2) * max(size_of, 1.0)))
    rim = int(2 * EVEN_PX)
    rows = []
    for y in np.linspace(side, height - side, across):
        for x in np.linspace(side, width - side, across):
            low = np.maximum((int(x) - side // 2 - rim, int(y) - side // 2 - rim), 0)
            high = np.minimum((int(x) + side // 2 + rim, int(y) + side // 2 + rim), (width, height))
            block = edges_of(pixels(fixed, _box(low, high)).mean(axis=2))
            corners = np.array([(a, b) for a in (low[0], high[0]) for b in (low[1], high[1])]) @ to_moving[:2, :2].T + to_moving[:2, 2]
            first = np.maximum(np.floor(corners.min(axis=0)).astype(int) - around, 0)
            last = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + around + 1, (there_width, there_height))
            if (last - first < side * size_of).any():
                continue
            field = edges_of(pixels(moving, _box(first, last)).mean(axis=2))
            local = to_moving.copy()
            local[:2, 2] += to_moving[:2, :2] @ low - first
            one = match_one(block, field, local, (int(x) - int(low[0]), int(y) - int(low[1])), side, reach)
            if one is not None and one[3] > 0.15:
                rows.append((one[0] + low, one[1] + first, one[2], one[3]))
    return gathered(rows)


def _box(low: NDArray[Any], high: NDArray[Any]) -> Box:
    return int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1])


def _rows(matrix: NDArray[np.floating[Any]]) -> Matrix:
    if not np.isfinite(matrix).all():
        return IDENTITY
    a, b, c = (tuple(round(float(value), 9) for value in row) for row in matrix)
    return a, b, c  # type: ignore[return-value]
