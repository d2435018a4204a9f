"""Where along a profile one layer ends and the next begins.

Change points of the mean are proposed generously (ruptures, kernel change-point detection with a linear kernel and the pruned exact search
of Killick, Fearnhead & Eckley 2012). Each is then an edge with a place and a breadth of its own (:mod:`.edges`), fitted to a fraction of a
pixel; and one by one those are taken out whose step the noise would make as well, or that nobody could see.
"""

from itertools import pairwise
from typing import Final

import numpy as np

from analysis.core.colour import delta_e_2000
from analysis.core.micrographs.edges import BREADTH, SPREADS, Edge, Signal, levels, misfit, misfits, possible, refined, window_of
from analysis.core.micrographs.pictures import Floats
from analysis.core.micrographs.proposals import Boundary
from analysis.core.micrographs.values import Profile

PENALTY: Final = 0.25  # of what Schwarz asks
LEAST_STEP: Final = 1.5  # ΔE00 in the visible picture, below which two samples of one coat may differ
LEAST_UV_STEP: Final = 2.0  # in the UV picture, whose colours are less even
JITTER_PX: Final = 0.25  # by how much layers that were made level still lie beside each other
UV_JITTER_PX: Final = 0.6  # and a UV picture beside the visible one
FLOOR: Final = 0.15  # units of L*a*b* by which even a perfect picture of one coat varies
FLIGHT_PX: Final = 5
CLOSE_PX: Final = 14.0  # boundaries nearer than this may be two halves of one broad one
# A boundary less likely is not proposed: a person misses what is not shown more easily than he takes out one too many.
LEAST_CONFIDENCE: Final = 0.4
SUREST: Final = 0.995  # only a person is sure
ALONE_PX: Final = 99.0  # the way to the next boundary where there is none
# Log odds that a proposed boundary is a true one: a constant, and a weight for the logarithm of each of `features`. Fitted by logistic
# regression to 1,542 proposed ones of the 100 sections with the tuning seeds, 97 % of them true, and rounded.
CONFIDENCE: Final = (-3.7, 0.7, 0.75, -2.3, 1.0)


def find_boundaries(profile: Profile, wide: Profile | None = None) -> tuple[Boundary, ...]:
    """Find the boundaries of the layers along a profile.

    Parameters
    ----------
    profile : Profile
    wide : Profile or None
        Of a broader strip about the same line, level with it: what boundaries there are is told by it, where they lie by both. None: by
        `profile` alone.

    Returns
    -------
    tuple of Boundary
        In order; those within the line and what was looked at beyond its ends.

    Notes
    -----
    Criterion: a boundary stays while taking it out would raise chi square by more than a quarter of (channels + 2) ln n, and its step is
    at least `LEAST_STEP` or `LEAST_UV_STEP`; then while it is likely enough (`CONFIDENCE`). The whole of (channels + 2) ln n is the
    Bayesian information criterion (Schwarz 1978; for change points Yao 1988); a quarter is enough because the errors count grain and layers
    not quite level in full already, and because the second test follows. Cost: 0.5 s for 1,000 samples with 20 layers.

    References
    ----------
    R. Killick, P. Fearnhead and I. A. Eckley, "Optimal detection of changepoints with a linear computational cost", JASA 107 (2012)
    1590-1598. G. Schwarz, "Estimating the dimension of a model", Annals of Statistics 6 (1978) 461-464. Y.-C. Yao, "Estimating the number
    of change-points via Schwarz' criterion", Statistics & Probability Letters 6 (1988) 181-189.
    """
    wide = wide or profile
    signal = signal_of(wide)
    edges = _pruned(signal, _proposed(signal))
    for _ in range(2):
        edges = [refined(signal, edges, number, 2.0) for number in range(len(edges))]
    edges, sure = _likely(signal, _pruned(signal, edges))
    # Far on the broader strip, whose grain is quieter; then on the line's own, since surfaces wave each by itself.
    for strip, reach in ((wide, 3.0), (wide, 1.0)) if wide is profile else ((wide, 3.0), (wide, 1.0), (profile, 1.0)):
        light = in_light(strip)
        edges = [refined(light, edges, number, reach) for number in range(len(edges))]
    return tuple(described(signal, edges, number, profile.start_px, sure[number]) for number in range(len(edges)))


