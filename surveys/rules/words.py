"""Words of closed lists, names, and codes."""

import difflib
import re
import unicodedata
import uuid
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from analysis.core.vocabulary import SYNONYMS
from surveys.errors import Fault


class Refused(ValueError):
    """One value is not acceptable; the text says why."""

    def __init__(self, detail: str, code: str = "invalid") -> None:
        super().__init__(detail)
        self.code = code


def fold(text: str) -> str:
    """A word as it is compared: case, blanks and hyphens do not count."""
    return re.sub(r"[\s_-]+", " ", unicodedata.normalize("NFKC", text)).strip().casefold()


def word_from(text: str, words: Sequence[str]) -> str:
    """The word of a closed list that a text means; refused, with the nearest word offered, where it means none."""
    known = {fold(word): word for word in words} | {fold(other): word for other, word in SYNONYMS.items() if word in words}
    wanted = fold(text)
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.7)
    if near:
        raise Refused(f"'{text}' is not in the list. Did you mean '{known[near[0]]}'?", "unknown-word")
    raise Refused(f"'{text}' is not in the list. It knows: {', '.join(words)}.", "unknown-word")


def near_class(name: str, classes: Sequence[str]) -> tuple[str | None, str | None]:
    """(the class of the project's list that a name means or None, one that it nearly is or None)."""
    known = {fold(word): word for word in classes} | {fold(word).replace(" ", ""): word for word in classes}
    wanted = fold(name)
    for form in (wanted, wanted.replace(" ", ""), wanted.removesuffix("s")):
        if form in known:
            return known[form], None
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.86)
    return None, known[near[0]] if near else None


def email_from(text: str) -> str:
    """An e-mail address, or '' for none."""
    bare = text.strip()
    if not bare:
        return ""
    try:
        validate_email(bare)
    except ValidationError:
        raise Refused(f"'{bare}' is no e-mail address. Write it as in name@example.org.") from None
    return bare


def natural_key(text: str) -> str:
    """A key that sorts 'K-2' before 'K-10'."""
    return re.sub(r"\d+", lambda digits: digits.group().zfill(8), text.casefold())[:80]


def code_faults(code: str) -> list[Fault]:
    """A project's code stands in addresses."""
    if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]*", code):
        return []
    return [Fault("code", "invalid", "A code is made of letters, digits, - and _ only, as in HALL-1.")]


def is_field_name(text: str) -> bool:
    """Whether a text can be the name of a column, as the interface writes names."""
    return re.fullmatch(r"[a-z][a-z0-9_]*", text) is not None


def is_id(value: Any) -> bool:
    """Whether a value can be a record's id."""
    try:
        uuid.UUID(str(value))
    except ValueError:
        return False
    return True
