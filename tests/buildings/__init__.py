"""Invented buildings whose truth is known, and the score of a correlation against that truth.

Everything here is invented: no real building, firm or person. The habits (how often a campaign leaves an element out,
what faults the eye makes) stand in :class:`tests.buildings.habits.Habits` with their reasons.
"""

from tests.buildings.expert import true_ties
from tests.buildings.habits import TUNING_SEEDS, UNTOUCHED_SEEDS, Habits
from tests.buildings.invention import InventedSpace, invent_space
from tests.buildings.limit import Limit, practical_limit
from tests.buildings.scoring import Score, count_from_substrate, count_from_surface, order_violations, pair_score

__all__ = [
    "TUNING_SEEDS",
    "UNTOUCHED_SEEDS",
    "Habits",
    "InventedSpace",
    "Limit",
    "Score",
    "count_from_substrate",
    "count_from_surface",
    "invent_space",
    "order_violations",
    "pair_score",
    "practical_limit",
    "true_ties",
]
