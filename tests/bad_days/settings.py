"""The program's settings, and kinds of job that misbehave; on a server the sweeper looks oftener, so that tests need not wait for it."""

from config.settings import *  # noqa: F403

INSTALLED_APPS = [*INSTALLED_APPS, "tests.bad_days.apps.BadDaysConfig"]  # noqa: F405
CELERY_BEAT_SCHEDULE = {"sweep": {**CELERY_BEAT_SCHEDULE["sweep"], "schedule": 1.0}}  # noqa: F405
