"""What the embedded default makes for itself, and what it finds of a start that was cut short."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from config.broker import Channel

ROOT = Path(__file__).resolve().parent.parent.parent


def key_of(folder):
    given = {name: value for name, value in os.environ.items() if not name.startswith("UNDERCOAT_")}
    code = "from config import settings; print(settings.SECRET_KEY)"
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env={**given, "UNDERCOAT_DATA": str(folder)}, capture_output=True, text=True, check=True
    )
    return told.stdout.strip()


def test_a_key_is_made_once_and_read_by_nobody_else(tmp_path):
    first = key_of(tmp_path)
    assert len(first) >= 50
    assert key_of(tmp_path) == first
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir() if "secret" in path.name] == ["secret_key"]


def test_a_key_that_was_never_written_keeps_nobody_from_starting(tmp_path):
    (tmp_path / "secret_key").touch()
    assert len(key_of(tmp_path)) >= 50


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b"\x80 half of a message"])
def test_a_damaged_message_is_passed_over_and_the_next_is_read(tmp_path, content):
    """One that ended the worker would end each that is started after it."""
    (tmp_path / "done").mkdir()
    channel = Channel.__new__(Channel)
    channel.data_folder_in = channel.data_folder_out = str(tmp_path)
    channel.processed_folder = str(tmp_path / "done")
    (tmp_path / "00000000000000000001_a.long.msg").write_bytes(content)
    channel._put("long", {"body": "the next"})
    assert channel._get("long") == {"body": "the next"}
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == []
