"""Correlation: which layers of a space's samples are of one campaign, and how surely.

The model
---------
A space has an unknown number of generations in order. Each sample is a walk up through them, a profile hidden Markov chain
(Durbin et al. 1998, chapter 5) with one state a generation and one slot between neighbours for campaigns that no other sample shows
(:mod:`.alignment`). From a layer to the next the walk *stays* in the campaign, with a probability from the two kinds of film, the
boundary and the likeness of the films (:mod:`.films`, :mod:`.evidence`), or it *advances*. On its way it passes generations that
the element lacks, cheaply where other elements lack them too; a stripping leaps over any number as one event, as Waterman & Raymond
(1987) weigh a gap; it begins late where the base is broken, and ends early where the top is lost.

A layer's odds in a generation compare its look with that of the *other* samples' layers there (:mod:`.evidence`): an average of votes,
each the agreement of two layers over the mean agreement in the space, so that a rare colour weighs more than a white. Colour
speaks within an element class, and weaker between classes, weakest for walls, ceilings, baseboards, doors and floors. UV response,
pigments, binder and texture speak for the whole campaign. The background of the space always has a vote: one odd mate is no veto, and
what was not observed is no mismatch.

Rulings are limits, not evidence (:mod:`.constraints`). What ties and holds force together is one generation from the start;
bars and anchors close states of the chain.

The search
----------
All pairs of samples at once have no exact solution in reasonable time. Several chains of draws therefore start from a progressive
alignment, the most telling samples first, and go on to leave out three samples at a time and *draw* their paths, one after the
other, from the posterior against the rest (:mod:`.search`). Layers that rulings bind move together: their generation is let go,
all its samples say where it may stand, and one place is drawn (:mod:`.blocks`). Generations found twice are joined
(:mod:`.merging`). A sample listens to forty others at most, its element and class first, so that time and memory grow about in
proportion. What is kept is, for every pair of layers, the share of draws in which they were of one campaign. The result is the
arrangement that agrees best with these shares, found by dynamic programming sample by sample (the scheme of Needleman & Wunsch
1970). Draws come from a generator with a fixed seed and samples are taken in the order of their keys: the same input gives the
same output, in whatever order it comes.

What the numbers mean
---------------------
`confidence` is the forward-backward probability of the layer's generation, its sample placed against the arrangement of all
others; the others' own doubt is not in it, so that the highest confidences promise a little too much (on invented buildings about 91 %
right where 0.9 to 1.0 is said; 82-84 % where 0.8 to 0.9 is). `distinctness` is one minus the share of draws in which
layers of two neighbouring generations were of one campaign.

What it assumes, and where it will fail
---------------------------------------
- All samples share one order of campaigns. Layers from elsewhere (a reused door) get generations of their own, or wrong ones.
- Kinds of evidence are independent but for one power that shrinks them all; in truth colour and UV hang together.
- A campaign that left no layer on any sample is unknown; near-whites without UV can be told apart only by order.
- Where one campaign painted only walls and the next only woodwork, little but UV and binder parts them: neighbouring generations joined
  across classes are the commonest error, with few faults as with many. No move splits a generation as such.
- Samples beyond the forty heard say nothing directly to one another; a campaign that only such samples show may be found twice.
- Sheen and thickness are not used. A colour *word* is read roughly and says little.
- Parameters were looked at on one generator of invented buildings (`tests.buildings`); most are weak and stand with their reason
  in :class:`.Parameters`.

What was tried
--------------
Paired over invented spaces of ten samples (tuning seeds; mean difference in F1 ± standard error).
Kept: letting anchors go, ten true ties bring +0.069 ± 0.009 and one +0.012 ± 0.006 (24 spaces; held fast they brought +0.026 ± 0.018
over 16); three samples left out together, single chains 0.79 to 0.81, the result +0.003 ± 0.008 with the usual faults, +0.004 ± 0.006 with
a third: within noise.
Dropped, with faults at a third: sharper colour (-0.014 ± 0.012) or UV (-0.014 ± 0.010), unshrunk odds (-0.006 ± 0.010), no cost of a
generation (-0.012 ± 0.007), reluctant joins (-0.004 ± 0.005), twice the chains (-0.004 ± 0.005), chains weighed by their probability, no
joins, cooler or hotter draws, longer rounds, five left out at once, a second round from the first result: nothing beyond noise.
Open: of the layers of the invented spaces 6 % are less likely where they are placed than in their runner-up, and 21 generations are found
for 17: the consensus of the chains leaves layers alone that one arrangement would place. Placing every sample once more by its own
probabilities with the consensus beside them (weight 3) found 17.5 generations and left 2 %, at an equal F1 (0.788 for 0.785, 0.857 for
0.862, 14 spaces), but lost the published bed's three later varnishes, and was dropped. Moving only the layers that stand alone, where
their own place has less than a quarter more than elsewhere, kept the bed, found 17.9 and 16.9 generations for 17.4 and left 3 %, at a
slightly lower F1 (0.782 for 0.785, 0.855 for 0.862): the next thing to look at.
Chains started from the truth settle at about 0.87 where the search reaches 0.85: most of what is missing is evidence, not search.

References
----------
S. B. Needleman & C. D. Wunsch, J. Mol. Biol. 48 (1970) 443-453 (global alignment).
T. F. Smith & M. S. Waterman, "New stratigraphic correlation techniques", J. Geology 88 (1980) 451-457 (strata, gaps by erosion).
M. S. Waterman & R. Raymond, "The match game", Mathematical Geology 19 (1987) 109-127 (missing strata as one event).
R. Durbin, S. Eddy, A. Krogh & G. Mitchison, *Biological Sequence Analysis*, Cambridge 1998, chapters 3, 5 and 6 (forward-backward,
profile chains, iterative refinement).
"""

from analysis.core.correlation.model import VERSION, correlate
from analysis.core.correlation.parameters import FEWER_DRAWS, Parameters
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
    "FEWER_DRAWS",
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
