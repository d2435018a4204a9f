"""Checks on values and between fields, as pure functions. The interface, a paste and an import share them.

`clean(model, values)` is the way in: it answers the values as they will be kept and a list of faults; it never touches the database.
"""

from surveys.rules.drawn import DRAWN, clean_drawn
from surveys.rules.fields import BETWEEN, between, order_fault, years_fault
from surveys.rules.values import (
    YEARS,
    clean,
    clean_classes,
    clean_date,
    clean_list,
    clean_munsell,
    clean_number,
    clean_one,
    clean_text,
    clean_whole,
)
from surveys.rules.words import Refused, code_faults, email_from, fold, is_field_name, is_id, natural_key, near_class, word_from
from surveys.rules.writable import LISTS, NAMES, WRITABLE, YEAR_FIELDS

__all__ = [
    "BETWEEN",
    "DRAWN",
    "LISTS",
    "NAMES",
    "WRITABLE",
    "YEARS",
    "YEAR_FIELDS",
    "Refused",
    "between",
    "clean",
    "clean_classes",
    "clean_date",
    "clean_drawn",
    "clean_list",
    "clean_munsell",
    "clean_number",
    "clean_one",
    "clean_text",
    "clean_whole",
    "code_faults",
    "email_from",
    "fold",
    "is_field_name",
    "is_id",
    "natural_key",
    "near_class",
    "order_fault",
    "word_from",
    "years_fault",
]
