"""System checks for settings that contradict each other or cannot be safe."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning, register

from config import breaches, inside
from config.operations import backup


@register()
def the_mode_is_one_of_two(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """A mode that is misspelt would be the embedded one, without what a server needs."""
    if settings.MODE in ("embedded", "server"):
        return []
    return [Error(f"UNDERCOAT_MODE is 'embedded' or 'server', and not {settings.MODE!r}.", id="undercoat.E008")]


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
def proxies_are_counted(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """With a proxy that is not counted all people have its address, and any of them could have all others refused at sign-in."""
    if not settings.BEHIND_PROXY or settings.REST_FRAMEWORK["NUM_PROXIES"] > 0:
        return []
    text = "UNDERCOAT_BEHIND_PROXY says that there is a proxy: say in UNDERCOAT_PROXIES how many there are, one after the other."
    return [Error(text, id="undercoat.E012")]


@register()
def second_factor_is_one_of_two_words(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """A word that is misspelt must not mean 'optional'."""
    if settings.SECOND_FACTOR in ("optional", "required"):
        return []
    return [Error(f"UNDERCOAT_SECOND_FACTOR is 'optional' or 'required', and not {settings.SECOND_FACTOR!r}.", id="undercoat.E010")]


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


@register()
def breached_passwords_can_be_looked_up(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """The list of breached passwords, where one is named, can be read and is in order."""
    if not settings.BREACHED_PASSWORDS:
        return []
    fault = breaches.fault_of(Path(settings.BREACHED_PASSWORDS))
    return [Error(f"UNDERCOAT_BREACHED_PASSWORDS is no list that can be used: {fault}.", id="undercoat.E009")] if fault else []


@register()
def no_restore_was_cut_short(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """After a restore that was killed, files are missing from where they are looked for: nothing is to be served or saved so."""
    return [
        Error(
            f"A restore was cut short, and what lay in {settings.MEDIA_ROOT} lies in {left / backup.ASIDE}.",
            hint="Say `manage.py restore FILE.tar --replace` once more; or put the files back by hand, if the database is the one before.",
            id="undercoat.E011",
        )
        for left in backup.interrupted(Path(settings.MEDIA_ROOT))
    ]


@register(deploy=True)
def machines_know_of_each_other(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """What goes by the shared cache must reach all machines: files of one machine's folder do not."""
    if not settings.SERVER or settings.CACHE_URL:
        return []
    text = "UNDERCOAT_CACHE is not set: tries to sign in are counted by each machine alone, and an import is stopped from no other machine."
    return [Warning(text, hint="Name a Redis, as for UNDERCOAT_BROKER, with another number at the end.", id="undercoat.W003")]


@register(deploy=True)
def nobody_listens_between_machines(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """What goes to services on other machines goes by TLS, with certificates looked at, unless the network is said to be trusted."""
    if settings.TRUSTED_NETWORK:
        return []
    hint = "Or say UNDERCOAT_TRUSTED_NETWORK=true where nobody else can listen in the network between the machines."
    return [
        Warning(f"{name} leads to another machine without TLS that looks at certificates: {mend}.", hint=hint, id="undercoat.W002")
        for name, mend in inside.open_ways()
    ]
