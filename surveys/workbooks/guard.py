"""What is looked at before any parser sees a file that was brought: kind, size, and what it would unpack to.

Every refusal is a sentence that names the file and the limit. The bytes are streamed and counted, never held.
"""

import io
import re
import zipfile
from collections.abc import Callable
from typing import IO, Final, NoReturn

from django.conf import settings

from surveys.errors import Invalid, TooLarge

MIB: Final = 1024 * 1024
UNPACKED: Final = 500 * MIB
PARTS: Final = 2_000
RATIO: Final = 250
RATIO_FROM: Final = 4 * MIB
ROWS: Final = 200_000
COLUMNS: Final = 500
CELLS: Final = 10_000_000
STRINGS: Final = 4_000_000
CHUNK: Final = MIB
# Tags and cell names are shorter than this, so two neighbouring chunks that share it miss none.
OVERLAP: Final = 256

XLSX, CSV = "xlsx", "csv"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_PICTURES = (".png", ".jpg", ".jpeg", ".gif", ".bmp", ".tif", ".tiff", ".emf", ".wmf", ".svg", ".bin", ".wdp")
_DECLARED = re.compile(rb"<\?xml[^>]{0,200}encoding\s{0,20}=\s{0,20}[\"']([^\"']{1,40})[\"']")
_ROW = re.compile(rb"<(?:\w{1,40}:)?row[\s/>]")
_CELL = re.compile(rb"<(?:\w{1,40}:)?c[\s/>]")
_STRING = re.compile(rb"<(?:\w{1,40}:)?si[\s/>]")
_SHEET = re.compile(rb"<(?:\w{1,40}:)?worksheet[\s/>]")
# Places that may be past the limits: six figures or more, or columns from S.. on.
_PLACE = re.compile(rb"\sr\s{0,9}=\s{0,9}[\"'](?:([A-Za-z]{0,9})(\d{6,12})|([S-Zs-z][A-Za-z]|[A-Za-z]{3,9})(\d{1,12}))[\"']")

Progress = Callable[[int, int, str], object]


def kind_of(name: str, content: bytes) -> str:
    """XLSX or CSV; whatever else is refused in a sentence. Nothing is unpacked yet."""
    limit = settings.UPLOAD_MAX_BYTES
    if len(content) > limit:
        raise TooLarge(
            f"{name} is {len(content) / MIB:,.0f} MiB large, over the limit of {limit // MIB} MiB for an upload. Bring it in parts."
        )
    if not content.strip():
        raise Invalid(f"{name} is empty. Save it again and bring that.", code="empty")
    if content.startswith(_OLE):
        _refuse_ole(name, content)
    if content.startswith(b"PK"):
        return XLSX
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise Invalid(f"{name} is text in UTF-16. Save it as 'CSV UTF-8', or as an .xlsx workbook.", code="wrong-type")
    if b"\0" in content:
        raise Invalid(
            f"{name} is neither an .xlsx workbook nor a CSV text (it holds NUL characters). Save it as .xlsx and bring that.",
            code="wrong-type",
        )
    if re.match(rb"\s*(\xef\xbb\xbf)?\s*<", content[:200]):
        raise Invalid(
            f"{name} is a web page or an XML text, whatever its name says. Open it, save it as .xlsx, and bring that.", code="wrong-type"
        )
    if content.startswith(b"%PDF"):
        raise Invalid(f"{name} is a PDF. Bring the workbook that it was made from, as .xlsx.", code="wrong-type")
    if not name.casefold().endswith((".csv", ".txt", ".tsv", ".tab")):
        raise Invalid(
            f"{name} is not an .xlsx workbook, and its name does not end in .csv. "
            "If it is a CSV text, name it so; otherwise save it as .xlsx.",
            code="wrong-type",
        )
    return CSV


def _refuse_ole(name: str, content: bytes) -> NoReturn:
    if "EncryptedPackage".encode("utf-16-le") in content:
        raise Invalid(
            f"{name}: this workbook is locked with a password, so it cannot be read. Save it without the password and bring that.",
            code="locked",
        )
    raise Invalid(f"{name} is a workbook of the old .xls kind. Save it as .xlsx and bring that.", code="wrong-type")


