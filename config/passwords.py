"""What no password may be made of here, beside what Django refuses."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError

LEFT = 8


class NotTheProgramsName:
    """Refuse a password of which little is left without the name of the program and of the host on which it runs."""

    def validate(self, password: str, user: Any = None) -> None:
        """Raise a ValidationError where fewer than 8 characters are left."""
        left = password.casefold()
        for word in words():
            left = left.replace(word, "")
        if left != password.casefold() and len(left) < LEFT:
            raise ValidationError("This is little more than the name of the program or of its host. Add words that nobody expects.")

    def get_help_text(self) -> str:
        """What a person is told beforehand."""
        return "Your password must be more than the name of the program or of its host."


def words() -> list[str]:
    """The words, longest first: the program's name, and the parts of the host's name that say something."""
    host = settings.SITE_ADDRESS.partition("//")[2].partition("/")[0].partition(":")[0].casefold()
    return sorted({"undercoat", *(part for part in host.split(".") if len(part) >= 4)}, key=len, reverse=True)


class NotSoonGuessed:
    """Refuse a password that is long enough and yet common: one of those that people choose, a row of keys, a repeat, or little more.

    Source of the lists, of the estimate of guesses and of the bound: zxcvbn (D. L. Wheeler, USENIX Security 2016), in which fewer than 10^8
    guesses are 'somewhat guessable'.
    """

    GUESSES = 1e8
    LOOKED_AT = 72  # the library's most; what is longer is judged by its beginning

    def validate(self, password: str, user: Any = None) -> None:
        """Raise a ValidationError where fewer than 10^8 guesses are enough."""
        if not password:
            return  # too short, as another says; the library cannot take it
        # It loads its lists of words, which a program that starts does not need.
        from zxcvbn import zxcvbn

        named = [str(getattr(user, name, "") or "") for name in ("username", "name", "email")]
        found = zxcvbn(password[: self.LOOKED_AT], [*words(), *(word for word in named if word)])
        if found["guesses"] < self.GUESSES:
            why = found["feedback"]["warning"] or "It is made of what is tried first."
            raise ValidationError(f"This password would soon be guessed. {why.rstrip('.')}. Add words that nobody expects.")

    def get_help_text(self) -> str:
        """What a person is told beforehand."""
        return "Your password must not be one that would soon be guessed: a common one, a row of keys, a repeat."
