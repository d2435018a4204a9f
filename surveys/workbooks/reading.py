"""From a file that was brought to rows by sheet and column: whatever the file is, what comes out is a Book."""

import contextlib
import csv
import datetime as dt
import io
import json
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import orjson

from surveys.errors import Invalid, TooLarge
from surveys.workbooks import cells, guard, layout

Progress = Callable[[int, int, str], object]
CHILD: Final = Path(__file__).with_name("child.py")
RECOGNISED_FROM: Final = 2
# A text in one cell may hold many commas; more than this in a line are columns.
LONGEST_LINE: Final = 25_000
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")


def no_progress(done: int, total: int, now: str = "") -> None:
    """Report to nobody."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A fault or notice: sheet, row and column as the person sees them, a code, a sentence, and the value at fault."""

    sheet: str
    row: int | None
    column: str
    code: str
    detail: str
    value: str = ""


@dataclass(slots=True)
class Row:
    """One row that holds anything: its number in the file, and its cells by the header of their column."""

    number: int
    cells: dict[str, Any]


@dataclass(slots=True)
class Rows:
    """One sheet as read: which columns it has, and its rows."""

    sheet: layout.Sheet
    headers: dict[str, layout.Column] = field(default_factory=dict)
    rows: list[Row] = field(default_factory=list)


@dataclass(slots=True)
class Book:
    """A file as read."""

    name: str
    sheets: dict[str, Rows] = field(default_factory=dict)
    faults: list[Finding] = field(default_factory=list)
    notices: list[Finding] = field(default_factory=list)

    def fault(self, sheet: str, row: int | None, column: str, code: str, detail: str, value: Any = "") -> None:
        """Put a fault down."""
        self.faults.append(Finding(sheet, row, column, code, detail, str(value)[:200]))

    def notice(self, sheet: str, row: int | None, column: str, code: str, detail: str) -> None:
        """Put a notice down."""
        self.notices.append(Finding(sheet, row, column, code, detail))


def read(name: str, content: bytes, sheet: str | None = None, progress: Progress = no_progress) -> Book:
    """Read a workbook, or one sheet as CSV. `sheet` names the sheet that a CSV (or the only sheet of a workbook) is."""
    name = Path(name.replace("\\", "/")).name[:120] or "The file"
    wanted = None
    if sheet:
        wanted = layout.sheet_named(sheet)
        if wanted is None:
            raise Invalid(f"There is no sheet '{sheet}'. There are: {', '.join(layout.BY_TITLE)}.", code="no-such-sheet")
    if guard.kind_of(name, content) == guard.CSV:
        return _read_csv(name, content, wanted)
    guard.check_workbook(name, content, progress)
    return _read_workbook(name, content, wanted, progress)


# -- a workbook ---------------------------------------------------------------------------------------------------------------


def _read_workbook(name: str, content: bytes, wanted: layout.Sheet | None, progress: Progress) -> Book:
    book = Book(name)
    titles: list[str] = []
    current: _Filling | None = None
    for line in _from_child(name, content, wanted, progress):
        if not titles:
            titles = line
            _check_titles(book, titles, wanted)
        elif line[0] == "sheet":
            current = None
            sheet = layout.sheet_named(titles[line[1]]) or (wanted if len(titles) == 1 else None)
            if sheet is not None and (wanted is None or sheet is wanted) and sheet.title not in book.sheets:
                current = _Filling(book, sheet)
                book.sheets[sheet.title] = current.rows
        elif current is not None:
            current.add(line[0], {column: _from_plain(value) for column, value in line[1]})
    for rows in book.sheets.values():
        if not rows.headers:
            book.fault(rows.sheet.title, 1, "", "no-header", "Row 1 of this sheet is to hold the names of its columns, and it is blank.")
    return book


def _check_titles(book: Book, titles: list[str], wanted: layout.Sheet | None) -> None:
    known = Counter(sheet.title for sheet in map(layout.sheet_named, titles) if sheet)
    for title, count in known.items():
        if count > 1:
            book.fault(title, None, "", "sheet-twice", f"The workbook has two sheets that are named {title}.")
    if wanted is not None and wanted.title not in known and len(titles) != 1:
        raise Invalid(f"{book.name} has no sheet {wanted.title}. It has: {', '.join(titles)[:500]}.", code="no-such-sheet")
    if wanted is None and not known:
        raise Invalid(
            f"{book.name} has none of the sheets that are read ({', '.join(layout.BY_TITLE)}). It has: {', '.join(titles)[:500]}. "
            "Name its sheet so, or say which sheet it is.",
            code="no-known-sheet",
        )
    for title in titles:
        sheet = layout.sheet_named(title)
        left = sheet is not None and wanted is not None and sheet is not wanted
        if (sheet is None and not layout.is_ours(title) and not (wanted and len(titles) == 1)) or left:
            book.notice(title[:80], None, "", "sheet-ignored", f"The sheet {title[:80]} was left alone.")


