"""What a person does to a reading: boundaries moved, set and removed. Colours and thicknesses follow from the profile that it keeps."""

from collections.abc import Sequence

from analysis.core.micrographs.values import Reading


def place_boundaries(reading: Reading, at_px: Sequence[float]) -> Reading:
    """The reading with its boundaries where a person put them, whatever was found.

    Parameters
    ----------
    reading : Reading
    at_px : sequence of float
        Along the line, rising, at least two, 1 px or more apart. One within 0.05 px of a boundary that was found is that boundary.

    Returns
    -------
    Reading
        What lies below the first and above the last boundary becomes an end where it is at least 3 px of the line.

    Raises
    ------
    MicrographRefused
        If they are fewer than two, do not rise, lie closer than 1 px, or where there is no picture.
    """
    raise NotImplementedError


def move_boundary(reading: Reading, boundary: int, to_px: float) -> Reading:
    """Move one boundary (counted from 0), refused where it would pass a neighbour.

    Parameters
    ----------
    reading : Reading
    boundary : int
    to_px : float

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
    """
    raise NotImplementedError


def split_layer(reading: Reading, number: int, at_px: float) -> Reading:
    """Make two layers of one, with a boundary at a place in it.

    Parameters
    ----------
    reading : Reading
    number : int
        Of the layer, from 1.
    at_px : float

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
        If there is no such layer, or the place does not lie in it.
    """
    raise NotImplementedError


def merge_layers(reading: Reading, number: int) -> Reading:
    """Make one layer of layer `number` and the one above it, refused where there is none above.

    Parameters
    ----------
    reading : Reading
    number : int

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
    """
    raise NotImplementedError


def take_end(reading: Reading, which: str) -> Reading:
    """Make a layer of what was offered as an end, from the boundary to the end of the line.

    Parameters
    ----------
    reading : Reading
    which : str
        "below" or "above".

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
        If there is no such end.
    """
    raise NotImplementedError


def drop_layer(reading: Reading, which: str) -> Reading:
    """Make an end (substrate, resin) of the lowest layer ("below") or the uppermost ("above"), refused where it is the only one.

    Parameters
    ----------
    reading : Reading
    which : str

    Returns
    -------
    Reading

    Raises
    ------
    MicrographRefused
    """
    raise NotImplementedError
