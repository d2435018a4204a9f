"""The registers as a workbook or CSV that may come back in, and the empty workbook to begin with."""

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterable, Iterator
from typing import IO, Any, Final, TypeVar

from django.utils import timezone
from openpyxl import Workbook
from openpyxl.styles import Alignment

from surveys import access, rules, selectors
from surveys.errors import Invalid
from surveys.models import Layer, Person, Project, Space
from surveys.workbooks import cells, chart_sheets, layout
from surveys.workbooks.reading import Progress, guarded, no_progress
from surveys.workbooks.writing import A4, append, finish_register, font, lines, new_sheet, register_sheet, safe_title, save, styled

BEAT: Final = 1_000
Row = TypeVar("Row")
TEXT_WIDTH: Final = 100.0
HOW_TO: Final = (
    "The sheets Spaces to Rulings are the record. They may be changed here and imported again; the sheets after them are drawn "
    "from these, and are not read.",
    "On import a row is found by the name in its first column (a layer by its sample and its number from the substrate, a ruling by "
    "its layers). What is not found is made; a row that is left out is left alone; nothing is removed.",
    "A blank cell says nothing and changes nothing. A lone '-' clears what the record has.",
    "Words from a closed list may be in any case. Pigments and tests are separated by ';'. Dates are dates, or as in 2026-05-14; "
    "years are whole numbers; c.1840 and 1838-42 are read as ranges.",
    "A layer is written SAMPLE/NUMBER, as in K-014/3. Evidence bears on: structure, phase 2, space 103, element 103-BB-N, "
    "generation 103/4.",
    "The generation of a layer is taken from here only where the record has none, as a hold by whoever imports.",
    "An import says what it would do before it does it, and names sheet, row and column of every fault. It does all or nothing.",
)


def registers(
    actor: Person,
    project: Project,
    stream: IO[bytes],
    progress: Progress | None = None,
    *,
    on: dt.date | None = None,
    look: Callable[[], None] = lambda: None,
) -> None:
    """Write the record as a workbook: a sheet to read first, the registers as an import takes them, a generation chart a space.

    `look` is called where progress cannot be told, while all is read; what it raises stops the work.
    """
    access.require(actor, project, access.SEE)
    tell = progress or no_progress
    on = on or timezone.localdate()
    tell(0, 1, "Reading the record")
    project, rows, charts, cautions = _as_it_stands(project, look)
    book = Workbook(write_only=True)
    footer = f"{project.code}: {project.name}. {on.isoformat()}. Cautions: see the sheet '{layout.READ_ME}'"
    counts = {title: len(found) for title, found in rows.items()}
    _read_me(book, project, actor, on, counts, cautions)
    done, total = 0, sum(counts.values()) or 1
    for register in layout.SHEETS:
        sheet, columns = register_sheet(book, register, footer)
        number = 0
        for number, row in enumerate(rows.pop(register.title), start=1):
            if (done + number) % BEAT == 0:
                tell(min(done + number, total), total, f"Writing {register.title.lower()}")
            tall = max(column.lines(value) for column, value in zip(columns, row, strict=True))
            append(sheet, number + 1, [column.cell(value) for column, value in zip(columns, row, strict=True)], tall)
        finish_register(sheet, register, number)
        done += number
    for space, chart in charts:
        tell(min(done, total), total, f"Drawing the generations of space {space}")
        title = safe_title(f"{layout.CHART_PREFIX}{space}", book.sheetnames)
        chart_sheets.write(book, title, chart, f"{project.code}: {project.name}. {on.isoformat()}")
    tell(total, total, "Packing the workbook")
    save(book, stream, on, title=f"{project.code}: registers", creator=str(actor))


def _as_it_stands(
    project: Project, look: Callable[[], None]
) -> tuple[Project, dict[str, list[list[Any]]], list[tuple[str, dict[str, Any]]], list[str]]:
    """All that a workbook tells, read at one moment: the project, the rows of each register, the chart of each space, the cautions."""
    with selectors.one_moment():
        project = Project.objects.get(pk=project.pk)
        rows = {register.title: _looking(rows_of(project, register), look) for register in layout.SHEETS}
        spaces = Space.objects.filter(project=project).select_related("project").order_by("sort_key", "number")
        charts = _looking(((space.number, selectors.chart(space)) for space in spaces), look, every=1)
        cautions = _cautions(project)
    return project, rows, [(space, chart) for space, chart in charts if chart["cells"] or chart["generations"]], cautions


