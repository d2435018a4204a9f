"""What an import would do, as a whole, before any of it is done: creations, changes, faults, notices, and a digest of it."""

import datetime as dt
import hashlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from typing import Any, Final

import orjson
from django.db.models import Model

from surveys import rules
from surveys.models import Generation, Layer, Ruling
from surveys.workbooks import layout
from surveys.workbooks.reading import Finding

FAULTS_SHOWN: Final = 1_000
NOTICES_SHOWN: Final = 200
CHANGES_SHOWN: Final = 200


@dataclass(slots=True)
class SheetPlan:
    """What one sheet comes to: new records, changes of known ones (record, values, row), and how many stay as they are."""

    sheet: layout.Sheet
    rows: int = 0
    created: list[tuple[Any, int | None]] = field(default_factory=list)
    changed: list[tuple[Any, dict[str, Any], int]] = field(default_factory=list)
    unchanged: int = 0


@dataclass(slots=True)
class Plan:
    """The whole import. Records in it are not saved yet; they refer to each other and to the present record."""

    name: str
    sheets: dict[str, SheetPlan]
    faults: list[Finding] = field(default_factory=list)
    notices: list[Finding] = field(default_factory=list)
    new_classes: list[str] = field(default_factory=list)
    # New generations on top of those that each space has, by the space's id.
    generations: dict[Any, list[Generation]] = field(default_factory=dict)
    # Layers that get a generation by this import, and the holds that say so.
    holds: list[Ruling] = field(default_factory=list)
    # Spaces whose rulings are to be checked again when all is written.
    ruled_spaces: set[Any] = field(default_factory=set)

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.new_classes or self.generations or self.holds or any(one.created or one.changed for one in self.sheets.values()))

    def report(self) -> dict[str, Any]:
        """What a person is told of it, and the digest by which a later apply is held to it; plain values."""
        order = {sheet.title: place for place, sheet in enumerate(layout.SHEETS)}
        faults = sorted(self.faults, key=lambda one: (order.get(one.sheet, -1), one.row or 0))
        return {
            "name": self.name,
            "sheets": [_counts(one) for one in self.sheets.values() if one.rows or one.created or one.changed],
            "faults": [asdict(one) for one in faults[:FAULTS_SHOWN]],
            "fault_count": len(faults),
            "notices": [asdict(one) for one in self.notices[:NOTICES_SHOWN]],
            "notice_count": len(self.notices),
            "changes": [line for line, _ in zip(self._changes(), range(CHANGES_SHOWN), strict=False)],
            "change_count": sum(len(values) for one in self.sheets.values() for _, values, _ in one.changed),
            "new_classes": list(self.new_classes),
            "new_generations": sum(len(fresh) for fresh in self.generations.values()),
            "new_holds": len(self.holds),
            # What has faults is never done, so nothing can be held to it.
            "digest": "" if faults else self.digest(),
        }

    def _changes(self) -> Iterator[dict[str, Any]]:
        for one in self.sheets.values():
            for record, values, row in one.changed:
                for name, value in values.items():
                    yield {
                        "sheet": one.sheet.title,
                        "row": row,
                        "record": str(record),
                        "field": one.sheet.header_of(name) or name,
                        "from": shown(getattr(record, name)),
                        "to": shown(value),
                    }

    def digest(self) -> str:
        """SHA-256 of all that would be done, by the names that people use: the same file on the same record gives the same."""
        told = hashlib.sha256()
        for one in self.sheets.values():
            for record, _ in one.created:
                told.update(_line([one.sheet.title, "new", str(record), _told(record)]))
            for record, values, _ in one.changed:
                steps = {name: [shown(getattr(record, name)), shown(value)] for name, value in values.items()}
                told.update(_line([one.sheet.title, "changed", str(record), steps]))
        told.update(_line(["classes", self.new_classes]))
        told.update(_line(["generations", sorted(str(fresh) for some in self.generations.values() for fresh in some)]))
        told.update(_line(["holds", sorted([str(hold), hold.reason] for hold in self.holds)]))
        return told.hexdigest()


def shown(value: Any) -> Any:
    """A value as a person sees it and JSON can hold it."""
    if isinstance(value, Model):
        return str(value)
    return value.isoformat() if isinstance(value, dt.date) else value


def _counts(one: SheetPlan) -> dict[str, Any]:
    return {
        "sheet": one.sheet.title,
        "created": len(one.created),
        "changed": len(one.changed),
        "unchanged": one.unchanged,
        "rows": one.rows,
    }


def _told(record: Any) -> dict[str, Any]:
    names = rules.WRITABLE[type(record)]
    # A layer's own generation is told by its hold.
    skipped = {"generation"} if isinstance(record, Layer) else set()
    values = ((name, getattr(record, name)) for name in names - skipped)
    return {name: shown(value) for name, value in values if value not in (None, "")}


def _line(told: Any) -> bytes:
    return orjson.dumps(told, option=orjson.OPT_SORT_KEYS) + b"\n"
