"""Named views: kept on the service, so they are there in every browser of the person who made them, and in nobody else's."""

import json

from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.register import Register


def panel(page: Page) -> None:
    page.locator("summary", has_text="View").click()


def keep_as(page: Page, name: str) -> None:
    panel(page)
    page.get_by_label("Keep what is shown now as").fill(name)
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("link", name=name)).to_be_visible()


def test_a_view_is_there_in_another_browser_of_the_same_person_and_not_in_a_colleagues(house, as_):
    page, code = house("VIEW1")
    Register(page, code, "samples", "?sort=-number&frozen=2&without=visit&where.part=(blank)")
    keep_as(page, "From the last")
    assert "view=From+the+last" in page.url
    other = as_("coordinator")
    Register(other, code, "samples")
    panel(other)
    other.get_by_role("link", name="From the last").click()
    expect(other.locator(".slick-row[data-row='0'] .l0").first).to_contain_text("S-0004")
    expect(other.locator(".slick-pane-left .slick-header-column")).to_have_count(2)
    expect(other.locator(".slick-header-column", has_text="Visit")).to_have_count(0)
    expect(other.locator("summary", has_text="View: From the last")).to_be_visible()
    colleague = as_("conservator")
    Register(colleague, code, "samples")
    panel(colleague)
    expect(colleague.get_by_role("link", name="All, as it comes")).to_be_visible()
    expect(colleague.get_by_text("Reading your views")).to_have_count(0)
    expect(colleague.get_by_role("link", name="From the last")).to_have_count(0)


def test_a_view_that_was_changed_says_so_and_takes_the_changes_when_told(house):
    page, code = house("VIEW2")
    Register(page, code, "samples", "?sort=-number")
    keep_as(page, "Mine")
    page.keyboard.press("Escape")
    page.locator('[data-filter="number"]').fill("S-0003")
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
    panel(page)
    expect(page.get_by_text("changed since")).to_be_visible()
    page.get_by_role("button", name="Keep the changes").click()
    expect(page.get_by_text("changed since")).to_have_count(0)
    view = api(page, "GET", f"projects/{code}/views/")["results"][0]
    assert (view["version"], view["arrangement"]["filters"]) == (2, {"number": "S-0003"})
    page.get_by_role("button", name="Forget the view Mine").click()
    expect(page.locator("summary", has_text="Views")).to_be_visible()
    assert api(page, "GET", f"projects/{code}/views/")["results"] == []
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")


def test_a_name_that_cannot_be_is_refused_and_what_was_typed_stays(house):
    page, code = house("VIEW3")
    Register(page, code, "samples")
    panel(page)
    page.get_by_label("Keep what is shown now as").fill("   ")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("Name the view in up to 80 characters")
    expect(page.get_by_label("Keep what is shown now as")).to_have_value("   ")


def test_views_that_the_browser_kept_go_to_the_service_once(house):
    page, code = house("VIEW4")
    key = f"undercoat views|coordinator|{code}|samples"
    page.goto("/")
    page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, json.dumps({"An old one": "sort=-number", "No view": 3})])
    Register(page, code, "samples")
    panel(page)
    expect(page.get_by_role("link", name="An old one")).to_be_visible()
    assert page.evaluate("key => localStorage.getItem(key)", key) is None
    assert [view["name"] for view in api(page, "GET", f"projects/{code}/views/")["results"]] == ["An old one"]
    page.get_by_role("link", name="An old one").click()
    expect(page.locator(".slick-row[data-row='0'] .l0").first).to_contain_text("S-0004")
