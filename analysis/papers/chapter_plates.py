"""The chapter's plates of sections, each with what was measured on it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from analysis.drawing.plate import plate_sheet
from analysis.papers.tree import Block, Column, Figure, Heading, Table, Words, figure_room

# Two plates and what was measured on them fit a page.
HIGHEST: Final = 320.0
MEASURED: Final = (
    Column("Layer", 9), Column("Generation", 10), Column("Thickness, µm", 15), Column("L*a*b* (D65, 2°)", 22), Column("Spread ΔE00", 9),
    Column("UV", 20), Column("Boundary, µm", 10), Column("Confidence", 10),
)  # fmt: skip
INTRODUCTION: Final = (
    "Each section is turned so that its substrate lies at the foot, as in the charts. Thicknesses are normal to the layers, with their "
    "standard errors; the boundary is the breadth of the lower one, from 10 to 90 % of its change. What was measured stands beside what "
    "was seen by eye, and in its place only where somebody decided so."
)
SHORT: Final = (
    "A UV response suggests materials; it proves none, and its strength is of one exposure. Colours of a picture without a target are "
    "uncalibrated: what camera and light made of them. Screen and print are no paint match."
)


def plates(found: Sequence[Mapping[str, Any]], page: str) -> Iterator[Block]:
    """A figure a sample that has pictures, by space; nothing where none has.

    Parameters
    ----------
    found : sequence of mapping
        Each with space, space_name, sample, `plate` (`analysis.drawing.plate.Plate`, or None with `refused`, why there is none), and
        `measured`: a row a layer.
    page : str
        A4 or letter.
    """
    if not found:
        return
    yield Heading(1, "Plates of sections")
    yield Words(INTRODUCTION)
    yield Words(SHORT, "strong")
    across, up = figure_room(page, wide=False)
    space = None
    for one in found:
        if one["space"] != space:
            space = one["space"]
            yield Heading(2, " ".join(("Space", space, one["space_name"])).strip())
        yield Heading(3, f"Sample {one['sample']}")
        if one["plate"] is None:
            yield Words(f"There is no plate of sample {one['sample']}: {one['refused']}", "small")
            continue
        sheet = plate_sheet(one["plate"], across, min(up, HIGHEST), headed=False)
        lights = " and under ultraviolet" if len(one["plate"].panels) > 1 else ""
        yield Figure(f"Sample {one['sample']}, {one['plate'].subtitle}: section in visible light{lights}", sheet.description, sheet)
        if one["measured"]:
            yield Table(
                f"What was measured on the section of sample {one['sample']}", MEASURED, tuple(_row(row) for row in one["measured"])
            )


def _row(row: Mapping[str, Any]) -> tuple[str, ...]:
    thickness = "no scale" if row["thickness_um"] is None else f"{row['thickness_um']:.1f}"
    if row["thickness_um"] is not None and row["thickness_error_um"] is not None:
        thickness += f" ± {row['thickness_error_um']:.1f}"
    lab = "" if row["lab"] is None else "{:.1f}, {:.1f}, {:.1f}".format(*row["lab"])
    if lab and not row["colour_calibrated"]:
        lab += " (uncalibrated)"
    return (
        f"{row['layer']} (line {row['line']})",
        "" if row["generation"] is None else str(row["generation"]),
        thickness,
        lab,
        "" if row["spread"] is None else f"{row['spread']:.1f}",
        ", ".join(part for part in (row["uv_colour"], row["uv_strength"]) if part),
        "" if row["boundary_um"] is None else f"{row['boundary_um']:.1f}",
        "" if row["confidence"] is None else f"{int(row['confidence'] * 100 + 1e-9)} %",
    )
