"""The states of a register: empty, narrowed to nothing, a panel open, two values, on paper; each without a fault of accessibility."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import ROOT, api
from tests.browser.register import Register

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def faults(page: Page) -> list[str]:
    """What the accessibility rules find in the page as it is now."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("rules => axe.run(document, { runOnly: { type: 'tag', values: rules } })", RULES)
    return [f"{one['id']}: {node['html'][:160]}" for one in found["violations"] for node in one["nodes"]]


def column_panel(page: Page, register: Register) -> None:
    register.go(0, "number")
    page.keyboard.press("Control+Shift+l")
    expect(page.get_by_role("dialog", name="Number")).to_be_visible()


def bounds_panel(page: Page, _register: Register) -> None:
    page.locator('[data-filter="height_mm"]').focus()
    page.keyboard.press("Alt+ArrowDown")
    page.get_by_label("From").fill("tall")
    expect(page.get_by_text("This is no number.")).to_be_visible()


def a_narrowed_column_panel(page: Page, register: Register) -> None:
    register.go(0, "part")
    page.keyboard.press("Control+Shift+l")
    page.get_by_label("Find a value").fill("nothing is so")
    expect(page.get_by_text("No value is like this.")).to_be_visible()


def views(page: Page, _register: Register) -> None:
    page.locator("summary", has_text="View").click()
    page.get_by_label("Keep what is shown now as").fill("  ")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("alert")).to_be_visible()


def columns(page: Page, _register: Register) -> None:
    page.get_by_text("Columns, sorting, groups").click()


def a_date(page: Page, register: Register) -> None:
    register.go(0, "bag")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("F2")
    expect(page.get_by_role("button", name="Calendar")).to_be_visible()


def nothing_found(page: Page, _register: Register) -> None:
    page.get_by_role("searchbox").fill("nothing is so")
    expect(page.get_by_role("button", name="Show all rows")).to_be_visible()


def frozen_groups(page: Page, register: Register) -> None:
    page.goto(f"{page.url}?group=element&frozen=3")
    expect(page.locator(".counts")).to_contain_text("rows.")


STATES = (column_panel, bounds_panel, a_narrowed_column_panel, views, columns, a_date, nothing_found, frozen_groups)


@pytest.mark.parametrize("look", [("light", 1400), ("dark", 900)])
def test_no_state_has_a_fault_that_the_accessibility_rules_know(house, look):
    scheme, width = look
    page, code = house(f"STATE{width}")
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 800})
    found = {}
    for state in STATES:
        register = Register(page, code, "samples")
        state(page, register)
        if wrong := faults(page):
            found[state.__name__] = wrong
    assert found == {}


def test_panels_stay_within_a_narrow_window(house):
    page, code = house("STATE2")
    page.set_viewport_size({"width": 420, "height": 700})
    for state in (column_panel, views, columns):
        state(page, Register(page, code, "samples"))
        for box in page.locator(".panel:visible").all():
            there = box.bounding_box()
            assert there is not None
            assert there["x"] >= -1, state.__name__
            assert there["x"] + there["width"] <= 421, state.__name__


def test_an_empty_register_says_how_to_fill_it(as_):
    page = as_("coordinator")
    api(page, "POST", "projects/", {"code": "STATE3", "name": "The empty house"})
    Register(page, "STATE3", "spaces")
    expect(page.get_by_text("No spaces yet.")).to_be_visible()
    expect(page.get_by_role("link", name="import a workbook")).to_be_visible()
    page.get_by_role("button", name="Make a row").click()
    page.keyboard.type("101")
    page.keyboard.press("Enter")
    expect(page.get_by_text("No spaces yet.")).to_be_hidden()
    expect(page.locator(".counts")).not_to_contain_text("unsaved")
    assert [one["number"] for one in api(page, "GET", "projects/STATE3/spaces/")["results"]] == ["101"]


def test_a_reader_of_an_empty_register_is_offered_nothing_to_write(as_):
    page = as_("coordinator")
    api(page, "POST", "projects/", {"code": "STATE4", "name": "The other empty house"})
    api(page, "POST", "projects/STATE4/members/", {"username": "owner", "role": "owner", "discipline": "ownership"})
    owner = as_("owner")
    Register(owner, "STATE4", "spaces")
    expect(owner.get_by_text("No spaces yet.")).to_be_visible()
    expect(owner.get_by_role("button", name="Make a row")).to_have_count(0)
    expect(owner.get_by_role("link", name="import a workbook")).to_have_count(0)


def test_what_is_narrowed_to_nothing_is_opened_again_in_one_step(house):
    page, code = house("STATE5")
    Register(page, code, "samples", "?where.part=nothing")
    page.get_by_role("searchbox").fill("neither")
    expect(page.get_by_text("None of the 4 rows")).to_be_visible()
    page.get_by_role("button", name="Show all rows").click()
    expect(page.locator(".counts")).to_have_text("4 rows. ")
    expect(page.get_by_role("searchbox")).to_have_value("")
    expect(page.locator('[data-filter="part"]')).to_have_value("")


def test_a_column_is_made_as_wide_as_what_it_holds(house):
    page, code = house("STATE6")
    register = Register(page, code, "samples")
    register.type(0, "part", "a long word on where it was lifted, as conservators write them")
    register.saved()
    text = register.cell(0, "part").locator(".text")
    clipped = "one => one.scrollWidth > one.clientWidth"
    register.go(0, "part")
    page.keyboard.press("Control+Shift+l")
    page.get_by_role("button", name="Fit width").click()
    expect(register.cell(0, "part")).to_contain_text("conservators")
    assert not register.cell(0, "part").evaluate(clipped)
    assert text.count() == 0 or not text.evaluate(clipped)
    page.reload()
    expect(page.locator(".counts")).to_contain_text("rows.")
    assert not register.cell(0, "part").evaluate(clipped)


def on_paper(page: Page) -> None:
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")


def test_on_paper_the_rows_shown_stand_whole_with_what_they_are(house):
    page, code = house("STATE7", 30)
    register = Register(page, code, "samples", "?where.part=(blank)&group=element")
    page.set_viewport_size({"width": 1000, "height": 700})
    register.go(1, "number")
    on_paper(page)
    paper = page.locator(".printed")
    expect(paper.locator("tbody td:first-child")).to_have_count(30)
    expect(paper.locator("thead")).to_have_text(re.compile("Number.*Element"))
    expect(paper.get_by_text(f"The house {code}: samples, 30; only Part (blank)")).to_be_visible()
    expect(paper.get_by_text("Nothing stands in: Part, Visit")).to_be_visible()
    expect(paper.get_by_role("rowheader")).to_have_text("Element: 101-BB (30)")
    expect(page.locator("#sheet")).to_be_hidden()
    assert page.evaluate("document.querySelector('.printed table').scrollWidth <= innerWidth")


def test_paper_is_white_in_dark_surroundings_too(house):
    page, code = house("STATE8")
    page.emulate_media(color_scheme="dark")
    Register(page, code, "samples")
    on_paper(page)
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(26, 26, 26)"
