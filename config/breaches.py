"""Passwords that are known from breaches, looked up in a file that whoever runs the program has put there; nobody outside is asked.

The file is a list of SHA-1 digests in ascending order, one a line in upper-case hexadecimal, each optionally followed by ':' and how often
it was met. Such lists are published openly, to be downloaded whole; they have tens of gigabytes, so a password is sought by halving, in the
open file, and none of it is loaded.
"""

import hashlib
import logging
import re
from pathlib import Path
from typing import Any, BinaryIO, Final

from django.conf import settings
from django.core.exceptions import ValidationError

# Longer than any line: 40 digits, ':', a count, and the line's end.
LONGEST: Final = 80
LINE: Final = re.compile(rb"[0-9A-F]{40}(:[0-9]+)?\r?\n?")
SAMPLES: Final = 200
log = logging.getLogger(__name__)


class Breached:
    """Refuse a password that stands in the file of UNDERCOAT_BREACHED_PASSWORDS, where one is named."""

    def validate(self, password: str, user: Any = None) -> None:
        """Raise a ValidationError where it stands there. A list that cannot be read keeps nobody from a new password."""
        try:
            known = settings.BREACHED_PASSWORDS and holds(Path(settings.BREACHED_PASSWORDS), password)
        except OSError:
            log.exception("The list of breached passwords cannot be read; a password was not looked up in it.")
            return
        if known:
            raise ValidationError("This password is in lists that were stolen elsewhere, and is tried by who guesses. Choose another.")

    def get_help_text(self) -> str:
        """What a person is told beforehand."""
        return "Your password must not be one that is known from a breach elsewhere."


def holds(path: Path, password: str) -> bool:
    """Whether a password's digest stands in a file."""
    wanted = hashlib.sha1(password.encode(), usedforsecurity=False).hexdigest().upper().encode()
    with path.open("rb", buffering=0) as handle:
        # Whatever begins before `low` is less than what is wanted, whatever begins at `high` or after it is not.
        low, high = 0, handle.seek(0, 2)
        while low < high:
            middle = (low + high) // 2
            start, line = line_at(handle, middle)
            if start < high and line[:40] < wanted:
                low = start + len(line)
            else:
                high = middle
        return line_at(handle, low)[1][:40] == wanted


def line_at(handle: BinaryIO, place: int) -> tuple[int, bytes]:
    """The first line that begins at a place or after it: where, and what it says; nothing at the end of the file."""
    # From the byte before, since a line may begin just there.
    handle.seek(max(0, place - 1))
    found = handle.read(2 * LONGEST)
    skipped = 0 if place == 0 else found.find(b"\n") + 1
    if place and not skipped:
        return place - 1 + len(found), b""
    line, end, _ = found[skipped:].partition(b"\n")
    return max(0, place - 1) + skipped, line + end


def fault_of(path: Path) -> str:
    """What is wrong with a file as such a list, looked at in places spread over it; '' where nothing is."""
    try:
        with path.open("rb", buffering=0) as handle:
            size = handle.seek(0, 2)
            before = b""
            for turn in range(SAMPLES):
                start, line = line_at(handle, size * turn // SAMPLES)
                if start >= size and turn:
                    break
                if not LINE.fullmatch(line):
                    return f"at byte {start} there is no line of 40 digits of upper-case hexadecimal, with or without ':' and a count"
                if line[:40] < before:
                    return f"the line at byte {start} is less than one before it: the list must be in ascending order of the digests"
                before = line[:40]
    except OSError as error:
        return f"it cannot be read ({error.strerror})"
    return ""
