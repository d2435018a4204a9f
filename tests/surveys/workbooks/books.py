"""Workbooks for tests: made from plain rows with the bare library, or put together part by part where they are to be hostile."""

import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from openpyxl import Workbook

from surveys.workbooks import layout

CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
    '<Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/>'
    '<Override PartName="/xl/sharedStrings.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>'
)
RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" '
    'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>'
)
WORKBOOK = (
    '<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Spaces" sheetId="1" r:id="rId1"/>'
    "</sheets></workbook>"
)
WORKBOOK_RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" '
    'Target="worksheets/sheet1.xml"/><Relationship Id="rId2" '
    'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/>'
    '<Relationship Id="rId3" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles" Target="styles.xml"/>'
    "</Relationships>"
)
STYLES = (
    '<?xml version="1.0"?><styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><fonts count="1"><font/></fonts>'
    '<fills count="1"><fill><patternFill/></fill></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
    '<cellXfs count="1"><xf/></cellXfs></styleSheet>'
)
STRINGS = '<?xml version="1.0"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"></sst>'
SHEET = '<?xml version="1.0"?>{head}<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>'


def text_cell(place: str, text: str) -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


HEADER = f'<row r="1">{text_cell("A1", "Space")}{text_cell("B1", "Name")}</row>'


def parts(rows: str = HEADER, head: str = "", **other: str | bytes) -> dict[str, str | bytes]:
    """The parts of a workbook of one sheet, Spaces; `other` replaces or adds parts ('xl__styles' for xl/styles.xml is not needed here)."""
    made: dict[str, str | bytes] = {
        "[Content_Types].xml": CONTENT_TYPES,
        "_rels/.rels": RELATIONS,
        "xl/workbook.xml": WORKBOOK,
        "xl/_rels/workbook.xml.rels": WORKBOOK_RELATIONS,
        "xl/styles.xml": STYLES,
        "xl/sharedStrings.xml": STRINGS,
        "xl/worksheets/sheet1.xml": SHEET.format(head=head, rows=rows),
    }
    return made | other


def packed(content: Mapping[str, str | bytes] | Iterable[tuple[str, str | bytes]]) -> bytes:
    """Parts as a zip."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, body in content.items() if isinstance(content, Mapping) else content:
            archive.writestr(name, body)
    return out.getvalue()


def poured(name: str, start: bytes, piece: bytes, times: int, end: bytes) -> bytes:
    """A workbook one of whose parts is a piece many times over, written without holding it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for other, body in parts().items():
            if other != name:
                archive.writestr(other, body)
        with archive.open(name, "w", force_zip64=True) as stream:
            stream.write(start)
            for _ in range(times):
                stream.write(piece)
            stream.write(end)
    return out.getvalue()


def book(sheets: Mapping[str, Sequence[Sequence[Any]]]) -> bytes:
    """A workbook from rows, the header first; '*' as header means all columns of the layout."""
    made = Workbook()
    made.remove(made.worksheets[0])
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(list(row))
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def headers(title: str) -> list[str]:
    """All headers of a sheet."""
    return [column.header for column in layout.BY_TITLE[title].written]