def check_workbook(name: str, content: bytes, progress: Progress | None = None) -> None:
    """Refuse a workbook that is no workbook, holds macros or entities, or unpacks to more than the limits."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            _check_directory(name, parts)
            _Scan(name, archive, progress).run(parts)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, OSError, ValueError, NotImplementedError, RuntimeError) as error:
        raise Invalid(
            f"{name} is damaged and cannot be unpacked. Open it, save it again as .xlsx, and bring that.", code="damaged"
        ) from error
    except Exception as error:
        # zlib.error is no subclass of the above, and other decompressors raise their own.
        if type(error).__name__ != "error":
            raise
        raise Invalid(
            f"{name} is damaged and cannot be unpacked. Open it, save it again as .xlsx, and bring that.", code="damaged"
        ) from error


def _check_directory(name: str, parts: list[zipfile.ZipInfo]) -> None:
    """What the list of parts says, before one of them is unpacked."""
    names = [part.filename.casefold().lstrip("/") for part in parts]
    if any(part.flag_bits & 0x1 for part in parts):
        raise Invalid(
            f"{name}: this workbook is locked with a password, so it cannot be read. Save it without and bring that.", code="locked"
        )
    if len(parts) > PARTS:
        raise TooLarge(f"{name} has {len(parts):,} parts inside, over the limit of {PARTS:,} parts. It is no ordinary workbook.")
    if len(set(names)) < len(names):
        raise Invalid(
            f"{name} holds two parts of one name, so it is not clear which counts. Open it and save it again as .xlsx.", code="damaged"
        )
    if any("vbaproject" in one or "/macrosheets/" in one or "/dialogsheets/" in one for one in names):
        raise Invalid(
            f"{name} holds macros, and files with macros are not taken. Save it as .xlsx, which has none, and bring that.", code="macros"
        )
    if "xl/workbook.xml" not in names:
        _refuse_other(name, names)
    if any(part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for part in parts):
        raise Invalid(f"{name} is packed in a way that no workbook is. Open it, save it again as .xlsx, and bring that.", code="damaged")
    _refuse_unpacked(name, sum(part.file_size for part in parts))
    for part in parts:
        if part.file_size > RATIO_FROM and part.file_size > RATIO * max(1, part.compress_size):
            raise TooLarge(
                f"{name} unpacks to more than {RATIO} times its size in {part.filename}, over the limit of {RATIO} to 1. "
                "It is no ordinary workbook."
            )


def _refuse_other(name: str, names: list[str]) -> NoReturn:
    if "xl/workbook.bin" in names:
        raise Invalid(f"{name} is a binary workbook (.xlsb). Save it as .xlsx and bring that.", code="wrong-type")
    if "content.xml" in names or "mimetype" in names:
        raise Invalid(f"{name} is an OpenDocument file (.ods). Save it as .xlsx and bring that.", code="wrong-type")
    raise Invalid(f"{name} is a packed file, but holds no workbook. Bring an .xlsx workbook or a CSV text.", code="wrong-type")


def _refuse_unpacked(name: str, size: int) -> None:
    if size > UNPACKED:
        raise TooLarge(f"{name} would unpack to more than the limit of {UNPACKED // MIB} MiB unpacked. Bring it in parts.")


class _Scan:
    """One pass over all that a workbook unpacks to, counting as it goes."""

    def __init__(self, name: str, archive: zipfile.ZipFile, progress: Progress | None) -> None:
        self.name = name
        self.archive = archive
        self.progress = progress
        self.size = self.cells = self.strings = 0

    def run(self, parts: list[zipfile.ZipInfo]) -> None:
        """Stream every part."""
        total = sum(part.file_size for part in parts)
        for part in parts:
            with self.archive.open(part) as stream:
                self._part(part.filename, stream, total)

    def _part(self, part: str, stream: IO[bytes], total: int) -> None:
        picture = part.casefold().endswith(_PICTURES)
        tail, rows, sheet = b"", 0, False
        while chunk := stream.read(CHUNK):
            self.size += len(chunk)
            _refuse_unpacked(self.name, self.size)
            if self.progress:
                self.progress(self.size, total, "Looking at the file")
            if picture:
                continue
            if not tail:
                self._check_start(part, chunk)
            seen = tail + chunk
            self._check_text(part, seen, long=len(chunk) == CHUNK and b"<" not in chunk)
            sheet = sheet or bool(_SHEET.search(seen))
            if sheet:
                rows += len(_ROW.findall(seen)) - len(_ROW.findall(tail))
                self._check_sheet(seen, tail, rows)
            self._check_strings(seen, tail)
            tail = seen[-OVERLAP:]

    def _check_start(self, part: str, chunk: bytes) -> None:
        declared = _DECLARED.match(chunk.removeprefix(b"\xef\xbb\xbf"))
        odd = declared and declared.group(1).lower() not in (b"utf-8", b"utf8", b"us-ascii", b"ascii")
        if odd or chunk[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in chunk[:200]:
            raise Invalid(f"{self.name}: its part {part} is not in UTF-8. Open it, save it again as .xlsx, and bring that.", code="damaged")

    def _check_text(self, part: str, seen: bytes, *, long: bool) -> None:
        if b"<!DOCTYPE" in seen or b"<!ENTITY" in seen:
            raise Invalid(
                f"{self.name} declares entities of its own (a DOCTYPE), which no spreadsheet writes and which is not taken.",
                code="entities",
            )
        if part.casefold() == "[content_types].xml" and b"macroEnabled" in seen:
            raise Invalid(
                f"{self.name} is a workbook for macros, and files with macros are not taken. Save it as .xlsx, which has none.",
                code="macros",
            )
        if long:
            raise TooLarge(
                f"{self.name} has a text of more than {CHUNK // MIB} MiB in one cell, over the limit of 32,767 characters a cell."
            )

    def _check_sheet(self, seen: bytes, tail: bytes, rows: int) -> None:
        self.cells += len(_CELL.findall(seen)) - len(_CELL.findall(tail))
        if rows > ROWS:
            raise TooLarge(f"{self.name} has a sheet of more than {ROWS:,} rows, over the limit of {ROWS:,} rows. Bring it in parts.")
        if self.cells > CELLS:
            raise TooLarge(f"{self.name} has more than {CELLS:,} cells, over the limit of {CELLS:,} cells. Bring it in parts.")
        for found in _PLACE.finditer(seen):
            letters, row = (found.group(1), found.group(2)) if found.group(2) else (found.group(3), found.group(4))
            if int(row) > ROWS or column_number(letters.decode()) > COLUMNS:
                raise TooLarge(
                    f"{self.name} has something in {letters.decode()}{int(row)}, over the limit of {ROWS:,} rows and {COLUMNS} columns. "
                    "Clear what lies outside the list, save it again, and bring that."
                )

    def _check_strings(self, seen: bytes, tail: bytes) -> None:
        self.strings += len(_STRING.findall(seen)) - len(_STRING.findall(tail))
        if self.strings > STRINGS:
            raise TooLarge(f"{self.name} has more than {STRINGS:,} texts, over the limit of {STRINGS:,} texts. Bring it in parts.")


def column_number(letters: str) -> int:
    """1 for A, 27 for AA."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number
