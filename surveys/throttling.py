"""How often something may be tried: counts of a short while that all processes share (the default cache: in Redis, or else in files).

Sign-in is counted by name and address together, so that nobody is locked out by what others try in his name elsewhere, and by address
alone, so that nobody tries many names from one place. A name alone is never counted.

Reads by who is signed in are counted too, a minute at a time. That must cost next to nothing, so each process takes its reads from the
shared count a handful at a time; without a Redis it counts its own in memory, which is all there are where one process serves (embedded).
"""

import hashlib
import ipaddress
import logging
import math
import threading
import time
from typing import Final

from django.conf import settings
from django.core.cache import cache

from surveys.errors import TooOften

MINUTE: Final = 60
HOUR: Final = 3600
# A cache in files counts by reading and writing; the threads of one server take turns.
_turn: Final = threading.Lock()
# A process takes so many handfuls of its reads from the shared count at most; what it leaves of the last is lost to the others.
HANDFULS: Final = 50
# What each may still read in a minute before the shared count is asked again; None once that had no more.
_left: Final[dict[tuple[int, str, str], int | None]] = {}
# Whose reads this process counted alone in a minute, since the shared count did not answer.
_alone: Final[set[tuple[int, str, str]]] = set()
_reading: Final = threading.Lock()
OVER: Final = "You have asked for more in this minute than is answered in one."
OVER_HEAVY: Final = "You have asked for more results of a whole project, or files, in this minute than are answered in one."
log = logging.getLogger(__name__)


def count(what: str, whom: str, most: int, seconds: int) -> None:
    """Count one try; refuse it if there were more than `most` within so many seconds of the first. `whom` is kept as a hash only."""
    now = time.time()
    key = f"tries-{what}-{hashlib.sha256(whom.encode()).hexdigest()}"
    with _turn:
        cache.add(key, now, seconds)
        since = cache.get(key, now)
        tally = f"{key}-{since:.6f}"
        if cache.add(tally, 1, seconds + MINUTE):
            return
        try:
            tries = cache.incr(tally)
        except ValueError:  # it was dropped between the two
            return
        # A cache in files forgets the term when it counts.
        cache.touch(tally, seconds + MINUTE)
    if tries > most:
        raise TooOften("Too many tries.", max(1, int(since + seconds - now) + 1))


def place(address: str) -> str:
    """Where a request comes from, as it is counted: an address; of IPv6 the network of a household, whose addresses have no number."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv6Address):
        return str(found.ipv4_mapped or ipaddress.ip_network((found, 64), strict=False))
    return str(found)


def sign_in(name: str, address: str) -> None:
    """Count a try to sign in."""
    here = place(address)
    count("sign-in-place", here, 100, MINUTE)
    count("sign-in", f"{name.casefold()} {here}", 10, MINUTE)


def secret(address: str) -> None:
    """Count a try with the secret of a link."""
    count("secret", place(address), 60, MINUTE)


def password(person_id: int) -> None:
    """Count a try to say one's present password, from a session that might be a thief's."""
    count("password", str(person_id), 10, MINUTE)


def code(person_id: int) -> None:
    """Count a try to say a one-time code, from a session that might be a thief's."""
    count("code", str(person_id), 10, MINUTE)


def reset(email: str, address: str) -> None:
    """Count a request for a link by e-mail, by who asks; there is none by the e-mail address alone, by which one could lock others out."""
    here = place(address)
    count("reset-place", here, 20, HOUR)
    count("reset", f"{email.casefold()} {here}", 5, HOUR)


def letters(email: str) -> bool:
    """Whether one more letter with a link may go to an address: at most ten in an hour, whoever asks; the links sent before still hold."""
    try:
        count("letters", email.casefold(), 10, HOUR)
    except TooOften:
        return False
    return True


def read(whom: str, *, heavy: bool = False) -> None:
    """Count one read by who is signed in; refuse it where there were too many in this minute. Heavy reads are counted by themselves."""
    what, most = ("heavy-reads", settings.HEAVY_READS_A_MINUTE) if heavy else ("reads", settings.READS_A_MINUTE)
    if most <= 0:
        return
    now = time.time()
    minute = int(now // MINUTE)
    key = (minute, what, whom)
    if not _from_what_is_left(key) and not _from_the_shared(key, most):
        raise TooOften(OVER_HEAVY if heavy else OVER, max(1, math.ceil((minute + 1) * MINUTE - now)))


def _from_what_is_left(key: tuple[int, str, str]) -> bool:
    with _reading:
        left = _left.get(key)
        if left:
            _left[key] = left - 1
        return bool(left)


def _from_the_shared(key: tuple[int, str, str], most: int) -> bool:
    """Take a handful from the count that all processes share, and of it one read; False where there is none."""
    with _reading:
        if key in _left and (_left[key] is None or not settings.CACHE_URL):
            return False
        for old in [one for one in _left if one[0] != key[0]]:
            del _left[old]
            _alone.discard(old)
        if not settings.CACHE_URL:
            _left[key] = most - 1
            return True
    taken = _taken(key, most, max(1, most // HANDFULS))
    with _reading:
        # Another thread may have taken a handful meanwhile.
        left = _left.get(key) or 0
        _left[key] = left + taken - 1 if taken else left or None
    return taken > 0


def _taken(key: tuple[int, str, str], most: int, handful: int) -> int:
    """How many reads of a handful the shared count still had."""
    name = "-".join(("tries", key[1], hashlib.sha256(key[2].encode()).hexdigest(), str(key[0])))
    try:
        before = 0 if cache.add(name, handful, 2 * MINUTE) else cache.incr(name, handful) - handful
    except Exception:
        log.warning("Reads cannot be counted for all processes; this one counts its own.", exc_info=True)
        with _reading:
            known = key in _alone
            _alone.add(key)
        return 0 if known else most
    return max(0, min(handful, most - before))
