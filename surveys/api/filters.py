"""Filters of lists, made from the columns that a collection shows (django-filter does the reading and the narrowing).

Every column: the exact value and `__in` (a list with commas); numbers and dates `__gte` and `__lte`; texts `__icontains`; whatever may be
blank `__isblank`. A reference is given by id, or by the name that people use where there is one (`?space=101`).
"""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any, Final

import django_filters
from django import forms
from django.core.validators import MaxLengthValidator, MaxValueValidator, MinValueValidator
from django.db.models import Model, Q, QuerySet
from django_filters.fields import BaseCSVField

from surveys import rules
from surveys.api.collections import BY_NAME
from surveys.api.collections.machine import ANYTHING, DAY, MOMENT, NUMBER, REFERENCE, TEXT, TRUTH, WHOLE, WORD, Collection, Column
from surveys.api.problems import Malformed, Place, unknown_parameter
from surveys.models import Element, Phase, Sample, Space

LONGEST: Final = 400
MOST_LISTED: Final = 500
MOST: Final = 2**53
# The name by which people refer to a record, where an id is asked for.
HUMAN: Final[Mapping[Any, str]] = {Space: "number", Element: "code", Sample: "number", Phase: "ordinal"}
TRUTHS: Final = (("true", "true"), ("false", "false"))


class ExactDateTime(forms.Field):
    """A moment as ISO 8601 writes it; without a zone it is UTC."""

    def to_python(self, value: Any) -> dt.datetime | None:
        """The moment, in UTC."""
        if value in self.empty_values:
            return None
        try:
            found = dt.datetime.fromisoformat(str(value))
            return found.replace(tzinfo=dt.UTC) if found.tzinfo is None else found.astimezone(dt.UTC)
        except (ValueError, OverflowError):
            raise forms.ValidationError("Write a moment as in 2026-05-14T09:30:00Z.") from None


class Word(forms.CharField):
    """A word of a closed list."""

    def __init__(self, *args: Any, words: Iterable[str] = (), **options: Any) -> None:
        self.words = tuple(words)
        super().__init__(*args, **options)

    def validate(self, value: Any) -> None:
        """Refuse a word that is not in the list: it would answer an empty list as if there were nothing."""
        super().validate(value)
        if value and value not in self.words:
            raise forms.ValidationError(f"'{value}' is not in the list. It knows: {', '.join(self.words)}.")


class Id(forms.UUIDField):
    """The id of a record."""

    default_error_messages = {"invalid": "This is not the id of a record."}

    def __init__(self, **options: Any) -> None:
        # Stripped, a blank would be no value, and no value answers the whole list.
        super().__init__(**{**options, "strip": False})


FIELDS: Final[Mapping[str, tuple[type[forms.Field], dict[str, Any]]]] = {
    TEXT: (forms.CharField, {"strip": False, "validators": [MaxLengthValidator(LONGEST)]}),
    WORD: (Word, {"strip": False}),
    WHOLE: (forms.IntegerField, {"validators": [MinValueValidator(-MOST), MaxValueValidator(MOST)]}),
    NUMBER: (forms.FloatField, {}),
    DAY: (forms.DateField, {"input_formats": ["%Y-%m-%d"]}),
    MOMENT: (ExactDateTime, {}),
    REFERENCE: (Id, {}),
}
SCHEMAS: Final[Mapping[str, dict[str, Any]]] = {
    TEXT: {"type": "string", "minLength": 1, "maxLength": LONGEST},
    WHOLE: {"type": "integer", "minimum": -MOST, "maximum": MOST},
    NUMBER: {"type": "number"},
    DAY: {"type": "string", "format": "date"},
    MOMENT: {"type": "string", "format": "date-time"},
    REFERENCE: {"type": "string", "format": "uuid"},
}
BLANK: Final = {"type": "string", "enum": ["true", "false"]}
LISTED: Final = {"type": "string", "minLength": 1, "description": f"Several, separated by commas; at most {MOST_LISTED}."}


def schema_of(column: Column) -> dict[str, Any]:
    """The schema of a column's exact value as a parameter."""
    if column.kind == WORD:
        return {"type": "string", "enum": list(column.words)}
    return SCHEMAS[column.kind]


def _field(column: Column) -> tuple[type[forms.Field], dict[str, Any]]:
    made, options = FIELDS[column.kind]
    return made, {**options, "words": column.words} if column.kind == WORD else dict(options)


class One(django_filters.Filter):
    """One value, with one lookup."""

    def __init__(self, column: Column, lookup: str, schema: dict[str, Any]) -> None:
        made, options = _field(column)
        self.schema = schema
        super().__init__(field_name=column.path, lookup_expr=lookup, **options)
        self.field_class = made


class Several(django_filters.Filter):
    """Any of several values, separated by commas."""

    def __init__(self, column: Column) -> None:
        made, options = _field(column)
        self.schema = LISTED

        class Listed(BaseCSVField, made):  # type: ignore[misc, valid-type]
            """Values separated by commas."""

            def clean(self, value: Any) -> Any:
                """Each value by itself."""
                if value is not None and len(value) > MOST_LISTED:
                    raise forms.ValidationError(f"Give at most {MOST_LISTED} values.")
                return super().clean(value)

        self.field_class = Listed
        super().__init__(field_name=column.path, lookup_expr="in", **options)


