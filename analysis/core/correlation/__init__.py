"""Correlation of layers into generations."""

from analysis.core.correlation.model import VERSION, correlate
from analysis.core.correlation.parameters import Parameters
from analysis.core.correlation.values import (
    ContradictoryRulings,
    Correlation,
    FoundGeneration,
    Layer,
    Placement,
    Ruling,
    Sample,
)

__all__ = [
    "VERSION",
    "ContradictoryRulings",
    "Correlation",
    "FoundGeneration",
    "Layer",
    "Parameters",
    "Placement",
    "Ruling",
    "Sample",
    "correlate",
]
