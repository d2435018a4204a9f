"""Hostile and broken files: each refused in a sentence, quickly, with nothing changed."""

import io
import zipfile

import pytest
from django.test import override_settings

from surveys import workbooks
from surveys.errors import DomainError, Forbidden, Invalid, NotFound, TooLarge
from surveys.models import Change, Space
from surveys.workbooks import guard, reading
from tests.surveys.workbooks import books

LAUGHS = '<!DOCTYPE x [<!ENTITY a "ha">' + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9)) + "]>"
EXTERNAL = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
ROWS_START = books.SHEET.split("{rows}")[0].replace("{head}", "").encode()
SHEET_END = b"</sheetData></worksheet>"
SHEET_1 = "xl/worksheets/sheet1.xml"


def flagged(content: bytes) -> bytes:
    """The zip with the flag of encryption on its first part (bit 0 of the general purpose flags, in both headers)."""
    data = bytearray(content)
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    return bytes(data)


def ole(name: str) -> bytes:
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + name.encode("utf-16-le") + b"\0" * 600


def twice() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, body in books.parts().items():
            archive.writestr(name, body)
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("xl/styles.xml", "<a/>")
    return out.getvalue()


HOSTILE = {
    "billion laughs in the sheet": (lambda: books.packed(books.parts(head=LAUGHS)), Invalid, "entities"),
    "billion laughs in the texts": (lambda: books.packed(books.parts() | {"xl/sharedStrings.xml": LAUGHS + "<sst/>"}), Invalid, "entities"),
    "an external entity": (lambda: books.packed(books.parts(head=EXTERNAL)), Invalid, "entities"),
    "a sheet in UTF-16": (
        lambda: books.packed(books.parts() | {SHEET_1: books.SHEET.format(head="", rows=books.HEADER).encode("utf-16")}),
        Invalid,
        "UTF-8",
    ),
    "a sheet in UTF-7": (
        lambda: books.packed(books.parts() | {SHEET_1: '<?xml version="1.0" encoding="utf-7"?><worksheet/>'}),
        Invalid,
        "UTF-8",
    ),
    "zeros without end": (lambda: books.poured("xl/media/a.bin", b"", b"\0" * 2**20, 60, b""), TooLarge, "limit of 250 to 1"),
    "one gigantic cell": (
        lambda: books.poured(
            SHEET_1,
            ROWS_START + b'<row><c t="inlineStr"><is><t>',
            b"qwertzuiopasdfghjklyxcvbnm" * 40_000,
            3,
            b"</t></is></c></row>" + SHEET_END,
        ),
        TooLarge,
        "32,767 characters",
    ),
    "more rows than the limit": (
        lambda: books.poured(SHEET_1, ROWS_START, b"<row/>" * 1_000, 300, SHEET_END),
        TooLarge,
        "limit of 200,000 rows",
    ),
    "more rows than the limit, by another prefix": (
        lambda: books.poured(
            SHEET_1,
            b'<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><x:sheetData>',
            b"<x:row/>" * 1_000,
            300,
            b"</x:sheetData></x:worksheet>",
        ),
        TooLarge,
        "limit of 200,000 rows",
    ),
    "a far cell": (
        lambda: books.packed(books.parts(rows=books.HEADER + f'<row r="1048576">{books.text_cell("XFD1048576", "x")}</row>')),
        TooLarge,
        "limit of 200,000 rows and 500 columns",
    ),
    "a cell too far to the right": (
        lambda: books.packed(books.parts(rows=books.HEADER + f'<row r="2">{books.text_cell("SG2", "x")}</row>')),
        TooLarge,
        "500 columns",
    ),
    "a row too far down": (
        lambda: books.packed(books.parts(rows=books.HEADER + f'<row r="200001">{books.text_cell("A200001", "x")}</row>')),
        TooLarge,
        "200,000 rows",
    ),
    "a password": (lambda: ole("EncryptedPackage"), Invalid, "locked with a password"),
    "a zip with a password": (lambda: flagged(books.packed(books.parts())), Invalid, "locked with a password"),
    "an old .xls": (lambda: ole("Workbook"), Invalid, "old .xls"),
    "macros": (lambda: books.packed(books.parts() | {"xl/vbaProject.bin": b"x"}), Invalid, "macros"),
    "macro sheets": (lambda: books.packed(books.parts() | {"xl/macrosheets/sheet1.xml": "<a/>"}), Invalid, "macros"),
    "a workbook for macros": (
        lambda: books.packed(
            books.parts()
            | {
                "[Content_Types].xml": books.CONTENT_TYPES.replace(
                    "officedocument.spreadsheetml.sheet.main", "ms-excel.sheet.macroEnabled.main"
                )
            }
        ),
        Invalid,
        "macros",
    ),
    "a part twice": (twice, Invalid, "two parts of one name"),
    "parts without number": (lambda: books.packed(books.parts() | {f"a{n}": "" for n in range(2_100)}), TooLarge, "limit of 2,000 parts"),
    "cut off": (lambda: books.packed(books.parts())[:-200], Invalid, "damaged"),
    "bytes turned over inside": (lambda: garbled(books.packed(books.parts())), Invalid, "damaged"),
    "an .ods": (
        lambda: books.packed({"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<a/>"}),
        Invalid,
        ".ods",
    ),
    "an .xlsb": (lambda: books.packed({"xl/workbook.bin": b"x"}), Invalid, ".xlsb"),
    "another zip": (lambda: books.packed({"readme.txt": "x"}), Invalid, "holds no workbook"),
    "a web page": (lambda: b"<html><table><tr><td>Space</td></tr></table></html>", Invalid, "web page"),
    "plain text": (lambda: b"Space,Name\n101,Hall\n", Invalid, "not an .xlsx workbook"),
    "a PDF": (lambda: b"%PDF-1.7 ...", Invalid, "PDF"),
    "nothing": (lambda: b"", Invalid, "empty"),
    "no XML": (lambda: books.packed(books.parts() | {SHEET_1: "<worksheet><sheetData><row>"}), Invalid, "cannot be read"),
    "no known sheet": (lambda: books.book({"Sheet1": [["a"]]}), Invalid, "none of the sheets"),
}


