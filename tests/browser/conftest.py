"""A real start of the program (pages, interface, worker) on a data folder of its own, and Chromium to look at it.

One server serves all browser tests of a process; a test that changes much makes a project of its own.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.seed import PASSWORD
from tests.client.run import install

ROOT = Path(__file__).resolve().parents[2]
# What each program that runs for tests has written: letters too, since no mail server is named to it.
LOGS: dict[str, Path] = {}
START_SECONDS = 60
# Answers that a test asks for on purpose (wrong password, a fault) are told by the browser as errors of loading.
EXPECTED = re.compile(r"Failed to load resource: the server responded with a status of 4\d\d|net::ERR_(INTERNET_DISCONNECTED|FAILED)")
expect.set_options(timeout=10_000)


def chromium(playwright: Any) -> str:
    """Where a Chromium is: one without windows of its own if there is, as it costs less. Without any these tests fail."""
    own = playwright.chromium.executable_path
    there = (shutil.which(name) for name in ("chromium-headless-shell", "chromium", "chromium-browser"))
    found = next((path for path in there if path), own if Path(own).exists() else None)
    if found is None:
        pytest.fail(
            "The browser tests need Chromium, and there is none. On Debian or Ubuntu: apt install chromium. Elsewhere: "
            ".venv/bin/playwright install chromium",
            pytrace=False,
        )
    return found


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """The address of a program that runs for these tests only."""
    # Before it starts: to install anew takes away what is served.
    assert install() == 0
    folder = tempfile.mkdtemp(prefix="undercoat-browser-")
    environment = {**os.environ, "UNDERCOAT_DATA": folder, "PYTHONUNBUFFERED": "1"}
    for name in ("UNDERCOAT_DISPATCHER", "DATABASE_URL", "UNDERCOAT_MODE"):
        environment.pop(name, None)
    subprocess.run([sys.executable, "-m", "tests.browser.seed"], cwd=ROOT, env=environment, check=True)
    log = Path(folder) / "serve.log"
    with log.open("w") as out:
        command = [sys.executable, "manage.py", "serve", "--no-demo", "--port", "0"]
        server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=out, stderr=subprocess.STDOUT)
    try:
        found = _listening(server, log)
        LOGS[found] = log
        yield found
    finally:
        server.terminate()
        try:
            server.wait(20)
        except subprocess.TimeoutExpired:
            server.kill()
        shutil.rmtree(folder, ignore_errors=True)


def _listening(server: subprocess.Popen[bytes], log: Path) -> str:
    until = time.monotonic() + START_SECONDS
    while time.monotonic() < until and server.poll() is None:
        found = re.search(r"Undercoat is at (http://\S+?)/?\s", log.read_text())
        if found:
            return found.group(1)
        time.sleep(0.1)
    pytest.fail(f"The program did not start:\n{log.read_text()}", pytrace=False)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=chromium(playwright))
        yield started
        started.close()


class Watched:
    """A page whose console is listened to: nothing may break the Content-Security-Policy, and no script may fail."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def watch(self, page: Page) -> Page:
        page.on("console", lambda one: self.said.append(one.text) if one.type == "error" and not EXPECTED.search(one.text) else None)
        page.on("pageerror", lambda error: self.said.append(str(error)))
        return page


SIGNED_IN: dict[tuple[str, str], Any] = {}


def sign_in(page: Page, who: str, password: str = PASSWORD) -> None:
    """Fill in the form that is shown, and send it."""
    page.get_by_label("Name").fill(who)
    page.get_by_label("Password").fill(password)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()


@pytest.fixture
def contexts(browser: Browser, address: str) -> Iterator[Callable[..., BrowserContext]]:
    """Makes windows of their own; at the end nothing may have gone wrong in any of them."""
    watched = Watched()
    made: list[BrowserContext] = []

    def open_(who: str | None = None, **options: Any) -> BrowserContext:
        state = SIGNED_IN.get((address, who)) if who else None
        context = browser.new_context(base_url=address, storage_state=state, **options)
        context.on("page", watched.watch)
        made.append(context)
        if who and state is None:
            page = context.new_page()
            page.goto("/sign-in")
            sign_in(page, who)
            expect(page.get_by_role("heading", level=1)).to_have_text("Structures")
            SIGNED_IN[(address, who)] = context.storage_state()
            page.close()
        return context

    yield open_
    for context in made:
        context.close()
    assert watched.said == []


@pytest.fixture
def as_(contexts: Callable[..., BrowserContext]) -> Callable[..., Page]:
    """A page of somebody who is signed in (None: of somebody who is not)."""
    return lambda who=None, **options: contexts(who, **options).new_page()


def api(page: Page, method: str, path: str, data: Any = None, **headers: str) -> Any:
    """Ask the interface as the person of the page, to prepare what a test needs."""
    cookies = {one["name"]: one["value"] for one in page.context.cookies()}
    named = {"X-CSRFToken": cookies.get("csrftoken", ""), **{name.replace("_", "-"): value for name, value in headers.items()}}
    answer = page.request.fetch(f"/api/v1/{path}", method=method, data=data, headers=named)
    assert answer.ok, answer.text()
    return answer.json() if answer.body() else None


@pytest.fixture
def new_project(as_: Callable[..., Page]) -> Callable[[str], Page]:
    """Makes an empty project; the page is its coordinator's."""

    def make(code: str) -> Page:
        page = as_("coordinator")
        api(page, "POST", "projects/", {"code": code, "name": f"The house {code}"})
        return page

    return make


CLIPBOARD = {"permissions": ["clipboard-read", "clipboard-write"]}


@pytest.fixture
def house(as_: Callable[..., Page]) -> Callable[..., tuple[Page, str]]:
    """Makes a project with a space, an element and so many samples; the page is its coordinator's, and the conservator belongs to it."""

    def make(code: str, samples: int = 4) -> tuple[Page, str]:
        page = as_("coordinator", **CLIPBOARD)
        api(page, "POST", "projects/", {"code": code, "name": f"The house {code}"})
        api(
            page, "POST", f"projects/{code}/members/", {"username": "conservator", "role": "consultant", "discipline": "paint conservation"}
        )
        space = api(page, "POST", f"projects/{code}/spaces/", {"number": "101", "name": "Front room"})["id"]
        element = api(page, "POST", f"projects/{code}/elements/", {"code": "101-BB", "space": space, "element_class": "baseboard"})["id"]
        made = [{"op": "create", "values": {"number": f"S-{at:04}", "element": element}} for at in range(1, samples + 1)]
        api(page, "POST", f"projects/{code}/samples/batch", {"operations": made})
        return page, code

    return make
