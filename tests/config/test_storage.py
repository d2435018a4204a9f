"""Where files lie: a folder, or a bucket of an S3-compatible store where a setting names one. With real processes."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from config.operations import backup

ROOT = Path(__file__).resolve().parents[2]
TELL = """
import sys
from django.core.files.storage import default_storage
print(default_storage.exists.__self__.__class__.__name__, "boto3" in sys.modules)
store = default_storage._wrapped
if hasattr(store, "bucket_name"):
    print(store.bucket_name, store.endpoint_url, store.location, store.file_overwrite, store.default_acl, store.max_memory_size)
    try:
        store.path("x")
    except NotImplementedError:
        print("no paths")
"""


def told(data: Path, **more: str) -> list[str]:
    given = {**os.environ, "UNDERCOAT_DATA": str(data), "DJANGO_SETTINGS_MODULE": "config.settings", **more}
    command = [sys.executable, "-c", f"import django; django.setup()\n{TELL}"]
    return subprocess.run(command, cwd=ROOT, env=given, capture_output=True, text=True, check=True).stdout.splitlines()


def test_files_lie_in_a_folder_and_no_library_of_a_store_is_loaded(tmp_path):
    assert told(tmp_path) == ["FileSystemStorage False"]


def test_files_lie_in_a_bucket_that_a_setting_names(tmp_path):
    given = {"UNDERCOAT_S3_BUCKET": "paint", "UNDERCOAT_S3_ENDPOINT": "http://127.0.0.1:9", "UNDERCOAT_S3_FOLDER": "undercoat"}
    keys = {"UNDERCOAT_S3_KEY": "k", "UNDERCOAT_S3_SECRET": "s", "UNDERCOAT_S3_REGION": "eu-west-1"}
    assert told(tmp_path, **given, **keys) == [
        "S3Storage True",
        "paint http://127.0.0.1:9 undercoat False None 16777216",
        "no paths",
    ]


@pytest.fixture
def media(settings, tmp_path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "files"
    for name in ("uploads/a.bin", "pictures/x/y/0/0_0.jpg", "sendings/z/0-1"):
        (settings.MEDIA_ROOT / name).parent.mkdir(parents=True)
        (settings.MEDIA_ROOT / name).write_bytes(name.encode())
    return settings.MEDIA_ROOT


def test_a_backup_leaves_out_parts_of_files_that_are_on_their_way(media):
    assert [name for name, _ in backup._files()] == ["files/pictures/x/y/0/0_0.jpg", "files/uploads/a.bin"]


def test_a_backup_of_files_elsewhere_says_so(media, settings):
    settings.S3_BUCKET = "paint"
    assert backup._files() == []


def test_a_file_that_goes_while_it_is_backed_up_costs_another_try_only(media, tmp_path, monkeypatch):
    database = tmp_path / "database.sqlite3"
    database.write_bytes(b"a database")
    monkeypatch.setattr(backup, "_dump", lambda folder: database)
    digest, gone = backup._digest, media / "pictures/x/y/0/0_0.jpg"

    def late(path: Path) -> str:
        if path == media / "uploads/a.bin":
            gone.unlink(missing_ok=True)
        return digest(path)

    monkeypatch.setattr(backup, "_digest", late)
    monkeypatch.setattr(backup, "MigrationLoader", lambda connection: type("None_", (), {"applied_migrations": {}}))
    manifest = backup.make(tmp_path / "out.tar")
    assert sorted(manifest["parts"]) == ["database.sqlite3", "files/uploads/a.bin"]
    assert backup.verify(tmp_path / "out.tar")["parts"] == manifest["parts"]


def test_a_backup_into_a_folder_that_is_not_there_is_refused_in_words(tmp_path):
    with pytest.raises(backup.Refused, match="There is no folder"):
        backup.make(tmp_path / "nowhere" / "out.tar")
