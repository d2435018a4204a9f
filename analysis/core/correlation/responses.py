"""How far UV responses of one campaign differ in a space, learned from the space itself.

One study tells a lemon glow from a yellow-green one by the same lamp and the same eye, another has three observers and a film that has
aged unevenly. So how much an unlike hue says is read off layers that were placed together for all they show.
"""

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.looks import Looks
from analysis.core.correlation.parameters import Parameters


def learned_hue(looks: Looks, together: NDArray[np.bool_], parameters: Parameters) -> float:
    """Log penalty of an unlike hue: what two responses of one campaign are seldom found to have, says much.

    Parameters
    ----------
    looks : Looks
    together : array of bool, layers × layers
    parameters : Parameters
        `uv_unlike` is the share of unlike hues believed beforehand, with the weight of `uv_pairs` pairs.

    Returns
    -------
    float
        Not below 0; at most `uv_hue_most`.
    """
    # No masks over all pairs: of many layers few are together.
    first, second = np.nonzero(np.triu(together, 1))
    unlike = looks.uv_unlike[looks.uv[first], looks.uv[second]]
    near = np.abs(looks.lab[first, 0] - looks.lab[second, 0]) < parameters.lightness_reach / 2.0
    read = unlike[np.isfinite(unlike) & near & (looks.owner[first] != looks.owner[second])]
    share = (float(read.sum()) + parameters.uv_unlike * parameters.uv_pairs) / (len(read) + parameters.uv_pairs)
    return float(min(parameters.uv_hue_most, max(0.0, parameters.uv_telling * np.log((1.0 - share) / share))))
