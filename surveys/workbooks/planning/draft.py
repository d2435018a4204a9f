"""The draft of a plan: the present record by name, what the file adds to it, and how rows become creations and changes."""

import copy
from collections.abc import Iterator, Mapping
from typing import Any, Final

from surveys import rules
from surveys.models import Element, Evidence, Generation, Layer, Phase, Project, Ruling, Sample, Space
from surveys.rules import Refused
from surveys.workbooks import cells, layout
from surveys.workbooks.plan import Plan, SheetPlan
from surveys.workbooks.reading import Book, Finding, Progress, Row, Rows

PART: Final = 500
BEAT: Final = 500
WORTH_KEEPING: Final = 120
# No building has more; a higher number is a slip of the keyboard that would make thousands of generations.
MOST_GENERATIONS: Final = 500


class Draft:
    """Everything that planning shares. `spaces`, `elements` … hold the record and what the file adds, by the names that people use."""

    def __init__(self, project: Project, book: Book, progress: Progress) -> None:
        self.project = project
        self.book = book
        self.progress = progress
        self.plan = Plan(book.name, {sheet.title: SheetPlan(sheet) for sheet in layout.SHEETS}, list(book.faults), list(book.notices))
        self.total = sum(len(rows.rows) for rows in book.sheets.values())
        self.done = 0
        self.classes = list(project.element_classes)
        self.spaces: dict[str, Space] = {one.number: one for one in Space.objects.filter(project=project)}
        self.elements: dict[str, Element] = {one.code: one for one in Element.objects.filter(project=project).select_related("space")}
        self.samples: dict[str, Sample] = {
            one.number: one for one in Sample.objects.filter(project=project).select_related("element__space")
        }
        self.phases: dict[int, Phase] = {one.ordinal: one for one in Phase.objects.filter(project=project)}
        self.known_evidence: dict[str, Evidence] = {
            one.reference: one
            for one in Evidence.objects.filter(project=project).select_related("phase", "space", "element", "generation__space")
        }
        self.generations: dict[tuple[Any, int], Generation] = {
            (one.space_id, one.ordinal): one for one in Generation.objects.filter(project=project).select_related("space")
        }
        self.generation_count: dict[Any, int] = {}
        for space_id, ordinal in self.generations:
            self.generation_count[space_id] = max(ordinal, self.generation_count.get(space_id, 0))
        # The layers of the samples that the file names, by sample id, bottom to top; filled by `load_layers` and by the plan of layers.
        self.layers: dict[Any, dict[int, Layer]] = {}
        self.layer_rows: dict[Any, int] = {}
        self.left_alone: list[str] = []
        self._clean: dict[tuple[Any, str, Any], Any] = {}

    # -- saying ------------------------------------------------------------------------------------------------------------
    def fault(self, title: str, row: int | None, column: str, code: str, detail: str, value: Any = "") -> None:
        """Put a fault down."""
        self.plan.faults.append(Finding(title, row, column, code, detail, str(value)[:200]))

    def notice(self, title: str, row: int | None, column: str, code: str, detail: str) -> None:
        """Put a notice down."""
        self.plan.notices.append(Finding(title, row, column, code, detail))

    def tell_left_alone(self) -> None:
        """One notice for all layers whose generation the record says otherwise than the file."""
        if not self.left_alone:
            return
        count, some = len(self.left_alone), "; ".join(self.left_alone[:5])
        layers = "1 layer has" if count == 1 else f"{count:,} layers have"
        self.notice(
            "Layers",
            None,
            "Generation",
            "generation-left-alone",
            f"{layers} another generation in the record than in the file, and stay as the record has them: "
            f"{some}{' …' if count > 5 else ''}. "
            "Where the file is right, place them in the program.",
        )

    # -- reading rows --------------------------------------------------------------------------------------------------------
    def rows_of(self, title: str) -> Iterator[tuple[Rows, Row]]:
        """The rows of a sheet of the file, counted."""
        rows = self.book.sheets.get(title)
        if rows is None or any(column.required and not _has(rows, column) for column in rows.sheet.columns):
            return
        self.plan.sheets[title].rows = len(rows.rows)
        for row in rows.rows:
            if self.done % BEAT == 0:
                self.progress(self.done, self.total, f"Comparing {title.lower()} with the record")
            self.done += 1
            yield rows, row

    def meanings(self, rows: Rows, row: Row) -> tuple[dict[str, Any], bool]:
        """What the cells of a row mean, by field; and whether one of them means nothing (which is put down as a fault)."""
        found: dict[str, Any] = {}
        broken = False
        for header, value in row.cells.items():
            column = rows.headers[header]
            try:
                meaning = cells.read(column, value)
                if meaning is cells.CLEAR and (column.required or column.instead_of or column.extra):
                    raise Refused(f"{header} is needed, so '-' cannot clear it.", "required")
            except Refused as refusal:
                shown = value.shown if isinstance(value, cells.Unreadable) else cells.as_text(value)
                self.fault(rows.sheet.title, row.number, header, refusal.code, str(refusal), shown)
                broken = True
            else:
                found[column.field] = meaning
        return found, broken

    def clean(self, rows: Rows, row: Row, given: Mapping[str, Any]) -> tuple[dict[str, Any], bool]:
        """Values as they will be kept, and whether one of them cannot be (which is put down as a fault)."""
        model = rows.sheet.model
        kept: dict[str, Any] = {}
        broken = False
        for name, value in given.items():
            answer = self.cleaned(model, name, value)
            if isinstance(answer, Refused):
                header = rows.sheet.header_of(name)
                self.fault(rows.sheet.title, row.number, header, answer.code, str(answer), cells.as_text(value))
                broken = True
            else:
                kept[name] = answer
        return kept, broken

    def cleaned(self, model: Any, name: str, value: Any) -> Any:
        """One value as it will be kept, or why it cannot be. The same few words fill most cells, so answers are kept."""
        if value is cells.CLEAR:
            field = model._meta.get_field(name)
            return None if field.null else ""
        if not isinstance(value, str | int | float) or (isinstance(value, str) and len(value) > WORTH_KEEPING):
            return _cleaned_or_refused(model, name, value)
        # True equals 1 and 1.0, and is no number.
        key = (model, name, (type(value), value))
        if key not in self._clean:
            self._clean[key] = _cleaned_or_refused(model, name, value)
        return self._clean[key]

    def key(self, rows: Rows, row: Row, meanings: dict[str, Any], seen: dict[Any, int]) -> Any:
        """The name of a row's record, taken out of its meanings; None (and a fault) if there is none or it stood before."""
        column = rows.sheet.columns[0]
        title = rows.sheet.title
        if column.field not in meanings:
            if column.header not in row.cells:
                self.fault(title, row.number, column.header, "required", f"This row has no {column.header.lower()}.")
            return None
        kept, broken = self.clean(rows, row, {column.field: meanings.pop(column.field)})
        if broken:
            return None
        name = kept[column.field]
        if name in seen:
            detail = f"{column.header} {name} stands in row {seen[name]} already. Keep one of the two rows."
            self.fault(title, row.number, column.header, "twice", detail, name)
            return None
        seen[name] = row.number
        return name

    # -- creations and changes -------------------------------------------------------------------------------------------------
    def create(self, rows: Rows, row: Row, values: Mapping[str, Any], broken: bool) -> Any:
        """A new record. With a fault in its row it is made all the same, so that what refers to it is not at fault as well."""
        missing = [
            column
            for column in rows.sheet.columns
            if column.required and column.header not in row.cells and column.field not in values and not _stood_for(rows, row, column)
        ]
        for column in missing:
            self.fault(rows.sheet.title, row.number, column.header, "required", f"{column.header} is needed for a new row.")
        record = rows.sheet.model(project=self.project, **values)
        if not broken and not missing:
            self._check(rows, row.number, record)
        self.plan.sheets[rows.sheet.title].created.append((record, row.number))
        return record

    def alter(self, rows: Rows, row: Row, record: Any, values: Mapping[str, Any], broken: bool) -> None:
        """A known record: what differs is a change."""
        different = {name: value for name, value in values.items() if not _same(record, name, value)}
        one = self.plan.sheets[rows.sheet.title]
        if not different:
            one.unchanged += not broken
            return
        if not broken:
            would_be = copy.copy(record)
            would_be._state = copy.copy(record._state)
            would_be._state.fields_cache = dict(record._state.fields_cache)
            for name, value in different.items():
                setattr(would_be, name, value)
            self._check(rows, row.number, would_be)
        one.changed.append((record, different, row.number))

    def _check(self, rows: Rows, number: int, record: Any) -> None:
        """What is wrong between the fields of a record. An element's class is seen to by itself, as it may be new."""
        if isinstance(record, Element | Space):
            return
        for fault in rules.between(record):
            self.fault(rows.sheet.title, number, rows.sheet.header_of(fault.field), fault.code, fault.detail)

    def imply(self, title: str, record: Any) -> None:
        """A record that the list of layers makes by the way."""
        self.plan.sheets[title].created.append((record, None))

    # -- references --------------------------------------------------------------------------------------------------------
    def find(self, title: str, row: int, column: str, what: str, known: Mapping[Any, Any], name: Any) -> Any:
        """A record by its name, of the project or the file; None and a fault where there is none."""
        found = known.get(name)
        if found is None:
            few = len(self.plan.faults) < PART
            alike = next((other for other in known if str(other).casefold() == str(name).casefold()), None) if few else None
            hint = f" There is {alike}, which differs in case." if alike is not None else ""
            self.fault(title, row, column, "not-found", f"There is no {what} {name} in the project or in this file.{hint}", name)
        return found

    def load_layers(self) -> None:
        """Load the layers of all samples that the file's layers and rulings name."""
        named: set[Any] = set()
        for title, fields in (("Layers", ("Sample",)), ("Rulings", ("First layer", "Second layer"))):
            rows = self.book.sheets.get(title)
            for row in rows.rows if rows else ():
                for header in fields:
                    if header in row.cells and not isinstance(row.cells[header], cells.Unreadable):
                        text = cells.as_text(row.cells[header]).strip()
                        named.add(text if title == "Layers" else (cells.split_last(text) or ("",))[0])
        wanted = {self.samples[name].pk: self.samples[name] for name in named if name in self.samples}
        self.add_layers(wanted)

    def add_layers(self, samples: Mapping[Any, Sample]) -> None:
        """Load the layers of these samples (by id), as far as they are not loaded yet."""
        missing = [pk for pk, sample in samples.items() if pk not in self.layers and not sample._state.adding]
        for pk in samples:
            self.layers.setdefault(pk, {})
        for start in range(0, len(missing), PART):
            for layer in Layer.objects.filter(sample__in=missing[start : start + PART]).select_related("generation"):
                layer.sample = samples[layer.sample_id]
                self.layers[layer.sample_id][layer.position] = layer

    def generation(self, title: str, row: int, column: str, space: Space, ordinal: int, *, make: bool) -> Generation | None:
        """A generation of a space by number, made (with those below it) if asked; None and a fault where there is none."""
        found = self.generations.get((space.pk, ordinal))
        if found is not None:
            return found
        if not make or not 1 <= ordinal <= MOST_GENERATIONS:
            detail = f"There is no generation {space.number}/{ordinal} in the project or in this file."
            if make:
                detail = f"Generations are numbered from 1 (the oldest) to at most {MOST_GENERATIONS}; {ordinal} is none."
            self.fault(title, row, column, "not-found", detail, ordinal)
            return None
        for number in range(self.generation_count.get(space.pk, 0) + 1, ordinal + 1):
            fresh = Generation(project=self.project, space=space, ordinal=number)
            self.generations[space.pk, number] = fresh
            self.plan.generations.setdefault(space.pk, []).append(fresh)
        self.generation_count[space.pk] = ordinal
        return self.generations[space.pk, ordinal]

    def standing_rulings(self) -> list[Ruling]:
        """The rulings of the project, as they stand."""
        together = ("first_layer__sample__element", "second_layer__sample__element", "generation__space")
        return list(Ruling.objects.filter(project=self.project).select_related(*together).order_by("created_at", "pk"))


def _cleaned_or_refused(model: Any, name: str, value: Any) -> Any:
    try:
        return rules.clean_one(model, name, value)
    except Refused as refusal:
        return refusal


def _has(rows: Rows, column: layout.Column) -> bool:
    return column.header in rows.headers or any(one.instead_of == column.header for one in rows.headers.values())


def _stood_for(rows: Rows, row: Row, column: layout.Column) -> bool:
    return any(one.instead_of == column.header and one.header in row.cells for one in rows.headers.values())


def _same(record: Any, name: str, value: Any) -> bool:
    present = getattr(record, name)
    if hasattr(value, "pk") or hasattr(present, "pk"):
        return getattr(present, "pk", None) == getattr(value, "pk", None)
    return cells.same(present, value)
