"""Reads a workbook in a process of its own, which may use so much memory and time and no more. Run by path, not imported.

The workbook is standard input; the arguments are the titles wanted (folded, as JSON) and the most columns. Standard output is JSON, a value
a line: first the titles of all sheets, then ["sheet", index], then [row, [[column, value], ...]] for rows that hold anything. A value
that JSON has not is {"d": date}, {"m": moment}, {"t": time of day}, {"e": error shown} or {"f": true} (a formula never calculated).
"""

import datetime as dt
import json
import math
import re
import sys
import zipfile
from typing import Any

MEMORY = 1_536 * 1024 * 1024
SECONDS = 300
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


class Decoded(str):
    """A text whose escapes (_x000D_) are resolved already."""


def decode(text: str) -> str:
    """Resolve the escapes that OOXML uses for characters that XML cannot hold (ECMA-376 part 1, 22.9.2.19)."""
    if "_x" not in text:
        return text
    return _ESCAPED.sub(lambda found: chr(int(found.group(1), 16)), text)


def limit() -> None:
    """Cap this process's memory and time, where the system can."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 5))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def plain(cell: dict[str, Any]) -> Any:
    """A cell's value as JSON can hold it."""
    value, kind = cell["value"], cell["data_type"]
    if kind == "uncalculated":
        return {"f": True}
    if kind == "e":
        return {"e": str(value)}
    if isinstance(value, str):
        return str(value) if isinstance(value, Decoded) else decode(value)
    if isinstance(value, float) and not math.isfinite(value):
        return {"e": str(value)}
    if isinstance(value, dt.datetime):
        return {"m": value.isoformat()} if value.time() != dt.time() else {"d": value.date().isoformat()}
    if isinstance(value, dt.date):
        return {"d": value.isoformat()}
    if isinstance(value, dt.time | dt.timedelta):
        return {"t": str(value)}
    return value


def main() -> int:
    """Read; 0 if all was read, 3 (and a last line {"failed": why}) if it cannot be."""
    limit()
    wanted, columns = json.loads(sys.argv[1]), int(sys.argv[2])
    try:
        read(sys.stdin.buffer, set(wanted), columns)
    except MemoryError:
        return 4
    except Exception as error:  # whatever a parser makes of a broken file is one refusal
        sys.stdout.write(json.dumps({"failed": f"{type(error).__name__}: {error}"[:500]}) + "\n")
        return 3
    return 0


def read(source: Any, wanted: set[str], columns: int) -> None:
    """Write the rows of the sheets wanted."""
    import warnings

    from openpyxl.cell.text import Text
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.worksheet._reader import FORMULA_TAG, WorkSheetParser
    from openpyxl.xml.constants import SHEET_MAIN_NS
    from openpyxl.xml.functions import iterparse

    warnings.simplefilter("ignore")

    class Reader(ExcelReader):
        """Its own table of texts, so that a text that looks like an escape stays what it was."""

        def read_strings(self) -> None:
            part = next((one.PartName[1:] for one in self.package.Override if one.ContentType.endswith("sharedStrings+xml")), None)
            if part is None:
                return
            with self.archive.open(part) as stream:
                for _, node in iterparse(stream):
                    if node.tag == f"{{{SHEET_MAIN_NS}}}si":
                        text: Any = Text.from_tree(node)
                        self.shared_strings.append(Decoded(decode(text.content)))
                        node.clear()

    class Rows(WorkSheetParser):
        """Says which cells hold a formula without its last value."""

        def parse_cell(self, element: Any) -> dict[str, Any]:
            cell: dict[str, Any] = super().parse_cell(element)
            if cell["value"] is None and element.find(FORMULA_TAG) is not None:
                cell["data_type"] = "uncalculated"
            return cell

    if not source.seekable():
        raise zipfile.BadZipFile("not seekable")
    reader = Reader(source, read_only=True, data_only=True, keep_links=False)
    reader.read()
    book: Any = reader.wb
    write = sys.stdout.write
    write(json.dumps([sheet.title for sheet in book.worksheets]) + "\n")
    fold = lambda title: " ".join(title.split()).casefold()  # noqa: E731
    for index, sheet in enumerate(book.worksheets):
        if fold(sheet.title) not in wanted and "*" not in wanted:
            continue
        write(json.dumps(["sheet", index]) + "\n")
        with sheet._get_source() as stream:
            rows = Rows(
                stream,
                reader.shared_strings,
                data_only=True,
                epoch=book.epoch,
                date_formats=book._date_formats,
                timedelta_formats=book._timedelta_formats,
            )
            for number, cells in rows.parse():
                held = [
                    [cell["column"], plain(cell)]
                    for cell in cells
                    if (cell["value"] is not None or cell["data_type"] == "uncalculated") and cell["column"] <= columns
                ]
                if held:
                    write(json.dumps([number, held]) + "\n")


if __name__ == "__main__":
    sys.exit(main())
