"""What changed from one issue of a schedule to the next, row by row."""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any, Final

from analysis.core.schedules.rows import Additions, Row

TOLD: Final = {
    "substrate": "substrate", "position": "position", "finish": "finish", "leaf": "leaf", "munsell": "Munsell", "sheen": "sheen",
    "samples": "samples", "certainty": "certainty", "review": "review state", "marks": "marks", "generation": "generation",
}  # fmt: skip
"""The fields whose change a contractor is told, with their names; L*a*b* and sRGB follow from the notation."""
ADDED: Final = {one.name: one.name.replace("_", " ") for one in fields(Additions) if one.name not in ("finish", "munsell", "sheen")}


@dataclass(frozen=True, slots=True)
class Difference:
    """One change of one row.

    Parameters
    ----------
    space, element : str
    what : str
        'new row', 'row taken out', or the name of the field.
    before, after : str
        In words; empty for nothing.
    """

    space: str
    element: str
    what: str
    before: str = ""
    after: str = ""


def differences(before: Iterable[Row], after: Iterable[Row]) -> tuple[Difference, ...]:
    """Tell what changed between two states of a schedule.

    Parameters
    ----------
    before, after : iterable of Row
        At most one row an element each.

    Returns
    -------
    tuple of Difference
        In the order of `after`, then rows taken out in the order of `before`.
    """
    old = {row.element: row for row in before}
    found: list[Difference] = []
    kept = set()
    for row in after:
        kept.add(row.element)
        if row.element not in old:
            found.append(Difference(row.space, row.element, "new row", "", row.finish or row.state))
            continue
        found += _of_row(old[row.element], row)
    found += [
        Difference(row.space, row.element, "row taken out", row.finish or row.state, "") for key, row in old.items() if key not in kept
    ]
    return tuple(found)


def _of_row(before: Row, after: Row) -> list[Difference]:
    pairs = [(name, getattr(before, field), getattr(after, field)) for field, name in TOLD.items()]
    pairs += [(name, getattr(before.additions, field), getattr(after.additions, field)) for field, name in ADDED.items()]
    return [Difference(after.space, after.element, name, _text(old), _text(new)) for name, old, new in pairs if old != new]


def _text(value: Any) -> str:
    if isinstance(value, tuple):
        return ", ".join(value)
    return "" if value is None else str(value)
