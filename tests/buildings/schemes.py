"""What each campaign put where: colours, pigments, binders and the glow that goes with them. Invented, by era."""

from dataclasses import dataclass, field

import numpy as np

from tests.buildings.habits import Habits

Lab = tuple[float, float, float]

WHITES: tuple[Lab, ...] = ((92, -0.5, 5), (90, 0, 8), (88, 0.5, 11), (94, -0.5, 3), (86, 0, 9), (91, -1.5, 4))
EARLY: tuple[Lab, ...] = (
    (70, 1, 14),
    (62, 2, 18),
    (78, 0, 16),
    (55, -3, 10),
    (45, -14, 12),
    (60, -8, -10),
    (72, -7, 10),
    (40, 22, 20),
    (66, 0, 3),
    (50, 1, 8),
)
LATE: tuple[Lab, ...] = (
    (80, 3, 20),
    (75, -9, 6),
    (84, 5, 10),
    (70, -6, -8),
    (60, -14, 8),
    (77, 1, 5),
    (82, 2, 24),
    (65, 14, 12),
    (85, -4, 12),
    (52, -4, -18),
)
DARKS: tuple[Lab, ...] = ((25, 6, 8), (20, 0, 0), (32, 14, 14), (36, 10, 18), (28, -10, 6), (42, 12, 22), (18, 3, 3))
DARK_LOVERS = ("baseboard", "door leaf", "mantel")
WALLS = ("wall", "ceiling")
UV_BY_WHITE = {
    "lead white": (("yellowish white", "moderate"), ("bluish white", "moderate")),
    "zinc white": (("yellow-green", "strong"), ("lemon yellow", "strong")),
    "lithopone": (("orange-white", "weak"), ("yellow-white", "weak")),
    "titanium white": (("dark violet", "none"), ("dull violet", "weak")),
}
UV_DARK = (("dark", "none"), ("dark brown", "weak"))


@dataclass(slots=True)
class Campaign:
    """One painting of the space. `colours` fills as classes are asked for; `scope` is 0 all, 1 woodwork, 2 walls."""

    year: int
    interval: int
    scope: int
    white: str
    white_uv: tuple[str, str]
    trim: Lab
    binder: str
    wall_binder: str
    colours: dict[str, Lab] = field(default_factory=dict)
    coats: dict[str, tuple[bool, bool, bool, bool]] = field(default_factory=dict)


def pick(rng: np.random.Generator, options: tuple[Lab, ...]) -> Lab:
    """Choose one colour and shade it, so that two schemes seldom agree to the last digit."""
    chosen = options[int(rng.integers(len(options)))]
    shade = rng.normal(0.0, (2.5, 1.5, 2.5))
    return (float(chosen[0] + shade[0]), float(chosen[1] + shade[1]), float(chosen[2] + shade[2]))


def white_of(rng: np.random.Generator, year: int) -> str:
    """The white in the pot in that year."""
    if year < 1850:
        return "lead white"
    if year < 1890:
        return str(rng.choice(["lead white", "zinc white"], p=[0.6, 0.4]))
    if year < 1925:
        return str(rng.choice(["lead white", "zinc white", "lithopone"], p=[0.3, 0.4, 0.3]))
    if year < 1945:
        return str(rng.choice(["zinc white", "lithopone", "titanium white"], p=[0.3, 0.3, 0.4]))
    return str(rng.choice(["zinc white", "titanium white"], p=[0.1, 0.9]))


def binder_of(rng: np.random.Generator, year: int, walls: bool) -> str:
    """The usual binder in that year; walls took water paints."""
    if walls:
        if year < 1930:
            return str(rng.choice(["oil", "distemper"], p=[0.5, 0.5]))
        return "emulsion" if year > 1952 else "oil"
    if year < 1935:
        return "oil"
    return "alkyd" if year < 1975 else str(rng.choice(["alkyd", "acrylic emulsion"]))


def trim_colour(rng: np.random.Generator, year: int) -> Lab:
    """Whites rule the middle of the sequence."""
    white = 0.15 if year < 1815 else (0.55 if year < 1930 else 0.45)
    if rng.random() < white:
        return pick(rng, WHITES)
    return pick(rng, EARLY if year < 1850 else LATE)


def invent_campaigns(rng: np.random.Generator, habits: Habits) -> list[Campaign]:
    """Draw the campaigns of a space, oldest first."""
    count = int(rng.integers(habits.campaigns[0], habits.campaigns[1] + 1))
    start = int(rng.integers(*habits.first_year))
    gaps = rng.integers(habits.gap_years[0], habits.gap_years[1] + 1, count).astype(float)
    room = habits.last_year - start
    if gaps.sum() > room:
        gaps = np.maximum(habits.gap_years[0], gaps * room / gaps.sum())
    campaigns: list[Campaign] = []
    year = start
    for number in range(count):
        white = white_of(rng, year)
        uv = UV_BY_WHITE[white][int(rng.integers(2))]
        campaign = Campaign(
            year=year,
            interval=int(gaps[number]),
            scope=0 if number == 0 else int(rng.choice(3, p=habits.scopes)),
            white=white,
            white_uv=uv,
            trim=trim_colour(rng, year),
            binder=binder_of(rng, year, walls=False),
            wall_binder=binder_of(rng, year, walls=True),
        )
        if campaigns and rng.random() < habits.repeated_scheme:
            earlier = campaigns[int(rng.integers(len(campaigns)))]
            campaign.trim = earlier.trim
            campaign.colours = dict(earlier.colours)
        campaigns.append(campaign)
        year += int(gaps[number])
    return campaigns


def colour_for(rng: np.random.Generator, habits: Habits, campaign: Campaign, element_class: str) -> Lab:
    """What a class got in that campaign: the trim scheme's colour or its own."""
    if element_class in campaign.colours:
        return campaign.colours[element_class]
    own = dict(habits.own_colour).get(element_class, habits.own_colour_otherwise)
    if rng.random() >= own:
        colour = campaign.trim
    elif element_class == "ceiling":
        colour = pick(rng, WHITES)
    elif element_class in DARK_LOVERS and rng.random() < 0.65:
        colour = pick(rng, DARKS)
    elif rng.random() < 0.15:
        colour = pick(rng, WHITES)
    else:
        colour = pick(rng, EARLY if campaign.year < 1850 else LATE)
    campaign.colours[element_class] = colour
    return colour


def pigments_for(campaign: Campaign, colour: Lab) -> tuple[str, ...]:
    """Pigments that would give that colour in that campaign."""
    lightness, red, yellow = colour
    found = [campaign.white] if lightness > 45 else []
    if lightness < 60:
        found.append("carbon black")
    if yellow > 12:
        found.append("yellow ochre" if campaign.year < 1818 or red > 0 else "chrome yellow")
    if yellow < -4:
        found.append("Prussian blue" if campaign.year < 1900 else "ultramarine")
    if red > 10:
        found.append("red earth")
    if red < -8:
        found.append("verdigris" if campaign.year < 1815 else "chrome green")
    return tuple(found)
