"""Correlation: which layers of a space's samples are of one campaign, and how surely.

The model
---------
A space has an unknown number of generations in order. Each sample is a walk up through them, a profile hidden Markov chain (Durbin et al.
1998, chapter 5) with one state a generation and one slot between neighbours for campaigns that no other sample shows (:mod:`.alignment`).
From a layer to the next the walk *stays* in the campaign, with a probability from the two kinds of film, the boundary and the likeness of
the films, a rare likeness weighing more (:mod:`.films`, :mod:`.evidence`), or it *advances*. On its way it passes generations that the
element lacks, cheaply where its kin lacks them too (:mod:`.kinship`); a stripping leaps over any number as one event, as Waterman &
Raymond (1987) weigh a gap; it begins late where the base is broken, and ends early where the top is lost.

A layer's odds in a generation compare its look with that of the *other* samples' layers there (:mod:`.evidence`): an average of votes,
each the agreement of two layers over the mean agreement in the space, so that a rare colour weighs more than a white. Colour speaks
within an element class, and weaker between classes, weakest for walls, ceilings, baseboards, doors and floors. How far apart two readings
of one paint lie is learned from the space itself (:mod:`.reading`). UV response, pigments, binder and texture speak for the whole
campaign. The background of the space always has a vote: one odd mate is no veto, and what was not observed is no mismatch.

Rulings are limits, not evidence (:mod:`.constraints`). What ties and holds force together is one generation from the start;
bars and anchors close states of the chain.

The search
----------
All pairs of samples at once have no exact solution in reasonable time. Several chains of draws therefore start from a progressive
alignment, the most telling samples first, and go on to leave out three samples at a time and *draw* their paths, one after the
other, from the posterior against the rest (:mod:`.search`). Layers that rulings bind move together: their generation is let go,
all its samples say where it may stand, and one place is drawn (:mod:`.blocks`). Generations found twice are joined
(:mod:`.merging`). A sample listens to forty others at most, its element and class first, so that time and memory grow about in
proportion. What is kept is, for every pair of layers, the share of draws in which they were of one campaign (:mod:`.settling`). The
result is the arrangement that agrees best with these shares, found by dynamic programming sample by sample (the scheme of Needleman &
Wunsch 1970); layers that are likelier elsewhere then move there. Draws come from a generator with a fixed seed and samples are taken in the
order of their keys: the same input gives the same output, in whatever order it comes.

What the numbers mean
---------------------
`confidence` is a mean of two: the forward-backward probability of the layer's generation, its sample placed against the arrangement of all
others, which knows nothing of the others' own doubt; and the share of draws in which the layer went with the generation's other
layers, which knows all doubt and some noise. The first alone promises too much (where 0.9 to 1.0 was said, 92-94 % were right and 98 %
promised), the second too little. `runner_up` is never likelier. `distinctness` is one minus the share of draws in which layers of two
neighbouring generations were of one campaign.

What it assumes, and where it will fail
---------------------------------------
- All samples share one order of campaigns. Layers from elsewhere (a reused door) get generations of their own, or wrong ones.
- Kinds of evidence are independent but for one power that shrinks them all; in truth colour and UV hang together.
- A campaign that left no layer on any sample is unknown; near-whites without UV can be told apart only by order.
- Where one campaign painted only walls and the next only woodwork, little but UV and binder parts them: neighbouring generations joined
  across classes are the commonest error, with few faults as with many. No move splits a generation as such.
- Two samples of an element share its gaps; where they err, they err together.
- Samples beyond the forty heard say nothing directly to one another; a campaign that only such samples show may be found twice.
- Sheen and thickness are not used. A colour *word* is read roughly and says little.
- Parameters were looked at on one generator of invented buildings (`tests.buildings`); most are weak and stand with their reason
  in :class:`.Parameters`.

What was tried
--------------
Paired over invented spaces of ten samples (tuning seeds; mean difference in F1 of a space ± standard error; usual faults, then a third).
'Placed among the truth' is the mean log probability of the true generation of a layer, its sample placed among the true generations of all
others: cheap, and without the noise of the search; it is what parameters were looked at with.

Kept in 1.3:

- elements left out whole, kin's gaps (own element, class, woodwork or plaster), rare likeness of neighbouring coats, UV hue told apart
  more sharply: +0.013 ± 0.006, +0.003 ± 0.005 (32 spaces). Placed among the truth: gaps +0.014, +0.010; coats +0.010, +0.007; UV +0.008,
  +0.007;
- other classes heard louder, walls and doors less: +0.005 ± 0.004, +0.009 ± 0.004;
- the spread of readings learned from the space: +0.005 ± 0.004, +0.018 ± 0.005. This is why fewer faults had not scored higher: closer
  readings were read with the same blunt eye. (The rest was the generator: one seed at two fault rates gave two buildings.)
- moving layers that are likelier elsewhere: -0.003 ± 0.004, -0.003 ± 0.002, but no layer stands where it is told to be less likely
  (before, 6 and 4 %), one layer in a thousand alone (before 16 and 11), and generations off by 2.6 instead of 3.5;
- confidence from draws and forward-backward together: log loss of 'right' 0.38 to 0.34, 0.30 to 0.28, and with those moves 0.31 and 0.26
  (20 spaces);
- joining two generations only from a gain of 3: +0.001 ± 0.006, +0.007 ± 0.004 (20 spaces).

Kept earlier: letting anchors go, ten true ties bring +0.069 ± 0.009 and one +0.012 ± 0.006 (24 spaces; held fast they brought +0.026 ±
0.018 over 16); three samples left out together, single chains 0.79 to 0.81, the result within noise.

Dropped in 1.3: fewer rounds (12 for 16: -0.016 ± 0.009, -0.012 ± 0.005, 16 spaces) and more (26 rounds of five chains: -0.010 ± 0.006);
emissions shrunk where coats follow each other (placed among the truth +0.000, +0.001); choosing one chain by its likelihood, by the
likelihood of samples placed one after another, or by expected hits (0.82 to 0.85 where the consensus has 0.87, 12 to 20 spaces);
placing all by mean shares instead of the consensus (-0.008, -0.004).

Dropped earlier, with faults at a third: sharper colour for all spaces alike (-0.014 ± 0.012) or UV (-0.014 ± 0.010), unshrunk odds
(-0.006 ± 0.010), no cost of a generation (-0.012 ± 0.007), twice the chains (-0.004 ± 0.005), chains weighed by their probability, no
joins, cooler or hotter draws, five left out at once, a second round from the first result: nothing beyond noise.

Open: on the demonstration, made by another hand, moving layers likelier elsewhere costs more: 0.713 to 0.685 (version 1.2: 0.729), for
210 generations instead of 338 where 208 are true (1.2: 335). A layer alone is weighed in one slot only; all slots that its neighbours
leave open should count together. The next thing to look at.

Open: the truth, placed sample by sample until nothing moves, keeps an F1 of 0.90 and 0.92, but no measure of an arrangement tried prefers
it clearly to what the search finds (likelihood +0.4 to 2 ± 1 to 2 nats): what is missing is evidence about the whole, not search.

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
