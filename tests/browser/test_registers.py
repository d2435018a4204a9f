"""The registers as grids, in a real browser, on the real service: typed, pasted, filled, undone, refused, shared, interrupted."""

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import CLIPBOARD, api
from tests.browser.register import Register

ROOT = Path(__file__).resolve().parents[2]


def test_what_is_typed_is_saved_as_one_goes_on(house):
    page, code = house("GRID1")
    register = Register(page, code, "samples")
    register.go(0, "part")
    for text in ("edge", "middle", "corner", "top"):
        page.keyboard.type(text, delay=0)
        page.keyboard.press("Enter")
    register.saved()
    assert [row["part"] for row in register.rows()] == ["edge", "middle", "corner", "top"]


def test_the_keys_of_a_spreadsheet_move_and_select(house):
    page, code = house("GRID2")
    register = Register(page, code, "samples")
    register.go(0, "number")
    for key, row, field in (
        ("ArrowDown", 1, "number"), ("Tab", 1, "element"), ("ArrowRight", 1, "part"), ("Shift+Tab", 1, "element"), ("Enter", 2, "element"),
        ("Shift+Enter", 1, "element"), ("Home", 1, "number"), ("Control+ArrowDown", 3, "number"), ("Control+Home", 0, "number"),
    ):  # fmt: skip
        page.keyboard.press(key)
        expect(register.cell(row, field)).to_be_focused()
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Shift+ArrowRight")
    expect(page.locator('.slick-cell[aria-selected="true"]')).to_have_count(4)
    page.keyboard.press("Control+End")
    expect(page.locator(":focus")).to_have_attribute("aria-colindex", "24")


def test_f2_edits_what_is_there_and_escape_leaves_it_as_it_was(house):
    page, code = house("GRID3")
    register = Register(page, code, "samples")
    register.type(0, "part", "edge")
    register.go(0, "part")
    page.keyboard.press("F2")
    page.keyboard.press("Home")
    page.keyboard.type("near ")
    page.keyboard.press("Enter")
    expect(register.cell(0, "part")).to_contain_text("near edge")
    register.go(0, "part")
    page.keyboard.type("something else")
    page.keyboard.press("Escape")
    expect(register.cell(0, "part")).to_contain_text("near edge")
    register.saved()


def test_a_paste_of_500_rows_with_quoted_cells_is_one_batch_and_so_is_its_undo(house):
    page, code = house("GRID4", 500)
    register = Register(page, code, "samples")
    register.go(0, "part")
    # A quoted cell holds a line break, a tab and a doubled quote, as a spreadsheet writes them.
    lines = [f'part {at}\t{at % 5}\t"line one\r\nline {at}"\t"a ""quoted"" word"\t{at}.5' for at in range(500)]
    register.paste("\r\n".join(lines) + "\r\n")
    expect(page.locator(".said")).to_contain_text("Pasted 500 × 5 cells.")
    register.saved()
    rows = register.rows()
    assert len(rows) == 500
    assert [rows[7][name] for name in ("part", "visit", "location", "purpose", "height_mm")] == [
        "part 7", "2", "line one\nline 7", 'a "quoted" word', 7.5,
    ]  # fmt: skip
    assert [len(one["operations"]) for one in register.batches] == [500]
    page.keyboard.press("Control+z")
    expect(register.cell(0, "part")).to_have_text("")
    register.saved()
    assert {row["part"] for row in register.rows()} == {""}
    assert [len(one["operations"]) for one in register.batches] == [500, 500]
    page.keyboard.press("Control+y")
    register.saved()
    assert register.rows()[499]["height_mm"] == 499.5


def test_a_paste_past_the_end_makes_rows(house):
    page, code = house("GRID5", 1)
    register = Register(page, code, "samples")
    register.go(0, "number")
    register.paste("S-0001\t101-BB\tedge\nN-1\t101-bb\tedge\nN-2\t101-BB\tmiddle\n")
    register.saved()
    assert [(row["number"], row["part"]) for row in register.rows()] == [("N-1", "edge"), ("N-2", "middle"), ("S-0001", "edge")]


