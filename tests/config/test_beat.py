"""What is done by the clock on a server."""

import datetime as dt

import pytest
from celery.contrib.testing.mocks import TaskMessage
from celery.worker.request import Request
from django.conf import settings

from analysis import tasks
from config.celery import app


@pytest.mark.parametrize("name", settings.CELERY_BEAT_SCHEDULE)
def test_what_the_clock_asks_for_is_a_task_and_is_forgotten_before_many_pile_up(name):
    """While workers are busy with long jobs, or away."""
    entry = settings.CELERY_BEAT_SCHEDULE[name]
    assert entry["task"] in app.tasks
    assert 0 < entry["options"]["expires"] / entry["schedule"] <= 60


@pytest.mark.parametrize("name", settings.CELERY_BEAT_SCHEDULE)
def test_a_worker_whose_clock_is_ten_minutes_ahead_of_the_beats_does_it_all_the_same(name):
    entry = settings.CELERY_BEAT_SCHEDULE[name]
    sent = dt.datetime.now(dt.UTC) - dt.timedelta(minutes=10)
    until = sent + dt.timedelta(seconds=entry["options"]["expires"])
    message = TaskMessage(entry["task"], expires=until.isoformat())
    assert not Request(message, app=app, task=app.tasks[entry["task"]]).maybe_expire()


def test_the_sweep_waits_behind_no_long_job():
    assert settings.CELERY_BEAT_SCHEDULE["sweep"]["options"]["queue"] == tasks.QUICK
