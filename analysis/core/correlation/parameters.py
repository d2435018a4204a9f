"""Every number of the model in one place, with what it means and where it comes from.

'Practice' marks what the trade says (trade facts 1.3-1.5); 'weak' a deliberately vague prior that the samples of a space outweigh;
'tuned' a number looked at on the tuning seeds of `tests.buildings` and then rounded, never on the seeds that the tests use.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Parameters:
    """Parameters of the correlation model. Spreads in ΔE00 units, weights without unit, probabilities in 0..1."""

    # Colour: how far two readings of one paint lie apart.
    reading_spread: float = 1.8  # one reading by chip or instrument, before the space's own readings tell; practice, about two units
    reading_pairs: float = 20.0  # how many pairs of readings that belief is worth; weak
    reading_samples: int = 16  # samples that the space's own spread is learned from; more tell little more and take time
    between_chips_spread: float = 3.0  # a reading interpolated between chips; weak
    word_spread: float = 7.0  # a colour word looked up roughly; weak, words mean little across analysts
    worn_factor: float = 1.5  # worn layers and traces show their colour less well; weak
    chip_off_share: float = 0.07  # readings a whole chip out, or a layer aged unlike its mates; weak
    chip_off_spread: float = 8.0
    # What a mate says, against the background of the space.
    same_class: float = 1.0  # weight of a layer on the same element class
    same_element: float = 1.5  # weight of a layer on the same element
    other_class: float = 1.0  # weight of one on another class, where classes usually agree; tuned
    apart_class: float = 0.11  # the same where one is a wall, ceiling, baseboard, door or floor; practice
    other_cap: float = 3.0  # together the other classes count no more than this; tuned
    colour_background: float = 0.2  # weight of 'any colour of this space'; weak
    colour_background_alone: float = 0.5  # added where no mate is of the layer's own class, less and less with such mates; tuned
    background_class_share: float = 3.0  # the background leans to colours of the layer's own class
    background_floor: float = 8.0  # layers' worth of smoothing, so that no colour is infinitely rare; weak
    background_level: float = 0.03
    materials_background: float = 0.8  # weight of the background for UV, pigment and binder; weak
    pigment_background: float = 1.5
    kind_background: float = 11.0  # kind of film; weak, kinds are decided by the element too
    lightness_reach: float = 30.0  # L* apart at which two layers of one campaign may well glow differently; practice
    # Log penalty of an unlike UV hue, before mixing and before the space's own responses tell; practice, they vary with age and dirt.
    uv_hue: float = 4.5
    uv_unlike: float = 0.1  # share of unlike hues within a campaign that this stands for
    uv_pairs: float = 30.0  # how many pairs of responses that belief is worth; weak
    uv_telling: float = 2.2  # power of the odds of a like hue; responses of a campaign have few other hues to be of; tuned
    uv_hue_most: float = 8.0
    uv_strength: float = 0.65  # log penalty for each step of strength; weak
    pigment_miss: float = 0.15  # agreement when no pigment is shared; weak, few layers are analysed fully
    binder_miss: float = 0.12
    texture_background: float = 1.5
    texture_miss: float = 0.3  # agreement when two descriptions share no word; weak, words are anybody's
    evidence_power: float = 0.85  # features are not independent: their log odds are shrunk; tuned for calibration
    # Steps from layer to layer.
    occupancy_shown: float = 1.6  # prior count of elements that a campaign painted; weak
    occupancy_left_out: float = 1.0  # prior count that it left out
    # What another sample says about being left out, beside one of the same class: 1.
    occupancy_same_element: float = 6.0  # a second sample of one element carries the same campaigns, but for what was lost or missed
    occupancy_other_class: float = 0.6
    occupancy_across: float = 0.1  # walls and ceilings about woodwork: often painted apart; practice
    stripping: float = 0.012  # chance, at a step, that any number of campaigns is missing as one event; practice
    own_generation: float = 0.6  # factor on the prior chance that no other sample shows a campaign that one shows; tuned
    begins_late_whole: float = 0.12  # base complete: the element came later
    begins_late_broken: float = 0.85  # base stripped, detached, not reached
    begins_late_unknown: float = 0.4
    ends_early_whole: float = 0.04
    ends_early_unknown: float = 0.2
    ends_early_lost: float = 0.9
    boundary_fused: float = 2.5  # log odds for one campaign; practice
    boundary_sharp: float = -0.4  # time leaves no mark as often as not
    boundary_aged: float = -4.0  # soiled, weathered, cracked, scraped: time passed; practice
    # What two films of one kind, one on the other, say by their likeness, against any two of the space.
    like_neighbours: float = 0.7  # power of those odds; tuned
    unlike_coats: float = 0.05  # chance that two coats of one campaign differ in colour for all that; weak
    unlike_glow: float = 0.7  # or glow differently
    generation_cost: float = -2.0  # log odds against one more generation, beside what it leaves out; tuned
    join_agreement: float = 0.5  # every pair of layers is counted from both sides, so half of it
    least_gain: float = 3.0  # log odds from which two generations are joined: what is joined wrongly comes apart only by many draws; tuned
    listens_to: int = 40  # samples that one sample is compared with; beyond so many, more add time and little else
    # Search.
    # Independent starts, because arrangements far apart may be equally likely: about `effort` / samples of them, within limits.
    # Many samples steady each other and need fewer.
    effort: int = 80
    fewest_chains: int = 3
    most_chains: int = 10
    sweeps: int = 16  # rounds of leaving each sample out and placing it anew
    left_out_together: int = 3  # samples left out at once: a campaign that few of them hold in place may dissolve; tuned
    burn_in: int = 8  # of which the first are cooled from `start_heat` and not counted
    # Rounds beforehand, to learn in what order rulings' generations stand and how far UV responses differ; the last ones are read.
    rough_sweeps: int = 6
    rough_read: int = 4
    rough_sure: float = 0.75  # share of those in which layers that are learned from stood together
    join_every: int = 2  # rounds between attempts to join whole generations
    start_heat: float = 2.0
    seed: int = 20  # of the generator that draws placements; any fixed number
    same_threshold: float = 0.4  # share of draws in which two layers agree, from which they are joined (about F1/2)
    settled_ends: int = 3  # chains, those that agree best with all draws, from whose ends the result is looked for
    draws_weight: float = 0.4  # weight of the draws' shares in what is said of a layer's place; tuned for calibration
    likely_enough: float = 0.3  # probability from which a layer that stands alone moves to where it is likelier; tuned
    mending_rounds: int = 12  # rounds of moving such layers; two or three do


FEWER_DRAWS = Parameters(fewest_chains=2, sweeps=10, burn_in=5, rough_sweeps=4, rough_read=3)
"""For a look before the real work in a large space: about twice as fast, less steady (F1 of forty samples, version 1.3: 0.84 for 0.86)."""
