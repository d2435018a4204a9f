"""Years: generations, evidence and phases on one axis, by keyboard and mouse, and the same in words."""

import itertools
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, settle, violations

__all__ = ["axe"]
NUMBERS = itertools.count(1)


def fill(page: Page, code: str) -> None:
    """Two spaces with two generations each, a phase, firm evidence before the common era and tentative evidence."""
    base = f"projects/{code}"
    project = api(page, "GET", base)
    values = {"first_year": -200, "last_year": 1900}
    api(page, "PATCH", base, values, If_Match=f'"{project["version"]}"')
    made = {}
    for number in ("101", "102"):
        space = api(page, "POST", f"{base}/spaces/", {"number": number})
        made[number] = [api(page, "POST", f"{base}/generations/", {"space": space["id"], "label": f"coat {n}"})["id"] for n in (1, 2)]
    api(page, "POST", f"{base}/phases/", {"label": "The rebuilding", "earliest": 1700, "latest": 1720})
    for reference, generation, year, certainty in (("E-1", made["101"][0], -50, "firm"), ("E-2", made["102"][1], 1800, "tentative")):
        told = {"reference": reference, "statement": "x", "bears_on": "generation", "generation": generation, "relation": "made in"}
        api(page, "POST", f"{base}/evidence/", {**told, "earliest": year, "latest": year, "certainty": certainty})


@pytest.fixture
def page(new_project):
    code = f"YEARS{next(NUMBERS)}"
    made = new_project(code)
    fill(made, code)
    made.code = code  # type: ignore[attr-defined]
    return made


def show(page: Page, query: str = "") -> None:
    settle(page, f"/projects/{page.code}/years{query}")  # type: ignore[attr-defined]
    expect(page.locator(".yearsboard")).to_be_visible()


def board(page: Page):
    return page.get_by_role("group", name="Axis of years")


def words(page: Page):
    return page.get_by_role("table", name="Years of the generations")


def test_bounds_distributions_evidence_and_phases_stand_on_the_axis_and_in_words(page):
    show(page)
    assert board(page).locator("[data-generation]").count() == 4
    assert board(page).locator(".density").count() == 4
    assert board(page).locator("g.mark .name").all_text_contents() == ["E-1", "E-2"]
    expect(board(page).locator(".phase .said")).to_have_text("The rebuilding")
    expect(words(page).get_by_role("row").filter(has=page.get_by_role("rowheader", name="101/1"))).to_contain_text("50 BCE")
    expect(words(page).get_by_role("row").filter(has=page.get_by_role("rowheader", name="101/1"))).to_contain_text("evidence E-1")
    expect(page.get_by_role("table", name="Phases and evidence")).to_contain_text("generation 102/2 made in 1800, tentative")
    assert "BCE" in "".join(board(page).locator(".yearshead text").all_text_contents())


def test_a_generation_is_chosen_by_key_its_reasons_told_and_its_record_reached(page):
    show(page)
    board(page).focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    expect(page).to_have_url(re.compile("at=101%2F1"))
    expect(page.get_by_text("Generation 1 of space 101, coat 1")).to_be_visible()
    page.locator(".yearsdetail").get_by_role("link", name="evidence E-1").first.click()
    expect(page.get_by_role("main")).to_contain_text("E-1")
    page.go_back()
    expect(page.get_by_text("Generation 1 of space 101, coat 1")).to_be_visible()
    board(page).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Space 101")


def test_a_generation_is_chosen_by_pressing_its_row(page):
    show(page)
    board(page).locator("[data-generation='102/2']").click(position={"x": 30, "y": 12})
    expect(page).to_have_url(re.compile("at=102%2F2"))


