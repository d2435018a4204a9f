"""The server opens no address that somebody names (SSRF): no module of the program has the means to ask another machine.

What it speaks to, it speaks to through Django (database, cache, mail, storage) and Celery, at addresses of the settings.
"""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
MEANS = {
    "socket", "ssl", "http", "urllib3", "requests", "httpx", "aiohttp", "ftplib", "smtplib", "poplib", "imaplib", "telnetlib", "xmlrpc",
    "asyncio", "websockets", "paramiko", "boto3", "botocore", "webbrowser",
}  # fmt: skip
# Of urllib only what takes addresses apart or puts them together.
HARMLESS = {"urllib.parse", "http.HTTPStatus", "http"}
# `serve` listens, and both name the machine on which a worker runs.
LISTENS = {"surveys/management/commands/serve.py": {"socket"}, "analysis/tasks.py": {"socket"}}
# Methods of libraries that are there anyway and would open an address.
OPENS = {"urlopen", "urlretrieve", "create_connection", "open_connection"}


def programs() -> list[Path]:
    return [path for folder in ("surveys", "analysis", "config") for path in sorted((ROOT / folder).rglob("*.py"))]


def means_in(text: str) -> set[str]:
    """What a module takes or calls by which it could ask another machine."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            names = [one.name for one in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
        elif isinstance(node, ast.Attribute | ast.Name) and getattr(node, "attr", getattr(node, "id", "")) in OPENS:
            found.add(getattr(node, "attr", getattr(node, "id", "")))
            continue
        else:
            continue
        found |= {name.partition(".")[0] for name in names if name.partition(".")[0] in MEANS and name not in HARMLESS}
        found |= {name for name in names if name.startswith("urllib") and name not in HARMLESS}
    return found


def test_no_module_can_ask_another_machine():
    found = {}
    for path in programs():
        place = str(path.relative_to(ROOT))
        means = means_in(path.read_text(encoding="utf-8")) - LISTENS.get(place, set())
        if means:
            found[place] = means
    assert len(programs()) > 200
    assert found == {}


@pytest.mark.parametrize(
    "text",
    [
        "import requests",
        "from urllib.request import urlopen",
        "import urllib.request",
        "def f():\n    import http.client",
        "x.urlopen('y')",
    ],
)
def test_the_means_would_be_found(text):
    assert means_in(text)