def test_a_paste_that_is_too_wide_or_too_long_does_nothing_and_says_so(house):
    page, code = house("GRID6")
    register = Register(page, code, "samples")
    register.go(0, "number")
    register.paste("\t".join(["x"] * 40))
    expect(page.locator(".said")).to_contain_text("Nothing was pasted")
    page.evaluate("navigator.clipboard.writeText('x\\n'.repeat(200000))")
    page.keyboard.press("Control+v")
    expect(page.locator(".said")).to_contain_text("200,000. Nothing was pasted")
    assert register.batches == []


def test_markup_and_formulas_are_texts_and_leave_as_texts(house):
    page, code = house("GRID7")
    register = Register(page, code, "samples")
    register.go(0, "part")
    register.paste("<img src=x onerror=alert(1)>\n=1+1\n")
    expect(register.cell(0, "part")).to_have_text(re.compile(r"^<img src=x onerror=alert\(1\)>"))
    register.saved()
    register.go(1, "part")
    page.keyboard.press("Control+c")
    expect(page.locator(".said")).to_contain_text("Copied 1 × 1")
    assert page.evaluate("navigator.clipboard.readText()") == "'=1+1"


def test_a_refused_cell_stays_marked_with_its_reason_and_the_others_are_saved(house):
    page, code = house("GRID8")
    register = Register(page, code, "samples")
    register.go(0, "part")
    register.paste("a\t1\t\t\ttall\nb\t2\t\t\t20\n")
    expect(register.cell(0, "height_mm")).to_contain_text("✕")
    expect(register.cell(0, "height_mm")).to_have_attribute("aria-invalid", "true")
    register.saved()
    assert [(row["part"], row["height_mm"]) for row in register.rows()][:2] == [("a", None), ("b", 20.0)]
    # The service refuses this one, not the page.
    register.type(2, "status", "buried", "Tab")
    expect(register.cell(2, "status")).to_contain_text("✕")
    register.go(2, "status")
    expect(page.locator("#cell-status")).to_contain_text("'buried' is not in the list")
    expect(page.locator(".counts")).to_contain_text("2 refused")
    page.get_by_role("button", name="Next refused").click()
    expect(register.cell(0, "height_mm")).to_be_focused()
    page.keyboard.type("12,5")
    page.keyboard.press("Enter")
    expect(page.locator(".counts")).to_contain_text("1 refused")
    register.saved()
    assert register.rows()[0]["height_mm"] == 12.5


def test_filling_down_clearing_and_a_series(house):
    page, code = house("GRID9")
    register = Register(page, code, "samples")
    register.type(0, "bag", "B-009")
    register.type(0, "part", "edge")
    register.go(0, "part")
    for _ in range(3):
        page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Control+d")
    expect(register.cell(3, "part")).to_contain_text("edge")
    register.go(0, "bag")
    for _ in range(3):
        page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Control+Shift+d")
    expect(register.cell(3, "bag")).to_contain_text("B-012")
    register.go(1, "part")
    page.keyboard.press("Delete")
    register.saved()
    assert [(row["part"], row["bag"]) for row in register.rows()] == [
        ("edge", "B-009"),
        ("", "B-010"),
        ("edge", "B-011"),
        ("edge", "B-012"),
    ]


def test_a_closed_list_is_offered_and_narrowed_by_typing(house):
    page, code = house("GRID10")
    register = Register(page, code, "samples")
    register.go(0, "status")
    page.keyboard.type("mo")
    expect(page.get_by_role("option")).to_have_text(["mounted"])
    page.keyboard.press("Enter")
    expect(register.cell(0, "status")).to_contain_text("mounted")
    expect(register.cell(1, "status")).to_be_focused()
    page.keyboard.press("F2")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    register.saved()
    assert register.rows()[0]["status"] == "mounted"
    assert page.get_by_role("listbox").count() == 0


