"""Letters by e-mail, on Django's mail back end."""

import logging

from django.conf import settings
from django.core.mail import send_mail

from surveys.models import Person

log = logging.getLogger(__name__)


def send(to: Person | str, subject: str, text: str) -> bool:
    """Send a letter to a person or an address; False if there is no address, or if it did not go out (which the log tells)."""
    address = to.email if isinstance(to, Person) else to
    if not address:
        return False
    try:
        send_mail(" ".join(subject.split()), text, settings.DEFAULT_FROM_EMAIL, [address])
    except OSError as error:  # no mail server, or one that refuses
        log.warning("A letter did not go out: %s", error)
        return False
    return True


def reaches_people() -> bool:
    """Whether letters leave the machine; until a mail server is named they are only written to the terminal."""
    return not settings.EMAIL_BACKEND.endswith(("console.EmailBackend", "dummy.EmailBackend"))
