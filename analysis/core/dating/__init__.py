"""Dating: the year of every generation, by bounds that follow from records, and by probability within them.

What each relation says, by what it bears on. Years are inclusive: 'made before 1838' allows 1838, because a record names a year, not
a day. 'first' and 'last' are the years written.

================  =====================  =====================  ==================  =====================
bears on          made in                made after             made before         between
================  =====================  =====================  ==================  =====================
generation        first .. last          first ..               .. last             first .. last
phase             first .. last for      first .. for every     .. last for every   first .. last for
                  every generation       generation of it       generation of it    every generation
                  of it                                                             of it
element           first .. for every     first .. for every     nothing             first .. for every
                  generation it carries  generation it carries                      generation it carries
space             first .. for every     first .. for every     nothing             first .. for every
                  generation of it       generation of it                           generation of it
structure         first .. for all       first .. for all       nothing             first .. for all
================  =====================  =====================  ==================  =====================

Why: a statement on a generation dates a painting. A phase is a period to which paintings belong, so it bounds them on both sides. An
element, a space, the structure is a thing that was *made* at some time, and painted any time after: nothing on it is
older than it, so only the beginning counts, and of an uncertain making only its earliest year. That it existed by some year says nothing of
how late its paint may be; such a statement is listed as bounding nothing. That a thing was *removed* or covered in a year bounds the last
generation that it carries: enter it as 'made before' on that generation. A generation that several elements carry is one
campaign, so the youngest of them bounds it, and with it every later generation of the space; earlier generations stay free.

Beside statements: an identified material bounds its generation from below by its earliest credible year, and never from above (old stock
was used up, and fashions outlive their market). A phase's own years bound its generations on both sides. The study's first and last
year bound all.

Order: generation n of a space is not later than n + 1, and no generation of a phase is later than one of a later phase (Harris 1979).

Probability: each space by itself and exactly, wherever the bounds alone keep the order of phases towards the others (phases with years
of their own mostly do); spaces that this order joins are taken together, exactly while they are few, else by sampling from both ends
(`analysis.core.dating.joint`, `analysis.core.dating.sampling`), and each answer says how it was reckoned.

References
----------
E. C. Harris, 'The laws of archaeological stratigraphy', *World Archaeology* 11 (1979) 111-117.
C. E. Buck, W. G. Cavanagh & C. D. Litton, *Bayesian Approach to Interpreting Archaeological Data* (1996).
G. Nicholls & M. Jones, 'Radiocarbon dating with temporal order constraints', *Applied Statistics* 50 (2001) 503-521.
"""

from analysis.core.dating.bounds import date_generations
from analysis.core.dating.distributions import (
    ORDERED_UNIFORM,
    PRIORS,
    UNIFORM_SPAN,
    SpaceDistributions,
    YearDistribution,
    distributions,
)
from analysis.core.dating.values import (
    RECORD_KINDS,
    Conflict,
    DatedGeneration,
    Dating,
    DatingError,
    Element,
    Generation,
    MaterialFind,
    Phase,
    Records,
    Statement,
    Step,
    Study,
    Unused,
)

__all__ = [
    "ORDERED_UNIFORM",
    "PRIORS",
    "RECORD_KINDS",
    "UNIFORM_SPAN",
    "Conflict",
    "DatedGeneration",
    "Dating",
    "DatingError",
    "Element",
    "Generation",
    "MaterialFind",
    "Phase",
    "Records",
    "SpaceDistributions",
    "Statement",
    "Step",
    "Study",
    "Unused",
    "YearDistribution",
    "date_generations",
    "distributions",
]
