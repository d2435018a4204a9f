"""What npm installs and the browser is given: just the files named, collected on a server under names that change with their content."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

from config.modules import FILES, folder
from tests.client.run import install

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module", autouse=True)
def _installed():
    assert install() == 0


def test_each_file_is_found_and_nothing_else_of_its_package():
    for name, source in FILES.items():
        assert finders.find(name) == str(folder() / source)
    assert finders.find("modules/index.mjs.map") is None
    assert finders.find("modules/../package.json") is None


def test_before_npm_has_installed_anything_nothing_is_found(settings, tmp_path):
    settings.BASE_DIR = tmp_path
    assert finders.find("modules/slickgrid.mjs") is None


@pytest.mark.django_db
def test_the_page_lets_only_its_own_style_sheets_be_made():
    first, second = Client().get("/"), Client().get("/")
    policy = first.headers["Content-Security-Policy"]
    nonce = re.search(r"style-src 'self' 'nonce-([^']+)'", policy)
    assert nonce is not None
    assert f'data-style-nonce="{nonce[1]}"' in first.content.decode()
    assert nonce[1] not in second.headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "script-src" not in policy


def test_a_server_collects_them_under_hashed_names(tmp_path):
    environment = {
        **os.environ,
        "UNDERCOAT_DATA": str(tmp_path),
        "UNDERCOAT_MODE": "server",
        "UNDERCOAT_SECRET_KEY": "k" * 60,
        "UNDERCOAT_SSL_REDIRECT": "false",
    }
    subprocess.run([sys.executable, "manage.py", "collectstatic", "--noinput", "--verbosity=0"], cwd=ROOT, env=environment, check=True)
    hashed = [path.name for path in (tmp_path / "static" / "modules").iterdir()]
    assert any(re.fullmatch(r"slickgrid\.[0-9a-f]{12}\.mjs", name) for name in hashed)
    look = "from django.test import Client; print(Client(SERVER_NAME='localhost').get('/').content.decode())"
    page = subprocess.run(
        [sys.executable, "manage.py", "shell", "--no-imports", "-c", look],
        cwd=ROOT,
        env=environment,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    wanted = re.findall(r'(?:data-grid|data-sortable|data-viewer|href|src)="/static/([^"]+)"', page)
    assert len(wanted) >= 5
    assert any(name.startswith("modules/openseadragon.") for name in wanted)
    for name in wanted:
        assert re.search(r"\.[0-9a-f]{12}\.(mjs|js|css)$", name), name
        assert (tmp_path / "static" / name).is_file()
