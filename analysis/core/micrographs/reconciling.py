"""Several lines across one section made one stack."""

from collections.abc import Sequence

from analysis.core.micrographs.values import Reading, Reconciled


def reconcile(readings: Sequence[Reading]) -> Reconciled:
    """Align the layers of several lines on one section, in order.

    Parameters
    ----------
    readings : sequence of Reading
        At least two.

    Returns
    -------
    Reconciled

    Raises
    ------
    MicrographRefused
        If there are fewer than two, or one has no layer.
    """
    raise NotImplementedError
