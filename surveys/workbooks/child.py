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

    from openpyxl.reader.excel import ExcelReader
    from openpyxl.worksheet._reader import FORMULA_TAG, INLINE_STRING, WorkSheetParser
    from openpyxl.xml.constants import SHEET_MAIN_NS
    from openpyxl.xml.functions import iterparse

    warnings.simplefilter("ignore")
    text_tag, run_tag, item_tag = (f"{{{SHEET_MAIN_NS}}}{name}" for name in ("t", "r", "si"))

    def text_of(node: Any) -> str:
        """A text's runs joined, without the phonetic reading that may stand beside them."""
        runs = (part if part.tag == text_tag else part.find(text_tag) for part in node if part.tag in (text_tag, run_tag))
        return decode("".join(run.text or "" for run in runs if run is not None))

    class Reader(ExcelReader):
        """Its own table of texts, so that one that looks like an escape stays what it was; and sheets named, not measured."""

        def read_strings(self) -> None:
            part = next((one.PartName[1:] for one in self.package.Override if one.ContentType.endswith("sharedStrings+xml")), None)
            if part is None:
                return
            with self.archive.open(part) as stream:
                for _, node in iterparse(stream):
                    if node.tag == item_tag:
                        self.shared_strings.append(Decoded(text_of(node)))
                        node.clear()

        def read_worksheets(self) -> None:
            found = self.parser.find_sheets()
            self.sheets = [
                (sheet.name, link.target) for sheet, link in found if link.target in self.valid_files and "chartsheet" not in link.Type
            ]

    class Rows(WorkSheetParser):
        """Says which cells hold a formula without its last value."""

        def parse_cell(self, element: Any) -> dict[str, Any]:
            if element.get("t") == "inlineStr":
                held = element.find(INLINE_STRING)
                element.set("t", "n")
                cell: dict[str, Any] = super().parse_cell(element)
                return cell | {"value": None if held is None else Decoded(text_of(held)), "data_type": "s"}
            cell = super().parse_cell(element)
            if cell["value"] is None and element.find(FORMULA_TAG) is not None:
                cell["data_type"] = "uncalculated"
            return cell

    if not source.seekable():
        raise zipfile.BadZipFile("not seekable")
    reader = Reader(source, read_only=True, data_only=True, keep_links=False)
    reader.read()
    book: Any = reader.wb
    write = sys.stdout.write
    write(json.dumps([title for title, _ in reader.sheets]) + "\n")
    for index, (title, part) in enumerate(reader.sheets):
        if " ".join(title.split()).casefold() not in wanted and "*" not in wanted:
            continue
        write(json.dumps(["sheet", index]) + "\n")
        with reader.archive.open(part) as stream:
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