def signal_of(profile: Profile) -> Signal:
    """A profile as it is weighed: each sample with the error that noise, grain and layers not quite level give it."""
    lights = [(np.array(profile.lab), np.array(profile.noise), JITTER_PX)]
    if profile.uv is not None:
        lights.append((np.array(profile.uv), np.array(profile.uv_noise), UV_JITTER_PX))
    errors = [np.sqrt(noise**2 + FLOOR**2 + jitter**2 * _steepness(colours)) for colours, noise, jitter in lights]
    return Signal(np.concatenate([colours for colours, *_ in lights], axis=1), np.stack(errors, axis=1))


def in_light(profile: Profile) -> Signal:
    """The same in proportions of light (XYZ, 0 to 100), for places: blur mixes light, and only there is a blurred edge even."""
    lights = [(np.array(profile.lab), np.array(profile.noise), JITTER_PX)]
    if profile.uv is not None:
        lights.append((np.array(profile.uv), np.array(profile.uv_noise), UV_JITTER_PX))
    parts, errors = [], []
    for colours, noise, jitter in lights:
        light = xyz(colours)
        brighter = colours + np.array((1.0, 0.0, 0.0))
        a_unit = np.mean(xyz(brighter) - light, axis=1)
        parts.append(light)
        errors.append(np.sqrt((noise**2 + FLOOR**2) * a_unit**2 + jitter**2 * _steepness(light)))
    return Signal(np.concatenate(parts, axis=1), np.stack(errors, axis=1))


def xyz(lab: Floats) -> Floats:
    """XYZ over that of the white, 0 to 100, of L*a*b*."""
    y = (lab[..., 0] + 16) / 116
    f = np.stack((y + lab[..., 1] / 500, y, y - lab[..., 2] / 200), axis=-1)
    return np.asarray(100 * np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)))


def _steepness(colours: Floats) -> Floats:
    from scipy.ndimage import gaussian_filter1d

    return np.asarray(np.mean(np.gradient(gaussian_filter1d(colours, 0.8, axis=0), axis=0) ** 2, axis=1))


def _proposed(signal: Signal) -> list[Edge]:
    """Change points of the mean, generously; a flight of steps up one broad boundary is made one."""
    import ruptures

    n, channels = signal.colours.shape
    whitened = signal.colours / np.repeat(np.median(signal.errors, axis=0), 3)
    penalty = (channels + 2) * np.log(n)
    places = ruptures.KernelCPD(kernel="linear", min_size=2).fit(whitened).predict(pen=penalty)
    bounds = [0, *places]
    means = np.array([whitened[a:b].mean(axis=0) for a, b in pairwise(bounds)])
    edges: list[Edge] = []
    flight: list[int] = []
    for number in range(len(means) - 1):
        step = means[number + 1] - means[number]
        if flight:
            before = means[number] - means[flight[0]]
            along = step @ before > 0.7 * np.linalg.norm(step) * np.linalg.norm(before)
            if not along or places[number] - places[number - 1] > FLIGHT_PX:
                edges.append(_one_edge(means, places, flight))
                flight = []
        flight.append(number)
    return [*edges, _one_edge(means, places, flight)] if flight else edges


def _one_edge(means: Floats, places: list[int], flight: list[int]) -> Edge:
    """A flight of steps as one edge: at their centre of gravity, as broad as they are spread."""
    heights = np.array([np.linalg.norm(means[number + 1] - means[number]) for number in flight])
    at = np.array([places[number] - 0.5 for number in flight])
    middle = float(np.average(at, weights=heights))
    return Edge(middle, float(np.clip(np.sqrt(np.average((at - middle) ** 2, weights=heights) + 1.0), SPREADS[0], SPREADS[-1])))


def _pruned(signal: Signal, edges: list[Edge]) -> list[Edge]:
    """Take out boundaries, that least needed first, until each that stays is needed."""
    n, channels = signal.colours.shape
    enough = PENALTY * (channels + 2) * np.log(n)
    edges = list(edges)
    cost: dict[Edge, float] = {}
    while edges:
        for number, edge in enumerate(edges):
            if edge not in cost:
                cost[edge] = _without(signal, edges, number)[0]
        least = min(edges, key=lambda edge: cost[edge])
        if cost[least] >= enough:
            return edges
        at = edges.index(least)
        touched = edges[max(0, at - 3) : at + 4]
        # Only what it costs is remembered: what is left then depends on all that was taken out meanwhile.
        edges = _without(signal, edges, at)[1]
        for edge in (*touched, *edges[max(0, at - 3) : at + 4]):
            cost.pop(edge, None)
    return edges


