"""Print a link by which somebody takes a new password, where there is no mail to send it by."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from surveys import people
from surveys.models import Person


class Command(BaseCommand):
    """The link of one person; hand it to nobody else."""

    help = "Print a link by which a person takes a new password, once, within a day; all sessions end then, and all tokens are revoked."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("username", help="the name that the person signs in with")
        here = settings.SITE_ADDRESS or "http://127.0.0.1:8000"
        parser.add_argument("--address", default=here, help="where the program is reached (default: %(default)s)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print it."""
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"Nobody signs in as '{options['username']}'.")
        if not person.is_active:
            raise CommandError(f"{person} may not sign in: the account is not active.")
        self.stdout.write(people.reset_link(person, options["address"]))
