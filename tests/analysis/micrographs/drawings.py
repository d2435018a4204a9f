"""Plain drawings of layers, exact by construction, for the tests of single parts."""

import numpy as np

from analysis.core.micrographs import Line, Profile, read_profiles

STACK = ((150, 120, 80), (235, 230, 215), (70, 40, 35), (220, 215, 190), (120, 140, 160), (60, 60, 62))


def drawn(height=400, width=300, at=(330.0, 290.0, 240.0, 160.0, 90.0), colours=STACK, slope=0.0, noise=2.0, seed=0):
    """Layers one upon the other, the substrate at the foot: `at` the rows of boundaries in the middle, `slope` lower a px to the right.

    A pixel that a boundary cuts shows both sides in proportion (in the numbers of the picture)."""
    x = np.arange(width)
    rows = np.arange(height)[:, None]
    picture = np.tile(np.array(colours[0], float), (height, width, 1))
    for number, place in enumerate(at):
        edge = place + slope * (x - (width - 1) / 2)
        above = np.clip(edge - rows + 0.5, 0, 1)[..., None]
        picture = picture * (1 - above) + np.array(colours[number + 1], float) * above
    rng = np.random.default_rng(seed)
    return np.clip(np.round(picture + rng.normal(0, noise, picture.shape)), 0, 255).astype(np.uint8)


def read_profile(*told):
    """The profile of a line's own width."""
    return read_profiles(*told)[0]


def upward(x=149.5, start=370.0, end=40.0, width_px=80.0):
    """A line from the foot to the head of a drawing."""
    return Line(((x, start), (x, end)), width_px)


def stepped(places=(40, 70, 78, 130), levels=(60.0, 85.0, 40.0, 90.0, 30.0), n=200, noise=0.2, uv=False, seed=1):
    """A profile of level steps with no blur, as `read_profile` would give it."""
    rng = np.random.default_rng(seed)
    lightness = np.array(levels)[np.searchsorted(places, np.arange(n), side="right")]
    lab = np.stack((lightness, np.zeros(n), np.zeros(n)), axis=1) + rng.normal(0, noise, (n, 3))
    return Profile(
        0.0,
        float(n - 1),
        tuple(map(tuple, lab.tolist())),
        tuple(map(tuple, lab[::-1].tolist())) if uv else None,
        (noise,) * n,
        (noise,) * n if uv else (),
        (0.0, float(n - 1)),
        0.0,
        0.1,
        False,
    )
