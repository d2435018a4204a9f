"""A backup is taken while people work, is whole, and gives the installation back; a damaged one changes nothing. With real processes."""

import contextlib
import io
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tarfile
import uuid
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.servers import create

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


SERVICES = bool(os.environ.get("UNDERCOAT_TEST_SERVICES"))
ASKED = {
    "spaces": "SELECT number, name, version FROM surveys_space ORDER BY number",
    "changes": "SELECT sequence, action, record_name FROM surveys_change ORDER BY sequence",
    "uploads": "SELECT name, sha256 FROM surveys_upload ORDER BY name",
}


class House:
    """An installation: a data folder, and a database in it (or on the PostgreSQL of `make test-services`)."""

    def __init__(self, data: Path, template: str = "template1") -> None:
        self.data = data
        self.name = f"backup_{uuid.uuid4().hex}"
        self.url = create(os.environ["DATABASE_URL"], self.name, template) if SERVICES else f"sqlite:///{data / 'undercoat.sqlite3'}"

    def connected(self):
        """A connection to its database, past the program."""
        if SERVICES:
            return psycopg.connect(self.url.replace("postgres://", "postgresql://"), autocommit=True)
        return sqlite3.connect(self.data / "undercoat.sqlite3", isolation_level=None)

    def standing(self) -> dict[str, Any]:
        """All that counts in it: rows and files."""
        with contextlib.closing(self.connected()) as connection:
            rows = {name: connection.execute(query).fetchall() for name, query in ASKED.items()}
        media = self.data / "files"
        return {**rows, "files": {path.relative_to(media).as_posix(): path.read_bytes() for path in media.rglob("*") if path.is_file()}}


def manage(house: House, *arguments: str, fails: bool = False) -> str:
    """Run a command on an installation."""
    given = {**os.environ, "UNDERCOAT_DATA": str(house.data), "DATABASE_URL": house.url}
    command = [sys.executable, str(ROOT / "manage.py"), *arguments]
    done = subprocess.run(command, cwd=ROOT, env=given, capture_output=True, text=True, timeout=120)
    assert (done.returncode != 0) is fails, done.stdout + done.stderr
    assert "Traceback" not in done.stderr, done.stderr
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def built(tmp_path_factory) -> tuple[House, Path]:
    """An installation with something in it, and its backup; all tests take copies."""
    folder = tmp_path_factory.mktemp("built")
    (folder / "data").mkdir()
    house = House(folder / "data")
    manage(house, "migrate", "-v0")
    manage(house, "shell", "-v0", "-c", PREPARE)
    assert "read back and whole" in manage(house, "backup", str(folder / "saved.tar"))
    return house, folder / "saved.tar"


@pytest.fixture
def house(built, tmp_path) -> House:
    shutil.copytree(built[0].data, tmp_path / "data")
    return House(tmp_path / "data", built[0].name)


@pytest.fixture
def saved(built, tmp_path) -> Path:
    return Path(shutil.copy(built[1], tmp_path / "saved.tar"))


def test_what_was_saved_comes_back_and_what_came_later_is_gone(house, saved):
    before = house.standing()
    assert ([row[0] for row in before["spaces"]], list(before["files"].values())) == (["1"], [b"what was brought"])
    manage(house, "shell", "-v0", "-c", MORE)
    assert len(house.standing()["spaces"]) == 2
    manage(house, "restore", str(saved), "--replace")
    assert house.standing() == before
    assert manage(house, "shell", "-v0", "-c", TELL) == "['1'] 3 [b'what was brought']\n"


def test_it_comes_back_into_an_empty_installation_elsewhere(house, saved, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    there = House(tmp_path / "elsewhere")
    manage(there, "restore", str(saved))
    assert there.standing() == house.standing()


def test_projects_that_are_here_are_not_replaced_unasked(house, saved):
    before = house.standing()
    assert "--replace" in manage(house, "restore", str(saved), fails=True)
    assert house.standing() == before


def test_a_backup_is_never_overwritten(house, saved):
    held = saved.read_bytes()
    assert "exists already" in manage(house, "backup", str(saved), fails=True)
    assert saved.read_bytes() == held


def test_a_backup_holds_the_moment_at_which_it_was_taken_though_somebody_writes_meanwhile(house, tmp_path):
    # A writer that holds its transaction open: what it has not committed is not in the backup, and the backup does not wait for it.
    before = house.standing()
    writer = house.connected()
    writer.execute("BEGIN" if SERVICES else "BEGIN IMMEDIATE")
    writer.execute("UPDATE surveys_space SET number = 'uncommitted'")
    manage(house, "backup", str(tmp_path / "during.tar"))
    writer.execute("ROLLBACK")
    writer.close()
    (tmp_path / "there").mkdir()
    there = House(tmp_path / "there")
    manage(there, "restore", str(tmp_path / "during.tar"))
    assert there.standing() == before


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


def database_in(held: dict[str, bytes]) -> str:
    return next(name for name in held if name.startswith("database."))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda held: {next(name for name in held if name.startswith("files/")): b"something else"}, "damaged"),
        (lambda held: {database_in(held): held[database_in(held)][:-100]}, "damaged"),
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
        (lambda held: {"manifest.json": json.dumps({**json.loads(held["manifest.json"]), "vendor": "another"}).encode()}, "same kind"),
    ],
)
def test_a_backup_that_is_not_whole_or_not_ours_is_refused_and_nothing_is_touched(house, saved, change, words):
    before = house.standing()
    assert words in manage(house, "restore", str(rewritten(saved, change)), "--replace", fails=True)
    assert house.standing() == before


def test_what_is_no_archive_at_all_is_refused_in_words(house, tmp_path):
    (tmp_path / "letter.tar").write_bytes(b"Dear Sir")
    assert "no backup of Undercoat" in manage(house, "restore", str(tmp_path / "letter.tar"), "--replace", fails=True)
    assert "There is no file" in manage(house, "restore", str(tmp_path / "nothing.tar"), "--replace", fails=True)
