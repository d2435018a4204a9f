"""What a collection of records is: its columns as the database has them, and its rows as they are shown."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

from django.db import models
from django.db.models import Q, QuerySet
from rest_framework import serializers

from surveys import rules
from surveys.api import serializers as shapes
from surveys.models import Layer
from surveys.selectors import listings

TEXT, WORD, WHOLE, NUMBER, DAY, MOMENT, REFERENCE, ANYTHING = "text", "word", "whole", "number", "day", "moment", "reference", "anything"
TRUTH: Final = "truth"
KINDS: Final[tuple[tuple[type[Any], str], ...]] = (
    (serializers.ChoiceField, WORD),
    (serializers.UUIDField, REFERENCE),
    (serializers.RelatedField, REFERENCE),
    (serializers.CharField, TEXT),
    (serializers.BooleanField, TRUTH),
    (serializers.IntegerField, WHOLE),
    (serializers.FloatField, NUMBER),
    (serializers.DateTimeField, MOMENT),
    (serializers.DateField, DAY),
)
# A query that is quicker while order and filters look only at what these steps lead to.
QUICKER: Final[Mapping[Any, tuple[str, Callable[[Any], QuerySet[Any]]]]] = {Layer: ("sample__", listings.layers_by_sample)}


@dataclass(frozen=True, slots=True)
class Column:
    """One shown field: the path of its column in the database, what kind of value it holds, and whether that may be missing."""

    name: str
    path: str
    kind: str
    nullable: bool
    words: tuple[str, ...] = ()
    target: type[models.Model] | None = None


@dataclass(frozen=True)
class Collection:
    """One collection of a project."""

    name: str
    model: type[Any]
    shape: type[Any]
    # From the project, or from the person where a collection is not of one project.
    query: Callable[[Any], QuerySet[Any]]
    order: tuple[str, ...]
    search: tuple[str, ...]
    title: str
    # The column by which ties are broken.
    tie: str = "id"
    # For what is no column: fields put together by `finish` from `extra` columns.
    composed: frozenset[str] = frozenset()
    extra: Mapping[str, str] = field(default_factory=dict)
    finish: Callable[[Any, dict[str, Any]], dict[str, Any]] | None = None
    # The same for what is found for all rows of a page at once.
    complete: Callable[[Any, list[dict[str, Any]]], list[dict[str, Any]]] | None = None
    # Columns of records that hang on it: one may filter by them, they are not shown.
    also: tuple[Column, ...] = ()
    # Filters by the id of any record, each with what it narrows to.
    narrowed: Mapping[str, tuple[Callable[[Any], Q], str]] = field(default_factory=dict)
    # The body by which a record is written, where it holds more than the record's own fields.
    body: type[shapes.Body] | None = None

    @cached_property
    def columns(self) -> dict[str, Column]:
        """All shown fields, in order."""
        return {name: self._column(name, shown) for name, shown in self.shape().fields.items() if name not in self.composed}

    def _column(self, name: str, shown: Any) -> Column:
        kind = next((kind for sort, kind in KINDS if isinstance(shown, sort)), ANYTHING)
        path = shown.source.replace(".", "__")
        words = tuple(str(word) for word in shown.choices if word) if kind == WORD else ()
        target = self._target(path) if kind == REFERENCE else None
        return Column(name, path, kind, bool(shown.allow_null), words, target)

    def _target(self, path: str) -> Any:
        model: Any = self.model
        if path in {field.name for field in model._meta.concrete_fields if not field.is_relation}:
            return None  # an id of its own, or of a record whose kind stands in another column
        steps = path.removesuffix("_id").split("__")
        if steps[0] not in {field.name for field in model._meta.get_fields()}:
            return None  # put together by the query
        for step in steps:
            found = model._meta.get_field(step)
            model = found.related_model if found.is_relation else None
            if model is None:
                return None
        return model

    @cached_property
    def paths(self) -> dict[str, str]:
        """Shown name to column."""
        return {name: column.path for name, column in self.columns.items()} | dict(self.extra)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The names of all shown fields."""
        return tuple(self.shape().fields)

    @cached_property
    def values(self) -> type[shapes.Body]:
        """The body by which a record is written."""
        return self.body or shapes.values_of(self.model, self.shape.__name__.removesuffix("Shape"))

    def listed(self, scope: Any, first: str, filters: Iterable[str]) -> QuerySet[Any]:
        """All records, for a list in an order whose first column has this path, narrowed by these filters."""
        if self.model in QUICKER:
            steps, query = QUICKER[self.model]
            columns = [self.columns.get(name.partition("__")[0]) for name in filters]
            if first.startswith(steps) and all(column is not None and column.path.startswith(steps) for column in columns):
                return query(scope)
        return self.query(scope)

    @property
    def writable(self) -> frozenset[str]:
        """The fields that a person may set."""
        return rules.WRITABLE[self.model]

    def rows(self, scope: Any, query: QuerySet[Any], names: Iterable[str] | None = None) -> list[dict[str, Any]]:
        """Records of a query as they are shown; only the fields named, where some are."""
        if names is None or self.finish is not None or self.complete is not None:
            found = self._put_together(scope, listings.rows(query, self.paths))
            return [{name: row[name] for name in names} for row in found] if names is not None else found
        return listings.rows(query, {name: self.paths[name] for name in names})

    def _put_together(self, scope: Any, found: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if self.finish is not None:
            found = [self.finish(scope, row) for row in found]
        return found if self.complete is None else self.complete(scope, found)

    def rows_of(self, scope: Any, ids: Sequence[Any]) -> dict[Any, dict[str, Any]]:
        """Certain records as they are shown, by id."""
        found = listings.rows_of(self.query(scope), self.paths, ids)
        return dict(zip(found, self._put_together(scope, list(found.values())), strict=True))

    def row(self, scope: Any, record_id: Any) -> dict[str, Any] | None:
        """One record as it is shown."""
        return next(iter(self.rows_of(scope, [record_id]).values()), None)
