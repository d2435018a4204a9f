"""What holds of a line across a section: where it may run, how broad it may be, and which picture it is drawn on."""

import math
from itertools import pairwise
from typing import Any, Final

from surveys.errors import Fault

# Less of a picture tells of no layer (`analysis.core.micrographs.profile`).
SHORTEST_PX: Final = 16.0
NARROWEST_PX: Final = 1.0
BROADEST_PX: Final = 4_000.0
DRAWN_ON: Final = "visible micrograph"
ABOUT: Final = ("sample", "layer")


def length(path: Any) -> float:
    """Length of a path in px."""
    return sum(math.dist(one, other) for one, other in pairwise(path))


def traverse_faults(traverse: Any) -> list[Fault]:
    """What is wrong between the fields of a line and with its picture."""
    picture = traverse.attachment
    faults = []
    if picture.kind != DRAWN_ON:
        text = f"Attachment {picture.number} is a {picture.kind}. Draw the line on the visible micrograph: UV is read along it."
        faults.append(Fault("attachment", "not-visible", text))
    elif picture.about_type not in ABOUT:
        text = f"Attachment {picture.number} is about a {picture.about_type}. A line is read on the picture of a sample."
        faults.append(Fault("attachment", "no-sample", text))
    elif picture.prepared == "refused":
        faults.append(Fault("attachment", "refused", f"Attachment {picture.number} could not be opened: {picture.refusal}"))
    if not NARROWEST_PX <= traverse.width_px <= BROADEST_PX:
        faults.append(Fault("width_px", "out-of-range", f"A line is {NARROWEST_PX:g} to {BROADEST_PX:,.0f} px wide."))
    along = length(traverse.path)
    if along < SHORTEST_PX:
        faults.append(Fault("path", "too-short", f"This line is only {along:.0f} px long; it needs at least {SHORTEST_PX:g} px."))
    if picture.width and picture.height and not all(_within(point, picture) for point in traverse.path):
        text = f"The line leaves the picture, which is {picture.width:,} × {picture.height:,} px."
        faults.append(Fault("path", "outside", text))
    if traverse.boundaries is not None and len(traverse.boundaries) < 2:
        text = "Give at least two boundaries: the lower and the upper face of one layer. Without any (null) they stand as they were found."
        faults.append(Fault("boundaries", "too-few", text))
    return faults


def _within(point: Any, picture: Any) -> bool:
    x, y = point
    return bool(0 <= x <= picture.width and 0 <= y <= picture.height)
