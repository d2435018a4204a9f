"""Send the daily e-mails that are due. `serve` and the workers' schedule do it by themselves."""

from typing import Any

from django.core.management.base import BaseCommand

from surveys.work import digest


class Command(BaseCommand):
    """`digest`."""

    help = "Send what is new by e-mail to everybody whose e-mail of the day is due."

    def handle(self, *args: Any, **options: Any) -> None:
        """Send them, and say how many went out."""
        self.stdout.write(f"{digest.send_due()} e-mails sent.")
