"""Where along a profile one layer ends and the next begins: change points, made finer and then weighed one by one."""

from analysis.core.micrographs.values import Boundary, Profile


def find_boundaries(profile: Profile) -> tuple[Boundary, ...]:
    """Find the boundaries of the layers along a profile.

    Parameters
    ----------
    profile : Profile

    Returns
    -------
    tuple of Boundary
        In order; those within the line and a few px beyond its ends.
    """
    raise NotImplementedError
