"""A schedule from its making to what the contractor sees, by keyboard where it matters."""

import itertools

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, settle, violations

__all__ = ["axe"]
NUMBERS = itertools.count(1)


def fill(page: Page, code: str) -> None:
    """One room with a painted wall, dated to 1800, and a cornice of which nothing is known."""
    base = f"projects/{code}"
    space = api(page, "POST", f"{base}/spaces/", {"number": "101", "name": "Hall"})
    wall = api(page, "POST", f"{base}/elements/", {"code": "101-WL", "space": space["id"], "element_class": "wall", "substrate": "plaster"})
    api(page, "POST", f"{base}/elements/", {"code": "101-CO", "space": space["id"], "element_class": "cornice"})
    sample = api(page, "POST", f"{base}/samples/", {"number": "S-1", "element": wall["id"]})
    generation = api(page, "POST", f"{base}/generations/", {"space": space["id"]})
    layer = {"sample": sample["id"], "kind": "paint", "munsell": "5GY 6/4", "sheen": "eggshell", "generation": generation["id"]}
    api(page, "POST", f"{base}/layers/", layer)
    told = {"reference": "E-1", "statement": "A bill.", "bears_on": "generation", "generation": generation["id"], "relation": "made in"}
    api(page, "POST", f"{base}/evidence/", {**told, "earliest": 1800, "latest": 1800, "certainty": "firm"})
    api(page, "POST", f"{base}/members/", {"username": "contractor", "role": "contractor", "discipline": "contracting"})


@pytest.fixture
def page(new_project):
    code = f"SCHED{next(NUMBERS)}"
    made = new_project(code)
    fill(made, code)
    made.code = code  # type: ignore[attr-defined]
    return made


def row(page: Page, element: str):
    return page.get_by_role("row").filter(has=page.get_by_role("rowheader", name=element))


def test_a_schedule_is_made_added_to_issued_and_seen_by_the_contractor_only_as_it_went_out(page, contexts, axe):
    settle(page, f"/projects/{page.code}/schedules")
    page.get_by_role("button", name="New schedule").press("Enter")
    page.get_by_label("Title").fill("As it was in 1850")
    page.get_by_label("As of the year").fill("1850")
    page.get_by_label("As of the year").press("Control+Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Schedule 1: As it was in 1850")
    expect(row(page, "101-WL")).to_contain_text("5GY 6/4")
    expect(row(page, "101-WL")).to_contain_text("10–25 GU at 60°")
    expect(row(page, "101-CO")).to_contain_text("No evidence")
    # What is set in place of the evidence needs a reason.
    page.get_by_role("button", name="Edit the row of 101-CO").press("Enter")
    page.get_by_label("Finish instead").fill("as the wall")
    page.get_by_label("Hold point").fill("mock-up before proceeding")
    page.get_by_role("button", name="Save the row").press("Enter")
    expect(page.get_by_text("Say why the finish is set in place").first).to_be_visible()
    page.get_by_label("Reason for what stands instead").fill("By analogy.")
    page.get_by_role("button", name="Save the row").press("Enter")
    expect(row(page, "101-CO")).to_contain_text("as the wall")
    expect(row(page, "101-CO")).to_contain_text("By decision of")
    assert violations(page, axe) == []
    page.get_by_role("button", name="Issue revision A …").press("Enter")
    page.get_by_label("Purpose").select_option("for pricing")
    page.get_by_role("button", name="Issue revision A", exact=True).press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Schedule 1, revision A", timeout=30_000)
    assert violations(page, axe) == []
    contractor = contexts("contractor").new_page()
    settle(contractor, f"/projects/{page.code}/schedules")
    assert [link.text_content() for link in contractor.get_by_role("navigation").get_by_role("link").all()] == ["Standing", "Schedules"]
    contractor.get_by_role("link", name="Schedule 1, revision A").click()
    expect(row(contractor, "101-CO")).to_contain_text("Hold: mock-up before proceeding")
    expect(contractor.get_by_role("heading", name="Cautions")).to_be_visible()
    assert contractor.get_by_role("button", name="Edit").count() == 0
    contractor.get_by_label("New comment").fill("Which wall first? <b>now</b>")
    contractor.get_by_role("button", name="Comment", exact=True).click()
    expect(contractor.get_by_text("Which wall first? <b>now</b>")).to_be_visible()
    page.reload()
    page.get_by_role("button", name="Answer").click()
    page.get_by_label("Answer to").fill("The north one.")
    page.get_by_role("button", name="Comment", exact=True).click()
    expect(page.locator("li.answer")).to_contain_text("The north one.")


def test_what_changes_after_an_issue_is_said_beside_it_and_the_issue_stays(page):
    base = f"projects/{page.code}"
    schedule = api(page, "POST", f"{base}/schedules/", {"title": "x", "year": 1850})
    settle(page, f"/projects/{page.code}/schedules/1")
    page.get_by_role("button", name="Issue revision A …").click()
    page.get_by_role("button", name="Issue revision A", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("revision A", timeout=30_000)
    layer = api(page, "GET", f"{base}/layers/?fields=id,version")["results"][0]
    api(page, "PATCH", f"{base}/layers/{layer['id']}", {"munsell": "10YR 8/2"}, If_Match=f'"{layer["version"]}"')
    page.reload()
    expect(row(page, "101-WL")).to_contain_text("Changed since issue")
    expect(row(page, "101-WL")).to_contain_text("5GY 6/4")
    settle(page, f"/projects/{page.code}/schedules/{schedule['number']}")
    page.get_by_text("1 change since it last went out").click()
    expect(page.get_by_text("Munsell: 5GY 6/4 → 10YR 8/2")).to_be_visible()


def test_a_schedule_is_put_up_for_comment_and_what_is_refused_is_said(page):
    api(page, "POST", f"projects/{page.code}/schedules/", {"title": "x", "year": 1850})
    settle(page, f"/projects/{page.code}/schedules/1")
    page.get_by_role("button", name="Move …").click()
    page.get_by_role("form", name="Review").get_by_role("button", name="Move").click()
    expect(page.get_by_text("Review: ◔ for comment")).to_be_visible()
    page.get_by_role("button", name="Move …").click()
    page.get_by_label("To", exact=True).select_option("agreed")
    page.get_by_role("form", name="Review").get_by_role("button", name="Move").click()
    expect(page.get_by_role("alert")).to_contain_text("by somebody who did not write it only")
