"""The exact distributions of one space by itself, for either prior."""

import numpy as np
from numpy.typing import NDArray

from analysis.core.dating.joint import Chain


def marginals_uniform(allowed: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Give each generation's distribution, every ordered set of years equally likely.

    Parameters
    ----------
    allowed : ndarray of bool, shape (generations, years)

    Returns
    -------
    ndarray, of the same shape
        Rows sum to 1.
    """
    forward = _sweep(allowed)
    backward = _sweep(allowed[::-1, ::-1])[::-1, ::-1]
    product = forward * backward
    total: NDArray[np.float64] = product / product.sum(axis=1, keepdims=True)
    return total


def _sweep(allowed: NDArray[np.bool_]) -> NDArray[np.float64]:
    counts = np.zeros(allowed.shape)
    running = np.ones(allowed.shape[1])
    for index, row in enumerate(allowed):
        counts[index] = np.where(row, running, 0.0)
        counts[index] /= counts[index].max()
        running = np.cumsum(counts[index])
    return counts


def marginals_span(allowed: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Give each generation's distribution, every span equally likely.

    Parameters
    ----------
    allowed : ndarray of bool, shape (generations, years)

    Returns
    -------
    ndarray, of the same shape
        Rows sum to 1.

    Notes
    -----
    Axes of the working arrays: generation, year of the first generation, year of this generation.
    """
    count, years = allowed.shape
    forward = _from_each_first(allowed)
    ends = forward[-1]
    span = np.arange(years)[None, :] - np.arange(years)[:, None]
    weight_of_span = _weights_of_spans(ends)
    weights = np.where((span >= 0) & (ends > 0), weight_of_span[np.maximum(span, 0)], 0.0)
    marginals = np.zeros(allowed.shape)
    for index in range(count - 1, -1, -1):
        marginals[index] = (forward[index] * weights).sum(axis=0)
        marginals[index] /= marginals[index].sum()
        if index:
            weights = np.cumsum((weights * allowed[index])[:, ::-1], axis=1)[:, ::-1]
            weights /= weights.max()
    return marginals


def _from_each_first(allowed: NDArray[np.bool_]) -> NDArray[np.float64]:
    """How many ordered sets lead from each first year to each year, generation by generation; each scaled by its largest."""
    count, years = allowed.shape
    forward = np.zeros((count, years, years))
    forward[0] = np.diag(allowed[0].astype(float))
    for index in range(1, count):
        forward[index] = np.cumsum(forward[index - 1], axis=1) * allowed[index]
        forward[index] /= forward[index].max()
    return forward


def _weights_of_spans(ends: NDArray[np.float64]) -> NDArray[np.float64]:
    """One over the number of ordered sets of each span; 0 for a span that none has."""
    years = len(ends)
    span = np.arange(years)[None, :] - np.arange(years)[:, None]
    sets_of_span = np.bincount(np.maximum(span, 0).ravel(), weights=np.where(span >= 0, ends, 0.0).ravel(), minlength=years)
    return np.divide(1.0, sets_of_span, out=np.zeros(years), where=sets_of_span > 0)


def span_weights(chain: Chain) -> NDArray[np.float64]:
    """Give the weight of each span of a space that makes all spans equally likely.

    Parameters
    ----------
    chain : Chain

    Returns
    -------
    ndarray, shape (years,)
        By span from 0 on: one over the number of ordered sets that have it, up to a common factor; 0 where none has.
    """
    years = np.arange(int(chain.low.min()), int(chain.high.max()) + 1)
    return _weights_of_spans(_from_each_first((years >= chain.low[:, None]) & (years <= chain.high[:, None]))[-1])
