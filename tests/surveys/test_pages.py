"""The one page: where files bear digests in their names, its modules are asked for by these, and the policy lets that map through alone."""

import base64
import hashlib
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles.storage import ManifestStaticFilesStorage

from surveys import pages

CLIENT = Path(settings.BASE_DIR) / "surveys" / "client"


@pytest.fixture
def digests(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The client's files as a server collects them."""
    shutil.copytree(CLIENT, tmp_path / "client")
    (tmp_path / "modules").mkdir()
    for name in ("slickgrid.mjs", "slickgrid.css", "sortable.mjs", "openseadragon.mjs"):
        (tmp_path / "modules" / name).write_text("", encoding="utf-8")
    storage = ManifestStaticFilesStorage(location=str(tmp_path), base_url=settings.STATIC_URL)
    names = {path.relative_to(tmp_path).as_posix(): (storage, path.relative_to(tmp_path).as_posix()) for path in tmp_path.rglob("*.*")}
    assert all(not isinstance(done, Exception) for _, _, done in storage.post_process(names))
    monkeypatch.setattr(pages, "staticfiles_storage", storage)
    pages.module_names.cache_clear()
    yield tmp_path
    pages.module_names.cache_clear()


def test_every_module_is_asked_for_by_a_name_with_its_digest(digests: Path) -> None:
    names = json.loads(pages.module_names()[0])["imports"]
    modules = {f"{settings.STATIC_URL}client/{path.relative_to(CLIENT).as_posix()}" for path in CLIENT.rglob("*.js")}
    assert names.keys() == modules
    for plain, named in names.items():
        assert re.fullmatch(rf"{re.escape(plain.removesuffix('.js'))}\.[0-9a-f]{{12}}\.js", named)
        assert (digests / named.removeprefix(settings.STATIC_URL)).is_file()


def test_the_policy_lets_the_map_through_and_nothing_else_between_script_tags(client: Any, digests: Path) -> None:
    answer = client.get("/")
    (text,) = re.findall(r'<script type="importmap">(.*?)</script>', answer.content.decode())
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    policy = answer.headers["Content-Security-Policy"]
    assert f"script-src 'self' 'sha256-{digest}'" in policy
    assert "unsafe-inline" not in policy


def test_embedded_nothing_stands_between_script_tags(client: Any) -> None:
    answer = client.get("/")
    assert re.findall(r"<script[^>]*>([^<]+)</script>", answer.content.decode()) == []
    assert "sha256-" not in answer.headers["Content-Security-Policy"]