def test_closer_later_and_all_years_by_key_and_mouse_are_in_the_address(page):
    show(page)
    board(page).focus()
    page.keyboard.press("+")
    expect(page).to_have_url(re.compile(r"from=10&to=1690"))  # 2,100 years × 0.8 around 850
    page.keyboard.press("ArrowRight")
    expect(page).to_have_url(re.compile(r"from=220&to=1900"))  # a fifth of 1,680 is 336, but nothing lies after 1900
    expect(page.get_by_label("From", exact=True)).to_have_value("220")
    page.reload()
    expect(page.get_by_label("To", exact=True)).to_have_value("1900")
    box = board(page).locator("[data-generation='101/2']").bounding_box()
    page.mouse.move(box["x"] + 500, box["y"] + 10)
    page.mouse.down()
    page.mouse.move(box["x"] + 600, box["y"] + 10, steps=4)
    page.mouse.up()
    expect(page).not_to_have_url(re.compile("from=220"))
    board(page).focus()
    page.keyboard.press("0")
    expect(page).not_to_have_url(re.compile("from="))


def test_years_are_written_and_what_is_none_is_refused_in_words(page):
    show(page)
    page.get_by_label("From", exact=True).fill("100 BCE")
    page.get_by_label("To", exact=True).fill("500")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page).to_have_url(re.compile("from=-100&to=500"))
    page.get_by_label("To", exact=True).fill("c.1840")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("Write years as 1838 or 120 BCE")
    page.get_by_label("To", exact=True).fill("-99")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("at least 5 years")


def test_tentative_evidence_counts_only_when_asked_what_if(page):
    show(page)
    row = words(page).get_by_role("row").filter(has=page.get_by_role("rowheader", name="102/2"))
    expect(row).to_contain_text("200 BCE to 1900")
    page.get_by_label("What if tentative evidence counts").check()
    expect(page).to_have_url(re.compile("tentative=yes"))
    expect(page.get_by_text("Nothing of this is stored")).to_be_visible()
    expect(row).to_contain_text("1800")
    expect(row).not_to_contain_text("1900")
    page.go_back()
    expect(row).to_contain_text("200 BCE to 1900")


def test_either_prior_is_chosen_and_says_which_it_is(page):
    show(page)
    before = board(page).locator("[data-generation='102/1'] .density").get_attribute("d")
    page.get_by_label("Equally likely").select_option("span")
    expect(page).to_have_url(re.compile("prior=span"))
    expect(page.get_by_role("region", name="The same in words")).to_contain_text("Every span")
    assert board(page).locator("[data-generation='102/1'] .density").get_attribute("d") != before


def test_spaces_are_chosen(page):
    show(page)
    page.get_by_text("Spaces: all").click()
    page.get_by_label("101", exact=True).uncheck()
    page.get_by_role("button", name="Show these spaces").click()
    expect(page).to_have_url(re.compile("spaces=102"))
    expect(board(page).locator("[data-generation]")).to_have_count(2)
    expect(words(page).get_by_role("row")).to_have_count(3)


def test_without_generations_it_says_what_to_do_first(new_project):
    page = new_project("YEARS0")
    settle(page, "/projects/YEARS0/years")
    expect(page.get_by_role("main")).to_contain_text("Correlate the spaces first")


def test_an_owner_sees_the_years_and_a_contractor_does_not(as_):
    page = as_("owner")
    settle(page, "/projects/HALL")
    page.get_by_role("navigation", name="Project").get_by_role("link", name="Years").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Years")
    page = as_("contractor")
    settle(page, "/projects/HALL/years")
    expect(page.get_by_role("heading", level=1)).to_have_text("Not found")


def test_the_keys_of_the_axis_are_told(page):
    show(page)
    page.get_by_role("button", name="Keys").click()
    expect(page.get_by_role("dialog")).to_contain_text("Years, while the axis has the focus")


def test_years_have_no_fault_that_the_accessibility_rules_know_and_fit_a_narrow_window(page, axe):
    for width, scheme in ((1400, "light"), (800, "dark")):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        show(page, "?at=101/1&tentative=yes")
        assert violations(page, axe) == []
    page.set_viewport_size({"width": 320, "height": 700})
    show(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate("document.querySelectorAll('[style]').length") == 0


def test_on_paper_each_space_has_its_axis_and_no_buttons(page):
    show(page)
    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Closer")).to_be_hidden()
    assert board(page).locator(".paperaxis:visible").count() == 3
