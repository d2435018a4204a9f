"""What the patches of usual colour targets are: L*a*b* (D65, 2°), for the person only to say where they lie in the picture.

A target ages and is printed in batches: values measured on the target itself go before these.
"""

from typing import Final

from analysis.core.colour.spaces import WHITE_D65, Triple, adapt, lab_to_xyz, xyz_to_lab
from analysis.core.micrographs.values import MicrographRefused

_D50_XY: Final = (0.3457, 0.3585)
_WHITE_D50: Final = (_D50_XY[0] / _D50_XY[1], 1.0, (1 - sum(_D50_XY)) / _D50_XY[1])

# The common target of 24 patches: names, and L*a*b* (D50, 2°) as its maker published them for targets made before November 2014 and for
# those made since, as colour-science 0.4.7 holds them.
_PATCHES: Final[tuple[tuple[str, Triple, Triple], ...]] = (
    ("dark skin", (37.99, 13.56, 14.06), (37.54, 14.37, 14.92)),
    ("light skin", (65.71, 18.13, 17.81), (64.66, 19.27, 17.50)),
    ("blue sky", (49.93, -4.88, -21.90), (49.32, -3.82, -22.54)),
    ("foliage", (43.14, -13.09, 21.90), (43.46, -12.74, 22.72)),
    ("blue flower", (55.11, 8.84, -25.40), (54.94, 9.61, -24.79)),
    ("bluish green", (70.72, -33.40, -0.20), (70.48, -32.26, -0.37)),
    ("orange", (62.66, 36.07, 57.10), (62.73, 35.83, 56.50)),
    ("purplish blue", (40.02, 10.41, -45.96), (39.43, 10.75, -45.17)),
    ("moderate red", (51.12, 48.24, 16.25), (50.57, 48.64, 16.67)),
    ("purple", (30.33, 22.98, -21.59), (30.10, 22.54, -20.87)),
    ("yellow green", (72.53, -23.71, 57.26), (71.77, -24.13, 58.19)),
    ("orange yellow", (71.94, 19.36, 67.86), (71.51, 18.24, 67.37)),
    ("blue", (28.78, 14.18, -50.30), (28.37, 15.42, -49.80)),
    ("green", (55.26, -38.34, 31.37), (54.38, -39.72, 32.27)),
    ("red", (42.10, 53.38, 28.19), (42.43, 51.05, 28.62)),
    ("yellow", (81.73, 4.04, 79.82), (81.80, 2.67, 80.41)),
    ("magenta", (51.94, 49.99, -14.57), (50.63, 51.28, -14.12)),
    ("cyan", (51.04, -28.63, -28.64), (49.57, -29.71, -28.32)),
    ("white 9.5", (96.54, -0.43, 1.19), (95.19, -1.03, 2.93)),
    ("neutral 8", (81.26, -0.64, -0.33), (81.29, -0.57, 0.44)),
    ("neutral 6.5", (66.77, -0.73, -0.50), (66.89, -0.75, -0.06)),
    ("neutral 5", (50.87, -0.15, -0.27), (50.76, -0.13, 0.14)),
    ("neutral 3.5", (35.66, -0.42, -1.23), (35.63, -0.46, -0.48)),
    ("black 2", (20.46, -0.08, -0.97), (20.64, 0.07, -0.46)),
)
# A grey card reflects 18 %: L* is 116 times the cube root of 0.18, less 16 (CIE 1976).
_GREY_CARD: Final = 116 * 0.18 ** (1 / 3) - 16

TARGETS: Final = ("grey card, 18 %", "24 patches, made from November 2014", "24 patches, made before November 2014")


def target_patches(target: str) -> tuple[tuple[str, Triple], ...]:
    """The patches of a target in its own order, with the L*a*b* (D65, 2°) that each has.

    Parameters
    ----------
    target : str
        One of `TARGETS`.

    Returns
    -------
    tuple of (str, (L*, a*, b*))
        Carried from D50 by the Bradford transform where they were published for it.

    Raises
    ------
    MicrographRefused
        On an unknown target.
    """
    if target not in TARGETS:
        raise MicrographRefused(f"The target '{target}' is not known; known are: {'; '.join(TARGETS)}. Or give the L*a*b* of each patch.")
    if target == TARGETS[0]:
        return (("grey card", (round(_GREY_CARD, 2), 0.0, 0.0)),)
    since = target == TARGETS[1]
    return tuple((name, _under_d65(new if since else old)) for name, old, new in _PATCHES)


def _under_d65(lab: Triple) -> Triple:
    lightness, a, b = xyz_to_lab(adapt(lab_to_xyz(lab, _WHITE_D50), _WHITE_D50, WHITE_D65))
    return round(lightness, 2), round(a, 2), round(b, 2)
