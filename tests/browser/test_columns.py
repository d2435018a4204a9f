"""The columns of a register: kept in sight, hidden, moved, grouped by, and narrowed to some of their values, by mouse and by keyboard."""

import re

from playwright.sync_api import Page, expect

from tests.browser.register import Register


def staying(page: Page) -> list[str]:
    """The columns that stay in sight."""
    return [re.sub(r"[▾▲▼\d]", "", one).strip() for one in page.locator(".slick-pane-left .slick-header-column").all_inner_texts()]


def test_first_columns_stay_in_sight_by_key_and_the_address_says_so(house):
    page, code = house("COL1")
    register = Register(page, code, "samples")
    assert staying(page) == ["Number"]
    register.go(1, "part")
    page.keyboard.press("Control+Shift+f")
    expect(page.locator(".said")).to_have_text("The first 3 columns stay in sight.")
    assert staying(page) == ["Number", "Element", "Part"]
    expect(register.cell(1, "part")).to_be_focused()
    assert "frozen=3" in page.url
    page.keyboard.press("End")
    expect(register.cell(1, "number")).to_be_in_viewport()
    expect(register.cell(1, "part")).to_be_in_viewport()
    expect(register.cell(1, "visit")).not_to_be_in_viewport()
    page.keyboard.press("Home")
    page.keyboard.type("S-0002a")
    page.keyboard.press("Tab")
    register.saved()
    assert register.rows()[1]["number"] == "S-0002a"
    page.reload()
    expect(page.locator(".counts")).to_contain_text("rows.")
    assert staying(page) == ["Number", "Element", "Part"]
    register.go(1, "part")
    page.keyboard.press("Control+Shift+f")
    expect(page.locator(".said")).to_have_text("No column stays in sight.")
    assert page.locator(".slick-pane-right .slick-header-column").count() == 0


def test_hiding_and_moving_columns_keeps_what_stays_in_sight(house):
    page, code = house("COL2")
    Register(page, code, "samples", "?frozen=3")
    page.get_by_text("Columns, sorting, groups").press("Enter")
    page.get_by_role("checkbox", name="Element", exact=True).press("Space")
    assert staying(page) == ["Number", "Part"]
    page.get_by_role("button", name="Part: further left").press("Enter")
    page.get_by_role("button", name="Part: further left").press("Enter")
    assert staying(page) == ["Part", "Number"]
    page.get_by_role("checkbox", name="Element", exact=True).press("Space")
    assert staying(page) == ["Part", "Number", "Element"]
    page.get_by_label("Stay in sight up to").select_option("number")
    assert staying(page) == ["Part", "Number"]


def test_groups_and_columns_that_stay_go_together(house):
    page, code = house("COL3")
    register = Register(page, code, "samples", "?frozen=2&group=element")
    assert staying(page) == ["Number", "Element"]
    expect(page.locator(".slick-pane-left .slick-row.group")).to_contain_text("Element: 101-BB (4)")
    register.go(1, "part")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    expect(page.locator(".slick-row:not(.group) .slick-cell")).to_have_count(0)
    page.keyboard.press("Enter")
    expect(register.cell(4, "number")).to_contain_text("S-0004")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Control+Shift+ArrowDown")
    page.keyboard.press("Control+c")
    expect(page.locator(".said")).to_contain_text("Copied 4 × 1")


def test_a_window_too_narrow_for_what_is_to_stay_keeps_less_and_says_so(house):
    page, code = house("COL4")
    page.set_viewport_size({"width": 700, "height": 800})
    register = Register(page, code, "samples")
    register.go(0, "location")
    page.keyboard.press("Control+Shift+f")
    expect(page.locator(".said")).to_contain_text("this window is too narrow")
    assert 1 <= len(staying(page)) < 5
    page.set_viewport_size({"width": 1400, "height": 800})
    expect(page.locator(".slick-pane-left .slick-header-column")).to_have_count(5)


def five_parts(register: Register) -> None:
    register.go(0, "part")
    register.paste("edge\t\t\t\t20\nmiddle\t\t\t\t5\nedge\t\t\t\t7.5\n\t\t\t\t100\n")
    register.saved()


