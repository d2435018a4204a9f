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
