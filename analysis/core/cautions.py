"""Cautions that travel with charts, schedules and exports.

Figures are quoted with the law's name, number and the year of the text, because laws change; a figure that was not read in a published
text says 'from memory'. Every set ends by deferring to local codes and licensed practice.

Read on 2026-11-30: arsenic, 29 CFR 1910.1018 as revised of 2001-07-01; chromium, 29 CFR 1926.1126(b) and 1910.1026(c), the same limits;
cadmium, the final rule of 1992-09-14 (then 29 CFR 1926.63); lead, the final rule of 1993-05-04.
"""

from collections.abc import Iterable
from typing import Final

from analysis.core.materials import HAZARDS

_BY_HAZARD: Final = {
    "lead": (
        "Lead: pigments named here hold lead. In the United States paint with 1.0 mg/cm² or more of lead, or 0.5 % or more by weight, is "
        "lead-based paint (Toxic Substances Control Act §401; 40 CFR 745.103, as of 2024; some places set less). Work that disturbs it "
        "falls under the OSHA lead standard for construction, 29 CFR 1926.62 (limit 50 µg/m³, action level 30 µg/m³ over 8 h, as of "
        "1993); in Great Britain under the Control of Lead at Work Regulations 2002 (0.15 mg/m³ over 8 h, as of 2002); in the European "
        "Union under Directive (EU) 2024/869 (0.03 mg/m³, as of 2024)."
    ),
    "arsenic": (
        "Arsenic: bright greens of the nineteenth century and orpiment hold arsenic, in paint and paper. In the United States see 29 CFR "
        "1910.1018 (limit 10 µg/m³, action level 5 µg/m³ over 8 h, as of 2001)."
    ),
    "mercury": (
        "Mercury: vermilion, and mould inhibitors in latex paint to about 1990, hold mercury. In the United States see 29 CFR 1910.1000, "
        "table Z-2 (ceiling 0.1 mg/m³; reference and figure from memory, check the text in force)."
    ),
    "chromium": (
        "Chromium(VI): chrome yellows, oranges, greens and zinc yellow are chromates. In the United States see 29 CFR 1926.1126 (limit "
        "5 µg/m³, action level 2.5 µg/m³ over 8 h, as of 2006)."
    ),
    "cadmium": "Cadmium: cadmium yellows and reds. In the United States see 29 CFR 1926.1127 (limit 5 µg/m³ over 8 h, as of 1992).",
    "asbestos": (
        "Asbestos: textured coatings and fillers up to the middle of the 1980s may hold asbestos; several samples are needed, for they "
        "were mixed by hand. In the United States see 29 CFR 1926.1101, in Great Britain the Control of Asbestos Regulations 2012 "
        "(0.1 fibre/cm³; references and figure from memory, check the text in force)."
    ),
}
UNTESTED: Final = (
    "Untested old paint: take it to hold lead until it has been tested (in the United States all that is older than 1978; 40 CFR 745.103, "
    "Toxic Substances Control Act §401, as of 2024, counts 1.0 mg/cm² or 0.5 % by weight as lead-based paint)."
)
NO_INSPECTION: Final = (
    "Microscopy and screening are no lead inspection, and this sheet is none. 'Not detected' must name the method, its limit of detection "
    "and the layers. Figures are quoted as of the year named: local codes and licensed practice decide."
)
SAMPLING: Final = (
    "Sampling disturbs paint: wet or tape the spot, collect the debris, clean with a HEPA vacuum, wash hands, label bags, do not eat "
    "there, and keep children out."
)
UV: Final = (
    "Ultraviolet: a UV response suggests materials; it proves none. Do not look into the lamp, wear UV-blocking glasses and cover the skin "
    "(ICNIRP guidelines on ultraviolet radiation, 2004: 30 J/m² effective, and 10 000 J/m² of UV-A to the eye, in 8 h)."
)
RESIN: Final = (
    "Mounting resin: cast polyester under extraction (styrene: 29 CFR 1910.1000, table Z-2, 100 ppm over 8 h, ceiling 200 ppm, as of 2005)."
)
COLOUR: Final = "A printed or screen colour is never a paint match: match to the notation, in daylight, against a painted sample."


def cautions(
    hazards: Iterable[str],
    *,
    untested_old_paint: bool,
    shows_colour: bool = False,
    shows_uv: bool = False,
    for_sampling: bool = False,
) -> tuple[str, ...]:
    """Give the cautions that belong on a sheet.

    Parameters
    ----------
    hazards : iterable of str
        From `analysis.core.materials.HAZARDS`, of the materials that any layer on the sheet names.
    untested_old_paint : bool
        Whether it shows old paint that nobody has tested; when it is not known, say True.
    shows_colour, shows_uv : bool
        Whether it shows colours, UV responses.
    for_sampling : bool
        Whether it goes to somebody who will take or mount samples.

    Returns
    -------
    tuple of str
        Full sentences, in a fixed order; empty only for a sheet that shows nothing of all this.

    Raises
    ------
    ValueError
        On an unknown hazard.
    """
    named = set(hazards)
    if unknown := named - set(HAZARDS):
        raise ValueError(f"Unknown hazard '{min(unknown)}'; known are: {', '.join(HAZARDS)}.")
    said = [_BY_HAZARD[hazard] for hazard in HAZARDS if hazard in named]
    if untested_old_paint:
        said.append(UNTESTED)
    if said:
        said.append(NO_INSPECTION)
    if for_sampling:
        said.extend((SAMPLING, RESIN))
    if shows_uv or for_sampling:
        said.append(UV)
    if shows_colour:
        said.append(COLOUR)
    return tuple(said)
