"""Four workers that send the daily e-mails at once. Prints how many went out. Run by test_digest in its own process."""

import datetime as dt
import os
import threading

from config.sqlite import use_current_sqlite

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
use_current_sqlite()

import django  # noqa: E402

django.setup()

from django.conf import settings  # noqa: E402
from django.core import mail as outbox  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.db.models import F  # noqa: E402

from surveys import records  # noqa: E402
from surveys.models import Person, Seen, Space  # noqa: E402
from surveys.work import digest  # noqa: E402

MANY = 4


def main() -> None:
    """Prepare, race, print."""
    call_command("migrate", verbosity=0)
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    outbox.outbox = []
    writer, reader = (
        Person.objects.create(username=name, name=name, password="!", email=email)
        for name, email in (("writer", ""), ("reader", "reader@example.org"))
    )
    project = records.create_project(writer, {"code": "RACE", "name": "Race"})
    records.add_member(writer, project, reader.username, "owner", "ownership")
    digest.send_due()
    Seen.objects.update(digest_at=F("digest_at") - dt.timedelta(days=1))
    records.create(writer, project, Space, {"number": "1"})
    start, sent = threading.Barrier(MANY), []

    def work() -> None:
        start.wait()
        sent.append(digest.send_due())
        connection.close()

    workers = [threading.Thread(target=work) for _ in range(MANY)]
    for one in workers:
        one.start()
    for one in workers:
        one.join()
    print("sent", sum(sent), "by", len(sent), "workers", "letters", len(outbox.outbox))


if __name__ == "__main__":
    main()
