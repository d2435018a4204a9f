"""Sessions: where a person is signed in, seen and ended one by one.

Django keeps them (`surveys.models.sessions`). The key of a session opens it, so it is told to nobody: a session is named by its digest.
"""

import contextlib
import datetime as dt
import hashlib
import re
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.conf import settings
from django.contrib.auth import HASH_SESSION_KEY
from django.contrib.sessions.backends.base import SessionBase, UpdateError
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from surveys.errors import NotFound
from surveys.in_passing import in_passing
from surveys.models import Person, Session, SessionStore

# When something was last done in a session; known to the hour, since to know better would make every read a write.
SEEN: Final = "seen"
BEGAN: Final = "began"
GRAIN: Final = 3600
# Where it was begun, in words; and whether that took a second factor.
BROWSER: Final = "browser"
NETWORK: Final = "network"
FACTOR: Final = "factor"
LONGEST_NETWORK: Final = 64

# Nearly every browser also calls itself by the names of others, so the first that is found counts.
BROWSERS: Final = (
    (r"Edg(e|A|iOS)?/", "Edge"),
    (r"OPR/|Opera", "Opera"),
    (r"SamsungBrowser/", "Samsung Internet"),
    (r"Firefox/|FxiOS/", "Firefox"),
    (r"Chrome/|CriOS/|Chromium/", "Chrome"),
    (r"Safari/", "Safari"),
)
SYSTEMS: Final = (
    (r"iPhone", "iPhone"),
    (r"iPad", "iPad"),
    (r"Android", "Android"),
    (r"Windows", "Windows"),
    (r"Macintosh|Mac OS X", "macOS"),
    (r"CrOS", "ChromeOS"),
    (r"Linux|X11", "Linux"),
)


@dataclass(frozen=True, slots=True)
class Shown:
    """A session, as its person sees it."""

    id: UUID
    current: bool
    began_at: dt.datetime | None
    last_used_at: dt.datetime | None
    browser: str
    network: str


def of(person: Person, present: str | None = None) -> list[Shown]:
    """Where a person is signed in, the present session first and then what was used last. `present` is the key of the one that asks."""
    found = [_shown(row, data, present) for row, data in _standing(person)]
    long_ago = dt.datetime.min.replace(tzinfo=dt.UTC)
    return sorted(found, key=lambda one: (one.current, one.last_used_at or long_ago), reverse=True)


def end(person: Person, name: UUID) -> None:
    """End a session of one's own: who works in it is a stranger from now on."""
    for row in Session.objects.filter(person=person):
        if name_of(row.session_key) == name:
            row.delete()
            return
    raise NotFound("You have no such session. It may have ended by itself.")


def end_all(person: Person, *, but: str | None = None) -> int:
    """End all sessions of a person, or all but the one of a key; how many that were."""
    return Session.objects.filter(person=person).exclude(session_key=but or "").delete()[0]


def end_everybodys() -> None:
    """End all sessions of everybody: after the record was put back to an earlier moment, in which other sessions stood."""
    Session.objects.all().delete()


def note_use(session: SessionBase, now: int) -> None:
    """Note that something was done in a session; not with the answer, which would wait for whoever writes just then, or fail by him."""
    session[SEEN] = now
    with in_passing(), contextlib.suppress(UpdateError):  # it was ended at this moment
        session.save()
    session.modified = False


def tidy() -> None:
    """Forget sessions that ended by themselves."""
    SessionStore.clear_expired()


def name_of(key: str) -> UUID:
    """What a session is called. The key is 32 random letters and digits, so nothing can be guessed from its digest."""
    return UUID(bytes=hashlib.sha256(key.encode()).digest()[:16])


def over(data: Mapping[str, Any]) -> str:
    """Why a session has ended by what it holds: it was left too long, or lasted too long; '' while it goes on."""
    now = int(time.time())
    left, lasted = now - data.get(SEEN, now), now - data.get(BEGAN, now)
    if left > settings.SESSION_IDLE_SECONDS or lasted > settings.SESSION_COOKIE_AGE:
        return f"it lasted {lasted} s, and nothing was done in it for {left} s"
    return ""


def browser_of(user_agent: str) -> str:
    """What a browser says of itself, in plain words."""
    browser = next((word for pattern, word in BROWSERS if re.search(pattern, user_agent)), "Another browser")
    system = next((word for pattern, word in SYSTEMS if re.search(pattern, user_agent)), "")
    return f"{browser} on {system}" if system else browser


def _standing(person: Person) -> Iterator[tuple[Session, dict[str, Any]]]:
    """The sessions that would be let in, with what they hold."""
    proof = person.get_session_auth_hash()
    for row in Session.objects.filter(person=person, expire_date__gt=timezone.now()):
        data = row.get_decoded()
        if constant_time_compare(data.get(HASH_SESSION_KEY, ""), proof) and not over(data):
            yield row, data


def _shown(row: Session, data: Mapping[str, Any], present: str | None) -> Shown:
    moment = lambda name: dt.datetime.fromtimestamp(data[name], dt.UTC) if name in data else None  # noqa: E731
    return Shown(
        id=name_of(row.session_key),
        current=row.session_key == present,
        began_at=moment(BEGAN),
        last_used_at=moment(SEEN),
        browser=data.get(BROWSER, ""),
        network=data.get(NETWORK, ""),
    )
