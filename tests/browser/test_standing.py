"""Standing: what is covered and what is missing, every number a way to its records."""

import re
from typing import Any

from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, settle, violations

__all__ = ["axe"]
WAITING = re.compile("^(Reading the history …|Working out .*…)$")


def fill(page: Page, code: str) -> None:
    """One space with two classes: a wall with two samples, one of them planned, and a door without any."""
    base = f"projects/{code}"
    space = api(page, "POST", f"{base}/spaces/", {"number": "101", "name": "Front room"})
    wall = api(page, "POST", f"{base}/elements/", {"code": "W", "space": space["id"], "element_class": "wall"})
    api(page, "POST", f"{base}/elements/", {"code": "D", "space": space["id"], "element_class": "door leaf"})
    sample = api(page, "POST", f"{base}/samples/", {"number": "S-1", "element": wall["id"]})
    api(page, "POST", f"{base}/samples/", {"number": "S-2", "element": wall["id"], "status": "planned"})
    for kind, colour in (("primer", "grey"), ("paint", "green")):
        api(page, "POST", f"{base}/layers/", {"sample": sample["id"], "kind": kind, "colour": colour})


def show(page: Page, address: str) -> None:
    settle(page, address)
    expect(page.get_by_text(WAITING)).to_have_count(0)


def matrix(page: Page) -> Any:
    return page.locator("table.matrix")


def row(page: Page, name: str) -> Any:
    return matrix(page).get_by_role("row").filter(has=page.get_by_role("rowheader", name=name, exact=True))


def test_each_number_of_the_coverage_leads_to_the_records_behind_it(new_project):
    page = new_project("STAND1")
    fill(page, "STAND1")
    show(page, "/projects/STAND1")
    expect(row(page, "wall").get_by_role("cell").first).to_have_text(re.compile("all: 1/? of 1"))
    expect(row(page, "door leaf").get_by_role("cell").first).to_have_text(re.compile("none: 0/? of 1"))
    row(page, "wall").get_by_role("cell").first.get_by_role("link").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Samples")
    expect(page.get_by_role("gridcell", name="S-1", exact=True)).to_be_visible()
    expect(page.get_by_role("gridcell", name="S-2", exact=True)).to_have_count(0)
    page.go_back()
    row(page, "door leaf").get_by_role("cell").first.get_by_role("link").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Elements")
    expect(page.get_by_role("gridcell", name="door leaf", exact=True).first).to_be_visible()
    expect(page.get_by_role("gridcell", name="wall", exact=True)).to_have_count(0)


def test_what_the_table_shows_is_in_the_address_and_going_back_brings_it_back(new_project):
    page = new_project("STAND2")
    fill(page, "STAND2")
    show(page, "/projects/STAND2")
    page.get_by_role("link", name="Correlated", exact=True).click()
    expect(page).to_have_url(re.compile(r"/projects/STAND2\?show=placed$"))
    expect(row(page, "wall").get_by_role("cell").first).to_have_text(re.compile("none: 0/? of 2"))
    page.go_back()
    expect(page.get_by_role("link", name="Sampled", exact=True)).to_have_attribute("aria-current", "true")
    expect(row(page, "wall").get_by_role("cell").first).to_have_text(re.compile("all: 1/? of 1"))


def test_the_table_is_one_stop_and_arrows_go_from_number_to_number(new_project):
    page = new_project("STAND3")
    fill(page, "STAND3")
    show(page, "/projects/STAND3")
    assert matrix(page).locator("a[tabindex='0']").count() == 1
    first = row(page, "wall").get_by_role("cell").first.get_by_role("link")
    first.first.focus()
    page.keyboard.press("ArrowRight")
    expect(first.nth(1)).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(row(page, "door leaf").get_by_role("cell").first.get_by_role("link").first).to_be_focused()
    assert matrix(page).locator("a[tabindex='0']").count() == 1


def test_what_is_missing_is_ranked_with_reasons_and_leads_to_its_records(new_project):
    page = new_project("STAND4")
    fill(page, "STAND4")
    show(page, "/projects/STAND4")
    items = page.locator("ol.missing > li")
    expect(items.filter(has_text="No sample of the class door leaf in space 101.")).to_contain_text("A sample there shows about 2 layers")
    expect(items.filter(has_text="1 sample of space 101 is planned and not taken.")).to_be_visible()
    items.filter(has_text="planned and not taken").get_by_role("link").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Samples")
    expect(page.get_by_role("gridcell", name="S-2", exact=True)).to_be_visible()
    expect(page.get_by_role("gridcell", name="S-1", exact=True)).to_have_count(0)


def test_a_conflict_of_date_is_told_with_its_records_and_stands_on_the_axis(new_project):
    page = new_project("STAND5")
    fill(page, "STAND5")
    base = "projects/STAND5"
    space = api(page, "GET", f"{base}/spaces/")["results"][0]["id"]
    made = [api(page, "POST", f"{base}/generations/", {"space": space})["id"] for _ in range(2)]
    for reference, generation, year in (("E-1", made[0], 1900), ("E-2", made[1], 1850)):
        told = {"reference": reference, "statement": "x", "bears_on": "generation", "generation": generation, "relation": "made in"}
        api(page, "POST", f"{base}/evidence/", {**told, "earliest": year, "latest": year, "certainty": "firm"})
    show(page, f"/{base}")
    conflicts = page.get_by_role("region", name="Conflicts of date")
    conflicts.get_by_role("link", name="evidence E-2").click()
    expect(page.get_by_role("main")).to_contain_text("E-2")
    page.go_back()
    page.get_by_role("region", name="Conflicts of date").get_by_role("link", name="On the axis of years").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Years")
    expect(page).to_have_url(re.compile("spaces=101&at=101%2F1"))


def test_what_was_done_stands_under_its_discipline(as_):
    page = as_("owner")
    show(page, "/projects/HALL")
    lately = page.get_by_role("region", name="Lately, by discipline")
    expect(lately.get_by_role("heading", name="Paint conservation")).to_be_visible()
    expect(lately).to_contain_text("Connie Vator")


def test_an_owner_sees_the_standing_and_is_offered_no_work(as_):
    page = as_("owner")
    show(page, "/projects/HALL?show=uv")
    expect(matrix(page)).to_be_visible()
    expect(page.get_by_role("button", name="Correlate all")).to_have_count(0)


def test_the_line_on_what_a_screen_is_for_is_put_away_and_brought_back(as_):
    page = as_("historian")
    show(page, "/projects/HALL")
    line = page.get_by_text("Where the study stands")
    line.get_by_role("button").click()
    expect(line).to_have_count(0)
    page.reload()
    expect(matrix(page)).to_be_visible()
    expect(line).to_have_count(0)
    page.get_by_role("button", name="Keys").click()
    page.get_by_role("button", name="Show again what each screen is for").click()
    page.keyboard.press("Escape")
    page.reload()
    expect(line).to_be_visible()


def test_standing_has_no_fault_that_the_accessibility_rules_know(new_project, axe):
    page = new_project("STAND6")
    fill(page, "STAND6")
    for width, scheme in ((1400, "light"), (800, "dark")):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        show(page, "/projects/STAND6?show=placed")
        assert violations(page, axe) == []
