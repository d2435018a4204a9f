"""As of a year, or a phase: which finish each element showed, how surely, in which colour, and on what that rests.

The generation in force is the last that the element carries and that is not later than the year. Its probability is a difference of
two: as the generations of a space are ordered, 'generation c was painted by then and the next one that the element carries was not' has
the probability P(year of c ≤ y) - P(year of the next ≤ y). Where a space has no distribution, bounds say 'certainly', 'certainly
not' or 'unknown', and an unknown probability is None, never a number. A film that may belong to another generation brings that doubt
along (`as_of`, Notes). 'No evidence' is an answer.

The finish is what of that campaign was meant to be seen, or makes what is seen: paint, limewash, distemper, stain, paper, glaze, varnish,
leaf, a graining ground; not what prepares for it (size, knotting, filler, primer, undercoat, plaster skim, paste) or lies on it
(soiling, residue). The colour is the medoid of the layers that show it: the one reading that lies nearest to all others by
CIEDE2000, so that it is a colour that somebody saw; an average is a colour that nobody mixed.
"""

from analysis.core.as_of.answering import as_of, year_in_words
from analysis.core.as_of.finishing import PICKED_OUT, finish_of, medoid
from analysis.core.as_of.reaching import reached_by_phase, reached_by_year
from analysis.core.as_of.values import (
    FOUND,
    NO_EVIDENCE,
    Candidate,
    Colour,
    ElementAsOf,
    Finish,
    FinishLayer,
    Generation,
    PhaseEnd,
    certainty_word,
)

__all__ = [
    "FOUND",
    "NO_EVIDENCE",
    "PICKED_OUT",
    "Candidate",
    "Colour",
    "ElementAsOf",
    "Finish",
    "FinishLayer",
    "Generation",
    "PhaseEnd",
    "as_of",
    "certainty_word",
    "finish_of",
    "medoid",
    "reached_by_phase",
    "reached_by_year",
    "year_in_words",
]