def test_a_munsell_notation_shows_its_colour_while_it_is_typed(as_):
    page = as_("conservator")
    register = Register(page, "HALL", "layers")
    register.go(0, "munsell")
    page.keyboard.type("5gy 6/4")
    swatch = page.locator(".swatch.editing")
    expect(swatch).to_have_css("background-color", re.compile(r"rgb\((?!0, 0, 0)"))
    page.keyboard.press("Escape")
    expect(page.locator(".editing")).to_have_count(0)


def test_rows_are_inserted_and_removed_and_brought_back(house):
    page, code = house("GRID11", 2)
    register = Register(page, code, "samples")
    register.go(0, "number")
    page.keyboard.press("Control+Enter")
    expect(register.cell(1, "number")).to_be_focused()
    expect(register.cell(1, "element")).to_contain_text("101-BB")
    page.keyboard.type("N-1")
    page.keyboard.press("Enter")
    register.saved()
    assert {row["number"] for row in register.rows()} == {"S-0001", "N-1", "S-0002"}
    register.go(0, "number")
    # It asks first, since layers may hang on a sample.
    page.once("dialog", lambda dialog: dialog.dismiss())
    page.keyboard.press("Control+Delete")
    expect(register.cell(0, "number")).to_contain_text("S-0001")
    page.once("dialog", lambda dialog: dialog.accept())
    page.keyboard.press("Control+Delete")
    expect(register.cell(0, "number")).to_contain_text("N-1")
    register.saved()
    assert {row["number"] for row in register.rows()} == {"N-1", "S-0002"}
    # On samples hang layers, so the service brings back the record itself.
    page.keyboard.press("Control+z")
    expect(page.locator(".said")).to_contain_text("Brought back 1 record")
    assert {row["number"] for row in register.rows()} == {"S-0001", "N-1", "S-0002"}


def test_a_new_row_is_typed_on_while_it_is_being_made(house):
    page, code = house("GRID25", 2)
    register = Register(page, code, "samples")
    register.go(1, "number")
    page.keyboard.press("Control+Enter")
    expect(register.cell(2, "number")).to_be_focused()
    for text in ("N-1", "101-BB", "edge", "2", "by the hinge"):
        page.keyboard.type(text, delay=0)
        page.keyboard.press("Tab")
    register.saved()
    made = next(row for row in register.rows() if row["number"] == "N-1")
    assert [made[name] for name in ("element_code", "part", "visit", "location")] == ["101-BB", "edge", "2", "by the hinge"]


def test_what_is_composed_of_several_keys_begins_the_editing(house):
    page, code = house("GRID26")
    register = Register(page, code, "samples")
    register.go(0, "part")
    devtools = page.context.new_cdp_session(page)
    # A dead key, then what it makes with the next: so é comes from many keyboards.
    devtools.send("Input.dispatchKeyEvent", {"type": "rawKeyDown", "key": "Dead", "code": "Quote", "windowsVirtualKeyCode": 222})
    expect(page.locator(".celleditor")).to_be_focused()
    devtools.send("Input.imeSetComposition", {"text": "´", "selectionStart": 1, "selectionEnd": 1})
    devtools.send("Input.insertText", {"text": "é"})
    page.keyboard.type("tage")
    page.keyboard.press("Enter")
    register.saved()
    assert register.rows()[0]["part"] == "étage"


def test_rows_are_filtered_sorted_and_grouped_and_the_address_says_how(house):
    page, code = house("GRID12")
    register = Register(page, code, "samples")
    register.go(0, "part")
    register.paste("edge\nmiddle\nedge\n\n")
    register.saved()
    page.locator('[data-filter="part"]').fill("edge")
    expect(page.locator(".counts")).to_contain_text("2 of 4 rows")
    assert "where.part=edge" in page.url
    page.locator('[data-filter="part"]').fill("(blank)")
    expect(page.locator(".counts")).to_contain_text("1 of 4 rows")
    page.locator('[data-filter="part"]').fill("")
    expect(page.locator(".counts")).to_contain_text("4 rows")
    page.locator(".slick-header-column", has_text="Number").click()
    page.locator(".slick-header-column", has_text="Number").click()
    expect(register.cell(0, "number")).to_contain_text("S-0004")
    page.get_by_text("Columns, sorting, groups").click()
    page.get_by_label("Group by").select_option("element")
    expect(page.locator(".slick-pane-left .slick-row.group")).to_contain_text("Element: 101-BB (4)")
    page.reload()
    expect(page.locator(".slick-pane-left .slick-row.group")).to_contain_text("Element: 101-BB (4)")
    expect(register.cell(1, "number")).to_contain_text("S-0004")
    page.locator(".slick-pane-left .slick-row.group .slick-cell").click()
    expect(page.locator(".slick-row:not(.group)")).to_have_count(0)


