"""The WSGI application, for waitress (embedded) and gunicorn (server mode)."""

import os

from config.sqlite import use_current_sqlite

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
use_current_sqlite()

from django.core.wsgi import get_wsgi_application  # noqa: E402  (SQLite must be chosen first)

application = get_wsgi_application()
