"""Measures in points, and the few greys. Colour means paint, so nothing else has any."""

from typing import Final

from analysis.drawing.shapes import Dash

INK: Final = "#1a1a1a"
SOFT: Final = "#555555"
RULE: Final = "#8a8a8a"
HAIR: Final = "#c8c8c8"
PLATE: Final = "#efefef"
PAPER: Final = "#ffffff"

SMALL: Final = 6.2
BODY: Final = 7.0
HEADING: Final = 8.0
TITLE: Final = 12.0
LEADING: Final = 1.22

MARGIN: Final = 28.0
# Nine columns and the row heads fill A3 between its margins.
COLUMN: Final = 111.0
ROW_HEAD: Final = 134.0
CELL_PAD: Final = 4.0
SWATCH: Final = 51.0
# White left between a swatch and its outline, so that the outline shows on dark and light paint alike.
INSET: Final = 2.2
LAYER_GAP: Final = 3.0

WEAK_DISTINCTNESS: Final = 0.6
RUNNER_UP_BELOW: Final = 0.7
PERCENT_BELOW: Final = 0.9

# Lowest confidence, line width, dashes, what it means; from the surest down.
OUTLINES: Final[tuple[tuple[float, float, Dash, str], ...]] = (
    (0.9, 1.5, (), "90 % or more"),
    (0.7, 0.6, (), "70 to 89 %"),
    (0.5, 0.7, (3.0, 1.6), "50 to 69 %"),
    (0.0, 0.9, (0.9, 1.5), "under 50 %"),
)


def outline(confidence: float) -> tuple[float, Dash]:
    """Line width and dashes that show a confidence (0 to 1) without colour."""
    for least, thickness, dash, _ in OUTLINES:
        if confidence >= least:
            return thickness, dash
    return OUTLINES[-1][1], OUTLINES[-1][2]


def percent(share: float) -> str:
    """A probability in whole per cent, rounded down so that it never reads surer than it is."""
    return f"{int(share * 100 + 1e-9)} %"


def legible_on(colour: str) -> str:
    """Black or white, whichever stands out more from ``#rrggbb`` (contrast ratio of WCAG 2.2)."""
    channels = (int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5))
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in channels)
    brightness = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return "#000000" if (brightness + 0.05) / 0.05 >= 1.05 / (brightness + 0.05) else "#ffffff"
