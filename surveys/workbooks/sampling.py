"""A sampling plan as a workbook: its sheet of samples is the one that an import reads, with what is wanted filled in."""

import datetime as dt
from collections.abc import Sequence
from typing import IO, Any, Final

from openpyxl import Workbook
from openpyxl.styles import Alignment

from surveys.workbooks import layout
from surveys.workbooks.writing import A4, append, finish_register, font, lines, new_sheet, register_sheet, save, styled

# A column wider than the paper is cut off by some programs rather than made smaller, whatever typeface they have.
TEXT_WIDTH: Final = 74
SAMPLES: Final = next(sheet for sheet in layout.SHEETS if sheet.title == "Samples")
HOW: Final = (
    "Write a number in the first column of each sample that was taken, and fill in the rest. Delete the lines that were not used.",
    "The sheet can then be imported as it is: it is the register of samples.",
)


def plan_workbook(title: str, rows: Sequence[dict[str, Any]], cautions: Sequence[str], stream: IO[bytes], *, on: dt.date) -> None:
    """Write the workbook; `rows` are samples by the field names of the register, in the order of the plan."""
    book = Workbook(write_only=True)
    _read_me(book, title, cautions)
    sheet, columns = register_sheet(book, SAMPLES, f"{title}, sampling plan")
    for number, row in enumerate(rows, start=2):
        cells = [column.cell(row.get(told.field) or None) for column, told in zip(columns, SAMPLES.written, strict=True)]
        tall = max(column.lines(row.get(told.field) or "") for column, told in zip(columns, SAMPLES.written, strict=True))
        append(sheet, number, cells, tall)
    finish_register(sheet, SAMPLES, len(rows))
    save(book, stream, on, title=f"{title}, sampling plan", creator="Undercoat")


def _read_me(book: Workbook, title: str, cautions: Sequence[str]) -> None:
    sheet = new_sheet(book, layout.READ_ME)
    sheet.column_dimensions["A"].width = TEXT_WIDTH
    sheet.page_setup.paperSize, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = A4, 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    told = [(f"{title}: sampling plan", 16, True), *((text, 11, False) for text in HOW), ("Cautions", 11, True)]
    told += [(text, 11, False) for text in cautions]
    for number, (text, size, bold) in enumerate(told, start=1):
        cell = styled(sheet, text, font=font(bold=bold, size=size), alignment=Alignment(vertical="top", wrap_text=True))
        append(sheet, number, [cell], max(lines(text, TEXT_WIDTH), 1 + (size > 11)))
