"""Invent one space: its elements, their true sequences, and the samples that an erring eye reads from them."""

from dataclasses import dataclass, replace

import numpy as np

from analysis.core.correlation import Layer, Sample
from tests.buildings.habits import Habits
from tests.buildings.schemes import UV_DARK, WALLS, Campaign, Lab, colour_for, invent_campaigns, pigments_for

CLASSES = (
    "door casing",
    "window casing",
    "baseboard",
    "wall",
    "door leaf",
    "chair rail",
    "cornice",
    "mantel",
    "window sash",
    "wainscot",
    "shutter",
    "ceiling",
)
SOILING = -10_000  # in place of a campaign: a soiling film belongs to what it lies on


@dataclass(frozen=True, slots=True)
class InventedSpace:
    """Samples of one space, and the true campaign of every layer (keys to integers; negative: brought from elsewhere)."""

    samples: tuple[Sample, ...]
    truth: dict[str, int]
    campaigns: int


@dataclass(slots=True)
class _Film:
    layer: Layer
    campaign: int
    thin: bool


def invent_space(
    seed: int,
    faults: float = 1.0,
    samples: int = 10,
    habits: Habits = Habits(),  # noqa: B008
    campaigns: list[Campaign] | None = None,
) -> InventedSpace:
    """Invent a space. The same arguments give the same space.

    The building is drawn by itself; what befalls a sample and what the eye makes of each film have streams of chance of their own.
    So one seed is one building at every fault rate, with more of the same faults or fewer, and scores at two rates may be compared
    space by space.

    Parameters
    ----------
    seed : int
    faults : float
        Factor on every fault of sample and eye; 1.0 is usual, 0.33 a careful study, 0.0 perfect sight.
    samples : int
        How many; each element gives one or two.
    habits : Habits
    campaigns : list of Campaign, optional
        Those that the space saw, oldest first; else they are invented too.
    """
    rng = np.random.default_rng(seed)
    if campaigns is None:
        campaigns = invent_campaigns(rng, habits)
    found: list[Sample] = []
    truth: dict[str, int] = {}
    number = 0
    while len(found) < samples:
        element_class = CLASSES[number] if number < 8 else CLASSES[int(rng.integers(len(CLASSES)))]
        films, stripped = _element(rng, habits, campaigns, element_class, number)
        for _ in range(1 + int(rng.random() < 0.3)):
            if len(found) == samples:
                break
            sample, told = _sample(seed, habits, faults, films, stripped, element_class, number, len(found))
            found.append(sample)
            truth.update(told)
        number += 1
    return InventedSpace(tuple(found), truth, len(campaigns))


def _element(
    rng: np.random.Generator, habits: Habits, campaigns: list[Campaign], element_class: str, number: int
) -> tuple[list[_Film], bool]:
    """True films on one element, bottom to top, and whether it was stripped."""
    count = len(campaigns)
    begins = int(rng.integers(2, count - 2)) if rng.random() < habits.inserted_later else 0
    stripped = rng.random() < habits.stripped_once
    strip_at = int(rng.integers(begins + 1, max(begins + 2, count - 3))) if stripped else -1
    films: list[_Film] = []
    if begins and rng.random() < habits.reused / habits.inserted_later:
        elsewhere = invent_campaigns(rng, habits)[: int(rng.integers(2, 5))]
        for index, campaign in enumerate(elsewhere):
            films += _coats(rng, habits, campaign, element_class, -(number + 1) * 100 - (9 - index), bare=index == 0, exposed=15)
    bare = not films
    exposed = 0
    for index in range(begins, count):
        campaign = campaigns[index]
        if index == strip_at:
            films, bare = [], True
        inside = campaign.scope == 0 or (campaign.scope == 2) == (element_class in WALLS)
        chance = habits.painted_in_scope if inside else habits.painted_out_of_scope
        if bare or rng.random() < chance:
            films += _coats(rng, habits, campaign, element_class, index, bare, exposed)
            bare, exposed = False, 0
        exposed += campaign.interval
    return films, stripped


