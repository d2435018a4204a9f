"""What is done by the clock on a server."""

import pytest
from django.conf import settings

from analysis import tasks
from config.celery import app


@pytest.mark.parametrize("name", settings.CELERY_BEAT_SCHEDULE)
def test_what_the_clock_asks_for_is_a_task_and_is_forgotten_when_it_is_due_again(name):
    """Else they would pile up while workers are busy with long jobs, or away."""
    entry = settings.CELERY_BEAT_SCHEDULE[name]
    assert entry["task"] in app.tasks
    assert 0 < entry["options"]["expires"] <= entry["schedule"]


def test_the_sweep_waits_behind_no_long_job():
    assert settings.CELERY_BEAT_SCHEDULE["sweep"]["options"]["queue"] == tasks.QUICK
