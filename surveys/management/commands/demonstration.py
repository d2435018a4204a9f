"""Load the demonstration project."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from surveys.errors import DomainError
from surveys.work import demonstration


class Command(BaseCommand):
    """`demonstration`."""

    help = "Load the demonstration project and print how its people sign in."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load it, once."""
        try:
            demonstration.load(self.stdout.write)
        except DomainError as refusal:
            raise CommandError(refusal.detail) from None
        for person in demonstration.sign_ins():
            self.stdout.write(f"{person['username']} {person['password']}")
