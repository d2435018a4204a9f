"""Workbooks and archives on their way: part by part, gone on with after a lost connection and a reload, given up."""

import json
import re

from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.sections import JOB
from tests.browser.test_access import axe, violations  # noqa: F401 - the fixture is asked for by name
from tests.browser.test_client import workbook
from tests.browser.test_outputs import opened

PART = 4 * 1024 * 1024
FIRST = re.compile(r"/parts/0$")


def large(parts: float) -> dict[str, object]:
    """A CSV of so many parts; most of it is a note."""
    note = b"x" * int(parts * PART)
    return {"name": "large.csv", "mimeType": "text/csv", "buffer": b"Sample,Layer,Kind,Notes\nS-1,1,paint," + note + b"\n"}


def sent_parts(page: Page) -> list[int]:
    """Where the parts begin that the page sends from now on."""
    starts: list[int] = []
    page.on("request", lambda one: starts.append(int(one.url.rsplit("/", 1)[1])) if re.search(r"/parts/\d+$", one.url) else None)
    return starts


def test_a_workbook_whose_connection_is_lost_goes_on_by_itself_and_is_checked(new_project):
    page = new_project("SEND1")
    page.route(FIRST, lambda route: route.abort())
    page.goto("/projects/SEND1/import")
    page.get_by_label("Choose a file").set_input_files(workbook())
    expect(page.locator(".onitsway")).to_contain_text("The connection is lost; it goes on by itself when it is back.")
    page.unroute(FIRST)
    expect(page.get_by_role("table", name="What each sheet would do")).to_contain_text("Layers", timeout=JOB)
    page.get_by_role("button", name="Apply").click()
    expect(page.get_by_role("heading", level=2, name="Imported")).to_be_visible()
    assert len(api(page, "GET", "projects/SEND1/layers/")["results"]) == 9


def test_a_file_that_was_not_sent_whole_goes_on_after_a_reload_where_it_was_left(new_project):
    page = new_project("SEND2")
    second = re.compile(rf"/parts/{PART}$")
    starts = sent_parts(page)
    page.route(second, lambda route: route.abort())
    page.goto("/projects/SEND2/import")
    page.get_by_label("Choose a file").set_input_files(large(1.5))
    expect(page.locator(".onitsway")).to_contain_text("The connection is lost")
    page.on("dialog", lambda one: one.accept())
    page.unroute(second)
    page.goto("/projects/SEND2/import")
    starts.clear()
    page.get_by_label("Choose a file").set_input_files(large(1.5))
    # What is in it is for the check to say; it was brought whole.
    expect(page.get_by_role("heading", level=2, name="What it would do")).to_be_visible(timeout=JOB)
    assert starts == [PART]


def test_a_file_on_its_way_is_paused_and_given_up_and_nothing_is_checked(new_project, axe):  # noqa: F811
    page = new_project("SEND3")
    ids: list[str] = []
    page.on(
        "response", lambda one: ids.append(one.json()["id"]) if one.request.method == "POST" and one.url.endswith("/sendings") else None
    )

    def held(route: object) -> None:
        page.get_by_role("button", name="Pause").dispatch_event("click")
        route.continue_()  # type: ignore[attr-defined]

    page.route(FIRST, held)
    page.goto("/projects/SEND3/import")
    page.get_by_label("Choose a file").set_input_files(large(1.5))
    way = page.locator(".onitsway")
    expect(way).to_contain_text("Paused: 4.2 MB of 6.3 MB, 66 %.")
    assert violations(page, axe) == []
    page.get_by_role("button", name="Give up").click()
    expect(way).to_be_empty()
    assert len(ids) == 1
    expect(page.get_by_label("Choose a file")).to_be_enabled()
    assert page.request.get(f"/api/v1/projects/SEND3/sendings/{ids[0]}").status == 404
    assert api(page, "GET", "projects/SEND3/jobs/")["results"] == []


def test_an_archive_that_is_refused_when_it_is_announced_says_so_before_anything_is_sent(new_project):
    page = new_project("SEND4")
    starts = sent_parts(page)
    detail = "A file may have at most 200 MiB."
    refusal = json.dumps({"type": "x", "title": "Too large", "status": 413, "detail": detail, "code": "too-large", "errors": []})
    page.route(re.compile(r"/sendings$"), lambda route: route.fulfill(status=413, content_type="application/problem+json", body=refusal))
    opened(page, "SEND4", "Bring an archive into this project")
    page.get_by_label("Archive (.zip)").set_input_files({"name": "hall.zip", "mimeType": "application/zip", "buffer": b"PK" * 50})
    expect(page.get_by_role("alert")).to_contain_text("A file may have at most 200 MiB.")
    expect(page.get_by_label("Archive (.zip)")).to_be_enabled()
    assert starts == []
