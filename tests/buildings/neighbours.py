"""Invent a building of several spaces that share some of their campaigns, and tell which."""

from dataclasses import dataclass, replace

import numpy as np

from tests.buildings.habits import Habits
from tests.buildings.invention import InventedSpace, invent_space
from tests.buildings.schemes import Campaign, invent_campaigns


@dataclass(frozen=True, slots=True)
class Sharing:
    """How campaigns run through a building. Guesses, kept apart from the kernel's numbers: nothing there was read off them."""

    general: float = 0.5  # campaigns that went through most of the house; the rest did up a few rooms
    in_general: float = 0.8  # chance that a space was in such a one
    in_other: float = 0.3
    of_its_own: tuple[int, int] = (2, 4)  # campaigns that a space had alone
    same_scheme: float = 0.5  # in a campaign: the space took the scheme of the house,
    same_trim: float = 0.3  # its trim only, with walls and doors of its own; else colours of its own from the same pots


@dataclass(frozen=True, slots=True)
class InventedBuilding:
    """Spaces by their numbers, and the true campaign of each layer in the building: numbers below 1,000 may be shared."""

    spaces: dict[str, InventedSpace]
    truth: dict[str, int]


def invent_building(
    seed: int,
    spaces: int = 4,
    samples: int = 6,
    faults: float = 1.0,
    habits: Habits = Habits(),  # noqa: B008
    sharing: Sharing = Sharing(),
) -> InventedBuilding:
    """Invent a building. The same arguments give the same building.

    Parameters
    ----------
    seed : int
    spaces, samples : int
        How many spaces, and samples in each.
    faults : float
        As in `invent_space`.
    habits : Habits
    sharing : Sharing
    """
    rng = np.random.default_rng([seed, 7])
    house = invent_campaigns(rng, habits)
    chances = [sharing.in_general if rng.random() < sharing.general else sharing.in_other for _ in house]
    found: dict[str, InventedSpace] = {}
    truth: dict[str, int] = {}
    for number in range(1, spaces + 1):
        inside = [(index, campaign) for index, campaign in enumerate(house) if index == 0 or rng.random() < chances[index]]
        alone = _alone(rng, habits, sharing, house, number)
        seen = sorted([*((index, _taken(rng, sharing, one)) for index, one in inside), *alone], key=lambda each: (each[1].year, each[0]))
        years = [campaign.year for _, campaign in seen]
        for place, (_, campaign) in enumerate(seen):
            campaign.interval = max(1, (years[place + 1] if place + 1 < len(years) else habits.last_year) - campaign.year)
        space = _named(invent_space(int(rng.integers(10**6)), faults, samples, habits, [campaign for _, campaign in seen]), str(number))
        found[str(number)] = space
        # What a door brought from elsewhere is of no campaign of this building.
        truth |= {key: seen[local][0] if local >= 0 else 10_000 * number - local for key, local in space.truth.items()}
    return InventedBuilding(found, truth)


def _alone(rng: np.random.Generator, habits: Habits, sharing: Sharing, house: list[Campaign], number: int) -> list[tuple[int, Campaign]]:
    """Campaigns that one space had alone, in years of their own."""
    others = invent_campaigns(rng, habits)
    many = int(rng.integers(sharing.of_its_own[0], sharing.of_its_own[1] + 1))
    chosen = rng.choice(len(others), min(many, len(others)), replace=False)
    return [(1_000 * number + int(one), others[int(one)]) for one in chosen if others[int(one)].year > house[0].year]


def _taken(rng: np.random.Generator, sharing: Sharing, campaign: Campaign) -> Campaign:
    """A campaign of the house as one space saw it: the same pots, and the same colours or not."""
    kind = rng.random()
    if kind < sharing.same_scheme:
        return replace(campaign, colours=campaign.colours, coats=campaign.coats)
    if kind < sharing.same_scheme + sharing.same_trim:
        return replace(campaign, colours={}, coats={})
    shade = rng.normal(0.0, (14.0, 5.0, 9.0))
    trim = tuple(float(part + step) for part, step in zip(campaign.trim, shade, strict=True))
    return replace(campaign, trim=(min(95.0, max(15.0, trim[0])), trim[1], trim[2]), colours={}, coats={})


def _named(space: InventedSpace, number: str) -> InventedSpace:
    """The same space with sample numbers that no other space of the building has."""
    samples = tuple(
        replace(
            sample,
            key=f"{number}-{sample.key}",
            element=f"{number}-{sample.element}",
            layers=tuple(replace(layer, key=f"{number}-{layer.key}") for layer in sample.layers),
        )
        for sample in space.samples
    )
    return InventedSpace(samples, {f"{number}-{key}": campaign for key, campaign in space.truth.items()}, space.campaigns)
