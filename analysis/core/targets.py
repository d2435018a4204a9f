"""Colour targets that people lay beside a section, and the L*a*b* (D65, 2° observer) of their patches.

Charts fade, and no two batches are alike: where a chart's own values were measured, they are told with its patches and win over these.
"""

from dataclasses import dataclass
from typing import Final

from analysis.core.colour.spaces import WHITE_D65, adapt, lab_to_xyz, xyz_to_lab

Triple = tuple[float, float, float]
# XYZ of the white of the ICC's connection space, D50 (ICC.1:2022, 7.2.16).
WHITE_D50: Final = (0.9642, 1.0, 0.8249)


@dataclass(frozen=True, slots=True)
class TargetPatch:
    """A patch: what it is called, and its L*a*b*."""

    name: str
    lab: Triple


@dataclass(frozen=True, slots=True)
class Target:
    """A target: its word, its title, its patches in the order in which they lie, and where their values come from."""

    name: str
    title: str
    patches: tuple[TargetPatch, ...]
    source: str


# L*a*b* under D50 of the chart with six columns and four rows, as made from November 2014 on; row by row, the greys last.
_CHART_D50: Final[tuple[tuple[str, Triple], ...]] = (
    ("dark skin", (37.54, 14.37, 14.92)),
    ("light skin", (64.66, 19.27, 17.50)),
    ("blue sky", (49.32, -3.82, -22.54)),
    ("foliage", (43.46, -12.74, 22.72)),
    ("blue flower", (54.94, 9.61, -24.79)),
    ("bluish green", (70.48, -32.26, -0.37)),
    ("orange", (62.73, 35.83, 56.50)),
    ("purplish blue", (39.43, 10.75, -45.17)),
    ("moderate red", (50.57, 48.64, 16.67)),
    ("purple", (30.10, 22.54, -20.87)),
    ("yellow green", (71.77, -24.13, 58.19)),
    ("orange yellow", (71.51, 18.24, 67.37)),
    ("blue", (28.37, 15.42, -49.80)),
    ("green", (54.38, -39.72, 32.27)),
    ("red", (42.43, 51.05, 28.62)),
    ("yellow", (81.80, 2.67, 80.41)),
    ("magenta", (50.63, 51.28, -14.12)),
    ("cyan", (49.57, -29.71, -28.32)),
    ("white", (95.19, -1.03, 2.93)),
    ("grey 8", (81.29, -0.57, 0.44)),
    ("grey 6.5", (66.89, -0.75, -0.06)),
    ("grey 5", (50.76, -0.13, 0.14)),
    ("grey 3.5", (35.63, -0.46, -0.48)),
    ("black", (20.64, 0.07, -0.46)),
)
# Of a scale that rises by a tenth of optical density a step, its white being 0.05: densities, ISO 5-4 (reflection).
_STEPS: Final = tuple(round(0.05 + 0.1 * step, 2) for step in range(20))


def neutral(reflectance: float) -> Triple:
    """L*a*b* of a grey that reflects this share of the light, 0 to 1 (CIE 15:2018, equations 8.3 to 8.11)."""
    lightness, _, _ = xyz_to_lab((WHITE_D65[0] * reflectance, reflectance, WHITE_D65[2] * reflectance))
    return round(lightness, 2), 0.0, 0.0


def _under_d65(lab: Triple) -> Triple:
    a, b, c = xyz_to_lab(adapt(lab_to_xyz(lab, WHITE_D50), WHITE_D50, WHITE_D65))
    return round(a, 2), round(b, 2), round(c, 2)


TARGETS: Final[tuple[Target, ...]] = (
    Target(
        "grey card",
        "Grey card, 18 %",
        (TargetPatch("grey", neutral(0.18)),),
        "A grey that reflects 18 % of the light, by definition.",
    ),
    Target(
        "white and grey card",
        "White and grey card, 90 and 18 %",
        (TargetPatch("white", neutral(0.90)), TargetPatch("grey", neutral(0.18))),
        "Greys that reflect 90 and 18 % of the light, by definition.",
    ),
    Target(
        "grey scale",
        "Grey scale of 20 steps",
        tuple(TargetPatch(f"density {density:.2f}", neutral(10**-density)) for density in _STEPS),
        "Steps of 0.10 in optical density from 0.05 on, by definition of density; common practice of printed scales, from memory.",
    ),
    Target(
        "24-patch chart",
        "Colour chart of 24 patches",
        tuple(TargetPatch(name, _under_d65(lab)) for name, lab in _CHART_D50),
        "The maker's L*a*b* (D50, 2°) for charts made from November 2014 on, brought to D65 by the Bradford transform.",
    ),
)
BY_NAME: Final = {target.name: target for target in TARGETS}


def patch_labs(name: str, patches: list[dict[str, object]]) -> list[tuple[str, Triple]] | str:
    """Name and L*a*b* of each marked patch, or a sentence that says for which it is not known.

    Parameters
    ----------
    name : str
        Of the target; one that is none of these has patches with their own values.
    patches : list of dict
        Each with its own `lab`, or with the `name` of a patch of the target, or neither: then it is the next one in the target's order.

    Returns
    -------
    list of (str, (L*, a*, b*)), or str
    """
    target = BY_NAME.get(name)
    known = {patch.name: patch.lab for patch in target.patches} if target else {}
    found: list[tuple[str, Triple]] = []
    for place, patch in enumerate(patches):
        next_one = target.patches[place].name if target and place < len(target.patches) else f"patch {place + 1}"
        called = str(patch.get("name") or next_one)
        own = patch.get("lab")
        if isinstance(own, list | tuple):
            lightness, a, b = (float(part) for part in own)
            found.append((called, (lightness, a, b)))
        elif called in known:
            found.append((called, known[called]))
        elif target is None:
            return f"'{name}' is no target that is known here, so each of its patches needs its L*a*b*."
        else:
            return f"The {target.title.lower()} has no {called!r}; give the L*a*b* of that patch, or name one of the target's."
    return found