def garbled(content: bytes) -> bytes:
    data = bytearray(content)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        offset = archive.getinfo(SHEET_1).header_offset
    start = offset + 30 + len(SHEET_1) + 20
    data[start : start + 60] = bytes(255 - byte for byte in data[start : start + 60])
    return bytes(data)


def test_the_workbook_that_the_hostile_ones_are_made_from_is_read():
    made = reading.read("a.xlsx", books.packed(books.parts(rows=books.HEADER + f'<row r="2">{books.text_cell("A2", "101")}</row>')))
    assert [row.cells for row in made.sheets["Spaces"].rows] == [{"Space": "101"}]


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_or_broken_file_is_refused_in_a_sentence_that_names_it(case, cast, project):
    make, kind, says = HOSTILE[case]
    content, before = make(), Change.objects.count()
    with pytest.raises(DomainError) as refusal:
        workbooks.load(cast.conservator, project, "survey.xlsx", content)
    assert isinstance(refusal.value, kind)
    assert says in refusal.value.detail
    assert refusal.value.detail.startswith("survey.xlsx")
    assert refusal.value.detail.endswith((".", "?"))
    assert (Space.objects.count(), Change.objects.count()) == (0, before)


@override_settings(UPLOAD_MAX_BYTES=1_000)
def test_a_file_over_the_limit_of_an_upload_is_refused_before_it_is_looked_at():
    with pytest.raises(TooLarge, match=r"over the limit of 0 MiB for an upload"):
        guard.kind_of("a.xlsx", b"PK" + b"x" * 1_000)