def _coats(
    rng: np.random.Generator, habits: Habits, campaign: Campaign, element_class: str, index: int, bare: bool, exposed: int
) -> list[_Film]:
    """Films that one campaign left on one element; a soiling film belongs to the campaign it lies on and comes from there."""
    films: list[_Film] = []
    colour = colour_for(rng, habits, campaign, element_class)
    if rng.random() < habits.picked_out:
        colour = (colour[0] - 12.0, colour[1] + 3.0, colour[2] + 4.0)
    walls = element_class in WALLS
    binder = campaign.wall_binder if walls else campaign.binder
    kind = {"distemper": "distemper", "emulsion": "emulsion", "acrylic emulsion": "emulsion"}.get(binder, "paint")
    if element_class not in campaign.coats:
        draws = rng.random(4) < (habits.undercoat, habits.second_coat, habits.varnish, habits.glaze)
        campaign.coats[element_class] = (bool(draws[0]), bool(draws[1]), bool(draws[2]), bool(draws[3]))
    undercoat, second, varnish, glaze = campaign.coats[element_class]
    pale: Lab = (min(93.0, colour[0] * 0.5 + 45), colour[1] * 0.4, colour[2] * 0.4 + 2)
    if rng.random() < (habits.primer_on_bare if bare else habits.primer_later):
        films.append(_film(rng, habits, campaign, "primer", (84.0, 0.0, 5.0) if campaign.year > 1800 else pale, binder, index))
    if undercoat:
        films.append(_film(rng, habits, campaign, "undercoat", pale, binder, index))
    films.append(_film(rng, habits, campaign, kind, colour, binder, index))
    if second:
        films.append(_film(rng, habits, campaign, kind, colour, binder, index))
    if element_class in ("mantel", "cornice") and rng.random() < habits.gilding:
        films.append(_plain(rng, "metal leaf", index, (70.0, 8.0, 55.0), "", ""))
    if glaze and not walls:
        films.append(_plain(rng, "glaze", index, (50.0, 8.0, 25.0), "yellowish white", "weak"))
    if varnish and not walls:
        shellac = campaign.year < 1900
        films.append(_plain(rng, "varnish", index, (60.0, 10.0, 35.0), "orange" if shellac else "greenish yellow", "strong"))
    boundary = "sharp"
    if exposed and not bare and rng.random() < min(0.75, exposed * habits.soiling_per_year):
        if rng.random() < habits.soiling_seen_as_layer:
            films.insert(0, _plain(rng, "soiling", SOILING, (20.0, 1.0, 4.0), "dark", "none"))
        boundary = str(rng.choice(["soiled", "soiled", "weathered", "cracked"]))
    for position, film in enumerate(films):
        joint = boundary if position == 0 else ("fused" if rng.random() < 0.35 else "sharp")
        film.layer = replace(film.layer, lower_boundary=joint)
    if films[0].layer.kind == "soiling":
        films[0].layer = replace(films[0].layer, lower_boundary="sharp")
        films[1].layer = replace(films[1].layer, lower_boundary="soiled")
    return films


def _film(rng: np.random.Generator, habits: Habits, campaign: Campaign, kind: str, colour: Lab, binder: str, index: int) -> _Film:
    spread = rng.normal(0.0, habits.batch_spread, 3)
    shown = (float(colour[0] + spread[0]), float(colour[1] + spread[1]), float(colour[2] + spread[2]))
    uv = UV_DARK[int(rng.integers(2))] if colour[0] < 45 else campaign.white_uv
    thickness = float(rng.lognormal(3.0, 0.5))
    layer = Layer(
        key="",
        kind=kind,
        lab=shown,
        uv_colour=uv[0],
        uv_strength=uv[1],
        pigments=pigments_for(campaign, colour),
        binder=binder,
        thickness_um=thickness,
    )
    return _Film(layer, index, thickness < 15.0)