def test_a_view_is_kept_under_a_name(house):
    page, code = house("GRID13")
    Register(page, code, "samples", "?sort=-number&where.part=(blank)")
    page.get_by_text("Views", exact=True).click()
    page.get_by_label("Keep what is shown now as").fill("From the last")
    page.get_by_role("button", name="Keep", exact=True).click()
    # It is kept when it is listed; who leaves before has not kept it.
    expect(page.get_by_role("link", name="From the last")).to_be_visible()
    page.goto(f"/projects/{code}/registers/samples")
    page.get_by_text("Views", exact=True).click()
    page.get_by_role("link", name="From the last").click()
    expect(page.locator(".slick-row[data-row='0'] .l0").first).to_contain_text("S-0004")
    assert "sort=-number" in page.url


def test_columns_are_hidden_and_moved_by_keyboard_and_named_with_their_unit(house):
    page, code = house("GRID14")
    Register(page, code, "samples")
    expect(page.get_by_role("columnheader", name="Height (mm)")).to_have_count(1)
    page.get_by_text("Columns, sorting, groups").press("Enter")
    page.get_by_role("checkbox", name="Visit").press("Space")
    page.get_by_role("button", name="Part: further left").press("Enter")
    page.keyboard.press("Escape")
    heads = page.locator(".slick-header-column")
    expect(heads.nth(1)).to_contain_text("Part")
    expect(page.locator(".slick-header-column", has_text="Visit")).to_have_count(0)


def drag(page: Page, start: Locator, x: float, y: float) -> None:
    box = start.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(x, y, steps=8)
    page.mouse.up()


def test_columns_are_widened_and_moved_by_mouse_and_stay_so(house):
    page, code = house("GRID23")
    Register(page, code, "samples")
    head = page.locator(".slick-header-column", has_text="Part")
    before = head.bounding_box()
    drag(page, head.locator(".slick-resizable-handle"), before["x"] + before["width"] + 80, before["y"] + 10)
    assert head.bounding_box()["width"] > before["width"] + 60
    drag(page, page.locator(".slick-header-column", has_text="Visit"), before["x"] + 8, before["y"] + 10)
    expect(page.locator(".slick-header-column").nth(2)).to_contain_text("Visit")
    assert "columns=" in page.url
    page.reload()
    expect(page.locator(".slick-header-column").nth(2)).to_contain_text("Visit")
    assert page.locator(".slick-header-column", has_text="Part").bounding_box()["width"] > before["width"] + 60


def test_a_range_is_drawn_with_the_mouse_and_filled_from_its_corner(house):
    page, code = house("GRID24")
    register = Register(page, code, "samples")
    register.type(0, "part", "B-1")
    register.saved()
    expect(register.cell(0, "part")).to_have_text("B-1")
    last = register.cell(2, "part").bounding_box()
    drag(page, register.cell(0, "part"), last["x"] + 20, last["y"] + 10)
    expect(page.locator('.slick-cell[aria-selected="true"]')).to_have_count(3)
    register.go(0, "part")
    drag(page, page.locator(".slick-drag-replace-handle"), last["x"] + 20, last["y"] + 10)
    expect(register.cell(2, "part")).to_contain_text("B-3")
    register.saved()
    assert [row["part"] for row in register.rows()] == ["B-1", "B-2", "B-3", ""]


