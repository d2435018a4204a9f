"""How much the program does, in the text form that Prometheus and its kin read (OpenMetrics).

Requests are counted by route, never by address, so that no project's code comes into a metric. With several web processes on a machine, set
PROMETHEUS_MULTIPROC_DIR to an empty folder, as prometheus_client documents.
"""

import hmac
import logging
import os
import time
from collections.abc import Callable, Iterable
from typing import Final

from django.conf import settings
from django.db import DatabaseError
from django.db.models import Count, Min
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Histogram, generate_latest, multiprocess
from prometheus_client.core import GaugeMetricFamily, Metric

from surveys.models import Job

REQUESTS: Final = Counter("undercoat_requests", "Requests answered.", ("method", "route", "status"))
log = logging.getLogger(__name__)
BUCKETS: Final = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
SECONDS: Final = Histogram(
    "undercoat_request_seconds",
    "How long requests took.",
    ("method", "route"),
    buckets=BUCKETS,
)


class Measured:
    """Middleware: counts and times each request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and take note."""
        started = time.perf_counter()
        response = self.get_response(request)
        match = request.resolver_match
        route = str(match.route) if match else "none"
        method = request.method if request.method in ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS") else "other"
        SECONDS.labels(method, route).observe(time.perf_counter() - started)
        REQUESTS.labels(method, route, response.status_code).inc()
        return response


class Jobs:
    """Jobs by kind and state, and how long the longest waits, read from their rows when asked."""

    def collect(self) -> Iterable[Metric]:
        """The metrics, from one query each."""
        held = GaugeMetricFamily("undercoat_jobs", "Jobs that wait or are under way.", labels=("kind", "state"))
        for row in Job.objects.filter(state__in=("queued", "running")).values("kind", "state").annotate(n=Count("pk")):
            held.add_metric((row["kind"], row["state"]), row["n"])
        yield held
        oldest = Job.objects.filter(state="queued").aggregate(first=Min("created_at"))["first"]
        waits = (timezone.now() - oldest).total_seconds() if oldest else 0
        yield GaugeMetricFamily("undercoat_longest_wait_seconds", "How long the longest waiting job has waited.", value=waits)


@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """The metrics, for who names the token of the settings; without one in the settings there are none."""
    given = request.headers.get("Authorization", "")
    if not settings.METRICS_TOKEN or not hmac.compare_digest(given.encode(), f"Bearer {settings.METRICS_TOKEN}".encode()):
        raise Http404
    if "PROMETHEUS_MULTIPROC_DIR" in os.environ:  # prometheus_client reads it from there itself
        counted = CollectorRegistry()
        multiprocess.MultiProcessCollector(counted)
    else:
        from prometheus_client import REGISTRY

        counted = REGISTRY
    rows = CollectorRegistry()
    rows.register(Jobs())
    told = generate_latest(counted)
    try:
        told += generate_latest(rows)
    except DatabaseError:
        # How requests fare is looked at most when the database does not answer.
        log.warning("Jobs cannot be counted.", exc_info=True)
    return HttpResponse(told, content_type=CONTENT_TYPE_LATEST)
