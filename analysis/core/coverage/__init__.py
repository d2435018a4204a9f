"""Coverage: what has been sampled, examined, placed and dated, space by element class; and what is missing that would add most."""

from analysis.core.coverage.counting import coverage
from analysis.core.coverage.gaps import LOW_CONFIDENCE, UV_SHARE, WEAK_JOINT
from analysis.core.coverage.stages import has_come_to
from analysis.core.coverage.values import KINDS, STAGES, Cell, Conflict, Coverage, Element, Gap, Generation, Layer, Sample, Space

__all__ = [
    "KINDS",
    "LOW_CONFIDENCE",
    "STAGES",
    "UV_SHARE",
    "WEAK_JOINT",
    "Cell",
    "Conflict",
    "Coverage",
    "Element",
    "Gap",
    "Generation",
    "Layer",
    "Sample",
    "Space",
    "coverage",
    "has_come_to",
]