class Blank(django_filters.Filter):
    """Whether nothing is recorded in a field."""

    field_class = Word

    def __init__(self, column: Column) -> None:
        self.column = column
        self.schema = BLANK
        super().__init__(field_name=column.path, words=("true", "false"))

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Narrow to the blank, or to those that are not."""
        if not value:
            return qs
        blank = Q()
        if self.column.kind in (TEXT, WORD):
            blank |= Q(**{self.column.path: ""})
        if self.column.nullable:
            blank |= Q(**{f"{self.column.path}__isnull": True})
        return qs.filter(blank if value == "true" else ~blank)


class Truth(django_filters.Filter):
    """Yes or no."""

    field_class = Word

    def __init__(self, column: Column) -> None:
        self.schema = BLANK
        super().__init__(field_name=column.path, words=("true", "false"))

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Narrow to those of which it is true, or to those of which it is not."""
        return qs.filter(**{str(self.field_name): value == "true"}) if value else qs


class Narrowed(django_filters.Filter):
    """By the id of any record, as the collection says."""

    field_class = Id

    def __init__(self, narrow: Callable[[Any], Q], description: str) -> None:
        self.narrow = narrow
        self.schema = {**SCHEMAS[REFERENCE], "description": description}
        super().__init__()

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Narrow to what has to do with that record."""
        return qs.filter(self.narrow(value)) if value else qs


class Named(django_filters.Filter):
    """A record that is referred to, by its id or by the name that people use."""

    field_class = forms.CharField

    def __init__(self, column: Column, target: type[Model], *, several: bool = False) -> None:
        self.column = column
        self.human = HUMAN[target]
        self.several = several
        self.schema = {**SCHEMAS[TEXT], "description": f"The id of a {target._meta.verbose_name}, or its {self.human}."}
        if several:
            self.schema["description"] += " Several, separated by commas."
        super().__init__(field_name=column.path, strip=False, validators=[MaxLengthValidator(LONGEST * 50 if several else LONGEST)])

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Narrow to what refers to that record."""
        if not value:
            return qs
        asked = str(value).split(",") if self.several else [str(value)]
        if len(asked) > MOST_LISTED:
            raise unknown_parameter(f"{self.column.name}__in", f"Give at most {MOST_LISTED} values.")
        ids = [one for one in asked if rules.is_id(one)]
        names = [self._name(one) for one in asked if not rules.is_id(one)]
        of_ids, of_names = Q(**{f"{self.column.path}__in": ids}), Q(**{f"{self.column.path.removesuffix('_id')}__{self.human}__in": names})
        # A list that is empty is left out, for the sake of the join and the index that the other needs.
        return qs.filter(of_ids | of_names if ids and names else of_ids if ids else of_names)

    def _name(self, one: str) -> Any:
        if self.human != "ordinal":
            return one
        if one.isascii() and one.isdigit() and len(one) < 9:
            return int(one)
        raise unknown_parameter(self.column.name, f"'{one[:80]}' is neither an id nor a number.")


@cache
def filters_of(collection_name: str) -> dict[str, Any]:
    """All filters of a collection, by parameter."""
    collection = BY_NAME[collection_name]
    made: dict[str, Any] = {}
    for column in collection.columns.values():
        made |= _of_column(column)
    made |= {name: Narrowed(*told) for name, told in collection.narrowed.items()}
    return made | {column.name: One(column, "exact", schema_of(column)) for column in collection.also}


def _of_column(column: Column) -> dict[str, Any]:
    name = column.name
    if column.kind == ANYTHING:
        return {}
    if column.kind == TRUTH:
        return {name: Truth(column)}
    made: dict[str, Any] = {}
    if column.target is not None and column.target in HUMAN and name != "id":
        made[name] = Named(column, column.target)
        made[f"{name}__in"] = Named(column, column.target, several=True)
    else:
        made[name] = One(column, "exact", schema_of(column))
        made[f"{name}__in"] = Several(column)
    if column.kind == TEXT:
        made[f"{name}__icontains"] = One(column, "icontains", SCHEMAS[TEXT])
    if column.kind in (WHOLE, NUMBER, DAY, MOMENT):
        made[f"{name}__gte"] = One(column, "gte", SCHEMAS[column.kind])
        made[f"{name}__lte"] = One(column, "lte", SCHEMAS[column.kind])
    if column.nullable or column.kind in (TEXT, WORD):
        made[f"{name}__isblank"] = Blank(column)
    return made


def narrow(collection: Collection, query: QuerySet[Any], given: Mapping[str, str]) -> QuerySet[Any]:
    """The records that the filters given let through; a value that a filter cannot read is refused."""
    known = filters_of(collection.name)
    places: list[Place] = []
    for name, text in given.items():
        try:
            field = known[name].field
            value = field.clean(field.widget.value_from_datadict({name: text}, {}, name))
        except forms.ValidationError as error:
            places += [Place("", "invalid", str(message), name) for message in error.messages]
        else:
            query = known[name].filter(query, value)
    if places:
        raise Malformed(f"The filter '{places[0].parameter}' cannot be read: {places[0].detail}", *places)
    return query


def search(collection: Collection, query: QuerySet[Any], text: str) -> QuerySet[Any]:
    """The records in which every word of a text stands somewhere."""
    for word in text.split():
        anywhere = Q()
        for name in collection.search:
            anywhere |= Q(**{f"{collection.columns[name].path}__icontains": word})
        query = query.filter(anywhere)
    return query
