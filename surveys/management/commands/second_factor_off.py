"""Turn off the second factor of somebody whose telephone and recovery codes are lost."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from surveys import second_factor
from surveys.models import Person


class Command(BaseCommand):
    """The second factor of one person."""

    help = (
        "Turn off a person's second factor, when telephone and recovery codes are lost. First make sure that it is he who asks, as surely "
        "as when he was let in: face to face, or by calling a number that you know. A letter proves nothing. All his sessions end."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("username", help="the name that the person signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        """Turn it off; the person is told by a letter."""
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"Nobody signs in as '{options['username']}'.")
        if not second_factor.remove(person):
            raise CommandError(f"{person} has no second factor.")
        self.stdout.write(f"{person} signs in by name and password alone now, and can set up a second factor again.")
