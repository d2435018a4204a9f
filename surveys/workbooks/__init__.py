"""The workbook that goes in and out: .xlsx with a sheet for each register, or CSV of one sheet.

`check` says what an import would do, `load` does it, `registers` and `registers_csv` write what may come back in, `template` an empty one.
`layout` is the one table of sheets and columns. A file passes `guard` (kind and size), `reading` (rows), `planning` (what it would
change), and only then `applying`.
"""

from surveys.workbooks.applying import ImportRefused, check, load
from surveys.workbooks.exporting import registers, registers_csv, template

__all__ = ["ImportRefused", "check", "load", "registers", "registers_csv", "template"]
