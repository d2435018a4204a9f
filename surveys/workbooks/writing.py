"""Writing .xlsx cells and files: text that stays text, one look for all sheets, the same bytes for the same record and date."""

import datetime as dt
import math
import re
import shutil
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import IO, Any, Final

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._write_only import WriteOnlyWorksheet
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.writer.excel import ExcelWriter

from surveys.workbooks import layout
from surveys.workbooks.reading import FORMULA_STARTS

DATE_FORMAT: Final = "yyyy-mm-dd"
AS_TEXT: Final = "@"
# Columns that a spreadsheet would make numbers or dates of, if it were not told that they are text.
KEPT_AS_TEXT: Final = (layout.NAME, layout.LAYER_NAME, layout.BEARS_ON)
ALIGNED: Final = {layout.NUMBER: "right", layout.WHOLE: "center", layout.YEAR: "center", layout.GENERATION: "center"}
WRAPS_FROM: Final = 16
HEADER_FILL: Final = PatternFill("solid", fgColor="FFE7E2D8")
RULE: Final = Side(style="thin", color="FF8A8378")
SPARE_ROWS: Final = 500
# A row's height in points for each line of text, and what letters take of a column's width (a digit of the default font is 1).
LINE: Final = 15.0
LETTER: Final = 0.9
TALLEST: Final = 400.0
# Paper sizes as OOXML numbers them (ECMA-376 part 1, 18.3.1.63).
A3, A4 = 8, 9
_NOT_IN_XML = re.compile("_(?=x[0-9A-Fa-f]{4}_)|[\r\ufffe\uffff]")


def encode(text: str) -> str:
    """A text as OOXML keeps it: what XML would lose, and what looks like such an escape, is escaped (ECMA-376 part 1, 22.9.2.19)."""
    return _NOT_IN_XML.sub(lambda found: f"_x{ord(found.group()):04X}_", text)


def font(**style: Any) -> Font:
    """The one typeface, so that no reader falls back to another for headings."""
    return Font(name="Calibri", family=2, **{"size": 11, **style})


def lines(text: str, width: float) -> int:
    """How many lines a text takes when it is wrapped to a column of that width; an estimate, a little generous."""
    if len(text) * LETTER <= width and "\n" not in text:
        return 1
    return sum(max(1, math.ceil(len(part) * LETTER / (width - 1))) for part in text.split("\n"))


def append(sheet: Any, number: int, row: Sequence[Any], tall: int = 1, line: float = LINE) -> None:
    """Append a row, with a height for so many lines if it needs one: not every reader finds it by itself."""
    if tall > 1:
        sheet.row_dimensions[number].height = min(tall * line + 2, TALLEST)
    sheet.append(row)
    sheet.row_dimensions.pop(number, None)


def put(cell: Any, value: Any) -> Any:
    """Set a prepared cell to a value, by its type and nothing else: a text is never taken for a formula, an error or a number."""
    if isinstance(value, str):
        cell._value, cell.data_type = encode(value), "s"
    elif isinstance(value, dt.date):
        cell._value, cell.data_type = value, "d"
    else:
        cell._value, cell.data_type = value, "n"
    return cell


class Column:
    """The prepared cells of one column, filled anew for each row: plain, and marked as text that begins like a formula."""

    def __init__(self, sheet: Any, column: layout.Column) -> None:
        self.width = column.width
        self.wraps = column.width >= WRAPS_FROM
        self.plain = WriteOnlyCell(sheet)
        self.marked = WriteOnlyCell(sheet)
        for cell in (self.plain, self.marked):
            cell.font = font()
            cell.alignment = Alignment(
                vertical="top", wrap_text=self.wraps, horizontal=ALIGNED.get(column.reads), indent=column.reads == layout.NUMBER
            )
            if column.reads in (layout.DATE, layout.EXAMINED):
                cell.number_format = DATE_FORMAT
            elif column.reads in KEPT_AS_TEXT:
                cell.number_format = AS_TEXT
        self.marked.quotePrefix = True

    def lines(self, value: Any) -> int:
        """How many lines a value takes."""
        return lines(value, self.width) if self.wraps and isinstance(value, str) else 1

    def cell(self, value: Any) -> Any:
        """The cell for a value, or None for a blank one."""
        if value is None:
            return None
        return put(self.marked if isinstance(value, str) and value.startswith(FORMULA_STARTS) else self.plain, value)


def styled(sheet: Any, value: Any, **style: Any) -> Any:
    """A cell of its own with a style."""
    cell = WriteOnlyCell(sheet)
    for name, part in style.items():
        setattr(cell, name, part)
    return put(cell, value)


class _Sheet(WriteOnlyWorksheet):
    """A sheet to whose rows only cells are given, so that none is tried as a bare value first (which takes longer than to write it)."""

    def _values_to_row(self, values: Any, row_idx: int) -> Iterator[Any]:
        for column, cell in enumerate(values, start=1):
            if cell is not None:
                cell.column, cell.row = column, row_idx
                yield cell