def patch(page: Page, code: str, number: str, values: dict[str, Any]) -> None:
    row = api(page, "GET", f"projects/{code}/samples/?number={number}")["results"][0]
    api(page, "PATCH", f"projects/{code}/samples/{row['id']}", values, If_Match=f'"{row["version"]}"')


def test_anothers_edit_appears_by_itself_and_closes_no_editor(house, as_):
    page, code = house("GRID15")
    register = Register(page, code, "samples")
    other = as_("conservator")
    register.go(0, "part")
    page.keyboard.type("half a wo")
    patch(other, code, "S-0003", {"part": "theirs"})
    expect(register.cell(2, "part")).to_contain_text("theirs")
    patch(other, code, "S-0001", {"bag": "B-1"})
    expect(register.cell(0, "bag")).to_contain_text("B-1")
    page.keyboard.type("rd")
    expect(page.locator(".celleditor")).to_have_value("half a word")
    page.keyboard.press("Enter")
    register.saved()
    assert next((row["part"], row["bag"]) for row in register.rows()) == ("half a word", "B-1")


def test_rows_that_come_and_go_leave_the_editor_and_the_selection_with_their_records(house, as_):
    page, code = house("GRID16")
    register = Register(page, code, "samples")
    other = as_("conservator")
    register.go(2, "part")
    page.keyboard.type("mine")
    row = api(other, "GET", f"projects/{code}/samples/?number=S-0001")["results"][0]
    api(other, "DELETE", f"projects/{code}/samples/{row['id']}", If_Match=f'"{row["version"]}"')
    expect(page.locator(".counts")).to_contain_text("3 rows")
    page.keyboard.press("Enter")
    register.saved()
    assert {row["number"]: row["part"] for row in register.rows()} == {"S-0002": "", "S-0003": "mine", "S-0004": ""}
    expect(register.cell(1, "part")).to_contain_text("mine")


def test_two_who_write_the_same_cell_see_both_values_and_choose(house, as_):
    page, code = house("GRID17")
    register = Register(page, code, "samples")
    other = as_("conservator")
    register.go(0, "part")
    page.keyboard.type("mine")
    patch(other, code, "S-0001", {"part": "theirs"})
    page.wait_for_timeout(1800)
    page.keyboard.press("Enter")
    expect(register.cell(0, "part")).to_contain_text("≠")
    register.go(0, "part")
    expect(page.locator("#cell-status")).to_contain_text("You: “mine”. Recorded by Connie Vator: “theirs”.")
    assert register.rows()[0]["part"] == "theirs"
    page.get_by_role("button", name="Keep mine: mine").click()
    register.saved()
    assert register.rows()[0]["part"] == "mine"


def test_who_else_is_here_is_told(house, as_):
    page, code = house("GRID18")
    Register(page, code, "samples")
    Register(as_("conservator"), code, "samples")
    expect(page.locator(".presence")).to_have_text("Also in this register: Connie Vator.")


def test_a_lost_connection_loses_nothing(house):
    page, code = house("GRID19")
    register = Register(page, code, "samples")
    page.context.set_offline(True)
    register.type(0, "part", "offline")
    expect(register.cell(0, "part")).to_contain_text("○")
    expect(page.locator(".connection")).to_contain_text("The connection is lost")
    page.context.set_offline(False)
    register.saved()
    assert register.rows()[0]["part"] == "offline"


def test_what_names_a_record_before_the_names_are_there_is_saved_when_they_are(house):
    page, code = house("GRID44", 2)
    space = api(page, "GET", f"projects/{code}/spaces/")["results"][0]["id"]
    api(page, "POST", f"projects/{code}/elements/", {"code": "101-DC", "space": space, "element_class": "door casing"})
    held: list[Any] = []
    page.route(re.compile(r"/elements/?\?(.*&)?fields=id%2Ccode"), lambda route: held.append(route))
    register = Register(page, code, "samples")
    register.type(0, "element", "101-DC")
    expect(register.cell(0, "element")).to_contain_text("✕")
    assert held != []
    for route in held:
        route.continue_()
    expect(register.cell(0, "element")).not_to_contain_text("✕")
    register.saved()
    assert [row["element_code"] for row in register.rows()] == ["101-DC", "101-BB"]


