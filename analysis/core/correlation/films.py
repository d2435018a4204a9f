"""Kinds of film: how alike two kinds are, and how readily one follows another within one campaign."""

from typing import Final

import numpy as np

GROUPS: Final = ("ground", "undercoat", "coat", "leaf", "clear", "soiling", "paper", "other")
_GROUP_OF: Final = {
    "size": "ground", "knotting": "ground", "filler": "ground", "primer": "ground", "undercoat": "undercoat",
    "graining ground": "undercoat", "paint": "coat", "stain": "coat", "limewash": "coat", "distemper": "coat", "casein": "coat",
    "emulsion": "coat", "metal leaf": "leaf", "bronze powder": "leaf", "glaze": "clear", "varnish": "clear",
    "soiling": "soiling", "paste": "paper", "paper": "paper", "plaster skim": "other", "residue": "other", "void": "other",
    "unknown": "other",
}  # fmt: skip

# How much a layer of one group says about the look of one of another in the same campaign (1 = all). Weak.
LIKENESS: Final = np.array([
    [1.00, 0.35, 0.12, 0.00, 0.00, 0.00, 0.00, 0.05],
    [0.35, 1.00, 0.30, 0.00, 0.00, 0.00, 0.00, 0.10],
    [0.12, 0.30, 1.00, 0.05, 0.03, 0.00, 0.05, 0.15],
    [0.00, 0.00, 0.05, 1.00, 0.05, 0.00, 0.00, 0.05],
    [0.00, 0.00, 0.03, 0.05, 1.00, 0.00, 0.00, 0.05],
    [0.00, 0.00, 0.00, 0.00, 0.00, 1.00, 0.00, 0.00],
    [0.00, 0.00, 0.05, 0.00, 0.00, 0.00, 1.00, 0.05],
    [0.05, 0.10, 0.15, 0.05, 0.05, 0.00, 0.05, 0.30],
])  # fmt: skip

# Probability that the upper film (column) is of the campaign of the lower one (row), nothing else known. Practice: primer,
# undercoat, coat, leaf, clear film is the order within one campaign; soiling lies on the older one and the next film is newer.
SAME_CAMPAIGN: Final = np.array([
    [0.75, 0.90, 0.93, 0.80, 0.80, 0.90, 0.70, 0.50],
    [0.04, 0.50, 0.93, 0.85, 0.80, 0.85, 0.40, 0.50],
    [0.04, 0.05, 0.22, 0.80, 0.91, 0.95, 0.10, 0.30],
    [0.03, 0.06, 0.10, 0.40, 0.85, 0.95, 0.10, 0.30],
    [0.02, 0.04, 0.06, 0.30, 0.30, 0.95, 0.05, 0.30],
    [0.01, 0.02, 0.02, 0.05, 0.05, 0.70, 0.02, 0.15],
    [0.05, 0.10, 0.40, 0.40, 0.50, 0.90, 0.80, 0.30],
    [0.30, 0.30, 0.40, 0.40, 0.40, 0.70, 0.40, 0.50],
])  # fmt: skip

# Classes that one campaign often gave another colour than the trim (practice).
APART: Final = ("wall", "ceiling", "baseboard", "door leaf", "floor", "dado", "ceiling rose", "tread", "handrail")
# Surfaces that one campaign often painted without the woodwork, and the other way about (practice).
PLASTER: Final = ("wall", "ceiling", "ceiling rose")


def group_of(kind: str) -> int:
    """Index into `GROUPS` of a layer's kind; a word that is no kind is 'other'."""
    return GROUPS.index(_GROUP_OF.get(kind, "other"))
