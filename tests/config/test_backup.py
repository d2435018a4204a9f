"""A backup is taken while people work, is whole, and gives the installation back; a damaged one changes nothing. With real processes."""

import io
import json
import os
import sqlite3
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PREPARE = """
from surveys import jobs, records
from surveys.models import Person, Space
person = Person.objects.create_user(username="cora", password="not-a-real-secret", name="Cora")
project = records.create_project(person, {"code": "HALL", "name": "The hall"})
records.create(person, project, Space, {"number": "1"})
jobs.upload(person, project, "a.xlsx", b"what was brought")
"""
MORE = """
from surveys import jobs, records
from surveys.models import Person, Project, Space
person, project = Person.objects.get(), Project.objects.get()
records.create(person, project, Space, {"number": "2"})
jobs.upload(person, project, "b.xlsx", b"what came later")
"""
TELL = """
from surveys.models import Change, Space, Upload
files = [upload.file.read() for upload in Upload.objects.order_by("name")]
print(sorted(Space.objects.values_list("number", flat=True)), Change.objects.count(), files)
"""


def manage(data: Path, *arguments: str, fails: bool = False) -> str:
    """Run a command on a data folder of its own, always on the embedded database."""
    given = {**os.environ, "UNDERCOAT_DATA": str(data), "DATABASE_URL": f"sqlite:///{data / 'undercoat.sqlite3'}"}
    command = [sys.executable, str(ROOT / "manage.py"), *arguments]
    done = subprocess.run(command, cwd=ROOT, env=given, capture_output=True, text=True, timeout=120)
    assert (done.returncode != 0) is fails, done.stdout + done.stderr
    assert "Traceback" not in done.stderr, done.stderr
    return done.stdout + done.stderr


@pytest.fixture
def house(tmp_path) -> Path:
    data = tmp_path / "data"
    manage(data, "migrate", "-v0")
    manage(data, "shell", "-v0", "-c", PREPARE)
    return data


@pytest.fixture
def saved(house, tmp_path) -> Path:
    out = tmp_path / "saved.tar"
    assert "read back and whole" in manage(house, "backup", str(out))
    return out


def test_what_was_saved_comes_back_and_what_came_later_is_gone(house, saved):
    before = manage(house, "shell", "-v0", "-c", TELL)
    manage(house, "shell", "-v0", "-c", MORE)
    assert manage(house, "shell", "-v0", "-c", TELL) != before
    manage(house, "restore", str(saved), "--replace")
    assert manage(house, "shell", "-v0", "-c", TELL) == before
    assert before == "['1'] 3 [b'what was brought']\n"


def test_it_comes_back_into_an_empty_installation_elsewhere(house, saved, tmp_path):
    there = tmp_path / "elsewhere"
    manage(there, "restore", str(saved))
    assert manage(there, "shell", "-v0", "-c", TELL) == manage(house, "shell", "-v0", "-c", TELL)


def test_projects_that_are_here_are_not_replaced_unasked(house, saved):
    before = manage(house, "shell", "-v0", "-c", TELL)
    assert "--replace" in manage(house, "restore", str(saved), fails=True)
    assert manage(house, "shell", "-v0", "-c", TELL) == before


def test_a_backup_is_never_overwritten(house, saved):
    held = saved.read_bytes()
    assert "exists already" in manage(house, "backup", str(saved), fails=True)
    assert saved.read_bytes() == held


def test_a_backup_holds_the_moment_at_which_it_was_taken_though_somebody_writes_meanwhile(house, tmp_path):
    # A writer that holds its transaction open: what it has not committed is not in the backup, and the backup does not wait for it.
    writer = sqlite3.connect(house / "undercoat.sqlite3", isolation_level=None)
    writer.execute("BEGIN IMMEDIATE")
    writer.execute("UPDATE surveys_space SET number = 'uncommitted'")
    manage(house, "backup", str(tmp_path / "during.tar"))
    writer.execute("ROLLBACK")
    writer.close()
    there = tmp_path / "there"
    manage(there, "restore", str(tmp_path / "during.tar"))
    assert manage(there, "shell", "-v0", "-c", TELL).startswith("['1']")


def rewritten(saved: Path, change) -> Path:
    """A copy of a backup with some parts altered, added (name new) or left out (None)."""
    out = saved.with_name("altered.tar")
    with tarfile.open(saved) as source, tarfile.open(out, "w") as target:
        held = {member.name: source.extractfile(member).read() for member in source}
        for name, content in {**held, **change(held)}.items():
            if content is not None:
                info = tarfile.TarInfo(name)
                info.size = len(content)
                target.addfile(info, io.BytesIO(content))
    return out


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda held: {next(name for name in held if name.startswith("files/")): b"something else"}, "damaged"),
        (lambda held: {"database.sqlite3": held["database.sqlite3"][:-100]}, "damaged"),
        (lambda held: {next(name for name in held if name.startswith("files/")): None}, "damaged"),
        (lambda held: {"files/extra": b"x"}, "does not name"),
        (lambda held: {"files/../../evil": b"x"}, "no backup of Undercoat"),
        (lambda held: {"elsewhere": b"x"}, "no backup of Undercoat"),
        (lambda held: {"manifest.json": b"{"}, "cannot be read"),
        (lambda held: {"manifest.json": json.dumps({"format": "another"}).encode()}, "of the form"),
        (
            lambda held: {
                "manifest.json": json.dumps({**json.loads(held["manifest.json"]), "migrations": ["surveys.9999_later"]}).encode()
            },
            "later version",
        ),
        (lambda held: {"manifest.json": json.dumps({**json.loads(held["manifest.json"]), "vendor": "postgresql"}).encode()}, "same kind"),
    ],
)
def test_a_backup_that_is_not_whole_or_not_ours_is_refused_and_nothing_is_touched(house, saved, change, words):
    before = manage(house, "shell", "-v0", "-c", TELL)
    assert words in manage(house, "restore", str(rewritten(saved, change)), "--replace", fails=True)
    assert manage(house, "shell", "-v0", "-c", TELL) == before


def test_what_is_no_archive_at_all_is_refused_in_words(house, tmp_path):
    (tmp_path / "letter.tar").write_bytes(b"Dear Sir")
    assert "no backup of Undercoat" in manage(house, "restore", str(tmp_path / "letter.tar"), "--replace", fails=True)
    assert "There is no file" in manage(house, "restore", str(tmp_path / "nothing.tar"), "--replace", fails=True)
