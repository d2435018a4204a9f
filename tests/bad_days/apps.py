"""Kinds of job that misbehave, for these tests only."""

import contextlib
import datetime as dt
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


def silent(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Take the steps, and never say how far it is."""
    return work(job, lambda *told: None)


def poison(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """End the process that does it, as a fault in a library would."""
    os.kill(os.getpid(), signal.SIGKILL)
    return {}, []


def endless(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Never end, and never say how far it is."""
    while True:
        time.sleep(STEP)


def deaf(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Never end, and forgive whatever is raised meanwhile, as a log, a cache or a library may."""
    while True:
        with contextlib.suppress(Exception):
            time.sleep(STEP)


def large(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Keep a file of a megabyte."""
    from surveys import jobs

    return {}, [jobs.keep_file(job, "large.bin", "application/octet-stream", b"x" * 1_000_000)]


def act(job: Any, progress: Any) -> tuple[Any, list[dict[str, Any]]]:
    """Write in steps of a tenth of a second, all in one act, as an import does; one called 'dies' ends its process right after."""
    from surveys import jobs, records
    from surveys.models import Space

    steps, name = int(job.params["steps"]), job.params["name"]
    with records.writing(job.created_by, job.project) as pen:
        pen.create([Space(project=job.project, number=name)])
        for step in range(steps):
            time.sleep(STEP)
            progress(step, steps, "Writing")
        jobs.conclude(job, {"made": name}, [])
    if name.startswith("dies"):
        os.kill(os.getpid(), signal.SIGKILL)
    return {"made": name}, []


class BadDaysConfig(AppConfig):
    """Puts the kinds in."""

    name = "tests.bad_days"

    def ready(self) -> None:
        """Long and quick steps, poison, what never ends, what is large, what writes; and shorter waits for what is dead or unheard."""
        from analysis.kinds import KINDS, Kind
        from surveys.jobs import doing, stopping
        from surveys.work import table

        takes = {"steps": str, "name": str}
        kinds = (
            ("steps", work),
            ("glance", work),
            ("silent", silent),
            ("poison", poison),
            ("endless", endless),
            ("deaf", deaf),
            ("large", large),
            ("act", act),
        )
        for name, does in kinds:
            KINDS[name] = Kind(name, "1", "see", name, takes, once=False, quick=name == "glance")
            table.TABLE[name] = does
        if "BAD_DAYS_LEASE" in os.environ:
            doing.LEASE = stopping.UNHEARD = dt.timedelta(seconds=float(os.environ["BAD_DAYS_LEASE"]))
