"""A finish schedule as a workbook: cover, cautions, schedule, colours, evidence, changes. Nothing in it runs, and it is not read back."""

import csv
import datetime as dt
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import IO, Any, Final

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, PatternFill, Side
from openpyxl.utils import get_column_letter

from analysis.papers.schedule import finish_of, likeliest
from surveys.workbooks.chart_sheets import black_or_white
from surveys.workbooks.reading import FORMULA_STARTS, guarded
from surveys.workbooks.writing import A3, append, font, header_cell, lines, new_sheet, put, save, set_up_page, styled

TABLOID: Final = 3  # OOXML's number for tabloid, 11 × 17 in (ECMA-376 part 1, 18.3.1.63)
PAPERS: Final = {"A3": A3, "tabloid": TABLOID}
_RULE: Final = Side(style="hair", color="FF8A8378")
_BOX: Final = Border(top=_RULE, bottom=_RULE)
_TOP: Final = Alignment(vertical="top", wrap_text=True)
_RIGHT: Final = Alignment(vertical="top", horizontal="right", indent=1)


@dataclass(frozen=True, slots=True)
class Stamp:
    """How a schedule goes out: as an issue with its letter, or as a draft that says so."""

    revision: str
    purpose: str
    on: dt.date
    by: str
    note: str = ""

    def __str__(self) -> str:
        if not self.revision:
            return f"Draft of {self.on.isoformat()}, not issued"
        return f"Revision {self.revision}, {self.on.isoformat()}, {self.purpose}"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the schedule: its header, its width in characters, and which value of a row it shows."""

    header: str
    width: float
    value: str
    number_format: str = ""


# What a painter needs, to the remarks, comes first and fills one page's width; what it rests on comes after, on the page beside it.
# That page has the first four columns again, and is the wider one: fitted to two pages, the remarks would else go to the second.
COLUMNS: Final = (
    Column("Space", 9, "space"),
    Column("Element", 13, "element"),
    Column("Class", 14, "element_class"),
    Column("Position", 18, "position"),
    Column("Group", 10, "group"),
    Column("Substrate", 12, "substrate"),
    Column("Preparation", 20, "preparation"),
    Column("Finish", 22, "finish"),
    Column("Leaf", 10, "leaf"),
    Column("Swatch", 8, "swatch"),
    Column("Munsell", 13, "munsell"),
    Column("Colour", 15, "colour_word"),
    Column("Sheen", 11, "sheen"),
    Column("Gloss", 16, "gloss"),
    Column("Certainty", 11, "certainty"),
    Column("Marks", 18, "marks"),
    Column("Quantity", 10, "quantity"),
    Column("Hold point", 18, "hold_point"),
    Column("Remarks", 26, "remarks"),
    Column("By decision", 38, "decision"),
    Column("L* (D65, 2°)", 9, "lab_l", "0.0"),
    Column("a*", 7, "lab_a", "0.0"),
    Column("b*", 7, "lab_b", "0.0"),
    Column("sRGB", 11, "srgb"),
    Column("Spread ΔE00", 9, "spread", "0.0"),
    Column("Samples", 9, "sample_count", "0"),
    Column("Probability", 11, "probability", "0%"),
    Column("Alternatives", 44, "alternatives"),
    Column("Review", 13, "review"),
    Column("Rests on", 40, "rests_on"),
)
PAGES_WIDE: Final = 2
REPEATED: Final = "A:D"


def values_of(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row of a schedule's content as the columns show it; numbers stay numbers, what is not known is None."""
    added = row["additions"]
    lab = row["lab"] or (None, None, None)
    said = {name: row[name] or None for name in ("space", "element", "element_class", "position", "substrate", "leaf")}
    said |= {name: row[name] or None for name in ("munsell", "srgb", "colour_word", "sheen", "gloss", "certainty")}
    said |= {name: added[name] or None for name in ("group", "preparation", "quantity", "hold_point", "remarks")}
    nearest = f"{row['munsell']} (nearest)" if row["munsell_is_nearest"] else row["munsell"]
    return {
        **said,
        "finish": finish_of(row),
        "munsell": nearest or None,
        "swatch": None,
        "lab_l": lab[0], "lab_a": lab[1], "lab_b": lab[2],
        "srgb": f"{row['srgb']} (out of gamut)" if row["srgb"] and not row["in_gamut"] else row["srgb"] or None,
        "spread": row["spread"],
        "sample_count": len(row["samples"]),
        "probability": row["probability"],
        "alternatives": likeliest(row["alternatives"]) or None,
        "review": row["review"] or "none",
        "marks": ", ".join(row["marks"]) or None,
        "decision": _decision(row) or None,
        "rests_on": _rests_on(row) or None,
    }  # fmt: skip


