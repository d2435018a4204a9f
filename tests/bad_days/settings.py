"""The program's settings, and kinds of job that misbehave."""

from config.settings import *  # noqa: F403

INSTALLED_APPS = [*INSTALLED_APPS, "tests.bad_days.apps.BadDaysConfig"]  # noqa: F405
