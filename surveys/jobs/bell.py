"""The bell: a message to the workers that there is something to do."""

import logging

from django.conf import settings
from django.utils.module_loading import import_string

from analysis.kinds import KINDS
from surveys.models import Job

log = logging.getLogger(__name__)


def is_quick(job: Job) -> bool:
    """Whether somebody waits for a job of its kind at the screen."""
    return job.kind in KINDS and KINDS[job.kind].quick


def ring(job: Job) -> None:
    """Tell a worker that there is something to do. If nobody hears, the sweeper rings again."""
    try:
        import_string(settings.JOB_DISPATCHER)(str(job.pk), is_quick(job))
    except Exception:
        log.warning("Could not ring for job %s; the sweeper will.", job.pk, exc_info=True)
