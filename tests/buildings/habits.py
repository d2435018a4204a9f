"""How the invented painters worked and how the invented eye errs: every number in one place, with its reason."""

from dataclasses import dataclass

# The parameters of the kernel were looked at on the first set only; tests and the reported figures use the second.
TUNING_SEEDS = tuple(range(1000, 1060))
UNTOUCHED_SEEDS = tuple(range(5000, 5040))


@dataclass(frozen=True, slots=True)
class Habits:
    """Parameters of the generator. Probabilities unless said otherwise; those of the fault block scale with `faults`."""

    campaigns: tuple[int, int] = (15, 20)  # fewest and most campaigns in a space
    first_year: tuple[int, int] = (1735, 1830)  # when the space was built
    gap_years: tuple[int, int] = (3, 40)  # between neighbouring campaigns
    last_year: int = 2000  # gaps are scaled down where the sequence would run past it
    # Campaigns that touched everything, only the woodwork, only walls and ceiling.
    scopes: tuple[float, float, float] = (0.62, 0.2, 0.18)
    painted_in_scope: float = 0.9
    painted_out_of_scope: float = 0.15
    repeated_scheme: float = 0.12  # a campaign takes up the colours of an earlier one: colour alone misleads
    # Classes that stand apart from the trim scheme, and how often in a campaign they do.
    own_colour: tuple[tuple[str, float], ...] = (
        ("wall", 0.9),
        ("ceiling", 0.9),
        ("baseboard", 0.55),
        ("door leaf", 0.45),
        ("mantel", 0.3),
        ("window sash", 0.15),
    )
    own_colour_otherwise: float = 0.07
    picked_out: float = 0.04  # one element shows another colour than its class in that campaign
    primer_on_bare: float = 0.8
    primer_later: float = 0.1
    undercoat: float = 0.25
    second_coat: float = 0.22
    varnish: float = 0.1
    glaze: float = 0.05
    gilding: float = 0.04  # on mantels and cornices
    soiling_per_year: float = 0.012  # chance that time shows at the boundary, a year of exposure
    soiling_seen_as_layer: float = 0.35  # of those that show
    inserted_later: float = 0.14  # elements
    stripped_once: float = 0.16  # elements
    stripped_known: float = 0.7  # of those: base state says stripped, else unknown
    reused: float = 0.05  # elements that bring layers from elsewhere
    detached: float = 0.08  # samples
    base_unknown: float = 0.08  # samples
    pigments_known: float = 0.33  # layers
    binder_known: float = 0.25  # layers
    batch_spread: float = 1.0  # standard deviation in L*, a*, b* between elements of what one pot gave
    # Faults of sample and eye.
    thin_missed: float = 0.12
    top_lost: float = 0.1
    top_loss_known: float = 0.75
    fused: float = 0.3  # two coats of one colour read as one
    uv_missing: float = 0.2
    uv_misread: float = 0.08
    misread: float = 1.25  # standard deviation in each of L*, a*, b*: about two ΔE00 units between two readings
    chip_off: float = 0.06  # readings that are a whole chip out
    chip_step: float = 6.0  # about half a value step, in L*
    boundary_unclear: float = 0.25
    wrong_boundary: float = 0.05
