"""Pages of a list by keyset: a cursor says after which record to go on, so that nothing is missed or repeated when others insert.

Any columns order a list, several too, each up or down; ties are broken by id. What is not recorded comes first going up and last
going down, on every database. Texts that may be long are ordered by how they begin: a cursor says the values behind which to go on, and
goes by the address, which servers take only so long.
"""

import base64
import binascii
import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import orjson
from django.core.exceptions import FieldDoesNotExist
from django.db.models import F, Model, Q, QuerySet, TextField
from django.db.models.functions import Left

from surveys.api.collections.machine import ANYTHING, DAY, MOMENT, NUMBER, REFERENCE, TEXT, TRUTH, WHOLE, WORD, Collection
from surveys.api.problems import unknown_parameter
from surveys.api.rendering import dump

USUAL, MOST = 100, 1_000
LONGEST_CURSOR: Final = 30_000
# So much of a text orders a list.
BEGINNING: Final = 200
NUMBERS: Final = (int, float)
READ: Final[dict[str, tuple[type[Any], Callable[[Any], Any]]]] = {
    TEXT: (str, str),
    WORD: (str, str),
    WHOLE: (int, int),
    NUMBER: (float, float),
    DAY: (str, dt.date.fromisoformat),
    MOMENT: (str, dt.datetime.fromisoformat),
    REFERENCE: (str, uuid.UUID),
}


@dataclass(frozen=True, slots=True)
class Term:
    """One column of an order."""

    name: str
    path: str
    kind: str
    down: bool
    nullable: bool = True
    long: bool = False

    @property
    def by(self) -> str:
        """What the list is ordered by: the column, or how its text begins."""
        return f"{self.name}_begins" if self.long else self.path

    def said(self, value: Any) -> Any:
        """A value of this column as a cursor says it."""
        return value[:BEGINNING] if self.long and isinstance(value, str) else value

    def expression(self) -> Any:
        """For ORDER BY. Where no value can be missing it says nothing of such: an index made without that would not serve."""
        if not self.nullable:
            return F(self.by).desc() if self.down else F(self.by).asc()
        return F(self.by).desc(nulls_last=True) if self.down else F(self.by).asc(nulls_first=True)

    def same(self, value: Any) -> Q:
        """Has just this value."""
        return Q(**{f"{self.by}__isnull": True}) if value is None else Q(**{self.by: value})

    def beyond(self, value: Any) -> Q | None:
        """Comes after this value; None where nothing does."""
        if not self.nullable and value is not None:
            return Q(**{f"{self.by}__lt" if self.down else f"{self.by}__gt": value})
        missing = Q(**{f"{self.by}__isnull": True})
        if value is None:
            return None if self.down else ~missing
        return Q(**{f"{self.by}__lt": value}) | missing if self.down else Q(**{f"{self.by}__gt": value})


def order_of(collection: Collection, asked: str | None) -> list[Term]:
    """The order that was asked for, or the collection's own; the id last."""
    names = asked.split(",") if asked is not None else list(collection.order)
    terms: list[Term] = []
    for name in names:
        bare = name.removeprefix("-")
        column = collection.columns.get(bare)
        if column is None or column.kind in (ANYTHING, TRUTH):
            known = ", ".join(name for name, column in collection.columns.items() if column.kind not in (ANYTHING, TRUTH))
            raise unknown_parameter("ordering", f"A list of {collection.name} cannot be ordered by '{bare}'. It can by: {known}.")
        if any(term.name == bare for term in terms):
            raise unknown_parameter("ordering", f"'{bare}' stands in the order twice.")
        terms.append(
            Term(bare, column.path, column.kind, name.startswith("-"), column.nullable, _may_be_long(collection.model, column.path))
        )
    if not any(term.name == collection.tie for term in terms):
        tie = collection.columns[collection.tie]
        terms.append(Term(tie.name, tie.path, tie.kind, False, tie.nullable))
    return terms


def _may_be_long(model: type[Model], path: str) -> bool:
    """Whether a column holds texts of any length."""
    found: Any = None
    try:
        for step in path.split("__"):
            found = model._meta.get_field(step)
            model = found.related_model or model
    except FieldDoesNotExist:  # put together by the query
        return False
    return isinstance(found, TextField)


def size_of(asked: str | None, usual: int = USUAL, *, parameter: str = "page_size") -> int:
    """How many records a page holds."""
    if asked is None:
        return usual
    if not asked.isascii() or not asked.isdigit() or len(asked) > 6 or not 1 <= int(asked) <= MOST:
        raise unknown_parameter(parameter, f"A page holds 1 to {MOST:,} records; '{asked[:40]}' is not such a number.")
    return int(asked)


def cursor_of(terms: Sequence[Term], values: Sequence[Any]) -> str:
    """A cursor behind the record with these values."""
    said = [cursor_head(terms), *(term.said(value) for term, value in zip(terms, values, strict=True))]
    return base64.urlsafe_b64encode(dump(said)).decode().rstrip("=")


def values_of(terms: Sequence[Term], cursor: str) -> list[Any]:
    """The values that a cursor says; refused, if it is of another list or order."""
    refusal = unknown_parameter("cursor", "This cursor is not of this list in this order. Begin again without a cursor.")
    if len(cursor) > LONGEST_CURSOR:
        raise refusal
    try:
        said = orjson.loads(base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))
        if not isinstance(said, list) or len(said) != len(terms) + 1 or said[0] != cursor_head(terms):
            raise refusal
        return [_read(term, value) for term, value in zip(terms, said[1:], strict=True)]
    except (ValueError, binascii.Error, TypeError, OverflowError):
        raise refusal from None


def cursor_head(terms: Sequence[Term]) -> str:
    """The order as a cursor says it."""
    return ",".join(("-" if term.down else "") + term.name for term in terms)


def _read(term: Term, value: Any) -> Any:
    if value is None:
        return None
    sort, read = READ[term.kind]
    sorts: Any = NUMBERS if sort is float else sort
    if isinstance(value, bool) or not isinstance(value, sorts):
        raise TypeError
    if (sort is int and abs(value) > 2**53) or (sort is str and "\x00" in value):
        raise ValueError
    made = read(value)
    if isinstance(made, dt.datetime):
        return made.replace(tzinfo=dt.UTC) if made.tzinfo is None else made.astimezone(dt.UTC)
    return made


def after(query: QuerySet[Any], terms: Sequence[Term], values: Sequence[Any]) -> QuerySet[Any]:
    """The records behind those values in that order."""
    behind = Q(pk__in=[])
    so_far = Q()
    for term, value in zip(terms, values, strict=True):
        beyond = term.beyond(value)
        if beyond is not None:
            behind |= so_far & beyond
        so_far &= term.same(value)
    first, value = terms[0], values[0]
    if not first.nullable and value is not None:
        # It follows from the rest, but only said by itself it lets an index begin at the right place.
        query = _begun(query, terms).filter(**{f"{first.by}__lte" if first.down else f"{first.by}__gte": value})
    return _begun(query, terms).filter(behind)


def in_order(query: QuerySet[Any], terms: Sequence[Term]) -> QuerySet[Any]:
    """The records in that order."""
    return _begun(query, terms).order_by(*(term.expression() for term in terms))


def _begun(query: QuerySet[Any], terms: Sequence[Term]) -> QuerySet[Any]:
    """The query with how long texts begin, to be filtered and ordered by."""
    return query.alias(**{term.by: Left(term.path, BEGINNING) for term in terms if term.long})
