"""Settings, addresses and processes. The Celery application is named here so that tasks find it whoever imports them."""

from config.celery import app as celery_app

__all__ = ["celery_app"]
