"""A backup is taken while people work, is whole, and gives the installation back; a damaged one changes nothing. With real processes."""

import contextlib
import errno
import hashlib
import io
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tarfile
import uuid
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.core.management import CommandError, call_command

from config.operations import backup
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


def stated(held: dict[str, bytes], **told) -> dict[str, bytes]:
    """The list of a backup, saying something else."""
    return {"manifest.json": json.dumps({**json.loads(held["manifest.json"]), **told}).encode()}


def with_database(held: dict[str, bytes], content: bytes) -> dict[str, bytes]:
    """Another database, and a list that names it."""
    name, parts = database_in(held), json.loads(held["manifest.json"])["parts"]
    parts[name] = {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    return {name: content, **stated(held, parts=parts)}


def test_a_database_that_was_damaged_when_it_was_saved_takes_the_place_of_none(house, saved):
    before = house.standing()
    altered = rewritten(saved, lambda held: with_database(held, held[database_in(held)][:4096] + b"x" * 9000))
    said = manage(house, "restore", str(altered), "--replace", fails=True)
    assert ("pg_restore failed" if SERVICES else "finds the database of the backup damaged") in said
    assert house.standing() == before


def test_a_backup_of_an_earlier_version_comes_back_over_a_later_one(house, saved):
    """What a later version has made, and that hangs on what is put back, is in nobody's way."""
    before = house.standing()
    with contextlib.closing(house.connected()) as connection:
        kind = "uuid" if SERVICES else "char(32)"
        connection.execute(f"CREATE TABLE surveys_later (id integer PRIMARY KEY, project_id {kind} REFERENCES surveys_project (id))")
        connection.execute("INSERT INTO surveys_later SELECT 1, id FROM surveys_project")
    manage(house, "restore", str(saved), "--replace")
    assert house.standing() == before
    with contextlib.closing(house.connected()) as connection:
        tables = "SELECT tablename FROM pg_tables" if SERVICES else "SELECT name FROM sqlite_master"
        assert ("surveys_later",) not in connection.execute(tables).fetchall()


CUT_SHORT = """
import os, signal
from django.core.management import call_command
from config.operations import backup
backup._load = lambda database: os.kill(os.getpid(), signal.SIGKILL)
call_command("restore", %r, replace=True)
"""


def test_a_restore_that_is_killed_half_way_is_told_at_every_start_and_mended_by_another(house, saved, tmp_path):
    before = house.standing()
    manage(house, "shell", "-v0", "-c", MORE)
    command = [sys.executable, str(ROOT / "manage.py"), "shell", "-v0", "-c", CUT_SHORT % str(saved)]
    given = {**os.environ, "UNDERCOAT_DATA": str(house.data), "DATABASE_URL": house.url}
    assert subprocess.run(command, cwd=ROOT, env=given, timeout=120).returncode == -signal.SIGKILL
    for arguments in (("check",), ("backup", str(tmp_path / "half.tar")), ("serve", "--port", "0")):
        said = manage(house, *arguments, fails=True)
        assert "A restore was cut short" in said
        assert "restore FILE.tar --replace" in said
    manage(house, "restore", str(saved), "--replace")
    assert house.standing() == before
    assert [path.name for path in (house.data / "files").iterdir()] == ["uploads"]
    manage(house, "check")


@pytest.mark.skipif(SERVICES, reason="damages the file of SQLite")
@pytest.mark.parametrize("place", [0, 4096])
def test_a_backup_takes_the_place_of_a_database_that_is_damaged_if_it_is_told_to(house, saved, place):
    before = house.standing()
    with (house.data / "undercoat.sqlite3").open("r+b") as damaged:
        damaged.seek(place)
        damaged.write(b"x" * 90_000)
    assert "--replace" in manage(house, "restore", str(saved), fails=True)
    manage(house, "restore", str(saved), "--replace")
    assert house.standing() == before


def test_nothing_is_put_back_while_another_program_has_the_database_open(house, saved):
    before = house.standing()
    with contextlib.closing(house.connected()) as another:
        another.execute("SELECT count(*) FROM surveys_space").fetchone()
        said = manage(house, "restore", str(saved), "--replace", fails=True)
    assert "open to another program" in said
    assert house.standing() == before


SIGN_IN = """
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from surveys.models import Person, SessionStore
session = SessionStore()
session[SESSION_KEY] = str(Person.objects.get().pk)
session.save()
"""


def test_who_was_signed_in_when_it_was_saved_signs_in_anew(house, tmp_path):
    """A session that was ended since would live again, and an open page would go on with versions that are no more."""
    manage(house, "shell", "-v0", "-c", SIGN_IN)
    manage(house, "backup", str(tmp_path / "signed in.tar"))
    assert "Everybody has to sign in anew" in manage(house, "restore", str(tmp_path / "signed in.tar"), "--replace")
    with contextlib.closing(house.connected()) as connection:
        assert connection.execute("SELECT count(*) FROM surveys_session").fetchone() == (0,)


def test_a_backup_that_cannot_be_read_back_bears_no_name(db, tmp_path, monkeypatch, settings):
    settings.MEDIA_ROOT = tmp_path / "files"

    def dumped(folder):
        (folder / "database.sqlite3").write_bytes(b"some database")
        return folder / "database.sqlite3"

    def unreadable(source):
        raise backup.Refused(f"{source.name} is damaged.")

    monkeypatch.setattr(backup, "_dump", dumped)
    monkeypatch.setattr(backup, "verify", unreadable)
    with pytest.raises(CommandError, match=r"new\.tar is damaged"):
        call_command("backup", str(tmp_path / "new.tar"))
    assert list(tmp_path.iterdir()) == []


def test_the_folder_for_files_stays_the_one_that_it_is_since_a_share_may_be_mounted_there(house, saved):
    media = house.data / "files"
    (media / "loose.txt").write_bytes(b"came later")
    before = media.stat().st_ino
    manage(house, "restore", str(saved), "--replace")
    assert media.stat().st_ino == before
    assert not (media / "loose.txt").exists()
    assert [path.name for path in media.iterdir()] == ["uploads"]


def test_files_in_a_bucket_and_files_here_are_not_taken_for_each_other(house, saved, monkeypatch):
    before = house.standing()
    altered = rewritten(saved, lambda held: stated(held, files="elsewhere: paint"))
    assert "lie in the bucket paint" in manage(house, "restore", str(altered), "--replace", fails=True)
    monkeypatch.setenv("UNDERCOAT_S3_BUCKET", "colours")
    assert "looks for files in the bucket colours" in manage(house, "restore", str(saved), "--replace", fails=True)
    assert house.standing() == before


def test_a_backup_of_before_there_were_buckets_holds_its_files(house, saved):
    before = house.standing()

    def silent(held):
        told = json.loads(held["manifest.json"])
        del told["files"]
        return {"manifest.json": json.dumps(told).encode()}

    manage(house, "shell", "-v0", "-c", MORE)
    manage(house, "restore", str(rewritten(saved, silent)), "--replace")
    assert house.standing() == before


def test_what_only_passes_through_the_folder_for_files_is_no_part_of_a_backup(house, tmp_path):
    for name in ("sendings/part", "ready/probe", f"{backup.HIDDEN}left/files/new"):
        path = house.data / "files" / name
        path.parent.mkdir(parents=True)
        path.write_bytes(b"x")
    manage(house, "backup", str(tmp_path / "new.tar"))
    with tarfile.open(tmp_path / "new.tar") as archive:
        assert [name.split("/")[1] for name in archive.getnames() if name.startswith("files/")] == ["uploads"]


@pytest.fixture
def full(monkeypatch):
    """A disk on which nothing more can be written."""

    def nothing(*args, **kwargs):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(tarfile.TarFile, "extractall", nothing)
    monkeypatch.setattr(backup, "_make", nothing)


def test_a_full_disk_is_told_as_such_and_not_as_a_damaged_backup(db, built, tmp_path, full, settings):
    settings.MEDIA_ROOT = tmp_path / "files"
    for arguments in (("restore", str(built[1])), ("backup", str(tmp_path / "new.tar"))):
        with pytest.raises(CommandError, match="No space left on device") as told:
            call_command(*arguments)
        assert "damaged" not in str(told.value)


def test_a_database_on_another_disk_than_the_files_is_put_in_place_whole(tmp_path, monkeypatch):
    replace = os.replace

    def between_disks(source, target):
        if Path(source).parent != Path(target).parent:
            raise OSError(errno.EXDEV, "Invalid cross-device link")
        replace(source, target)

    monkeypatch.setattr(os, "replace", between_disks)
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "database.sqlite3").write_bytes(b"new")
    place = tmp_path / "undercoat.sqlite3"
    for name in ("undercoat.sqlite3", "undercoat.sqlite3-wal", "undercoat.sqlite3-shm"):
        (tmp_path / name).write_bytes(b"old")
    backup._put_in_place(tmp_path / "files" / "database.sqlite3", place)
    assert place.read_bytes() == b"new"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["files", "undercoat.sqlite3"]


def test_what_is_no_archive_at_all_is_refused_in_words(house, tmp_path):
    (tmp_path / "letter.tar").write_bytes(b"Dear Sir")
    assert "no backup of Undercoat" in manage(house, "restore", str(tmp_path / "letter.tar"), "--replace", fails=True)
    assert "There is no file" in manage(house, "restore", str(tmp_path / "nothing.tar"), "--replace", fails=True)
