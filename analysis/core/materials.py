"""When paint materials came on the market: reading the table, and reading what people wrote in a layer's cells.

The table itself lies in the project's reference files with the published source of each date; nothing is read at import. Only a
material that was *identified* (by an instrument or a test) bounds a year firmly; one that was only *seen* is tentative.
"""

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import StringIO
from pathlib import Path
from typing import Final

HAZARDS: Final = ("lead", "arsenic", "mercury", "chromium", "cadmium", "asbestos")
BASES: Final = ("seen", "identified")
VERIFIED: Final = ("published", "from memory")
COLUMNS: Final = (
    "name", "also_known_as", "earliest_year", "common_from", "fades_out", "source", "second_source", "verified",
    "disagreement", "note", "hazard",
)  # fmt: skip
FROM_MEMORY: Final = "from memory:"


class MaterialError(ValueError):
    """The table cannot be read; the message names its row."""


@dataclass(frozen=True, slots=True)
class Material:
    """One row of the table.

    Parameters
    ----------
    name : str
        Lower case.
    also_known_as : tuple of str
        Other names that mean just this material.
    earliest_year : int, optional
        Earliest credible year of any source: a layer that holds the material is not older. None: antiquity, or never bounds.
    common_from, fades_out : int, optional
        Years between which it was usual; soft, and never a bound.
    source, second_source : str
        Work, page or table where known; one that begins with 'from memory:' has not been seen.
    verified : {'published', 'from memory'}
        Whether a published source was seen for `earliest_year`; for one of antiquity, for that.
    disagreement, note : str
    hazards : tuple of str
        From `HAZARDS`.
    """

    name: str
    also_known_as: tuple[str, ...]
    earliest_year: int | None
    common_from: int | None
    fades_out: int | None
    source: str
    second_source: str
    verified: str
    disagreement: str
    note: str
    hazards: tuple[str, ...]

    @property
    def published_sources(self) -> tuple[str, ...]:
        """Sources that were seen, not remembered."""
        return tuple(one for one in (self.source, self.second_source) if one and not one.startswith(FROM_MEMORY))

    @property
    def citation(self) -> str:
        """What to show beside the year: its source, or that it rests on memory."""
        return self.source if self.verified == "published" else "date from memory"


@dataclass(frozen=True, slots=True)
class Found:
    """A material as written in a layer.

    Parameters
    ----------
    name : str
        As written, without what stands in brackets.
    basis : {'seen', 'identified'}
    method : str
        How it was identified, as 'SEM-EDS'; empty when it does not say.
    """

    name: str
    basis: str
    method: str


# --- the table ----------------------------------------------------------------------------------------------------------------


def load_materials(table: str | Path) -> tuple[Material, ...]:
    """Read the table of materials.

    Parameters
    ----------
    table : str or Path
        The text of the table as CSV with a heading row of `COLUMNS`; or the path of a UTF-8 file that holds it.

    Returns
    -------
    tuple of Material
        In the order of the table.

    Raises
    ------
    MaterialError
        When columns differ, a year is no number, a row has no source or an unknown hazard, years run backwards, or two rows answer
        to one name.
    """
    text = table.read_text(encoding="utf-8") if isinstance(table, Path) else table
    reader = csv.DictReader(StringIO(text))
    if tuple(reader.fieldnames or ()) != COLUMNS:
        raise MaterialError(f"The table of materials needs these columns in this order: {', '.join(COLUMNS)}.")
    materials = tuple(_material(row) for row in reader)
    _index(materials)
    return materials


def _material(row: Mapping[str, str]) -> Material:
    name = row["name"]
    if not name or not row["source"]:
        raise MaterialError(f"The material '{name}' needs a name and a source.")
    if row["verified"] not in VERIFIED:
        raise MaterialError(f"The material '{name}' must say 'published' or 'from memory', not '{row['verified']}'.")
    hazards = _parts(row["hazard"])
    for hazard in hazards:
        if hazard not in HAZARDS:
            raise MaterialError(f"The material '{name}' names the unknown hazard '{hazard}'; known are: {', '.join(HAZARDS)}.")
    earliest, common, fades = (_year(row, column) for column in ("earliest_year", "common_from", "fades_out"))
    written = [year for year in (earliest, common, fades) if year is not None]
    if written != sorted(written):
        raise MaterialError(f"The years of '{name}' run backwards: {written}.")
    return Material(
        name=name,
        also_known_as=_parts(row["also_known_as"]),
        earliest_year=earliest,
        common_from=common,
        fades_out=fades,
        source=row["source"],
        second_source=row["second_source"],
        verified=row["verified"],
        disagreement=row["disagreement"],
        note=row["note"],
        hazards=hazards,
    )


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def _year(row: Mapping[str, str], column: str) -> int | None:
    if not row[column]:
        return None
    if not re.fullmatch(r"\d{3,4}", row[column]):
        raise MaterialError(f"The {column} of '{row['name']}' is '{row[column]}', which is no year.")
    return int(row[column])


