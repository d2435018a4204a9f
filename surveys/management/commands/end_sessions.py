"""End the sessions of somebody who stays: a lost laptop, a browser left open elsewhere."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from surveys import sessions, tokens
from surveys.models import Person


class Command(BaseCommand):
    """The sessions of one person, and if wished his tokens."""

    help = "End all sessions of a person, who may sign in again at once. Who knows his password may too: to keep him out, see reset_link."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("username", help="the name that the person signs in with")
        parser.add_argument("--tokens", action="store_true", help="revoke all tokens too")

    def handle(self, *args: Any, **options: Any) -> None:
        """End them, and say how many."""
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"Nobody signs in as '{options['username']}'.")
        told = f"Sessions of {person} ended: {sessions.end_all(person)}."
        if options["tokens"]:
            told += f" Tokens revoked: {tokens.revoke_all(person)}."
        self.stdout.write(told)
