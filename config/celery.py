"""The Celery application; settings come from `config.settings`, names beginning CELERY_."""

import os

from config.sqlite import use_current_sqlite

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
use_current_sqlite()

from celery import Celery  # noqa: E402  (SQLite must be chosen first)

app = Celery("undercoat")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["analysis"])