def write(content: Mapping[str, Any], changes: Sequence[Mapping[str, Any]], stamp: Stamp, stream: IO[bytes], *, paper: str = "A3") -> None:
    """Write the workbook of a schedule."""
    book = Workbook(write_only=True)
    name = f"{content['project']['code']} schedule {content['schedule']}"
    footer = f"{name}. {stamp}"
    _cover(book, content, stamp, footer)
    _cautions(book, content, footer)
    _schedule(book, content, f"{footer}. Take old paint to hold lead until it is tested: see the sheet 'Cautions'", PAPERS[paper])
    _colours(book, content, footer)
    _evidence(book, content, footer)
    _changes(book, changes, stamp, footer)
    save(book, stream, stamp.on, title=f"{name}, {stamp}", creator=stamp.by)


def as_csv(content: Mapping[str, Any], stamp: Stamp) -> bytes:
    """The rows as CSV: UTF-8 with a byte order mark; a text that a spreadsheet would run is guarded."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    columns = [column for column in COLUMNS if column.value != "swatch"]
    writer.writerow([*(column.header for column in columns), "Issue"])
    for row in content["rows"]:
        values = values_of(row)
        writer.writerow([*(_in_csv(values[column.value]) for column in columns), str(stamp)])
    return out.getvalue().encode("utf-8-sig")


def _in_csv(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    return "" if value is None else guarded(str(value))


def _decision(row: Mapping[str, Any]) -> str:
    """What a person set in place of what, why, and who it was."""
    added = row["additions"]
    told = [
        f"{name} instead of {row[f'computed_{field}']}"
        for field, name in (("finish", "finish"), ("munsell", "colour"), ("sheen", "sheen"))
        if row[f"computed_{field}"]
    ]
    return f"{', '.join(told).capitalize()}: {added['reason']} ({added['by']})" if told else ""


def _rests_on(row: Mapping[str, Any]) -> str:
    generation = [f"generation {row['space']}/{row['generation']}"] if row["generation"] else []
    said = [f"interpretation {number}" for number in row["interpretations"]]
    return "; ".join([*generation, *([f"samples {', '.join(row['samples'])}"] if row["samples"] else []), *said])


# -- sheets -----------------------------------------------------------------------------------------------------------------


class _Pages:
    """A sheet of labels and texts, filled from the top."""

    def __init__(self, book: Workbook, title: str, footer: str, widths: Iterable[float], *, large: bool = False) -> None:
        self.sheet = new_sheet(book, title)
        self.widths = list(widths)
        for number, width in enumerate(self.widths, start=1):
            self.sheet.column_dimensions[get_column_letter(number)].width = width
        set_up_page(self.sheet, footer, large=large)
        self.number = 0

    def heading(self, text: str, size: int = 14) -> None:
        """A heading, in one line over all columns."""
        self.number += 1
        append(self.sheet, self.number, [_text(self.sheet, text, font=font(bold=True, size=size), alignment=Alignment(vertical="top"))], 2)

    def row(self, *values: Any) -> None:
        """Texts, dates and numbers, wrapped, as high as they need."""
        self.number += 1
        cells = [None if value in (None, "") else _text(self.sheet, value, font=font(), alignment=_TOP) for value in values]
        tall = max((lines(value, width) for value, width in zip(values, self.widths, strict=False) if isinstance(value, str)), default=1)
        append(self.sheet, self.number, cells, tall)

    def header(self, *names: str) -> None:
        """A header row, that stays and is printed again on each page."""
        self.number += 1
        append(self.sheet, self.number, [header_cell(self.sheet, name) for name in names], 2)
        self.sheet.print_title_rows = f"{self.number}:{self.number}"


def _text(sheet: Any, value: Any, **style: Any) -> Any:
    cell = styled(sheet, value, **style)
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        cell.quotePrefix = True
    if isinstance(value, dt.date):
        cell.number_format = "yyyy-mm-dd"
    return cell


def _cover(book: Workbook, content: Mapping[str, Any], stamp: Stamp, footer: str) -> None:
    page = _Pages(book, "Cover", footer, (20, 90))
    project = content["project"]
    page.heading(f"Finish schedule {content['schedule']}: {content['title']}", 18)
    page.heading(str(stamp))
    page.row()
    for label, value in (
        ("Project", f"{project['code']}: {project['name']}"), ("Place", project["place"]), ("As of", content["as_of"]),
        ("Date", stamp.on.isoformat()),
        ("Purpose", stamp.purpose or "draft"), ("By", stamp.by), ("Note", stamp.note), ("Notes", content["notes"]),
    ):  # fmt: skip
        if value:
            page.row(label, value)
    rows = content["rows"]
    none = sum(row["state"] == "no evidence" for row in rows)
    page.row("Rows", f"{len(rows)}, of which {none} without evidence")
    page.row()
    page.row("Marks", "What stands in the column 'Marks' of a row:")
    for mark, meaning in content["marks"].items():
        page.row(mark, meaning)
    page.row()
    page.row(
        "Colours", "Munsell notation and L*a*b* (CIE 1976, D65, 2° observer) name the colour. A swatch on a screen or on paper is no match."
    )
    page.row("This schedule", "It says which finish goes where. How to paint it is a matter of the specification.")


def _cautions(book: Workbook, content: Mapping[str, Any], footer: str) -> None:
    page = _Pages(book, "Cautions", footer, (110,))
    page.heading("Read before any work on the paint")
    for text in content["cautions"]:
        page.row(text)


def _schedule(book: Workbook, content: Mapping[str, Any], footer: str, paper: int) -> None:
    sheet = new_sheet(book, "Schedule")
    for number, column in enumerate(COLUMNS, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = column.width
    set_up_page(sheet, footer, large=True)
    sheet.page_setup.paperSize = paper
    sheet.page_setup.fitToWidth = PAGES_WIDE
    sheet.page_setup.pageOrder = "overThenDown"
    sheet.freeze_panes = "E2"
    sheet.print_title_rows, sheet.print_title_cols = "1:1", REPEATED
    append(sheet, 1, [header_cell(sheet, column.header) for column in COLUMNS], tall=3)
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(COLUMNS))}{len(content['rows']) + 1}"
    for number, row in enumerate(content["rows"], start=2):
        values = values_of(row)
        cells = [_cell(sheet, column, values[column.value], row) for column in COLUMNS]
        tall = max(lines(str(values[column.value] or ""), column.width) for column in COLUMNS)
        append(sheet, number, cells, tall)


def _cell(sheet: Any, column: Column, value: Any, row: Mapping[str, Any]) -> Any:
    if column.value == "swatch":
        return _swatch(sheet, row["srgb"], "?" if row["srgb"] and not row["in_gamut"] else "")
    if value is None:
        return styled(sheet, "", border=_BOX)
    number = isinstance(value, int | float)
    bold = column.value == "finish" and row["state"] == "no evidence"
    cell = _text(sheet, value, font=font(bold=bold), alignment=_RIGHT if number else _TOP, border=_BOX)
    if column.number_format:
        cell.number_format = column.number_format
    return cell


def _swatch(sheet: Any, srgb: str, mark: str) -> Any:
    """A filled cell; a question mark in it says that a screen cannot show the colour."""
    if not srgb:
        return styled(sheet, "", border=_BOX)
    fill = PatternFill("solid", fgColor=f"FF{srgb[1:].upper()}")
    return styled(sheet, mark, fill=fill, border=_BOX, font=font(color=black_or_white(srgb)), alignment=Alignment(horizontal="center"))


def _colours(book: Workbook, content: Mapping[str, Any], footer: str) -> None:
    """Each colour once, with where it goes."""
    page = _Pages(book, "Colours", footer, (14, 12, 12, 9, 9, 9, 12, 16, 70))
    page.header("Munsell", "Swatch", "sRGB", "L* (D65, 2°)", "a*", "b*", "In gamut", "Colour", "Goes to")
    where: dict[str, list[Mapping[str, Any]]] = {}
    for row in content["rows"]:
        if row["munsell"]:
            where.setdefault(row["munsell"], []).append(row)
    for notation in sorted(where):
        first, sheet = where[notation][0], page.sheet
        page.number += 1
        goes = ", ".join(row["element"] for row in where[notation])
        numbers = [put_number(sheet, part) for part in (first["lab"] or (None, None, None))]
        cells = [
            _text(sheet, notation, font=font(bold=True), alignment=_TOP), _swatch(sheet, first["srgb"], ""),
            _text(sheet, first["srgb"], font=font(), alignment=_TOP), *numbers,
            _text(sheet, "yes" if first["in_gamut"] else "no: nearest shown", font=font(), alignment=_TOP),
            _text(sheet, first["colour_word"], font=font(), alignment=_TOP), _text(sheet, goes, font=font(), alignment=_TOP),
        ]  # fmt: skip
        append(sheet, page.number, cells, lines(goes, 70))
    page.row()
    page.row(
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "A printed or screen colour is never a paint match: order by notation, and approve a mock-up on site.",
    )


def put_number(sheet: Any, value: float | None) -> Any:
    """A cell for a number with one digit after the point; None for none."""
    if value is None:
        return None
    cell = put(styled(sheet, "", font=font(), alignment=_RIGHT), value)
    cell.number_format = "0.0"
    return cell


def _evidence(book: Workbook, content: Mapping[str, Any], footer: str) -> None:
    """What each row rests on, and the interpretations in full."""
    page = _Pages(book, "Evidence", footer, (10, 14, 12, 30, 50, 30), large=True)
    page.header("Space", "Element", "Generation", "Samples", "Layers", "Interpretations")
    for row in content["rows"]:
        said = ", ".join(str(number) for number in row["interpretations"])
        generation = f"{row['space']}/{row['generation']}" if row["generation"] else ""
        samples, layers = ", ".join(row["samples"]), ", ".join(row["layers"])
        page.row(row["space"], row["element"], generation, samples or "none", layers or "none", said)
    page.row()
    page.heading("Interpretations")
    for one in content["interpretations"]:
        page.row(str(one["number"]), one["state"], one["certainty"], f"{one['discipline']}, {one['by']}", one["statement"])


def _changes(book: Workbook, changes: Sequence[Mapping[str, Any]], stamp: Stamp, footer: str) -> None:
    page = _Pages(book, "Changes", footer, (10, 16, 20, 45, 45))
    page.header("Space", "Element", "What", "Was", "Is")
    for one in changes:
        page.row(one["space"], one["element"], one["what"], one["before"] or "–", one["after"] or "–")
    if not changes:
        page.row(
            "",
            "",
            "",
            "Nothing changed since the last issue." if stamp.revision not in ("", "A") else "There is no earlier issue to compare with.",
        )
