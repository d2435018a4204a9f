"""Kinds of job that misbehave, for these tests only."""

import os
import signal
import time
from typing import Any

from django.apps import AppConfig

STEP = 0.1


def work(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Take so many steps of a tenth of a second, and put down that it was done: once a time that it is done."""
    from django.conf import settings

    steps = int(job.params["steps"])
    for step in range(steps):
        time.sleep(STEP)
        progress(step, steps, "Stepping")
    with (settings.DATA_DIR / "done.txt").open("a") as book:
        book.write(f"{job.pk}\n")
    return {"attempt": job.attempt}, []


def poison(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """End the process that does it, as a fault in a library would."""
    os.kill(os.getpid(), signal.SIGKILL)
    return {}, []


def endless(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Never end, and never say how far it is."""
    while True:
        time.sleep(STEP)


def large(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Keep a file of a megabyte."""
    from surveys import jobs

    return {}, [jobs.keep_file(job, "large.bin", "application/octet-stream", b"x" * 1_000_000)]


class BadDaysConfig(AppConfig):
    """Puts the kinds in."""

    name = "tests.bad_days"

    def ready(self) -> None:
        """Long and quick steps, poison, what never ends, and what is large."""
        from analysis.kinds import KINDS, Kind
        from surveys.work import table

        takes = {"steps": str, "name": str}
        for name, does in (("steps", work), ("glance", work), ("poison", poison), ("endless", endless), ("large", large)):
            KINDS[name] = Kind(name, "1", "see", name, takes, once=False, quick=name == "glance")
            table.TABLE[name] = does
