"""On SQLite one writes at a time, and an import may for a minute: who only reads meanwhile is answered at once."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
READS = """
import json, sqlite3, time
from django.conf import settings
from django.test import Client
from django.utils import timezone
from surveys import tokens
from surveys.api.authentication import GRAIN, SEEN
from surveys.models import Person, Session, Token

settings.ALLOWED_HOSTS.append("testserver")
person = Person.objects.create_user(username="cora", password="not-a-real-secret", name="Cora")
script, browser = Client(headers={"Authorization": f"Token {tokens.make(person, 'x')[1]}"}), Client()
signed = {"username": "cora", "password": "not-a-real-secret"}
assert browser.post("/api/v1/session", signed, content_type="application/json").status_code == 200
session = browser.session
session[SEEN] = long_ago = int(time.time()) - GRAIN - 60
session.save()

def read():
    answers = [one.get("/api/v1/me").status_code for one in (script, browser)]
    return [*answers, Token.objects.get().last_used_at is not None, Session.objects.get().get_decoded()[SEEN] > long_ago]

writer = sqlite3.connect(settings.DATABASES["default"]["NAME"], isolation_level=None)
writer.execute("BEGIN IMMEDIATE")
during = read()
writer.execute("ROLLBACK")
print(json.dumps([during, read()]))
"""


@pytest.mark.skipif(bool(os.environ.get("UNDERCOAT_TEST_SERVICES")), reason="PostgreSQL has many writers")
def test_that_a_token_or_a_session_was_used_is_noted_when_nobody_is_kept_waiting_by_it(tmp_path):
    given = {**os.environ, "UNDERCOAT_DATA": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path / 'undercoat.sqlite3'}"}
    for arguments in (("migrate", "-v0"), ("shell", "-v0", "-c", READS)):
        command = [sys.executable, str(ROOT / "manage.py"), *arguments]
        done = subprocess.run(command, cwd=ROOT, env=given, capture_output=True, text=True, timeout=120)
        assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout.splitlines()[-1]) == [[200, 200, False, False], [200, 200, True, True]]
