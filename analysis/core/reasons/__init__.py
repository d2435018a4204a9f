"""Why a layer stands in its generation and not in the next likeliest: the odds, taken apart by kind of evidence.

The unit is the nat in the kernel and the deciban where people read it: 10 decibans are odds of ten to one, 3 of two to one
(I. J. Good, *Probability and the Weighing of Evidence*, 1950). The terms add up to the total, and the total is the logarithm of the
ratio of the two probabilities: 62 % here and 25 % there are odds of 2.5 to 1, or 3.9 decibans. What is wanting to 100 % falls to
other generations.

The odds are those of the layer's own sample, weighed against the arrangement of all others. The confidence on record hears, beside
these probabilities, the draws of the search (:mod:`analysis.core.correlation.settling`), so that a layer may stand where its own odds are
against it: the total is then below 0, and the sentence says so.
"""

from analysis.core.reasons.values import TERMS, Reasons, Term
from analysis.core.reasons.weighing import fair_shares, why
from analysis.core.reasons.wording import DECIBANS, in_decibans, odds, sentence

__all__ = ["DECIBANS", "TERMS", "Reasons", "Term", "fair_shares", "in_decibans", "odds", "sentence", "why"]
