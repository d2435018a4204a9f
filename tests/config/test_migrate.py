"""Machines that are started together, each of which migrates the one database first."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.servers import create

ROOT = Path(__file__).resolve().parent.parent.parent
URL = os.environ.get("DATABASE_URL", "")
pytestmark = pytest.mark.skipif(not URL.startswith("postgres"), reason="an embedded database has one machine: make test-services")


def test_three_that_migrate_one_new_database_at_once_all_find_it_migrated(tmp_path):
    given = {**os.environ, "DATABASE_URL": create(URL, f"together_{os.getpid()}"), "UNDERCOAT_DATA": str(tmp_path)}
    command = [sys.executable, "manage.py", "migrate"]
    going = [subprocess.Popen([*command, "-v0"], cwd=ROOT, env=given, stderr=subprocess.PIPE, text=True) for _ in range(3)]
    told = [one.communicate(timeout=120)[1] for one in going]
    assert [one.returncode for one in going] == [0, 0, 0], told
    subprocess.run([*command, "--check"], cwd=ROOT, env=given, check=True, stdout=subprocess.DEVNULL)
