"""The ways to the services that the program needs: which of them leave this machine without TLS that looks at certificates."""

import ipaddress
from collections.abc import Iterator
from typing import Final
from urllib.parse import parse_qs, urlsplit

from django.conf import settings

UNVERIFIED: Final = ("none", "optional", "cert_none", "cert_optional")


def open_ways() -> Iterator[tuple[str, str]]:
    """The setting of each way that somebody on the network could listen to or pose at the end of, and what would mend it."""
    database = settings.DATABASES["default"]
    options = database.get("OPTIONS", {})
    if elsewhere(*str(database.get("HOST") or options.get("host") or "").split(",")) and options.get("sslmode") != "verify-full":
        yield "DATABASE_URL", "end it in ?sslmode=verify-full&sslrootcert=system, or name the file of your own authority"
    for name, address in (("UNDERCOAT_BROKER", settings.CELERY_BROKER_URL), ("UNDERCOAT_CACHE", settings.CACHE_URL)):
        if _is_open(address):
            yield name, "begin it with rediss://, and say no ssl_cert_reqs but required"
    by_tls = settings.EMAIL_USE_TLS or settings.EMAIL_USE_SSL
    if settings.EMAIL_BACKEND.endswith("smtp.EmailBackend") and elsewhere(settings.EMAIL_HOST) and not by_tls:
        yield "UNDERCOAT_MAIL", "begin it with smtp+tls:// or smtp+ssl://"
    if settings.S3_BUCKET and settings.S3_ENDPOINT.startswith("http://") and elsewhere(urlsplit(settings.S3_ENDPOINT).hostname or ""):
        yield "UNDERCOAT_S3_ENDPOINT", "begin it with https://"


def elsewhere(*hosts: str) -> bool:
    """Whether one of several hosts is another machine: no name of this one, no loopback address, no socket in a folder."""
    return any(not _here(host.strip().casefold()) for host in hosts)


def _here(host: str) -> bool:
    if not host or host.startswith("/") or host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def _is_open(addresses: str) -> bool:
    """Whether one of the addresses of a Redis (of several, as of sentinels, with ';' between) goes elsewhere in the open."""
    for address in addresses.split(";"):
        split = urlsplit(address.strip())
        if not split.scheme or split.scheme in ("filesystem", "redis+socket", "unix") or not elsewhere(split.hostname or ""):
            continue
        asked = [word.casefold() for word in parse_qs(split.query).get("ssl_cert_reqs", [])]
        if split.scheme != "rediss" or any(word in UNVERIFIED for word in asked):
            return True
    return False
