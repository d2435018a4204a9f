"""The sheets and columns of the workbook: the one table from which import, export and the template are made."""

from dataclasses import dataclass
from typing import Any, Final

from surveys import rules
from surveys.models import Element, Evidence, Layer, Phase, Ruling, Sample, Space

# How a cell is read and written; `cells` has a function for each.
NAME, TEXT, NUMBER, WHOLE, YEAR, DATE, EXAMINED, BEARS_ON, LAYER_NAME, GENERATION = (
    "name", "text", "number", "whole", "year", "date", "examined", "bears on", "layer name", "generation",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its header, the field of the record that it holds, how its cells read, where an export finds the value."""

    header: str
    field: str
    reads: str = TEXT
    required: bool = False
    width: float = 14.0
    paths: tuple[str, ...] = ()
    # Stands in for the column of this header; or is read, but never written.
    instead_of: str = ""
    extra: bool = False

    @property
    def sources(self) -> tuple[str, ...]:
        """Paths from the record to the values that the cell shows."""
        return self.paths or (self.field,)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: a register of one kind of record, in the order in which it is sorted."""

    title: str
    model: Any
    columns: tuple[Column, ...]
    order: tuple[str, ...]

    @property
    def written(self) -> tuple[Column, ...]:
        """The columns that an export and the template have."""
        return tuple(column for column in self.columns if not column.instead_of and not column.extra)

    def header_of(self, field: str) -> str:
        """The header under which a field of the record stands, or ''."""
        named = {name: column.header for column in reversed(self.columns) for name in (column.field, *ALSO.get(column.reads, ()))}
        return named.get(field, named.get(f"{field.removesuffix('_on').removesuffix('_by')}", ""))


ALSO: Final = {BEARS_ON: ("phase", "space", "element", "generation", "bears_on")}

SHEETS: Final = (
    Sheet(
        "Spaces",
        Space,
        (
            Column("Space", "number", NAME, required=True, width=10),
            Column("Name", "name", width=28),
            Column("Storey", "storey", width=16),
            Column("Kind", "kind", width=10),
            Column("Notes", "notes", width=60),
        ),
        ("sort_key", "number"),
    ),
    Sheet(
        "Elements",
        Element,
        (
            Column("Element", "code", NAME, required=True, width=16),
            Column("Space", "space", NAME, required=True, width=10, paths=("space__number",)),
            Column("Class", "element_class", required=True, width=16),
            Column("Position", "position", width=32),
            Column("Substrate", "substrate", width=16),
            Column("Description", "description", width=44),
            Column("Notes", "notes", width=44),
        ),
        ("space__sort_key", "code"),
    ),
    Sheet(
        "Samples",
        Sample,
        (
            Column("Sample", "number", NAME, required=True, width=11),
            Column("Element", "element", NAME, required=True, width=16, paths=("element__code",)),
            Column("Part", "part", width=16),
            Column("Visit", "visit", width=8),
            Column("Location", "location", width=36),
            Column("Purpose", "purpose", width=24),
            Column("Height mm", "height_mm", NUMBER, width=10),
            Column("Size mm", "size_mm", NUMBER, width=9),
            Column("Taken on", "taken_on", DATE, width=12),
            Column("Taken by", "taken_by", width=18),
            Column("Bag", "bag", width=10),
            Column("Mount", "mount", width=12),
            Column("Kept at", "kept_at", width=26),
            Column("Status", "status", width=11),
            Column("Base state", "base_state", width=12),
            Column("Top state", "top_state", width=11),
            Column("Examined visible", "examined_visible", EXAMINED, width=26, paths=("examined_visible_on", "examined_visible_by")),
            Column("Examined UV", "examined_uv", EXAMINED, width=26, paths=("examined_uv_on", "examined_uv_by")),
            Column("Notes", "notes", width=44),
        ),
        ("number",),
    ),
    Sheet(
        "Layers",
        Layer,
        (
            Column("Sample", "sample", NAME, required=True, width=11, paths=("sample__number",)),
            Column("Layer", "position", WHOLE, required=True, width=7),
            Column("Layer from surface", "from_surface", WHOLE, instead_of="Layer"),
            Column("Kind", "kind", required=True, width=15),
            Column("Completeness", "completeness", width=14),
            Column("Colour", "colour", width=18),
            Column("Munsell", "munsell", width=13),
            Column("Munsell by", "munsell_by", width=13),
            Column("L*", "lab_l", NUMBER, width=8),
            Column("a*", "lab_a", NUMBER, width=8),
            Column("b*", "lab_b", NUMBER, width=8),
            Column("First colour", "first_colour", width=18),
            Column("Sheen", "sheen", width=12),
            Column("Texture", "texture", width=30),
            Column("UV colour", "uv_colour", width=18),
            Column("UV strength", "uv_strength", width=11),
            Column("Pigments", "pigments", width=36),
            Column("Binder", "binder", width=14),
            Column("Tests", "tests", width=32),
            Column("Thickness um", "thickness_um", NUMBER, width=12),
            Column("Lower boundary", "lower_boundary", width=16),
            Column("Generation", "generation", GENERATION, width=11, paths=("generation__ordinal",)),
            Column("Notes", "notes", width=44),
            Column("Space", "space", NAME, extra=True),
            Column("Element", "element", NAME, extra=True),
            Column("Class", "element_class", extra=True),
        ),
        ("sample__number", "position"),
    ),
    Sheet(
        "Evidence",
        Evidence,
        (
            Column("Evidence", "reference", NAME, required=True, width=11),
            Column("Discipline", "discipline", width=20),
            Column("Kind", "kind", width=18),
            Column("Source", "source", width=36),
            Column("Statement", "statement", required=True, width=60),
            Column(
                "Bears on",
                "bears_on",
                BEARS_ON,
                width=20,
                paths=(
                    "bears_on",
                    "phase__ordinal",
                    "space__number",
                    "element__code",
                    "generation__space__number",
                    "generation__ordinal",
                ),
            ),
            Column("Relation", "relation", width=13),
            Column("Earliest", "earliest", YEAR, width=9),
            Column("Latest", "latest", YEAR, width=9),
            Column("Certainty", "certainty", width=11),
            Column("Notes", "notes", width=44),
        ),
        ("reference",),
    ),
    Sheet(
        "Phases",
        Phase,
        (
            Column("Phase", "ordinal", WHOLE, required=True, width=8),
            Column("Label", "label", width=36),
            Column("Earliest", "earliest", YEAR, width=9),
            Column("Latest", "latest", YEAR, width=9),
            Column("Description", "description", width=80),
        ),
        ("ordinal",),
    ),
    Sheet(
        "Rulings",
        Ruling,
        (
            Column("Ruling", "kind", required=True, width=9),
            Column(
                "First layer",
                "first_layer",
                LAYER_NAME,
                required=True,
                width=14,
                paths=("first_layer__sample__number", "first_layer__position"),
            ),
            Column("Second layer", "second_layer", LAYER_NAME, width=14, paths=("second_layer__sample__number", "second_layer__position")),
            Column("Generation", "generation", GENERATION, width=11, paths=("generation__ordinal",)),
            Column("Reason", "reason", width=80),
        ),
        ("first_layer__sample__number", "first_layer__position", "second_layer__sample__number", "second_layer__position", "kind"),
    ),
)
BY_TITLE: Final = {sheet.title: sheet for sheet in SHEETS}
READ_ME: Final = "Read me"
# Sheets of an export that are drawn from the registers and say nothing of their own.
CHART_PREFIX: Final = "Generations "


def fold(text: str) -> str:
    """A sheet's or column's name as it is compared: without case or surrounding blanks."""
    return " ".join(text.split()).casefold()


def sheet_named(title: str) -> Sheet | None:
    """The sheet of that title, whatever its case and the blanks around it."""
    return next((sheet for sheet in SHEETS if fold(sheet.title) == fold(title)), None)


def is_ours(title: str) -> bool:
    """Whether a sheet is one that an export adds to the registers, to be read by people only."""
    return fold(title) == fold(READ_ME) or fold(title).startswith(fold(CHART_PREFIX))


def column_named(sheet: Sheet, header: str) -> Column | None:
    """The column of a sheet under that header, whatever its case and the blanks around it."""
    return next((column for column in sheet.columns if fold(column.header) == fold(header)), None)


def words_of(sheet: Sheet, column: Column) -> tuple[str, ...]:
    """The closed list of a column, or ()."""
    if column.reads != TEXT or column.field == "element_class":
        return ()
    choices = sheet.model._meta.get_field(column.field).choices or ()
    return tuple(word for word, _ in choices)


def _check() -> None:
    """Every column that is written holds a field that a person may set."""
    for sheet in SHEETS:
        for column in sheet.written:
            held = column.paths if column.reads == EXAMINED else (column.field,)
            assert all(path in rules.WRITABLE[sheet.model] for path in held), (sheet.title, column.header)


_check()
