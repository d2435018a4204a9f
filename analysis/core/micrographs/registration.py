"""How the UV picture of a section lies on the visible one: found by features or phase correlation, or from places that a person names."""

from collections.abc import Sequence

from analysis.core.micrographs.pictures import Picture
from analysis.core.micrographs.values import Point, Registration


def register(fixed: Picture, moving: Picture) -> Registration:
    """Find how one picture of a section lies on another of it in other light.

    Parameters
    ----------
    fixed, moving : Picture
        As a rule the visible and the UV picture. They may differ in size.

    Returns
    -------
    Registration
        Of two ways, features and phase correlation, that with the smaller residual; always `reliable`.

    Raises
    ------
    MicrographRefused
        If neither finds one that can be relied on: pictures of different places, too little in them, blank ones.
    """
    raise NotImplementedError


def register_points(pairs: Sequence[tuple[Point, Point]], fixed_size: tuple[int, int]) -> Registration:
    """How one picture lies on another, from places that a person named in both.

    Parameters
    ----------
    pairs : sequence of ((x, y), (x, y))
        The same place in the moving picture and in the fixed one. One gives a shift, two or three shift, turn and size, four and more a
        full affine transform.
    fixed_size : tuple of two ints
        Width and height of the fixed picture, px.

    Returns
    -------
    Registration
        `reliable` is False where the places contradict each other, or one or two leave nothing to check them by.

    Raises
    ------
    MicrographRefused
        If there is no pair, or the places coincide or lie on one line so that they tell nothing.
    """
    raise NotImplementedError