@lru_cache(maxsize=4)
def _index(materials: tuple[Material, ...]) -> dict[str, Material]:
    index: dict[str, Material] = {}
    for material in materials:
        for name in (material.name, *material.also_known_as):
            if index.setdefault(_plain(name), material) is not material:
                raise MaterialError(f"Both '{index[_plain(name)].name}' and '{material.name}' answer to '{name}'.")
    return index


# --- what people write --------------------------------------------------------------------------------------------------------

_BETWEEN: Final = re.compile(r"(?:[;,+&\n]|\band\b)(?![^(]*\))")
_BRACKET: Final = re.compile(r"\(([^()]*)\)\s*$")
_ASIDE: Final = re.compile(r"\b(?:seen|identified)\b\s*(?:by|with)?\s*:?\s*(?:by|with)?\s*(.*)", re.IGNORECASE | re.DOTALL)
_SUGGESTS: Final = re.compile(r"(?:uv|ultraviolet)[ -]*(?:light|fluorescence|response)?", re.IGNORECASE)
"""A UV response suggests and never identifies."""


def parse_list(text: str) -> tuple[Found, ...]:
    """Read the materials that a cell names.

    Parameters
    ----------
    text : str
        Names set apart by semicolon, comma, plus, '&', 'and' or a line break, each with or without a note in brackets: 'zinc white
        (identified: SEM-EDS)', 'chalk (seen)', 'ochre'. What says neither, or is doubted by '?', or was 'identified' by its UV response
        alone, counts as seen.

    Returns
    -------
    tuple of Found
        In the order written; empty for an empty cell.
    """
    return tuple(_found(part.strip()) for part in _BETWEEN.split(text) if part.strip())


def _found(part: str) -> Found:
    note = _BRACKET.search(part)
    name = part[: note.start()].strip() if note else part
    doubted = name.endswith("?") or (note is not None and "?" in note[1])
    name = name.rstrip("? ")
    # A bracket that names no basis belongs to the name: 'titanium white (rutile)'.
    aside = _ASIDE.match(note[1].strip()) if note else None
    if note and not aside:
        inner = _found(name) if _BRACKET.search(name) else Found(name, "seen", "")
        return Found(f"{inner.name} ({note[1].strip().rstrip('?')})", inner.basis, inner.method)
    if note is None or aside is None:
        return Found(name, "seen", "")
    method = aside[1].strip(" ?")
    identified = note[1].strip().casefold().startswith("identified") and not doubted and not _SUGGESTS.fullmatch(method)
    return Found(name, "identified" if identified else "seen", method if identified else "")


def match_material(text: str, materials: Sequence[Material]) -> Material | None:
    """Find the row that a name means.

    Parameters
    ----------
    text : str
        One name, as a person writes it, with or without its note in brackets; case, hyphens and spacing do not count.
    materials : sequence of Material

    Returns
    -------
    Material or None
        None when no row answers to just this name: a guess would set a date that nobody can defend.
    """
    index = _index(tuple(materials))
    found = parse_list(text)
    if len(found) != 1:
        return None
    return index.get(_plain(found[0].name))


def hazards_of(names: Iterable[str], materials: Sequence[Material]) -> tuple[str, ...]:
    """Give the hazards that materials bring, seen or identified, for a caution needs less than a date does.

    Parameters
    ----------
    names : iterable of str
        Cells, each naming any number of materials.
    materials : sequence of Material

    Returns
    -------
    tuple of str
        From `HAZARDS`, in that order, each once.
    """
    matched = [match_material(found.name, materials) for cell in names for found in parse_list(cell)]
    present = {hazard for material in matched if material for hazard in material.hazards}
    return tuple(hazard for hazard in HAZARDS if hazard in present)


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("\u2019", "'").replace("-", " ").split())
