"""Domain errors. Each is a sentence that the person at the screen can act on, and a code for programs; none knows HTTP."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with one field: `field` as the record names it ('' for the whole record), a code, a sentence."""

    field: str
    code: str
    detail: str
    row: int | None = None  # its place in a batch, counted from 0


class DomainError(Exception):
    """Something that was asked for and is refused."""

    code = "refused"
    # More for programs, beside the code.
    told: Mapping[str, Any] = {}

    def __init__(self, detail: str, *, code: str | None = None, faults: tuple[Fault, ...] = ()) -> None:
        super().__init__(detail)
        self.detail = detail
        self.code = code or self.code
        self.faults = faults


class NotFound(DomainError):
    """No such record, or one that the actor may not know of."""

    code = "not-found"


class Forbidden(DomainError):
    """The actor may see it, and may not do this to it."""

    code = "forbidden"


class Invalid(DomainError):
    """What was sent breaks a rule; `faults` name the fields."""

    code = "invalid"


class Conflict(DomainError):
    """It clashes with what the record already holds (a number taken, a ruling against another, something still cited)."""

    code = "conflict"


class Stale(DomainError):
    """Somebody changed the record meanwhile; `current` is the record as it now stands."""

    code = "stale"

    def __init__(self, detail: str, current: Any, *, row: int | None = None) -> None:
        super().__init__(detail)
        self.current = current
        self.row = row


class VersionMissing(DomainError):
    """A change that does not say which version it was made on."""

    code = "version-missing"


class TooLarge(DomainError):
    """Over a stated limit; the sentence names the limit."""

    code = "too-large"


class TooOften(DomainError):
    """Tried more often than is let; `seconds` says how long to wait."""

    code = "too-often"

    def __init__(self, detail: str, seconds: int) -> None:
        super().__init__(f"{detail} Wait {seconds} seconds and try again.")
        self.seconds = seconds


class Cancelled(DomainError):
    """The person stopped the job."""

    code = "cancelled"
