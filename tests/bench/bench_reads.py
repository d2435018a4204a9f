"""What counting reads adds to a request: without, in memory (embedded) and shared by a Redis, turn about in one run.

Run: python -m tests.bench.bench_reads [--requests 2000]
It makes an empty database in a temporary folder and asks 'who am I' in this process, which is the shortest answer that there is.
"""

import argparse
import contextlib
import os
import statistics
import tempfile
import time

os.environ["UNDERCOAT_DATA"] = tempfile.mkdtemp(prefix="undercoat-bench-")
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
os.environ["UNDERCOAT_DISPATCHER"] = "tests.dispatch.forget"

import django

django.setup()

from django.core.cache.backends.redis import RedisCache
from django.core.management import call_command
from django.test import Client
from django.test.utils import override_settings

from surveys import throttling
from surveys.models import Person
from tests import services

GENEROUS = 10**9
TURNS = 20


def main() -> None:
    """Ask, turn about, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--requests", type=int, default=2000)
    each = parser.parse_args().requests // TURNS
    call_command("migrate", verbosity=0)
    client = Client(HTTP_HOST="localhost")
    client.force_login(Person.objects.create_user(username="reader", password="a-password-of-four-words", name="Reader"))
    with contextlib.ExitStack() as stack:
        redis = stack.enter_context(services.valkey())
        shared = RedisCache(redis, {})
        ways = {
            "not counted": override_settings(READS_A_MINUTE=0),
            "in memory": override_settings(READS_A_MINUTE=GENEROUS, CACHE_URL=""),
            "in Redis, 3,000 a minute": override_settings(READS_A_MINUTE=3000, CACHE_URL=redis),
        }
        took: dict[str, list[float]] = {name: [] for name in ways}
        throttling.cache = shared  # type: ignore[assignment]
        for _ in range(TURNS):
            for name, way in ways.items():
                with way:
                    throttling._left.clear()
                    shared.clear()
                    for _ in range(each):
                        started = time.perf_counter()
                        answer = client.get("/api/v1/me")
                        took[name].append(time.perf_counter() - started)
                        assert answer.status_code == 200
    for name, found in took.items():
        cuts = statistics.quantiles(found, n=100)
        print(f"{name:<26} median {1000 * statistics.median(found):.3f} ms, 95 of 100 within {1000 * cuts[94]:.3f} ms, n = {len(found)}")


if __name__ == "__main__":
    main()
