"""Four who sign in with one code at once: a telephone's, then a recovery code. Prints how they were answered; run by test_second_factor."""

from tests.surveys.api.race_accepting import MANY, at_once, call_command  # first: it sets Django up

# isort: split
from types import SimpleNamespace

from django.conf import settings
from django_otp.plugins.otp_totp import models
from django_otp.plugins.otp_totp.models import TOTPDevice

from surveys import second_factor
from surveys.models import Person


def main() -> None:
    """Prepare, race, print."""
    call_command("migrate", verbosity=0)
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.OTP_TOTP_THROTTLE_FACTOR = 0  # otherwise the others would be told to wait
    person = Person.objects.create_user(username="racer", name="Racer", password="not-a-real-secret")
    TOTPDevice.objects.create(user=person, name="telephone", key=b"12345678901234567890".hex())
    recovery = second_factor._fresh_codes(person)
    # RFC 4226, appendix D, of the second half minute.
    models.time = SimpleNamespace(time=lambda: 30)
    for code in ("287082", recovery[0]):
        print(*at_once("session", [{"username": "racer", "password": "not-a-real-secret", "code": code}] * MANY))


if __name__ == "__main__":
    main()
