"""The Celery application; settings come from `config.settings`, names beginning CELERY_."""

import os
from typing import Any

from config.sqlite import use_current_sqlite

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
# Each job has a process of its own: threads of the linear algebra beneath numpy would only wait for each other's cores.
for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")
use_current_sqlite()

from celery import Celery  # noqa: E402  (SQLite must be chosen first)
from kombu.exceptions import ChannelError  # noqa: E402

app = Celery("undercoat")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["analysis"])


def unread(queue: str) -> int:
    """How many messages lie in a queue that no worker has taken."""
    with app.connection_for_read() as broker:
        # Not the default channel, which would wait for a broker that is away as long as that takes.
        channel: Any = broker.channel()
        try:
            return int(channel.queue_declare(queue, passive=True).message_count)
        except ChannelError:  # a queue of Redis is there only while something is in it
            return 0