def test_what_unpacks_to_more_than_the_limit_is_refused_by_what_its_directory_says(monkeypatch):
    monkeypatch.setattr(guard, "UNPACKED", 1_000)
    with pytest.raises(TooLarge, match="limit of 0 MiB unpacked"):
        guard.check_workbook("a.xlsx", books.packed(books.parts()))


def test_cells_and_texts_are_counted_across_chunks(monkeypatch):
    monkeypatch.setattr(guard, "CHUNK", 700)
    monkeypatch.setattr(guard, "ROWS", 1_000)
    rows = "".join(f'<row r="{n}"><c r="A{n}" t="s"><v>0</v></c></row>' for n in range(1, 1_001))
    guard.check_workbook("a.xlsx", books.packed(books.parts(rows=rows)))
    with pytest.raises(TooLarge, match="1,000 rows"):
        guard.check_workbook("a.xlsx", books.packed(books.parts(rows=rows + "<row/>")))
    monkeypatch.setattr(guard, "CELLS", 999)
    with pytest.raises(TooLarge, match="999 cells"):
        guard.check_workbook("a.xlsx", books.packed(books.parts(rows=rows)))


def test_the_reading_process_is_ended_when_it_takes_too_much(monkeypatch, tmp_path):
    hungry = tmp_path / "child.py"
    hungry.write_text("import resource\nresource.setrlimit(resource.RLIMIT_AS, (2**28, 2**28))\nx = bytearray(2**30)\n")
    hungry.write_text(hungry.read_text().replace("x = ", "import sys\ntry:\n    x = ") + "except MemoryError:\n    sys.exit(4)\n")
    monkeypatch.setattr(reading, "CHILD", hungry)
    with pytest.raises(TooLarge, match="more memory or time"):
        reading.read("a.xlsx", books.packed(books.parts()))


def test_a_reading_process_that_is_killed_takes_nobody_along(monkeypatch, tmp_path):
    killed = tmp_path / "child.py"
    killed.write_text("import os, signal\nos.kill(os.getpid(), signal.SIGABRT)\n")
    monkeypatch.setattr(reading, "CHILD", killed)
    with pytest.raises(TooLarge, match="more memory or time"):
        reading.read("a.xlsx", books.packed(books.parts()))


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"Space,Name\n101,a\0b\n", "NUL"),
        ("Space,Name\n101,Hall\n".encode("utf-16"), "UTF-16"),
        (b"Space,Name\n101,\x81\x8d\xff\n", "neither UTF-8 nor Windows-1252"),
        (b'Space,Name\n101,"open\n', "quotation mark"),
        (b"Space,Name" + b"," * 600 + b"\n101\n", "500 columns"),
        (b"Space,Name\n" + b"," * 30_000 + b"\n", "500 columns"),
        (b"one,two\n1,2\n", "not clear which sheet"),
    ],
)
def test_a_bad_csv_is_refused_in_a_sentence(content, says):
    with pytest.raises(DomainError, match=says):
        reading.read("spaces.csv", content)


def test_csv_over_the_limit_of_rows_is_refused(monkeypatch):
    monkeypatch.setattr(guard, "ROWS", 10)
    with pytest.raises(TooLarge, match="limit of 10 rows"):
        reading.read("spaces.csv", b"Space,Name\n" + b"1,a\n" * 20)


def test_an_owner_may_not_import_and_a_stranger_finds_no_project(cast, project):
    content = books.book({"Spaces": [["Space"], ["101"]]})
    for deed in (workbooks.check, workbooks.load):
        with pytest.raises(Forbidden):
            deed(cast.owner, project, "a.xlsx", content)
        with pytest.raises(NotFound):
            deed(cast.contractor, project, "a.xlsx", content)
        with pytest.raises(NotFound):
            deed(cast.stranger, project, "a.xlsx", content)


def test_workbooks_are_read_by_the_guarded_parsers_though_lxml_is_installed():
    from openpyxl import xml

    assert (xml.LXML, xml.DEFUSEDXML) == (False, True)
