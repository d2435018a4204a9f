"""Start the program on its embedded default: pages, interface and worker, on this machine, with no other server."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import close_old_connections, connection

from config.celery import unread
from config.operations import alone
from config.sqlite import take_stock
from surveys import idempotency, jobs, sendings, sessions
from surveys.models import Project
from surveys.work import demonstration, digest, pictures

SWEEP_SECONDS = 15
TIDY_SECONDS = 3600
POST_SECONDS = 600
# A job cut short is done again at the next start; nothing of it was stored.
GRACE_SECONDS = 4


class Worker:
    """A worker process for one queue: started, started again when it dies, stopped with all its children."""

    def __init__(self, queue: str, processes: int) -> None:
        self.command = [
            sys.executable, str(settings.BASE_DIR / "manage.py"), "work", "--watch-input", "--queue", queue, "--processes", str(processes),
        ]  # fmt: skip
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start the process. It watches its standard input, so that it ends even when this process is killed."""
        self.process = subprocess.Popen(self.command, stdin=subprocess.PIPE, start_new_session=True)  # noqa: S603

    def revive(self) -> None:
        """Start it again if it has died."""
        if self.process is not None and self.process.poll() is not None:
            self._end_group()
            self.start()

    def end(self) -> None:
        """Ask it to end."""
        if self.process is not None:
            self.process.terminate()

    def make_sure(self) -> None:
        """Make it end, with its children."""
        if self.process is not None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.process.wait(GRACE_SECONDS)
            self._end_group()

    def _end_group(self) -> None:
        assert self.process is not None
        if hasattr(os, "killpg"):
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


class Workers:
    """The workers of this machine, one for what somebody waits for and one for long work; and what has to be looked after now and then."""

    def __init__(self) -> None:
        self.stopping = threading.Event()
        self.all = (Worker("quick", 1), Worker("long", 2))

    def start(self) -> None:
        """Start them, and the watch over them."""
        for worker in self.all:
            worker.start()
        for watch in (self._watch, self._post):
            threading.Thread(target=watch, daemon=True).start()

    def stop(self) -> None:
        """Ask all to end, and make them."""
        self.stopping.set()
        for worker in self.all:
            worker.end()
        for worker in self.all:
            worker.make_sure()

    def _watch(self) -> None:
        """Start again what has died, and sweep for jobs left lying, until stopped."""
        swept = tidied = time.monotonic()
        while not self.stopping.wait(1):
            with self._told("watch over jobs"):
                for worker in self.all:
                    worker.revive()
                jobs.release(_is_gone)
                if time.monotonic() - swept > SWEEP_SECONDS:
                    swept = time.monotonic()
                    jobs.sweep(lambda quick: unread("quick" if quick else "long"))
                if time.monotonic() - tidied > TIDY_SECONDS:
                    tidied = time.monotonic()
                    idempotency.forget_old()
                    sendings.forget_old()
                    take_stock(connection)
                    pictures.tidy()
                    sessions.tidy()

    def _post(self) -> None:
        """Send the daily e-mails when they are due; in a thread of its own, as a slow mail server must keep no job waiting."""
        while not self.stopping.wait(POST_SECONDS):
            with self._told("daily e-mails"):
                digest.send_due()

    @contextlib.contextmanager
    def _told(self, what: str) -> Iterator[None]:
        try:
            yield
        except Exception as error:
            sys.stderr.write(f"The {what} met: {error}\n")
        finally:
            close_old_connections()


def _is_gone(worker: str) -> bool:
    """Whether a worker of this machine, 'host:process', has ended. Of one elsewhere only its lease can tell."""
    host, _, process = worker.rpartition(":")
    if host != socket.gethostname() or not process.isdigit() or sys.platform == "win32":
        return False
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return True
    except PermissionError:
        return False
    return False


class Command(BaseCommand):
    """`serve [--port 8000] [--no-demo]`."""

    help = "Start the program: pages, interface and worker."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what the command takes."""
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-demo", action="store_true", help="do not load the demonstration into an empty database")

    def handle(self, *args: Any, **options: Any) -> None:
        """Serve until stopped, if nothing else does on the same data."""
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, _stop)
        listening = self._listen(options["host"], options["port"])
        try:
            with alone.on(Path(settings.DATA_DIR)):
                self._run(listening, demo=not options["no_demo"])
        except alone.NotAlone as refusal:
            raise CommandError(str(refusal)) from None
        self._say("Stopped. All that was saved is in " + str(settings.DATA_DIR))

    def _run(self, listening: socket.socket, *, demo: bool) -> None:
        """Set up, start the worker, serve until stopped."""
        workers = Workers()
        try:
            call_command("migrate", verbosity=0, interactive=False)
            take_stock(connection, of_all=True)
            if demo and not Project.objects.exists():
                demonstration.load(self._say)
            jobs.sweep(at_start=True)
            workers.start()
            # Who comes as soon as the address is told waits, and is not turned away while the server is still being loaded.
            listening.listen()
            self._welcome(listening)
            self._serve(listening)
        except KeyboardInterrupt:
            pass
        finally:
            self._say("Stopping.")
            workers.stop()
            listening.close()

    def _listen(self, host: str, port: int) -> socket.socket:
        listening = socket.socket(socket.AF_INET)
        if sys.platform != "win32":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, port))
        except OSError as error:
            text = f"Port {port} on {host} cannot be used ({error.strerror}). Stop what uses it, or say: make run PORT={port + 1}"
            raise CommandError(text) from None
        return listening

    def _serve(self, listening: socket.socket) -> None:
        from waitress import create_server

        from config.wsgi import application

        server = create_server(application, sockets=[listening], threads=8, max_request_body_size=settings.UPLOAD_MAX_BYTES + 1_000_000)
        server.run()

    def _welcome(self, listening: socket.socket) -> None:
        host, port = listening.getsockname()
        self._say(f"Undercoat is at http://{host}:{port}/")
        for person in demonstration.sign_ins():
            self._say(f"  {person['username']:<14} {person['password']:<22} {person['name']}, {person['role']} ({person['discipline']})")
        self._say("Stop it with Ctrl+C.")

    def _say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()


def _stop(*_: Any) -> None:
    raise KeyboardInterrupt