def _plain(rng: np.random.Generator, kind: str, index: int, colour: Lab, uv: str, strength: str) -> _Film:
    layer = Layer(key="", kind=kind, lab=colour, uv_colour=uv, uv_strength=strength, thickness_um=float(rng.uniform(2.0, 12.0)))
    return _Film(layer, index, True)


def _sample(
    seed: int,
    habits: Habits,
    faults: float,
    films: list[_Film],
    stripped: bool,
    element_class: str,
    element: int,
    number: int,
) -> tuple[Sample, dict[str, int]]:
    """Read one sample: what broke off, what the eye missed, what it misread."""
    rng = np.random.default_rng([seed, number])
    kept = list(enumerate(films))
    base, top = "complete", "complete"
    chance = rng.random(7)
    if stripped:
        base = "stripped" if chance[0] < habits.stripped_known else "unknown"
    elif chance[1] < habits.detached and len(kept) > 4:
        kept, base = kept[1 + int(chance[2] * (len(kept) // 2 - 1)) :], "detached"
    elif chance[6] < habits.base_unknown:
        base = "unknown"
    if chance[3] < habits.top_lost * faults and len(kept) > 4:
        kept = kept[: len(kept) - 1 - int(chance[4] * (min(6, len(kept) - 2) - 1))]
        top = "lost" if chance[5] < habits.top_loss_known else "unknown"
    read: list[tuple[_Film, np.random.Generator]] = []
    for at, film in kept:
        eye = np.random.default_rng([seed, number, at])
        missed, fused = eye.random(2)
        if film.thin and missed < habits.thin_missed * faults:
            continue
        below = read[-1][0] if read else None
        same = below is not None and below.campaign == film.campaign and below.layer.kind == film.layer.kind
        if not (same and fused < habits.fused * faults):
            read.append((film, eye))
    layers: list[Layer] = []
    truth: dict[str, int] = {}
    lies_on = next((film.campaign for film, _ in read if film.campaign != SOILING), 0)
    for position, (film, eye) in enumerate(read):
        key = f"S{number:03d}/{position + 1:02d}"
        lies_on = lies_on if film.campaign == SOILING else film.campaign
        truth[key] = lies_on
        layers.append(_seen(eye, habits, faults, film.layer, key))
    return Sample(f"S{number:03d}", f"E{element:02d}", element_class, base, top, tuple(layers)), truth


def _seen(eye: np.random.Generator, habits: Habits, faults: float, layer: Layer, key: str) -> Layer:
    """One layer as the eye reported it. All chances are drawn, needed or not, so that none shifts the next."""
    error = eye.normal(0.0, habits.misread * faults, 3)
    step = habits.chip_step * np.array([eye.choice([-1.0, 1.0]), 0.0, eye.choice([-0.5, 0.5])])
    off, uv_missing, uv_misread, unclear, wrong, pigments_known, binder_known = eye.random(7)
    strength_read = str(eye.choice(["none", "weak", "moderate", "strong"]))
    boundary_read = str(eye.choice(["sharp", "fused", "soiled"]))
    lab = layer.lab
    if lab is not None:
        error = error + step if off < habits.chip_off * faults else error
        lab = (float(lab[0] + error[0]), float(lab[1] + error[1]), float(lab[2] + error[2]))
    uv, strength = layer.uv_colour, layer.uv_strength
    if uv_missing < habits.uv_missing * faults:
        uv, strength = "", ""
    elif uv and uv_misread < habits.uv_misread * faults:
        strength = strength_read
    boundary = layer.lower_boundary
    if unclear < habits.boundary_unclear:
        boundary = "unclear"
    elif wrong < habits.wrong_boundary * faults:
        boundary = boundary_read
    pigments = layer.pigments if pigments_known < habits.pigments_known else ()
    binder = layer.binder if binder_known < habits.binder_known else ""
    return replace(layer, key=key, lab=lab, uv_colour=uv, uv_strength=strength, lower_boundary=boundary, pigments=pigments, binder=binder)