def _looking(rows: Iterable[Row], look: Callable[[], None], every: int = BEAT) -> list[Row]:
    """All of it, with a look before the first and now and then."""
    look()
    found = []
    for number, row in enumerate(rows, start=1):
        found.append(row)
        if number % every == 0:
            look()
    return found


def _cautions(project: Project) -> list[str]:
    pairs = Layer.objects.filter(project=project).order_by().values_list("pigments", "binder").distinct()
    return list(selectors.cautions_for(Layer(pigments=pigments, binder=binder) for pigments, binder in pairs))


def rows_of(project: Project, register: layout.Sheet) -> Iterator[list[Any]]:
    """The rows of a register as cells hold them, in the order in which a person would look for them."""
    columns = register.written
    paths = [path for column in columns for path in column.sources]
    query = register.model._default_manager.filter(project=project).values_list(*register.order, *paths)
    keys = len(register.order)
    for record in sorted(query, key=lambda found: _order(found[:keys])):
        values, at = [], keys
        for column in columns:
            upto = at + len(column.sources)
            values.append(cells.write(column, record[at:upto]))
            at = upto
        yield values


def _order(keys: tuple[Any, ...]) -> list[tuple[Any, ...]]:
    """Names as people count them ('K-2' before 'K-10'), numbers as numbers, nothing first."""
    return [("", 0, "") if key is None else (rules.natural_key(key), 0, key) if isinstance(key, str) else ("", key, "") for key in keys]


def registers_csv(actor: Person, project: Project, title: str) -> bytes:
    """One register as CSV (UTF-8 with a byte order mark, which spreadsheets need in order to see it). An import takes it back."""
    access.require(actor, project, access.SEE)
    register = layout.sheet_named(title)
    if register is None:
        raise Invalid(f"There is no sheet '{title}'. There are: {', '.join(layout.BY_TITLE)}.", code="no-such-sheet")
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.header for column in register.written])
    for row in rows_of(project, register):
        writer.writerow([_csv_value(value) for value in row])
    return out.getvalue().encode("utf-8-sig")


def _csv_value(value: Any) -> str:
    if value is None:
        return ""
    return guarded(value) if isinstance(value, str) else cells.as_text(value)


def template(stream: IO[bytes], *, on: dt.date | None = None) -> None:
    """Write the empty workbook: the sheets and columns that an import reads, the closed lists offered in their columns."""
    on = on or dt.date(2026, 1, 1)
    book = Workbook(write_only=True)
    _read_me(book, None, None, on, {}, [])
    for register in layout.SHEETS:
        sheet, _ = register_sheet(book, register, register.title)
        finish_register(sheet, register, 0)
    save(book, stream, on, title="Registers, to be filled in", creator="Undercoat")


def _read_me(
    book: Workbook, project: Project | None, actor: Person | None, on: dt.date, counts: dict[str, int], cautions: list[str]
) -> None:
    """The sheet to read first."""
    sheet = new_sheet(book, layout.READ_ME)
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 18, TEXT_WIDTH
    sheet.page_setup.paperSize, sheet.page_setup.fitToHeight = A4, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    wrapped = Alignment(vertical="top", wrap_text=True)
    number = 0

    def line(label: str = "", text: str = "", size: int = 11) -> None:
        nonlocal number
        number += 1
        row = [
            styled(sheet, label, font=font(bold=True, size=size), alignment=Alignment(vertical="top")),
            styled(sheet, text, font=font(), alignment=wrapped) if text else None,
        ]
        append(sheet, number, row, max(lines(text, TEXT_WIDTH), 1 + (size > 11)))

    if project is None:
        line("Registers, to be filled in", size=16)
    else:
        line(f"{project.code}: {project.name}", size=16)
        told = (("Place", project.place), ("Summary", project.summary), ("Written on", on.isoformat()), ("By", str(actor)))
        for label, text in told:
            if text:
                line(label, text)
        line("Holds", ", ".join(f"{count:,} {title.lower()}" for title, count in counts.items()))
    line()
    for place, text in enumerate(HOW_TO):
        line("" if place else "To import", text)
    if project is not None:
        line()
        for place, text in enumerate(cautions):
            line("" if place else "Cautions", text)