def test_a_reload_keeps_what_was_not_saved_and_what_was_refused(house):
    page, code = house("GRID20")
    register = Register(page, code, "samples")
    register.type(0, "height_mm", "tall")
    page.route("**/batch", lambda route: route.abort())
    register.type(1, "part", "kept")
    expect(register.cell(1, "part")).to_contain_text("○")
    register.go(2, "part")
    page.keyboard.type("still in the editor")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    page.unroute("**/batch")
    expect(register.cell(0, "height_mm")).to_contain_text("tall")
    register.saved()
    assert [row["part"] for row in register.rows()] == ["", "kept", "still in the editor", ""]
    expect(page.locator(".counts")).to_contain_text("1 refused")


def test_an_ended_session_keeps_what_was_typed(house):
    page, code = house("GRID21")
    register = Register(page, code, "samples")
    page.route("**/api/v1/projects/*/changes**", lambda route: route.abort())
    page.context.clear_cookies()
    register.type(0, "part", "typed after the end")
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    page.unroute("**/api/v1/projects/*/changes**")
    page.get_by_label("Name").fill("coordinator")
    page.get_by_label("Password").fill("not-a-real-secret")
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    expect(register.cell(0, "part")).to_contain_text("typed after the end")
    register.saved()
    assert register.rows()[0]["part"] == "typed after the end"


def test_who_may_only_read_is_offered_nothing_to_write(as_):
    page = as_("owner", **CLIPBOARD)
    register = Register(page, "HALL", "layers")
    register.go(0, "colour")
    page.keyboard.type("x")
    expect(page.locator(".celleditor")).to_have_count(0)
    register.paste("x")
    expect(page.locator(".said")).to_contain_text("You may read this register")
    expect(page.get_by_role("button", name="New row")).to_have_count(0)


def test_the_grid_is_entered_worked_and_left_by_keyboard_alone(house):
    page, code = house("GRID22")
    register = Register(page, code, "samples")
    page.get_by_role("searchbox").focus()
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate(
            "document.activeElement.getAttribute('role') === 'gridcell' && !document.activeElement.closest('.slick-headerrow')"
        ):
            break
    expect(page.locator(":focus")).to_have_role("gridcell")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.type("by key")
    page.keyboard.press("Enter")
    register.saved()
    assert register.rows()[0]["part"] == "by key"
    page.keyboard.press("Escape")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('#sheet') === null")
    page.keyboard.press("Shift+Tab")
    expect(page.locator(":focus")).to_have_role("gridcell")
    page.keyboard.press("F6")
    assert page.evaluate("document.activeElement.closest('.sheetstatus') !== null")
    page.keyboard.press("Escape")
    expect(page.locator(":focus")).to_have_role("gridcell")


@pytest.mark.parametrize("query", ["", "?group=element", "?where.part=edge"])
def test_nothing_serious_is_found_by_axe(house, query):
    page, code = house(f"AXE{len(query)}")
    register = Register(page, code, "samples", query)
    if query == "":
        register.type(0, "height_mm", "tall")
        register.go(0, "height_mm")
    page.evaluate((ROOT / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8"))
    found = page.evaluate(
        "async () => (await axe.run()).violations.map(({id, impact, nodes}) => ({id, impact, nodes: nodes.map(one => one.html)}))"
    )
    assert [one for one in found if one["impact"] in ("serious", "critical")] == []


def test_every_register_opens(as_):
    page = as_("conservator")
    for name in ("spaces", "elements", "samples", "layers", "rulings", "generations", "phases", "evidence"):
        page.goto(f"/projects/HALL/registers/{name}")
        expect(page.locator(".counts")).to_contain_text("rows.")
        expect(page.get_by_role("alert")).to_have_count(0)
