"""How often something may be tried: counts of a short while that all processes share (the default cache: in Redis, or else in files).

Sign-in is counted by name and address together, so that nobody is locked out by what others try in his name elsewhere, and by address
alone, so that nobody tries many names from one place. A name alone is never counted.
"""

import hashlib
import ipaddress
import threading
import time
from typing import Final

from django.core.cache import cache

from surveys.errors import TooOften

MINUTE: Final = 60
HOUR: Final = 3600
# A cache in files counts by reading and writing; the threads of one server take turns.
_turn: Final = threading.Lock()


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
