"""System checks for settings that contradict each other or cannot be safe."""

from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning, register


@register()
def server_mode_is_whole(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """Server mode needs a secret of its own, a shared database and a shared broker."""
    if not settings.SERVER:
        return []
    faults: list[CheckMessage] = []
    if len(settings.SECRET_KEY) < 50:
        faults.append(Error("Set UNDERCOAT_SECRET_KEY to a random text of 50 characters or more.", id="undercoat.E001"))
    if settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        faults.append(Error("Server mode needs DATABASE_URL to name a PostgreSQL database.", id="undercoat.E002"))
    if settings.CELERY_BROKER_URL == "filesystem://":
        faults.append(Error("Server mode needs UNDERCOAT_BROKER to name a Redis server.", id="undercoat.E003"))
    if settings.DEBUG:
        faults.append(Error("UNDERCOAT_DEBUG must be off in server mode: it shows settings to visitors.", id="undercoat.E004"))
    if "*" in settings.ALLOWED_HOSTS:
        faults.append(Error("UNDERCOAT_HOSTS must name hosts: any name would do for links in letters otherwise.", id="undercoat.E006"))
    if settings.SITE_ADDRESS and not settings.SITE_ADDRESS.startswith("https://"):
        faults.append(Error("UNDERCOAT_ADDRESS must begin with https:// on a server: links in letters bear secrets.", id="undercoat.E007"))
    return faults


@register()
def letters_have_an_hour(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """The hour of the daily e-mail is one of a day."""
    if 0 <= settings.DIGEST_HOUR <= 23:
        return []
    return [Error("UNDERCOAT_DIGEST_HOUR is the hour (UTC) of the daily e-mail: a number from 0 to 23.", id="undercoat.E005")]


@register()
def sqlite_is_sound(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """Warn of a SQLite that can corrupt a write-ahead log under two writers (fixed in 3.51.3, 3.50.7 and 3.44.6)."""
    if not settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        return []
    import sqlite3  # the one that Django uses: config.sqlite has put it in place

    version = sqlite3.sqlite_version_info
    mended = version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)
    if mended:
        return []
    text = f"SQLite {sqlite3.sqlite_version} can damage its write-ahead log when two processes write at once."
    return [Warning(text, hint="Install pysqlite3, or a system SQLite of 3.51.3 or later.", id="undercoat.W001")]
