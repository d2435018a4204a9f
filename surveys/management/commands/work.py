"""A worker on the embedded default: it does jobs until the process that started it goes away."""

import logging
import os
import signal
import sys
import threading
import warnings
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand


def stop_at_end_of_input() -> None:
    """End this worker when whoever holds the other end of its standard input is gone, however that came about."""
    while os.read(0, 1024):
        pass
    os.kill(os.getpid(), signal.SIGTERM)


class Command(BaseCommand):
    """`work [--watch-input] [--queue quick|long]`."""

    help = "Do jobs. `serve` starts this by itself; on servers, start Celery workers as README says."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("--watch-input", action="store_true", help="stop when standard input ends")
        parser.add_argument("--processes", type=int, default=2)
        parser.add_argument("--queue", choices=("quick", "long"), help="serve only what somebody waits for, or all else; both, if not said")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run until stopped."""
        from config import celery_app

        if options["watch_input"]:
            threading.Thread(target=stop_at_end_of_input, daemon=True).start()
        # Prefork keeps long computing out of each other's way; Windows has none.
        pool = ["-P", "solo"] if sys.platform == "win32" else ["-P", "prefork", "-c", str(options["processes"])]
        # On one machine there is nobody to gossip with, and the person at the terminal wants the address, not a banner.
        warnings.filterwarnings("ignore", message="You're running the worker with superuser privileges")
        logging.getLogger("kombu.connection").setLevel(logging.ERROR)
        queue = options["queue"]
        served = ["-Q", queue, "-n", f"{queue}@%h"] if queue else []
        quiet = ["--without-gossip", "--without-mingle", "--without-heartbeat", "-l", "WARNING"]
        celery_app.worker_main(["--quiet", "worker", *pool, *served, *quiet])
