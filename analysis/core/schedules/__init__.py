"""Finish schedules: what a contractor is told of each element, what a person puts in its place, and what changed from one to the next.

A row says what the evidence says and nothing more; where there is none, it says so. What a person sets instead stands on the row with name
and reason, and what was computed stays beside it.
"""

from analysis.core.schedules.comparing import Difference, differences
from analysis.core.schedules.rows import MARKS, NO_EVIDENCE, Additions, Row, row_of, with_additions

__all__ = ["MARKS", "NO_EVIDENCE", "Additions", "Difference", "Row", "differences", "row_of", "with_additions"]
