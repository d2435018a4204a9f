"""The generation chart as a drawing: SVG, PDF and PNG from one draw list.

Plain functions on the plain dict of the chart; no clock, so the same chart gives the same bytes.
"""

from collections.abc import Mapping
from typing import Any

from analysis.drawing.pdf import sheets_pdf
from analysis.drawing.png import PictureTooLarge, sheet_png
from analysis.drawing.sheets import PAPERS, UnknownPaper, page_sheets, whole_sheet
from analysis.drawing.svg import sheet_svg

__all__ = ["PAPERS", "PictureTooLarge", "UnknownPaper", "chart_pdf", "chart_png", "chart_svg"]


def chart_svg(chart: Mapping[str, Any]) -> str:
    """The whole chart as one SVG document.

    Parameters
    ----------
    chart : mapping
        As ``GET …/spaces/{id}/chart`` answers it; unknown keys are passed over, missing ones read as empty.

    Returns
    -------
    str
        SVG 1.1, in points. Text is text; every layer, row and sample is a group with its full description.
    """
    return sheet_svg(whole_sheet(chart))


def chart_pdf(chart: Mapping[str, Any], paper: str = "A3") -> bytes:
    """The chart on pages, heads, key and cautions on each.

    Parameters
    ----------
    chart : mapping
        As for `chart_svg`.
    paper : str
        A3, A4 or tabloid, landscape.

    Returns
    -------
    bytes
        PDF with the lettering embedded, nothing below 6 points.

    Raises
    ------
    UnknownPaper
        If the paper is none of these.
    """
    return sheets_pdf(page_sheets(chart, paper))


def chart_png(chart: Mapping[str, Any], scale: float = 2.0) -> bytes:
    """The whole chart as one picture.

    Parameters
    ----------
    chart : mapping
        As for `chart_svg`.
    scale : float
        Pixels to the point, above 0; 2 is 144 dpi.

    Returns
    -------
    bytes
        PNG, RGB, its resolution told.

    Raises
    ------
    PictureTooLarge
        If the picture would have more than 100 million pixels; the sentence names the largest scale that fits.
    ValueError
        If the scale is not above 0.
    """
    return sheet_png(whole_sheet(chart), scale)
