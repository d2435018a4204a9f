"""Invented stacks of paint layers, and the line that somebody draws across them."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from analysis.core.colour import delta_e_2000

Lab = tuple[float, float, float]
Floats = NDArray[np.float64]

# Colours of paint as found, from the trade's usual meaning (the same as `tests/buildings/schemes` has, from memory).
WHITES: Final[tuple[Lab, ...]] = ((88, 0, 8), (91, -1, 5), (86, 1, 11), (93, 0, 3), (84, 1, 14), (89, 0, 6))
TINTS: Final[tuple[Lab, ...]] = (
    (80, 3, 20), (75, -9, 6), (84, 5, 10), (70, -6, -8), (60, -14, 8), (77, 1, 5), (65, 14, 12), (52, -4, -18), (48, 20, 18),
)  # fmt: skip
DARKS: Final[tuple[Lab, ...]] = ((25, 6, 8), (20, 0, 0), (32, 14, 14), (36, 10, 18), (28, -10, 6), (42, 12, 22))
VARNISH: Final[Lab] = (45, 10, 30)
SOILING: Final[Lab] = (22, 2, 5)
SUBSTRATES: Final[tuple[Lab, ...]] = ((55, 12, 30), (62, 8, 24), (78, 2, 10))  # wood, wood, plaster
RESIN: Final[tuple[Lab, ...]] = ((48, 0, 4), (30, 0, 0), (68, -1, 6))
# What they look like under UV: strong yellow-green, moderate milky and bluish white, weak violet, none.
GLOWS: Final[tuple[Lab, ...]] = ((78, -18, 40), (58, -2, 8), (62, -4, -12), (50, 2, 14), (24, 10, -26), (14, 4, -8), (42, 22, 40))
DARK_GLOW: Final[Lab] = (9, 1, -3)
VARNISH_GLOW: Final[tuple[Lab, ...]] = ((66, -14, 22), (60, 20, 40))
RESIN_GLOW: Final[Lab] = (26, -2, -14)


@dataclass(frozen=True)
class Film:
    """One layer as it is: thickness in µm, colours, grain (sd of L* of its particles and their size in px), and how it meets the one below.

    `fused_px` is the sd of the mixing at its lower boundary; `fades` is by how much L* changes from its foot to its top. `gaps` are
    stretches across the section (px from the line) where it is missing.
    """

    thickness_um: float
    lab: Lab
    uv: Lab
    grain: float
    grain_px: float
    fused_px: float = 0.0
    fades: float = 0.0
    gaps: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Section:
    """A stack with its geometry, how it is photographed, and the line across it.

    `lean_deg` turns the stack in the picture; `tilt_deg` is by how much the line misses the perpendicular. Surfaces wave together
    (`waves`: amplitude px, length px, phase), and each a little by itself. `uv_shift` is what lies between the pictures:
    x, y in px, turn in degrees, size.
    """

    seed: int
    um_per_px: float
    films: tuple[Film, ...]
    base: Film
    resin: Film
    lean_deg: float
    tilt_deg: float
    waves: tuple[tuple[float, float, float], ...]
    own_waves: tuple[tuple[float, float, float], ...]
    width_px: float
    before_px: float
    beyond_px: float
    blur_px: float
    noise: float
    light: tuple[float, float, float]
    jpeg: int | None
    cracks: int
    bubbles: int
    uv_shift: tuple[float, float, float, float]
    bits: int = 8

    def surfaces(self, across: Floats) -> list[Floats]:
        """Heights above the foot of the stack (px) of the boundaries, lowest first, at places across the section (px from the line)."""
        common = sum((a * np.sin(2 * np.pi * across / length + phase) for a, length, phase in self.waves), np.zeros_like(across))
        height, found = np.zeros_like(across), []
        for number, film in enumerate((None, *self.films)):
            lost = np.zeros_like(across)
            if film is not None:
                height = height + film.thickness_um / self.um_per_px
                for start, stop in film.gaps:
                    # A broken film thins out over a few px; what comes next fills the gap.
                    lost = film.thickness_um / self.um_per_px * ndtr((across - start) / 1.5) * ndtr((stop - across) / 1.5)
            amplitude, length, phase = self.own_waves[number]
            surface = common + height - lost + amplitude * np.sin(2 * np.pi * across / length + phase)
            found.append(np.maximum(surface, found[-1]) if found else surface)
        return found

    def truth(self) -> "tuple[Crossing, ...]":
        """Where the line crosses the boundaries: the mean over the breadth of the strip.

        The top of a broken film is where it is whole, or, if it is missing over most of the strip, where it is not: what most of it shows.
        """
        tilt = np.radians(self.tilt_deg)
        offsets = np.linspace(-self.width_px / 2, self.width_px / 2, 41)
        along = np.zeros((len(offsets), len(self.films) + 1))
        beside = np.zeros_like(along)
        for row, offset in enumerate(offsets):
            t = np.arange(0.0, self.length_px + 160, 0.1) - 80.0
            # The line starts `before_px` below the foot of the stack and crosses it at 0 across.
            across, height = self.from_line(t, np.full_like(t, offset))
            for number, surface in enumerate(self.surfaces(across)):
                at = int(np.argmax(height >= surface))
                along[row, number], beside[row, number] = t[at], across[at]
        whole = np.ones(along.shape, dtype=bool)
        for number, film in enumerate(self.films):
            for start, stop in film.gaps:
                whole[:, number + 1] &= (beside[:, number + 1] < start) | (beside[:, number + 1] > stop)
            if self.shown(number) < 0.5:
                whole[:, number + 1] = ~whole[:, number + 1]
        places = np.average(along, axis=0, weights=whole)
        all_films = (self.base, *self.films, self.resin)
        crossings = []
        for number, place in enumerate(places):
            below, above = all_films[number], all_films[number + 1]
            crossings.append(
                Crossing(
                    float(place),
                    float(delta_e_2000(below.lab, above.lab)),
                    float(delta_e_2000(below.uv, above.uv)),
                    above.fused_px,
                    float(np.cos(tilt)),
                )
            )
        return tuple(crossings)

    @property
    def length_px(self) -> float:
        """Length of the line."""
        stack = sum(film.thickness_um for film in self.films) / self.um_per_px
        return float(self.before_px + stack / np.cos(np.radians(self.tilt_deg)) + self.beyond_px)

    def from_line(self, along: Floats, offset: Floats) -> tuple[Floats, Floats]:
        """Across and height in the section of places given along the line and to its right (px)."""
        tilt = np.radians(self.tilt_deg)
        t = along - self.before_px
        return t * np.sin(tilt) + offset * np.cos(tilt), t * np.cos(tilt) - offset * np.sin(tilt)

    def shown(self, number: int) -> float:
        """The share of the strip in which film `number` (from 0) is there."""
        height = sum(film.thickness_um for film in self.films[: number + 1]) / self.um_per_px
        tilt = np.radians(self.tilt_deg)
        beside = np.linspace(-self.width_px / 2, self.width_px / 2, 201) * np.cos(tilt) + height * np.tan(tilt)
        gone = np.zeros(len(beside), dtype=bool)
        for start, stop in self.films[number].gaps:
            gone |= (beside > start) & (beside < stop)
        return float(1 - gone.mean())


@dataclass(frozen=True)
class Crossing:
    """A boundary as it is: its place along the line (px), ΔE00 of the step in both lights, sd of its mixing (px), cosine of the tilt."""

    at_px: float
    delta_e: float
    uv_delta_e: float
    fused_px: float
    cosine: float


def invent(seed: int) -> Section:
    """Make up a section; the same for the same seed."""
    rng = np.random.default_rng([8, seed])
    count = int(rng.integers(3, 26))
    um_per_px = float(np.exp(rng.uniform(np.log(0.35), np.log(1.6))))
    films = _films(rng, count)
    # Nobody photographs a section so finely that its stack is over 1,500 px, or so coarsely that it is under 150.
    stack = sum(film.thickness_um for film in films)
    um_per_px = float(np.clip(um_per_px, stack / 1500, stack / 150))
    width = float(rng.uniform(14, 140))
    films = _not_mixed_through(films, um_per_px)
    films = tuple(_broken(rng, film, width) if rng.random() < 0.06 else film for film in films)
    wave = float(rng.uniform(0.0, 4.0))
    return Section(
        seed=seed,
        um_per_px=um_per_px,
        films=films,
        base=Film(1e4, SUBSTRATES[int(rng.integers(len(SUBSTRATES)))], _near(rng, (40, 0, 4), 4), 5.0, 4.0),
        resin=Film(1e4, RESIN[int(rng.integers(len(RESIN)))], _near(rng, RESIN_GLOW, 2), 0.6, 3.0),
        lean_deg=float(rng.uniform(-30, 30)),
        tilt_deg=float(rng.uniform(-18, 18)) if rng.random() < 0.6 else float(rng.uniform(-3, 3)),
        waves=((wave, float(rng.uniform(150, 500)), float(rng.uniform(0, 6.3))), (wave / 4, float(rng.uniform(40, 120)), 1.0)),
        own_waves=tuple(
            (float(rng.uniform(0, 0.8)), float(rng.uniform(30, 200)), float(rng.uniform(0, 6.3))) for _ in range(len(films) + 1)
        ),
        width_px=width,
        before_px=float(rng.uniform(12, 80)),
        beyond_px=float(rng.uniform(12, 80)),
        blur_px=float(rng.uniform(0.6, 1.8)),
        noise=float(rng.uniform(0.004, 0.02)),
        light=(float(rng.uniform(-0.12, 0.12)), float(rng.uniform(-0.12, 0.12)), float(rng.uniform(0, 0.1))),
        jpeg=None if rng.random() < 0.4 else int(rng.integers(80, 97)),
        cracks=int(rng.integers(0, 6)),
        bubbles=int(rng.integers(0, 12)),
        uv_shift=(float(rng.uniform(-25, 25)), float(rng.uniform(-25, 25)), float(rng.uniform(-2, 2)), float(rng.uniform(0.985, 1.015))),
    )


def _near(rng: np.random.Generator, lab: Lab, by: float) -> Lab:
    shift = rng.normal(0, by, 3) * (1.0, 0.4, 0.7)
    return (float(np.clip(lab[0] + shift[0], 5, 97)), float(lab[1] + shift[1]), float(lab[2] + shift[2]))


def _films(rng: np.random.Generator, count: int) -> tuple[Film, ...]:
    films: list[Film] = []
    while len(films) < count:
        if films and len(films) < count - 1 and rng.random() < 0.08:
            films.append(Film(float(rng.uniform(3, 7)), _near(rng, SOILING, 3), DARK_GLOW, 3.0, 2.0))
            continue
        if films and rng.random() < 0.07:
            glow = VARNISH_GLOW[int(rng.integers(2))]
            films.append(Film(float(rng.uniform(4, 25)), _near(rng, VARNISH, 4), _near(rng, glow, 3), 0.8, 3.0))
            continue
        kind = rng.random()
        lab = _near(rng, _one(rng, WHITES if kind < 0.45 else TINTS if kind < 0.8 else DARKS), 2.0)
        glow = _near(rng, DARK_GLOW if kind >= 0.8 and rng.random() < 0.7 else _one(rng, GLOWS), 3.0)
        thickness = float(np.clip(np.exp(rng.normal(np.log(24), 0.6)), 3, 120))
        film = Film(thickness, lab, glow, float(rng.uniform(0.8, 7.0)), float(rng.uniform(0.8, 6.0)))
        if rng.random() < 0.2:
            film = replace(film, fades=float(rng.uniform(-6, 6)))
        if rng.random() < 0.25:
            film = replace(film, fused_px=float(rng.uniform(1.0, 4.0)))
        films.append(film)
        if len(films) < count and rng.random() < 0.25:
            # A second coat of nearly the same: hard to tell in the visible, often in UV too.
            again = replace(film, lab=_near(rng, lab, 1.2), thickness_um=float(np.clip(thickness * rng.uniform(0.5, 1.6), 3, 120)))
            films.append(replace(again, uv=_near(rng, glow, 1.0 if rng.random() < 0.5 else 8.0), fused_px=0.0))
    return tuple(films)


def _not_mixed_through(films: tuple[Film, ...], um_per_px: float) -> tuple[Film, ...]:
    """Films mix where they meet, not all through: at most over a third of the thinner one."""
    thinner = [min(film.thickness_um, below.thickness_um) / um_per_px for below, film in zip(films[:1] + films, films, strict=False)]
    return tuple(replace(film, fused_px=min(film.fused_px, least / 3)) for film, least in zip(films, thinner, strict=True))


def _one(rng: np.random.Generator, options: tuple[Lab, ...]) -> Lab:
    return options[int(rng.integers(len(options)))]


def _broken(rng: np.random.Generator, film: Film, width: float) -> Film:
    centre, half = float(rng.uniform(-width, width)), float(rng.uniform(0.1, 0.5)) * width / 2
    return replace(film, gaps=((centre - half, centre + half),))
