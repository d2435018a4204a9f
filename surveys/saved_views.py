"""Named views: how one person likes to see a register. They are his own, no part of the record, and nobody else learns of them.

What columns there are is for the page to say: a view may outlive one, and what it says of it is passed over.
"""

import json
import re
from typing import Any, Final
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.utils import timezone

from surveys import access
from surveys.errors import Conflict, Fault, Invalid, NotFound, Stale, TooLarge
from surveys.models import Person, Project, SavedView

REGISTERS: Final = ("spaces", "elements", "samples", "layers", "rulings", "generations", "phases", "evidence")
MOST: Final = 100
MOST_BYTES: Final = 16_000
NAME: Final = re.compile(r"[a-z][a-z0-9_]{0,39}")
MOST_FROZEN: Final = 99


def of(actor: Person, project: Project, register: str = "") -> QuerySet[SavedView]:
    """A person's own views of a project's registers, by register and name."""
    access.require(actor, project, access.SEE)
    found = SavedView.objects.filter(person=actor, project=project)
    return (found.filter(register=register) if register else found).order_by("register", "name", "pk")


def get(actor: Person, project: Project, view_id: UUID) -> SavedView:
    """One of a person's own views; anybody else's is none."""
    found = of(actor, project).filter(pk=view_id).first()
    if found is None:
        raise NotFound("You have no such view.")
    return found


def make(actor: Person, project: Project, register: str, name: str, arrangement: Any) -> SavedView:
    """Keep a view under a name."""
    if register not in REGISTERS:
        raise _invalid("register", f"There is no register '{register[:40]}'. There are: {', '.join(REGISTERS)}.")
    if of(actor, project, register).count() >= MOST:
        raise Invalid(f"You have {MOST} views of this register already. Forget one that you no longer use.", code="too-many")
    made = SavedView(person=actor, project=project, register=register, name=_named(name), arrangement=_arranged(arrangement))
    try:
        with transaction.atomic():
            made.save(force_insert=True)
    except IntegrityError:
        raise _taken(made) from None
    return made


def change(actor: Person, project: Project, view_id: UUID, version: int, values: dict[str, Any]) -> SavedView:
    """Give a view another name or arrangement, if it is still at that version."""
    found = get(actor, project, view_id)
    if "name" in values:
        found.name = _named(values["name"])
    if "arrangement" in values:
        found.arrangement = _arranged(values["arrangement"])
    new = {"name": found.name, "arrangement": found.arrangement, "version": version + 1, "changed_at": timezone.now()}
    try:
        with transaction.atomic():
            done = SavedView.objects.filter(pk=found.pk, person=actor, version=version).update(**new)
    except IntegrityError:
        raise _taken(found) from None
    if not done:
        raise _stale(actor, project, view_id, version)
    return get(actor, project, view_id)


def forget(actor: Person, project: Project, view_id: UUID, version: int) -> None:
    """Forget a view, if it is still at that version."""
    found = get(actor, project, view_id)
    if not SavedView.objects.filter(pk=found.pk, person=actor, version=version).delete()[0]:
        raise _stale(actor, project, view_id, version)


def _stale(actor: Person, project: Project, view_id: UUID, version: int) -> Stale:
    now = get(actor, project, view_id)
    return Stale(f"The view {now.name} was changed in another window meanwhile: it is at version {now.version}, you had {version}.", now)


def _taken(view: SavedView) -> Conflict:
    return Conflict(f"You have a view '{view.name}' of this register already.", faults=(Fault("name", "taken", "This name is taken."),))


def _invalid(field: str, text: str) -> Invalid:
    return Invalid(text, faults=(Fault(field, "invalid", text),))


def _named(name: str) -> str:
    name = name.strip()
    if not 0 < len(name) <= 80 or not name.isprintable():
        raise _invalid("name", "Name the view in up to 80 characters.")
    return name


def _arranged(given: Any) -> dict[str, Any]:
    """An arrangement, if every part of it is one that there is and of its form."""
    if not isinstance(given, dict):
        raise _invalid("arrangement", "An arrangement is an object.")
    if len(json.dumps(given)) > MOST_BYTES:
        raise TooLarge(f"This view says more than is kept ({MOST_BYTES:,} characters). Filter by a part of the text or by bounds.")
    for part, value in given.items():
        judge = PARTS.get(part)
        if judge is None:
            raise _invalid("arrangement", f"'{part[:40]}' is no part of an arrangement. Its parts are: {', '.join(PARTS)}.")
        if not judge(value):
            raise _invalid("arrangement", f"'{part}' of the arrangement is not of its form.")
    return given


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and "\x00" not in value


def _is_name(value: Any) -> bool:
    return isinstance(value, str) and NAME.fullmatch(value) is not None


def _are_names(value: Any) -> bool:
    return isinstance(value, list) and all(_is_name(one) for one in value)


def _are_filters(value: Any) -> bool:
    return isinstance(value, dict) and all(_is_name(name) and _is_text(said) for name, said in value.items())


def _is_order(value: Any) -> bool:
    return isinstance(value, dict) and set(value) == {"name", "down"} and _is_name(value["name"]) and isinstance(value["down"], bool)


def _are_orders(value: Any) -> bool:
    return isinstance(value, list) and all(_is_order(one) for one in value)


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST_FROZEN


PARTS: Final = {
    "search": _is_text,
    "filters": _are_filters,
    "sort": _are_orders,
    "groups": _are_names,
    "hidden": lambda value: value is None or _are_names(value),
    "order": _are_names,
    "frozen": _is_count,
}
