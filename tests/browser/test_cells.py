"""Cells of a register: going by pages, filling to the right, days from a calendar, swatches of what was measured, and the bench."""

import re

from playwright.sync_api import expect

from tests.browser.conftest import api
from tests.browser.register import Register


def row_of_focus(page) -> int:
    return int(page.evaluate("document.activeElement.closest('.slick-row').dataset.row"))


def test_page_down_and_page_up_go_by_what_is_seen_and_select_with_shift(house):
    page, code = house("CELL1", 200)
    register = Register(page, code, "samples")
    register.go(0, "part")
    page.keyboard.press("PageDown")
    seen = row_of_focus(page)
    assert 5 < seen < 100
    page.keyboard.press("PageDown")
    assert row_of_focus(page) > seen
    page.keyboard.press("PageUp")
    page.keyboard.press("PageUp")
    assert row_of_focus(page) == 0
    page.keyboard.press("PageUp")
    expect(register.cell(0, "part")).to_be_focused()
    page.keyboard.press("Shift+PageDown")
    expect(page.locator(".said")).to_have_text(re.compile(r"^\d+ × 1 cells selected\.$"))
    for _ in range(60):
        page.keyboard.press("PageDown")
    expect(register.cell(199, "part")).to_be_focused()


def test_control_r_fills_to_the_right_and_is_undone_as_one(house):
    page, code = house("CELL2", 2)
    register = Register(page, code, "samples")
    register.go(0, "part")
    register.paste("edge\nmiddle\n")
    register.saved()
    register.go(0, "part")
    for key in ("Shift+ArrowDown", "Shift+ArrowRight", "Shift+ArrowRight"):
        page.keyboard.press(key)
    page.keyboard.press("Control+r")
    expect(page.locator(".said")).to_have_text("Filled 4 cells.")
    register.saved()
    filled = [[row[name] for name in ("part", "visit", "location")] for row in register.rows()]
    assert filled == [["edge"] * 3, ["middle"] * 3]
    page.keyboard.press("Control+z")
    register.saved()
    assert [row["visit"] for row in register.rows()] == ["", ""]


def test_control_r_in_one_column_says_that_there_was_nothing_to_fill(house):
    page, code = house("CELL3", 1)
    register = Register(page, code, "samples")
    register.go(0, "part")
    page.keyboard.press("Control+r")
    expect(page.locator(".said")).to_have_text("There was nothing to write here.")
    assert register.batches == []


def test_a_day_is_typed_or_chosen_in_the_calendar(house):
    page, code = house("CELL4", 2)
    register = Register(page, code, "samples")
    register.type(0, "taken_on", "14 May 2026")
    register.go(1, "taken_on")
    page.keyboard.press("F2")
    expect(page.get_by_role("button", name="Calendar")).to_be_visible()
    # What the browser's calendar does when a day is pressed in it.
    page.locator(".calendarday").evaluate("one => { one.value = '2026-05-15'; one.dispatchEvent(new Event('change')); }")
    expect(page.locator(".celleditor")).to_have_value("2026-05-15")
    expect(page.locator(".celleditor")).to_be_focused()
    page.keyboard.press("Enter")
    register.saved()
    assert [row["taken_on"] for row in register.rows()] == ["2026-05-14", "2026-05-15"]


def test_the_calendar_opens_at_the_day_that_is_written_and_by_key(house):
    page, code = house("CELL5", 1)
    register = Register(page, code, "samples")
    page.evaluate("HTMLInputElement.prototype.showPicker = function () { document.title = `opened at ${this.value}`; }")
    register.type(0, "taken_on", "2026-05-14")
    register.saved()
    register.go(0, "taken_on")
    page.keyboard.press("Alt+ArrowDown")
    expect(page).to_have_title("opened at 2026-05-14")
    page.keyboard.press("Escape")
    expect(register.cell(0, "taken_on")).to_contain_text("2026-05-14")


def layers(page, code: str) -> None:
    sample = api(page, "GET", f"projects/{code}/samples/?number=S-0001")["results"][0]["id"]
    measured = [{"lab_l": 60, "lab_a": -8, "lab_b": 24}, {"lab_l": 60}, {}]
    values = [{"sample": sample, "kind": "paint", **one} for one in (measured[0], measured[2])]
    api(page, "POST", f"projects/{code}/layers/batch", {"operations": [{"op": "create", "values": one} for one in values]})


def test_a_measured_colour_shows_its_swatch_beside_l(house):
    page, code = house("CELL6", 1)
    layers(page, code)
    page.goto(f"/projects/{code}/registers/layers?columns=lab_l,lab_a,lab_b")
    first = page.locator('.slick-row[data-row="0"] .slick-cell.l0')
    expect(first.locator(".swatch")).to_have_css("background-color", re.compile(r"rgb\((?!0, 0, 0)"))
    expect(page.locator('.slick-row[data-row="1"] .slick-cell.l0 .swatch')).to_have_count(0)


def test_a_sample_and_a_layer_are_taken_to_the_bench(house):
    page, code = house("CELL7", 2)
    layers(page, code)
    register = Register(page, code, "samples")
    register.go(1, "part")
    expect(page.get_by_role("link", name="At the bench")).to_have_attribute("href", f"/projects/{code}/bench/S-0002")
    page.goto(f"/projects/{code}/registers/layers")
    page.locator('.slick-row[data-row="1"] .slick-cell.l3').click()
    page.get_by_role("link", name="At the bench").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Bench: sample S-0001")
    assert "layer=2" in page.url
    page.go_back()
    expect(page.locator(".counts")).to_contain_text("2 rows.")


def removal_crosses_a_change(page, other, code: str) -> Register:
    """The page removes the first sample while it does not hear what others write; the other changes its part meanwhile."""
    register = Register(page, code, "samples")
    page.route("**/changes*", lambda route: route.abort())
    row = api(other, "GET", f"projects/{code}/samples/?number=S-0001")["results"][0]
    api(other, "PATCH", f"projects/{code}/samples/{row['id']}", {"part": "hinge side"}, If_Match=f'"{row["version"]}"')
    page.on("dialog", lambda dialog: dialog.accept())
    register.go(0, "part")
    page.keyboard.press("Control+Delete")
    expect(page.locator(".counts")).to_contain_text("changed by somebody else too")
    page.unroute("**/changes*")
    page.get_by_role("button", name="Next of them").click()
    return register


def test_a_removal_that_crosses_a_change_shows_both_and_the_row_can_stay(house, as_):
    page, code = house("CELL8", 2)
    register = removal_crosses_a_change(page, as_("conservator"), code)
    told = page.locator("#cell-status")
    expect(told).to_contain_text("You removed this row.")
    expect(told).to_contain_text("has since written “hinge side”")
    page.get_by_role("button", name="Keep the row").click()
    expect(page.locator(".counts")).not_to_contain_text("changed by somebody else")
    register.saved()
    assert [(row["number"], row["part"]) for row in register.rows()] == [("S-0001", "hinge side"), ("S-0002", "")]


def test_a_removal_that_crosses_a_change_can_be_done_all_the_same(house, as_):
    page, code = house("CELL9", 2)
    register = removal_crosses_a_change(page, as_("conservator"), code)
    page.get_by_role("button", name="Remove it all the same").click()
    expect(page.locator(".counts")).to_have_text("1 rows. ")
    register.saved()
    assert [row["number"] for row in register.rows()] == ["S-0002"]
