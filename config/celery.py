"""The Celery application; settings come from `config.settings`, names beginning CELERY_."""

import os

from config.sqlite import use_current_sqlite

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
# Each job has a process of its own: threads of the linear algebra beneath numpy would only wait for each other's cores.
for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")
use_current_sqlite()

from celery import Celery  # noqa: E402  (SQLite must be chosen first)

app = Celery("undercoat")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["analysis"])
