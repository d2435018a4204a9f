"""What one short chain of draws tells of a space before the real work: how its UV responses are to be read, and a rough order of layers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.core.correlation.constraints import read_rulings
from analysis.core.correlation.evidence import Evidence, gather, relit
from analysis.core.correlation.looks import look
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.profile import state_problem
from analysis.core.correlation.responses import learned_hue
from analysis.core.correlation.search import roughly
from analysis.core.correlation.values import Sample

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Learned:
    """The parameters as this space has them, its evidence read with them, and about how far up each layer stands."""

    parameters: Parameters
    evidence: Evidence
    depth: Floats


def learn(samples: Sequence[Sample], parameters: Parameters, tell: Callable[[], None] = lambda: None) -> Learned:
    """Learn a space, its rulings aside: whatever is ruled, the evidence stays the same.

    Parameters
    ----------
    samples : sequence of Sample
        In canonical order.
    parameters : Parameters
        What is believed beforehand.
    tell : callable, optional
        Called now and then; it may raise to stop.
    """
    tell()
    looks = look(samples, parameters)
    evidence = gather(samples, parameters, looks)
    depth = np.zeros(len(evidence.stay))
    if not len(depth):
        return Learned(parameters, evidence, depth)
    free = read_rulings(samples, (), (), evidence.stay, depth)
    rough = roughly(state_problem(samples, evidence, free, parameters), tell)
    told = replace(parameters, uv_hue=learned_hue(looks, rough.together, parameters))
    return Learned(told, relit(evidence, looks, told), rough.depth)