def _from_child(name: str, content: bytes, wanted: layout.Sheet | None, progress: Progress) -> Iterator[Any]:
    """The lines that the reading process writes. Whatever becomes of that process, it ends with this, and never takes the worker along."""
    titles = ["*"] if wanted else [layout.fold(title) for title in layout.BY_TITLE]
    with tempfile.TemporaryFile() as source:
        source.write(content)
        source.seek(0)
        process = subprocess.Popen(  # noqa: S603 - our own interpreter and module, no shell
            [sys.executable, "-P", str(CHILD), json.dumps(titles), str(guard.COLUMNS)],
            stdin=source,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert process.stdout is not None
        try:
            for count, line in enumerate(process.stdout):
                if count % 1_000 == 0:
                    progress(count, max(count, 1), "Reading the workbook")
                if line.startswith(b'{"failed"'):
                    break
                yield orjson.loads(line)
            _refuse_end(name, process.wait())
        finally:
            with contextlib.suppress(ProcessLookupError):
                process.kill()
            process.stdout.close()
            process.wait()


def _refuse_end(name: str, code: int) -> None:
    if code == 0:
        return
    if code in (4, -signal.SIGKILL, -signal.SIGXCPU, -signal.SIGSEGV, -signal.SIGABRT):
        raise TooLarge(f"{name} took more memory or time to read than is given to a workbook (1.5 GiB, 5 minutes). Bring it in parts.")
    raise Invalid(f"{name} cannot be read as a workbook. Open it, save it again as .xlsx, and bring that.", code="damaged")


def _from_plain(value: Any) -> Any:
    """A value from the reading process."""
    if isinstance(value, str):
        # The same few words fill most cells; each is kept once.
        return sys.intern(value) if len(value) < 60 else value
    if not isinstance(value, dict):
        return value
    if "d" in value:
        return dt.date.fromisoformat(value["d"])
    if "m" in value:
        return dt.datetime.fromisoformat(value["m"])
    if "t" in value:
        return str(value["t"])
    if "f" in value:
        return cells.Unreadable(
            "(formula)", "This cell holds a formula whose value was never calculated. Open the workbook, let it calculate, and save it."
        )
    return cells.Unreadable(value["e"], f"This cell holds the error {value['e']}. Mend its formula, or type the value.")


# -- CSV ----------------------------------------------------------------------------------------------------------------------


def _read_csv(name: str, content: bytes, wanted: layout.Sheet | None) -> Book:
    book = Book(name)
    text = _decoded(book, content)
    first = next(io.StringIO(text), "").rstrip("\n")
    delimiter = max(",;\t", key=lambda mark: (_known(_cut(first, mark), wanted), first.count(mark)))
    sheet = wanted or _recognised(name, _cut(first, delimiter))
    filling = _Filling(book, sheet)
    book.sheets[sheet.title] = filling.rows
    number = 0
    try:
        for number, row in enumerate(csv.reader(_lines(name, text, delimiter), delimiter=delimiter, strict=True), start=1):
            if number > guard.ROWS:
                raise TooLarge(f"{name} has more than {guard.ROWS:,} rows, over the limit of {guard.ROWS:,} rows. Bring it in parts.")
            if len(row) > guard.COLUMNS:
                raise TooLarge(f"{name} has a row of {len(row):,} columns, over the limit of {guard.COLUMNS} columns.")
            filling.add(number, {column: unguarded(value) for column, value in enumerate(row, start=1) if value})
    except csv.Error:
        raise Invalid(
            f"{name} cannot be read beyond row {number}: a quotation mark is open or out of place there. "
            "Save it again as CSV, or as .xlsx.",
            code="damaged",
        ) from None
    return book


def _lines(name: str, text: str, delimiter: str) -> Iterator[str]:
    """The lines of a text. One with columns beyond measure is refused before it is cut."""
    for line in io.StringIO(text, newline=""):
        if line.count(delimiter) > LONGEST_LINE:
            raise TooLarge(f"{name} has a row of more than {guard.COLUMNS} columns, over the limit of {guard.COLUMNS} columns.")
        yield line


def _decoded(book: Book, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        raise Invalid(
            f"{book.name} is neither UTF-8 nor Windows-1252. Save it as 'CSV UTF-8', or as an .xlsx workbook.", code="wrong-type"
        ) from None
    book.notice(
        "",
        None,
        "",
        "windows-1252",
        f"{book.name} is not UTF-8; it was read as Windows-1252. Look whether letters with accents came out right.",
    )
    return text


def _cut(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


def _known(headers: Iterable[str], wanted: layout.Sheet | None) -> int:
    """How many of these headers the sheet has; of all sheets, the most that one has."""
    headers = list(headers)
    return max(
        sum(layout.column_named(sheet, header) is not None for header in headers) for sheet in ([wanted] if wanted else layout.SHEETS)
    )


def _recognised(name: str, headers: list[str]) -> layout.Sheet:
    """The sheet whose headers these are."""

    def fit(sheet: layout.Sheet) -> tuple[int, int]:
        found = {column.header for header in headers if (column := layout.column_named(sheet, header))}
        stood_for = {column.instead_of for column in sheet.columns if column.header in found}
        missing = sum(column.required and column.header not in found | stood_for for column in sheet.columns)
        return -missing, len(found)

    best = max(layout.SHEETS, key=fit)
    if fit(best)[1] < RECOGNISED_FROM:
        raise Invalid(
            f"It is not clear which sheet {name} is: its first row names none of the columns. "
            f"Say which it is, of {', '.join(layout.BY_TITLE)}.",
            code="no-known-sheet",
        )
    return best


def unguarded(text: str) -> str:
    """A text without the apostrophe that an export puts before one that would be taken for a formula."""
    bare = text.lstrip("'")
    return text[1:] if bare != text and bare.startswith(FORMULA_STARTS) else text


def guarded(text: str) -> str:
    """A text as it is written to CSV: one that would be taken for a formula gets an apostrophe, which an import takes off again."""
    return "'" + text if text.lstrip("'").startswith(FORMULA_STARTS) else text


# -- headers and rows -----------------------------------------------------------------------------------------------------------


class _Filling:
    """Takes rows as they come: the first is the header, blank ones are left out."""

    def __init__(self, book: Book, sheet: layout.Sheet) -> None:
        self.book = book
        self.rows = Rows(sheet)
        self._by_number: dict[int, str] = {}

    def add(self, number: int, held: dict[int, Any]) -> None:
        """A row as numbered in the file, its cells by column number."""
        if number == 1:
            self._header(held)
            return
        if not self.rows.headers:
            return
        found = {
            self._by_number[column]: value for column, value in held.items() if column in self._by_number and not cells.is_blank(value)
        }
        if found:
            self.rows.rows.append(Row(number, found))

    def _header(self, held: dict[int, Any]) -> None:
        sheet, title = self.rows.sheet, self.rows.sheet.title
        for number, value in sorted(held.items()):
            header = cells.as_text(value) if not isinstance(value, cells.Unreadable) else ""
            column = layout.column_named(sheet, header)
            if not header.strip():
                continue
            if column is None:
                detail = f"The column '{header.strip()[:80]}' is not one that {title} has, and was left alone."
                self.book.notice(title, 1, header.strip()[:80], "column-ignored", detail)
            elif column.header in self.rows.headers:
                self.book.fault(
                    title, 1, column.header, "column-twice", f"The column {column.header} stands twice. Keep one of them.", header
                )
            else:
                self.rows.headers[column.header] = column
                self._by_number[number] = column.header
        self._check_header(sheet, title)

    def _check_header(self, sheet: layout.Sheet, title: str) -> None:
        for column in sheet.columns:
            stand_in = next((one.header for one in sheet.columns if one.instead_of == column.header), "")
            if column.header in self.rows.headers and stand_in in self.rows.headers:
                detail = f"Give '{column.header}' (from the substrate) or '{stand_in}', not both."
                self.book.fault(title, 1, stand_in, "column-twice", detail)
            if column.required and column.header not in self.rows.headers and stand_in not in self.rows.headers:
                detail = f"{title} needs a column headed '{column.header}'" + (f" or '{stand_in}'." if stand_in else ".")
                self.book.fault(title, 1, column.header, "column-missing", detail)
