"""What a job says, and is told, while the act that it writes in keeps its own row from everybody else.

Until an act commits nobody sees how far it is, and on SQLite nobody can write that it shall stop. So both go by the shared cache as well.
The job's row stays the truth: what lies here is gone in a while, and where the cache does not answer a job is only quieter.
"""

import logging
from typing import Any, Final

from django.core.cache import caches

# How long progress is worth showing, and how long a wish to stop may wait for the job's next step.
SHOWN: Final = 120
WISH: Final = 3600
log = logging.getLogger(__name__)


def _key(what: str, job_id: Any) -> str:
    return f"job-{what}-{job_id}"


def say(job_id: Any, attempt: int, done: int, total: int, now: str) -> None:
    """Say how far a job is."""
    try:
        caches["presence"].set(_key("progress", job_id), {"attempt": attempt, "done": done, "total": total, "now": now}, SHOWN)
    except Exception:
        log.warning("The progress of job %s could not be told.", job_id, exc_info=True)


def unsay(job_id: Any) -> None:
    """Its row tells again how far it is."""
    try:
        caches["presence"].delete(_key("progress", job_id))
    except Exception:
        log.warning("The progress of job %s could not be taken back.", job_id, exc_info=True)


def said(job_id: Any, attempt: int) -> dict[str, Any] | None:
    """How far a job is by its own word: done, total, now; None if it said nothing since its row was written."""
    try:
        found: dict[str, Any] | None = caches["presence"].get(_key("progress", job_id))
    except Exception:
        log.warning("The progress of job %s could not be asked for.", job_id, exc_info=True)
        return None
    return {name: found[name] for name in ("done", "total", "now")} if found and found["attempt"] == attempt else None


def wish(job_id: Any) -> None:
    """Somebody who may wants a job to stop."""
    try:
        caches["presence"].set(_key("stop", job_id), True, WISH)
    except Exception:
        log.warning("That job %s shall stop could not be told by the cache.", job_id, exc_info=True)


def wished(job_id: Any) -> bool:
    """Whether somebody wants it to stop."""
    try:
        return bool(caches["presence"].get(_key("stop", job_id)))
    except Exception:
        log.warning("Whether job %s shall stop could not be asked for.", job_id, exc_info=True)
        return False
