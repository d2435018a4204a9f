"""Element readings: which generations each element carries of those that it could, and what follows for the element's own history.

Four histories are weighed against each other: it has stood *from the start*; it was *inserted* later; it was *stripped* of what it
carried; it was *reused*, and brought layers from elsewhere. Counts alone cannot tell an insertion from a stripping, so they do not: how
many early generations an element lacks tells both from an element that early campaigns merely left out, and what tells them from each
other is the base of its samples, residues, and evidence on when it was made. Where that is silent, the reading says 'inserted or
stripped' and what would decide.

The model (`weigh`): prior odds, times how likely the generations it lacks are under each history (from how often the other elements
of the space carry each generation), times how likely its base, its residues and its evidence are. All numbers stand in
`analysis.core.readings.weighing` with their reasons; they are judgements of common practice, not measurements.
"""

from analysis.core.readings.reading import read_elements
from analysis.core.readings.values import CONCLUSIONS, HISTORIES, Making, Neighbours, Reading, Span
from analysis.core.readings.weighing import Signs, Weighed, weigh

__all__ = [
    "CONCLUSIONS",
    "HISTORIES",
    "Making",
    "Neighbours",
    "Reading",
    "Signs",
    "Span",
    "Weighed",
    "read_elements",
    "weigh",
]
