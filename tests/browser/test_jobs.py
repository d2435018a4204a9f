"""Work that goes on elsewhere: stopped, and asked for again, from the screen."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api

SAMPLES, LAYERS = 120, 8
COLOURS = ("5Y 9/1", "10YR 7/4", "5GY 6/4", "N 5", "7.5R 3/8", "5PB 4/6", "2.5Y 8/4", "10R 5/6")


@pytest.fixture
def large(house: Any, request: Any) -> tuple[Page, str]:
    """A space with so much paint that its correlation takes a while."""
    page, code = house("STOP" if "stopped" in request.node.name else "OWNER", SAMPLES)
    samples = api(page, "GET", f"projects/{code}/samples/?page_size=1000")["results"]
    made = [
        {"op": "create", "values": {"sample": one["id"], "kind": "paint", "munsell": COLOURS[(at + shift) % len(COLOURS)]}}
        for shift, one in enumerate(samples)
        for at in range(LAYERS)
    ]
    api(page, "POST", f"projects/{code}/layers/batch", {"operations": made})
    return page, code


def test_a_job_is_stopped_and_asked_for_again(large):
    page, code = large
    api(page, "POST", f"projects/{code}/jobs/", {"kind": "correlate", "params": {"space": "101"}})
    page.goto(f"/projects/{code}/outputs")
    job = page.locator(".jobs > li").first
    job.get_by_role("button", name="Stop").click()
    expect(job).to_contain_text("stopped", timeout=60_000)
    assert api(page, "GET", f"projects/{code}/generations/")["results"] == []
    job.get_by_role("button", name="Try again").click()
    expect(page.locator(".jobs > li")).to_have_count(2)
    expect(page.locator(".jobs > li").first).to_contain_text("done", timeout=120_000)
    assert api(page, "GET", f"projects/{code}/generations/")["results"] != []


def test_who_may_not_compute_is_offered_neither_stop_nor_again(large, as_):
    page, code = large
    api(page, "POST", f"projects/{code}/members/", {"username": "owner", "role": "owner", "discipline": "ownership"})
    job = api(page, "POST", f"projects/{code}/jobs/", {"kind": "correlate", "params": {"space": "101"}})
    api(page, "POST", f"projects/{code}/jobs/{job['id']}/cancel")
    owner = as_("owner")
    owner.goto(f"/projects/{code}/outputs")
    expect(owner.locator(".jobs > li").first).to_contain_text("stopped", timeout=60_000)
    expect(owner.get_by_role("button", name="Try again")).to_have_count(0)