def new_sheet(book: Any, title: str) -> Any:
    """A sheet of the workbook, to be written row by row."""
    sheet: Any = _Sheet(book, title)
    book._add_sheet(sheet)
    return sheet


def register_sheet(book: Workbook, register: layout.Sheet, footer: str) -> tuple[Any, list[Column]]:
    """A sheet for a register with its header row, ready for rows."""
    sheet = new_sheet(book, register.title)
    columns = register.written
    for number, column in enumerate(columns, start=1):
        dimension = sheet.column_dimensions[get_column_letter(number)]
        dimension.width = column.width
        if column.reads in KEPT_AS_TEXT:
            dimension.number_format = AS_TEXT
    set_up_page(sheet, footer, large=len(columns) > 12)
    sheet.freeze_panes = "C2" if register.title == "Layers" else "B2"
    sheet.print_title_rows = "1:1"
    append(sheet, 1, [header_cell(sheet, column.header) for column in columns], tall=2)
    return sheet, [Column(sheet, column) for column in columns]


def header_cell(sheet: Any, text: str) -> Any:
    """A cell of a header row."""
    return styled(
        sheet,
        text,
        font=font(bold=True),
        fill=HEADER_FILL,
        border=Border(bottom=RULE),
        alignment=Alignment(vertical="center", wrap_text=True),
    )


def finish_register(sheet: Any, register: layout.Sheet, rows: int) -> None:
    """Filters over all rows, and the closed lists offered in their columns."""
    columns = register.written
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(columns))}{rows + 1}"
    for number, column in enumerate(columns, start=1):
        words = ",".join(layout.words_of(register, column))
        if words and len(words) <= 253:
            letter = get_column_letter(number)
            offered = DataValidation(type="list", formula1=f'"{words}"', allow_blank=True, errorStyle="warning", showErrorMessage=False)
            offered.add(f"{letter}2:{letter}{rows + 1 + SPARE_ROWS}")
            sheet.data_validations.append(offered)


def set_up_page(sheet: Any, footer: str, *, large: bool = False) -> None:
    """Landscape, as wide as the page, with the sheet's name and the page's number at the foot."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = A3 if large else A4
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top, sheet.page_margins.bottom = 0.5, 0.7
    sheet.oddFooter.left.text = footer.replace("&", "&&")[:150]
    sheet.oddFooter.center.text = "&A"
    sheet.oddFooter.right.text = "Page &P of &N"
    for part in (sheet.oddFooter.left, sheet.oddFooter.center, sheet.oddFooter.right):
        part.size = 8


class _Stamped(zipfile.ZipFile):
    """A zip whose parts all bear one date, so that the same record gives the same bytes."""

    def __init__(self, stream: IO[bytes], on: dt.date) -> None:
        super().__init__(stream, "w", zipfile.ZIP_DEFLATED, allowZip64=True)
        self._moment = (max(on.year, 1980), on.month, on.day, 0, 0, 0)

    def _info(self, name: str) -> zipfile.ZipInfo:
        info = zipfile.ZipInfo(name, self._moment)
        info.compress_type = zipfile.ZIP_DEFLATED
        info.external_attr = 0o644 << 16
        info.create_system = 3
        return info

    def writestr(self, zinfo_or_arcname: Any, data: Any, compress_type: Any = None, compresslevel: Any = None) -> None:
        super().writestr(self._info(str(zinfo_or_arcname)), data, compress_type, compresslevel)

    def write(self, filename: Any, arcname: Any = None, compress_type: Any = None, compresslevel: Any = None) -> None:
        with Path(filename).open("rb") as source, self.open(self._info(str(arcname)), "w", force_zip64=True) as target:
            shutil.copyfileobj(source, target, 1 << 20)


def save(book: Workbook, stream: IO[bytes], on: dt.date, *, title: str, creator: str) -> None:
    """Write the workbook to a stream, its clock set to that date."""
    moment = dt.datetime(on.year, on.month, on.day)  # noqa: DTZ001 - OOXML keeps no zone
    book.properties.title, book.properties.creator = _printable(title), _printable(creator)
    book.properties.created = book.properties.modified = moment
    with _Stamped(stream, on) as archive:
        ExcelWriter(book, archive).write_data()


def _printable(text: str) -> str:
    return "".join(char for char in text if char.isprintable())[:200]


def safe_title(wanted: str, taken: Sequence[str]) -> str:
    """A sheet's title of at most 31 characters without those that titles may not have, unlike all taken ones."""
    base = re.sub(r"[\[\]:*?/\\\x00-\x1f\ufffe\uffff]", "-", wanted).strip("' ")[:31].rstrip("' ")
    used = {title.casefold() for title in taken}
    title, number = base, 2
    while title.casefold() in used:
        tail = f" ({number})"
        title, number = base[: 31 - len(tail)] + tail, number + 1
    return title
