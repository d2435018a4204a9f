"""Where to begin when one picture is laid on another: corners that look alike, or spectra, of small pictures of the edges."""

from typing import Any, Final

import numpy as np

from analysis.core.micrographs.pictures import Floats

LEAST_PAIRS: Final = 8
SIZES: Final = (0.5, 2.0)  # two pictures of one section are no more than this apart in magnification
_FEATURES: Final = 600


def of_one_field(fixed: tuple[int, int], moving: tuple[int, int]) -> float:
    """Px of the moving picture for one of the fixed: two pictures of one shape are taken to show one field, though one has fewer px."""
    across, down = moving[0] / fixed[0], moving[1] / fixed[1]
    return across if abs(across / down - 1) < 0.02 else 1.0


def enlarging(factor: float) -> Floats:
    """From small px to whole ones; a small px has its middle at (factor - 1) / 2 of the whole ones."""
    return np.array(((factor, 0.0, (factor - 1) / 2), (0.0, factor, (factor - 1) / 2), (0.0, 0.0, 1.0)))


def resized(grey: Floats, factor: float) -> Floats:
    """A grey picture made larger or smaller, without false patterns."""
    from skimage.transform import resize

    shape = tuple(max(1, round(side * factor)) for side in grey.shape)
    return np.asarray(resize(grey, shape, order=1, anti_aliasing=True), dtype=np.float64)


def by_features(here: Floats, there: Floats) -> Floats | None:
    """From fixed to moving by corners that look alike (ORB) and a transform that most of them share (RANSAC); None where none does."""
    from skimage.feature import ORB, match_descriptors
    from skimage.measure import ransac
    from skimage.transform import SimilarityTransform

    kept: list[tuple[Any, Any]] = []
    for picture in (here, there):
        finder = ORB(n_keypoints=_FEATURES, n_scales=4, downscale=1.3, fast_threshold=0.05)
        try:
            finder.detect_and_extract(picture / max(picture.max(), 1e-9))
        except RuntimeError:  # it has found no corner
            return None
        if finder.keypoints is None:
            return None
        kept.append((finder.keypoints[:, ::-1], finder.descriptors))
    pairs = match_descriptors(kept[0][1], kept[1][1], cross_check=True, max_ratio=0.9)
    if len(pairs) < LEAST_PAIRS:
        return None
    source, target = kept[0][0][pairs[:, 0]], kept[1][0][pairs[:, 1]]
    model, inliers = ransac((source, target), SimilarityTransform, 3, residual_threshold=4.0, max_trials=1000, rng=1)
    if model is None or inliers is None or inliers.sum() < LEAST_PAIRS:
        return None
    return plausible(np.asarray(model.params, dtype=np.float64))


def by_phase(here: Floats, there: Floats) -> Floats | None:
    """From fixed to moving by phase correlation: turn and size in log-polar spectra, then the shift."""
    from skimage.registration import phase_cross_correlation
    from skimage.transform import SimilarityTransform, warp, warp_polar

    side = max(*here.shape, *there.shape)
    one, two = (_windowed(picture, side) for picture in (here, there))
    spectra = [np.log1p(np.abs(np.fft.fftshift(np.fft.fft2(picture)))) for picture in (one, two)]
    radius = side // 4
    polar = [warp_polar(spectrum, radius=radius, output_shape=(720, 720), scaling="log")[:360] for spectrum in spectra]
    polar = [part - part.mean(axis=0) for part in polar]
    (turned, stretched), *_ = phase_cross_correlation(polar[0], polar[1], upsample_factor=10, normalization=None)
    turn, scale = np.radians(turned / 2), float(np.exp(stretched * np.log(radius) / 720))
    middle = (side - 1) / 2
    best: tuple[float, Floats] | None = None
    for angle, by in ((0.0, 1.0), (-turn, scale), (turn, 1 / scale), (-turn, 1.0), (turn, 1.0)):
        if not SIZES[0] <= by <= SIZES[1]:
            continue
        about = SimilarityTransform(translation=(-middle, -middle)) + SimilarityTransform(rotation=angle, scale=by)
        about = about + SimilarityTransform(translation=(middle, middle))
        laid = warp(two, about)
        shift, *_ = phase_cross_correlation(one, laid, upsample_factor=4, normalization="phase")
        moved = SimilarityTransform(translation=(-shift[1], -shift[0])) + about
        agree = float(np.sum(one * warp(two, moved)) / np.sqrt(np.sum(one**2) * np.sum(two**2) + 1e-12))
        if best is None or agree > best[0]:
            best = (agree, np.asarray(moved.params, dtype=np.float64))
    return None if best is None else plausible(best[1])


def as_it_is(here: Floats, there: Floats) -> Floats | None:
    """From fixed to moving by the shift alone, and that only if the pictures agree better so: often only the light was changed."""
    from skimage.registration import phase_cross_correlation

    if here.shape != there.shape:
        return None
    one, two = (_windowed(picture, max(here.shape)) for picture in (here, there))
    shift, *_ = phase_cross_correlation(one, two, normalization=None)
    start = np.eye(3)
    start[:2, 2] = (-shift[1], -shift[0])
    rolled = np.roll(two, tuple(int(part) for part in shift), (0, 1))
    return start if np.sum(one * rolled) > 1.2 * np.sum(one * two) else np.eye(3)


def _windowed(edges: Floats, side: int) -> Floats:
    """Edges about their mean, fading out at the rim, in a square."""
    rows, columns = (np.hanning(length) ** 0.5 for length in edges.shape)
    square = np.zeros((side, side))
    square[: edges.shape[0], : edges.shape[1]] = (edges - edges.mean()) * rows[:, None] * columns
    return square


def plausible(matrix: Floats) -> Floats | None:
    """The transform, or None where no two pictures of one section are so far apart in magnification."""
    size_of = np.sqrt(abs(np.linalg.det(matrix[:2, :2])))
    return matrix if SIZES[0] <= size_of <= SIZES[1] else None
