"""Loaded before Django's settings are: tests use a data folder of their own (each process its own), and send jobs nowhere."""

import atexit
import os
import shutil
import tempfile

if "UNDERCOAT_DATA" not in os.environ or "PYTEST_XDIST_WORKER" in os.environ:
    folder = tempfile.mkdtemp(prefix="undercoat-tests-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    os.environ["UNDERCOAT_DATA"] = folder
os.environ.setdefault("UNDERCOAT_DISPATCHER", "tests.dispatch.forget")
