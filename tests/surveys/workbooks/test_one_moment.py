"""What an export holds is of one moment."""

import json
import os
import subprocess
import sys


def test_a_workbook_is_of_one_moment_though_somebody_writes_between_its_sheets_and_needs_not_wait(tmp_path):
    """In a process of its own: on whatever database is configured (`DATABASE_URL`), or SQLite in a file."""
    environment = {**os.environ, "UNDERCOAT_DATA": str(tmp_path)}
    command = [sys.executable, "-m", "tests.surveys.workbooks.race_of_exports"]
    found = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=120, check=False)
    assert found.returncode == 0, found.stderr
    told = json.loads(found.stdout)
    assert told["held"] == {"Spaces": 1, "Elements": 1, "Samples": 1}
    assert told["standing"] == told["written"] > 2