def _without(signal: Signal, edges: list[Edge], number: int) -> tuple[float, list[Edge]]:
    """What taking a boundary out costs, and the boundaries that are left: its neighbour may move and broaden in its place."""
    low, high = window_of(edges, number, len(signal.colours))
    here = edges[number]
    rest = edges[:number] + edges[number + 1 :]
    near = [at for at in (number - 1, number) if 0 <= at < len(rest) and abs(rest[at].at - here.at) < CLOSE_PX]
    for at in near:
        a, b = window_of(rest, at, len(signal.colours))
        low, high = min(low, a), max(high, b)
    stands = misfit(signal, edges, (low, high), here.at)
    best, left = misfit(signal, rest, (low, high), here.at), rest
    for at in near:
        span = abs(rest[at].at - here.at)
        ats = np.linspace(min(rest[at].at, here.at) - 0.5, max(rest[at].at, here.at) + 0.5, max(5, int(2 * span) + 3))
        grid_at, grid_spread = (grid.ravel() for grid in np.meshgrid(ats, SPREADS))
        fits = possible(rest, at, grid_at, grid_spread)
        found = np.where(fits, misfits(signal, rest, at, grid_at, grid_spread, (low, high), here.at), np.inf)
        chosen = int(np.argmin(found))
        if found[chosen] < best:
            best = float(found[chosen])
            left = [*rest[:at], Edge(float(grid_at[chosen]), float(grid_spread[chosen])), *rest[at + 1 :]]
    cost = best - stands
    if not _visible(signal, edges, number):
        cost = min(cost, 0.0)
    return cost, sorted(left)


def _visible(signal: Signal, edges: list[Edge], number: int) -> bool:
    lower, upper = levels(signal, edges, number)
    step, uv_step = steps_of(lower, upper)
    return step >= LEAST_STEP or (uv_step is not None and uv_step >= LEAST_UV_STEP)


def steps_of(lower: Floats, upper: Floats) -> tuple[float, float | None]:
    """ΔE00 of a step in the visible picture and in the UV one."""
    uv = float(delta_e_2000(lower[3:], upper[3:])) if len(lower) > 3 else None
    return float(delta_e_2000(lower[:3], upper[:3])), uv


def features(signal: Signal, edges: list[Edge], number: int) -> Floats:
    """What tells a boundary from an accident, as logarithms: its cost, its step (in least steps), its breadth, the way to the next (px)."""
    edge = edges[number]
    step, uv_step = steps_of(*levels(signal, edges, number))
    cost = max(_without(signal, edges, number)[0], 1.0)
    most = max(step / LEAST_STEP, (uv_step or 0.0) / LEAST_UV_STEP, 0.2)
    away = min((abs(edge.at - other.at) for other in edges[max(0, number - 1) : number + 2] if other is not edge), default=ALONE_PX)
    return np.log((cost, most, edge.spread, max(away, 1.0)))


def confidence(signal: Signal, edges: list[Edge], number: int) -> float:
    """Probability that a boundary is one, by what was right on invented sections that were tuned on (`CONFIDENCE`)."""
    told = float(CONFIDENCE[0] + np.dot(CONFIDENCE[1:], features(signal, edges, number)))
    return float(1.0 / (1.0 + np.exp(-told)))


def _likely(signal: Signal, edges: list[Edge]) -> tuple[list[Edge], list[float]]:
    """Those boundaries that are likely enough, the least likely taken out first, and how likely each is."""
    while True:
        sure = [confidence(signal, edges, number) for number in range(len(edges))]
        if not sure or min(sure) >= LEAST_CONFIDENCE:
            return edges, sure
        edges = _without(signal, edges, int(np.argmin(sure)))[1]


def described(signal: Signal, edges: list[Edge], number: int, start_px: float, sure: float) -> Boundary:
    """A boundary with its step, its error and its breadth."""
    edge = edges[number]
    lower, upper = levels(signal, edges, number)
    step, uv_step = steps_of(lower, upper)
    at = int(np.clip(round(edge.at), 0, len(signal.colours) - 1))
    strength = float(np.sum(((upper - lower) / np.repeat(signal.errors[at], 3)) ** 2))
    error = np.sqrt(2 * np.sqrt(np.pi) * edge.spread / max(strength, 1e-9))
    return Boundary(
        round(edge.at + start_px, 3),
        round(float(np.hypot(error, 0.15)), 3),
        round(edge.spread * BREADTH, 3),
        round(step, 2),
        None if uv_step is None else round(uv_step, 2),
        round(sure if sure == 1.0 else min(sure, SUREST), 3),
    )
