"""Names that a text calls: @ and the name by which somebody signs in."""

import re
from collections.abc import Iterable, Mapping
from typing import Final, TypeVar

# Django's user names are made of these. An address (a@b) calls nobody.
CALLED: Final = re.compile(r"(?<!\w)@([\w.@+-]+)")
Who = TypeVar("Who")


def called(text: str, people: Mapping[str, Who]) -> list[Who]:
    """Those of some people, by the names that they sign in with, whom a text calls; any other @word is text."""
    folded: dict[str, list[str]] = {}
    for name in people:
        folded.setdefault(name.casefold(), []).append(name)
    found: dict[str, Who] = {}
    for match in CALLED.finditer(text):
        meant = _meant(match.group(1), people, folded)
        if meant is not None:
            found[meant] = people[meant]
    return list(found.values())


def _meant(written: str, people: Mapping[str, Who], folded: Mapping[str, Iterable[str]]) -> str | None:
    """The name that was written: a full stop or a dash that ends a sentence may hang on it, and capitals do not count if it is clear."""
    for form in (written, re.sub(r"[.@+-]+$", "", written)):
        if form in people:
            return form
        likely = list(folded.get(form.casefold(), ()))
        if len(likely) == 1:
            return likely[0]
    return None