def test_rows_are_chosen_by_their_values_with_the_mouse(house):
    page, code = house("COL5")
    register = Register(page, code, "samples")
    five_parts(register)
    page.get_by_role("button", name="Part: sort, filter, freeze, hide").click()
    panel = page.get_by_role("dialog", name="Part")
    expect(panel.locator(".values > div")).to_have_text(["(blank)1", "edge2", "middle1"])
    panel.get_by_label("edge").uncheck()
    expect(page.locator(".counts")).to_contain_text("2 of 4 rows")
    expect(page.locator('[data-filter="part"]')).to_have_value("!=edge")
    panel.get_by_label("(blank)").uncheck()
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
    panel.get_by_role("button", name="Show all rows").click()
    expect(page.locator(".counts")).to_contain_text("4 rows")
    expect(panel.get_by_role("checkbox", checked=True)).to_have_count(3)
    page.get_by_role("heading", level=1).click()
    expect(panel).to_be_hidden()


def test_rows_are_chosen_by_their_values_with_the_keyboard_alone(house):
    page, code = house("COL6")
    register = Register(page, code, "samples")
    five_parts(register)
    register.go(0, "part")
    page.keyboard.press("Control+Shift+l")
    panel = page.get_by_role("dialog", name="Part")
    expect(panel.get_by_label("Contains")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.type("mid")
    expect(panel.locator(".values > div")).to_have_text(["middle1"])
    page.keyboard.press("Enter")
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
    for _ in range(3):
        page.keyboard.press("Backspace")
    page.keyboard.press("ArrowDown")
    expect(panel.get_by_label("(blank)")).to_be_focused()
    page.keyboard.press("Space")
    expect(page.locator(".counts")).to_contain_text("2 of 4 rows")
    page.keyboard.press("End")
    page.keyboard.press("Space")
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
    assert "where.part=%28blank%29" in page.url
    page.keyboard.press("Escape")
    expect(panel).to_be_hidden()
    expect(page.locator(":focus")).to_have_role("gridcell")
    page.locator('[data-filter="part"]').focus()
    page.keyboard.press("Alt+ArrowDown")
    expect(panel).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator('[data-filter="part"]')).to_be_focused()


def test_rows_are_chosen_by_bounds_without_knowing_how_they_are_written(house):
    page, code = house("COL7")
    register = Register(page, code, "samples")
    five_parts(register)
    page.get_by_role("button", name="Height: sort, filter, freeze, hide").click()
    panel = page.get_by_role("dialog", name="Height (mm)")
    panel.get_by_label("From").fill("6")
    expect(page.locator(".counts")).to_contain_text("3 of 4 rows")
    panel.get_by_label("up to").fill("20")
    expect(page.locator(".counts")).to_contain_text("2 of 4 rows")
    expect(page.locator('[data-filter="height_mm"]')).to_have_value("6..20")
    panel.get_by_label("up to").fill("tall")
    expect(panel.get_by_text("This is no number.")).to_be_visible()
    expect(page.locator(".counts")).to_contain_text("2 of 4 rows")
    page.keyboard.press("Escape")
    register.type(0, "taken_on", "2026-05-14")
    register.saved()
    page.get_by_role("button", name="Taken on: sort, filter, freeze, hide").click()
    days = page.get_by_role("dialog", name="Taken on")
    days.get_by_label("From").fill("2026-05-01")
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
    assert "where.taken_on=2026-05-01.." in page.url


def test_a_column_is_sorted_hidden_and_grouped_by_from_its_panel(house):
    page, code = house("COL8")
    register = Register(page, code, "samples")
    five_parts(register)
    register.go(0, "number")
    page.keyboard.press("Shift+F10")
    page.get_by_role("dialog", name="Number").get_by_role("button", name="Sort down").click()
    expect(register.cell(0, "number")).to_contain_text("S-0004")
    register.go(0, "part")
    page.keyboard.press("Shift+F10")
    page.get_by_role("dialog", name="Part").get_by_role("button", name="Hide").click()
    expect(page.locator(".slick-header-column", has_text="Part")).to_have_count(0)
    register.go(0, "element")
    page.keyboard.press("Shift+F10")
    page.get_by_role("dialog", name="Element").get_by_role("button", name="Group by it").click()
    expect(page.locator(".slick-row.group").first).to_contain_text("Element: 101-BB (4)")


def test_markup_in_a_value_is_text_in_the_panel_too(house):
    page, code = house("COL9")
    register = Register(page, code, "samples")
    register.type(0, "part", "<img src=x onerror=alert(1)>|b")
    register.saved()
    page.get_by_role("button", name="Part: sort, filter, freeze, hide").click()
    panel = page.get_by_role("dialog", name="Part")
    expect(panel.locator(".values > div").nth(1)).to_have_text("<img src=x onerror=alert(1)>|b1")
    panel.get_by_role("button", name="Untick all").click()
    expect(page.locator(".counts")).to_contain_text("0 of 4 rows")
    panel.get_by_label("<img").check()
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
