"""What people do with the program, from signing in to the downloaded chart, in a real browser against a real start."""

import io
import re
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
from playwright.sync_api import Page, expect

from tests.browser.conftest import api, sign_in

LAYERS = ("Space", "Element", "Class", "Sample", "Layer", "Kind", "Colour", "Munsell")
STACK = (("primer", "grey", "N 6"), ("paint", "green", "5GY 6/4"), ("paint", "cream", "10YR 8/2"))


def heading(page: Page) -> Any:
    return page.get_by_role("heading", level=1)


def workbook(kind: str = "primer", samples: int = 3) -> dict[str, Any]:
    """A plain list of layers, as a team might have it; `kind` is written in one cell."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Layers"
    sheet.append(LAYERS)
    for sample in range(1, samples + 1):
        for position, (usual, colour, munsell) in enumerate(STACK, start=1):
            row = ("201", f"201-E{sample}", "wall", f"S{sample}", position, usual, colour, munsell)
            sheet.append([kind if (sample, position) == (1, 1) and at == 5 else value for at, value in enumerate(row)])
    content = io.BytesIO()
    book.save(content)
    return {"name": "ours.xlsx", "mimeType": "application/octet-stream", "buffer": content.getvalue()}


# -- signing in --------------------------------------------------------------------------------------------------------------


def test_a_wrong_password_is_refused_in_words_and_the_right_one_leads_to_where_one_wanted(as_):
    page = as_()
    page.goto("/projects/HALL/registers/layers?search=cream")
    expect(heading(page)).to_have_text("Sign in")
    sign_in(page, "conservator", "wrong")
    expect(page.get_by_role("alert")).to_contain_text("name or the password is wrong")
    sign_in(page, "conservator")
    expect(heading(page)).to_have_text("Layers")
    assert page.url.endswith("/projects/HALL/registers/layers?search=cream")
    expect(page.locator(".counts")).to_contain_text("2 of 6 rows")


def test_signing_in_without_a_password_is_refused_before_it_is_sent(as_):
    page = as_()
    page.goto("/sign-in")
    sign_in(page, "conservator", "")
    expect(page.get_by_role("alert")).to_contain_text("Write your password")


def test_too_many_tries_are_told_with_the_time_to_wait(as_):
    page = as_()
    page.goto("/sign-in")
    for _ in range(11):
        sign_in(page, "somebody-else", "wrong")
        expect(page.locator("[aria-disabled]")).to_have_count(0)
    expect(page.get_by_role("alert")).to_contain_text("Too many tries. Wait")


def test_after_signing_in_nobody_is_led_to_another_site(as_):
    page = as_()
    page.goto("/sign-in?next=//elsewhere.example/")
    sign_in(page, "historian")
    expect(heading(page)).to_have_text("Structures")


def test_a_session_that_ended_leads_to_signing_in_and_back_to_the_same_place(contexts):
    context = contexts("coordinator")
    page = context.new_page()
    page.goto("/projects/HALL")
    expect(page.get_by_role("link", name="101", exact=True)).to_be_visible()
    context.clear_cookies(name="sessionid")
    page.get_by_role("link", name="101", exact=True).click()
    expect(page.get_by_text("Your session has ended")).to_be_visible()
    sign_in(page, "coordinator")
    expect(heading(page)).to_have_text("Space 101, Front room")


# -- from a spreadsheet to a chart ---------------------------------------------------------------------------------------------


def test_a_workbook_with_faults_names_them_and_once_mended_is_applied(new_project):
    page = new_project("IMPORT1")
    page.goto("/projects/IMPORT1/import")
    page.get_by_label("Choose a file").set_input_files(workbook("primmer"))
    faults = page.get_by_role("table", name="Faults")
    row = faults.get_by_role("row").nth(1)
    for told in ("Layers", "2", "Kind", "primmer", "Did you mean 'primer'?"):
        expect(row).to_contain_text(told)
    expect(page.get_by_role("button", name="Apply")).to_be_disabled()

    page.get_by_label("Choose the mended").set_input_files(workbook())
    expect(page.get_by_role("table", name="Faults")).to_have_count(0)
    expect(page.get_by_role("table", name="What each sheet would do")).to_contain_text("Layers")
    page.get_by_role("button", name="Apply").click()
    expect(page.get_by_role("heading", level=2, name="Imported")).to_be_visible()
    expect(page.get_by_text("16 records created")).to_be_visible()  # 1 space, 3 elements, 3 samples, 9 layers
    assert len(api(page, "GET", "projects/IMPORT1/layers/")["results"]) == 9


def test_a_file_may_be_dropped_and_one_that_is_too_large_is_refused_before_it_is_sent(new_project):
    page = new_project("IMPORT2")
    page.goto("/projects/IMPORT2/import")
    drop = """(target, size) => {
        const data = new DataTransfer();
        data.items.add(new File([new Uint8Array(size)], "large.xlsx"));
        target.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
    }"""
    page.locator(".drop").evaluate(drop, 53_000_000)
    expect(page.get_by_role("alert")).to_contain_text("large.xlsx is 53 MB; at most 52.4 MB are taken")
    page.locator(".drop").evaluate(drop, 100)
    expect(page.get_by_role("alert")).to_contain_text("large.xlsx")
    expect(page.get_by_role("alert")).not_to_contain_text("53 MB")


def test_a_space_is_correlated_its_chart_seen_and_downloaded(new_project, tmp_path: Path):
    page = new_project("CHART1")
    page.goto("/projects/CHART1/import")
    page.get_by_label("Choose a file").set_input_files(workbook())
    page.get_by_role("button", name="Apply").click()
    page.get_by_role("link", name="correlate them").click()
    expect(page.get_by_role("table", name="Spaces", exact=True).get_by_text("not correlated")).to_be_visible()
    page.get_by_role("link", name="201", exact=True).click()
    expect(page.get_by_text("have not been correlated yet")).to_be_visible()

    page.get_by_role("button", name="Correlate this space").click()
    generations = page.get_by_role("table", name="Generations, newest first")
    expect(generations.get_by_role("row").nth(1)).to_be_visible()
    expect(page.get_by_role("grid", name="Generation chart of space 201: 3 samples as columns")).to_be_visible()
    expect(page.get_by_role("checkbox", name="S1/2; paint, green, 5GY 6/4; generation")).to_be_visible()
    page.get_by_text("The same in words (9 layers)").click()
    expect(page.get_by_role("table", name="Layers of space 201")).to_contain_text("S1/2: paint, green, 5GY 6/4")

    page.get_by_role("button", name="Chart as PDF").click()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Download CHART1 generations 201.pdf").click()
    target = tmp_path / "chart.pdf"
    waiting.value.save_as(target)
    assert "201" in pypdf.PdfReader(target).pages[0].extract_text()

    page.get_by_role("link", name="Outputs").click()
    expect(page.get_by_role("listitem").filter(has_text="Generation chart of space 201 as PDF")).to_contain_text("done")


def test_all_spaces_are_correlated_and_the_registers_exported_from_the_overview(new_project, tmp_path: Path):
    page = new_project("OVER1")
    page.goto("/projects/OVER1/import")
    page.get_by_label("Choose a file").set_input_files(workbook())
    page.get_by_role("button", name="Apply").click()
    expect(page.get_by_role("heading", level=2, name="Imported")).to_be_visible()
    page.goto("/projects/OVER1")
    page.get_by_role("button", name="Correlate all").click()
    expect(page.locator(".result")).to_contain_text("9 layers placed in")
    page.get_by_role("button", name="Show the spaces anew").click()
    expect(page.get_by_role("table", name="Spaces", exact=True)).to_contain_text("up to date")
    page.get_by_role("button", name="Export registers").click()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Download OVER1 registers.xlsx").click()
    target = tmp_path / "registers.xlsx"
    waiting.value.save_as(target)
    assert openpyxl.load_workbook(target)["Layers"].max_row == 10


# -- rulings, generations --------------------------------------------------------------------------------------------------


def test_a_ruling_against_the_order_is_refused_with_its_chain_and_a_sound_one_is_added_and_withdrawn(as_):
    page = as_("conservator")
    page.goto("/projects/HALL/spaces/101")
    add = page.get_by_role("form", name="Add a ruling")
    rulings = page.get_by_role("region", name="Rulings", exact=True)

    def tie(first: str, second: str) -> None:
        add.get_by_label("Layer", exact=True).fill(first)
        add.get_by_label("Other layer").fill(second)
        add.get_by_label("Reason").fill("the same green")
        add.get_by_role("button", name="Add ruling").click()

    tie("101-9/1", "101-2/2")
    expect(add).to_contain_text("Space 101 has no sample 101-9")
    tie("101-1/3", "101-2/1")
    expect(rulings).to_contain_text("101-1/3 and 101-2/1 are of one campaign")
    add.get_by_label("Ruling").select_option("bar")
    tie("101-1/3", "101-2/1")
    expect(page.get_by_role("alert")).to_contain_text("There is a ruling on this already")
    # The tie holds 101-1/3 and 101-2/1 together and the bar keeps 101-1/2 apart below them; 101-2/2, above them, cannot be 101-1/2's.
    tie("101-1/2", "101-1/3")
    expect(rulings).to_contain_text("101-1/2 and 101-1/3 are not of one campaign")
    add.get_by_label("Ruling").select_option("tie")
    tie("101-1/2", "101-2/2")
    expect(page.get_by_role("alert")).to_contain_text("101-1/2")
    assert page.get_by_role("alert").get_by_role("listitem").count() >= 2

    for _ in range(2):
        rulings.get_by_role("button", name="Withdraw").first.click()
        rulings.get_by_role("button", name="No").click()
        rulings.get_by_role("button", name="Withdraw").first.click()
        before = rulings.get_by_role("button", name="Withdraw").count()
        rulings.get_by_role("button", name="Withdraw").first.click()
        expect(rulings.get_by_role("button", name="Withdraw")).to_have_count(before - 1)
    expect(rulings).to_contain_text("Nobody has ruled on a layer of this space")


def open_record(page: Page, name: str) -> None:
    """Go to a record's own page from its row, once all rows are there."""
    expect(page.locator(".counts")).to_contain_text("rows.")
    page.get_by_role("gridcell", name=name, exact=True).first.click()
    page.locator("#cell-status").get_by_role("link", name=name, exact=True).click()


# -- registers ------------------------------------------------------------------------------------------------------------


def test_a_record_is_made_with_faults_beside_their_fields_then_found_by_search(new_project):
    page = new_project("REG1")
    api(page, "POST", "projects/REG1/spaces/", {"number": "7"})
    page.goto("/projects/REG1/registers/elements/new")
    page.get_by_label("Code").fill("7-W")
    page.get_by_label("Space").fill("8")
    page.get_by_role("button", name="Make").click()
    expect(page.get_by_label("Space")).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_text("There is no space “8” here.")).to_be_visible()
    expect(page.locator(".field.wrong")).to_have_count(2)  # the class is missing too
    page.get_by_label("Space").fill("7")
    page.get_by_label("Class").select_option("wall")
    page.get_by_role("button", name="Make").click()
    expect(heading(page)).to_have_text("Element 7-W")
    page.goto("/projects/REG1/registers/elements")
    page.get_by_label("Search").fill("nothing of the kind")
    expect(page.locator(".counts")).to_contain_text("0 of 1 rows")
    page.get_by_label("Search").fill("7-w")
    expect(page.locator(".counts")).to_contain_text("1 rows")
    open_record(page, "7-W")
    expect(heading(page)).to_have_text("Element 7-W")
    page.go_back()
    expect(page.get_by_label("Search")).to_have_value("7-w")


def test_what_the_service_refuses_stands_beside_the_field(as_):
    page = as_("conservator")
    page.goto("/projects/HALL/registers/layers?search=101-1/2")
    open_record(page, "101-1/2")
    page.get_by_label("Munsell", exact=True).fill("5GY 60/4")
    page.get_by_role("button", name="Save").click()
    field = page.locator(".field.wrong")
    expect(field).to_have_count(1)
    expect(field).to_contain_text("Munsell")


def test_two_people_who_change_one_field_are_shown_both_values_and_one_chooses(as_):
    first, second = as_("conservator"), as_("coordinator")
    for page in (first, second):
        page.goto("/projects/HALL/registers/layers?search=101-2/1")
        open_record(page, "101-2/1")
        expect(heading(page)).to_have_text("Layer 101-2/1")
    first.get_by_label("Colour as found").fill("stone")
    first.get_by_role("button", name="Save").click()
    expect(first.get_by_role("region", name="Its history").or_(first.get_by_text("“stone”")).first).to_be_visible()

    second.get_by_label("Colour as found").fill("drab")
    second.get_by_label("Texture").fill("coarse")
    second.get_by_role("button", name="Save").click()
    clash = second.get_by_role("alert")
    expect(clash).to_contain_text("Somebody else changed this record meanwhile")
    expect(clash).to_contain_text("drab")
    expect(clash).to_contain_text("stone")
    clash.get_by_label("The record now").check()
    second.get_by_role("button", name="Save").click()
    expect(second.get_by_text("“coarse”")).to_be_visible()
    row = api(second, "GET", "projects/HALL/layers/?search=101-2/1")["results"][0]
    assert (row["colour"], row["texture"]) == ("stone", "coarse")


def test_a_lost_connection_is_said_what_was_entered_stays_and_can_be_saved_when_it_is_back(contexts):
    context = contexts("conservator")
    page = context.new_page()
    page.goto("/projects/HALL/registers/samples?search=101-1")
    open_record(page, "101-1")
    page.get_by_label("Location").fill("behind the shutter")
    context.set_offline(True)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("The connection is lost.").first).to_be_visible()
    expect(page.get_by_label("Location")).to_have_value("behind the shutter")
    context.set_offline(False)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("“behind the shutter”")).to_be_visible()


def test_what_was_asked_for_too_often_is_said_and_asked_for_again_after_the_time_that_the_program_says(as_):
    page = as_("conservator")
    asked: list[str] = []

    def refused_once(route: Any) -> None:
        asked.append(route.request.url)
        if len(asked) > 1:
            return route.fallback()
        told = {"type": "urn:undercoat:problem:too-often", "title": "Too often", "status": 429, "detail": "Wait.", "code": "too-often"}
        return route.fulfill(status=429, headers={"Retry-After": "3"}, content_type="application/problem+json", json=told)

    page.route(re.compile(r"/api/v1/projects/HALL/samples\b"), refused_once)
    page.goto("/projects/HALL/registers/samples")
    expect(page.locator(".connection")).to_contain_text("It goes on by itself in 3 s")
    expect(page.locator(".counts")).to_contain_text("rows")
    assert asked[0] == asked[1]
    expect(page.locator(".connection")).to_be_empty()
    expect(page.get_by_role("alert")).to_have_count(0)


def test_leaving_with_something_unsaved_is_asked_about(as_):
    page = as_("conservator")
    page.goto("/projects/HALL/registers/spaces?search=101")
    open_record(page, "101")
    page.get_by_label("Name").fill("Back room")
    asked: list[str] = []
    page.once("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
    page.get_by_role("link", name="Outputs").click()
    assert "not saved" in asked[0]
    expect(page.get_by_label("Name")).to_have_value("Back room")
    page.once("dialog", lambda dialog: dialog.accept())
    page.get_by_role("link", name="Outputs").click()
    expect(heading(page)).to_have_text("Outputs")


def test_what_others_write_appears_without_a_reload(as_):
    page, other = as_("historian"), as_("conservator")
    page.goto("/projects/HALL/registers/phases")
    expect(page.locator(".counts")).to_contain_text("0 rows")
    made = api(other, "POST", "projects/HALL/phases/", {"label": "Building"})
    expect(page.get_by_role("grid", name="Phases")).to_contain_text("Building")
    api(other, "DELETE", f"projects/HALL/phases/{made['id']}", If_Match=f'"{made["version"]}"')


# -- roles ----------------------------------------------------------------------------------------------------------------


def test_an_owner_sees_everything_and_no_control_that_changes_anything(as_):
    page = as_("owner")
    for address, text in (
        ("/projects/HALL", "Front room"),
        ("/projects/HALL/spaces/101", "Rulings"),
        ("/projects/HALL/registers/layers", "101-1/1"),
        ("/projects/HALL/import", "see the record and do not change it"),
        ("/projects/HALL/members", "Connie Vator"),
    ):
        page.goto(address)
        expect(page.get_by_role("main")).to_contain_text(text)
        forbidden = "Correlate|Edit|Add|Withdraw|Save|Make|Remove|Apply|New "
        expect(page.get_by_role("main").locator("button, a.button").filter(has_text=re.compile(forbidden))).to_have_count(0)
    page.goto("/projects/HALL/registers/layers")
    open_record(page, "101-1/1")
    expect(page.get_by_role("main")).to_contain_text("grey")
    # He comments, and changes nothing.
    expect(page.get_by_role("main").locator(":is(input, select, textarea, form):not(.talk *)")).to_have_count(0)


def test_a_contractor_is_told_what_he_will_see_and_sees_nothing_of_the_record(as_):
    page = as_("contractor")
    page.goto("/")
    page.get_by_role("link", name="The hall").click()
    expect(page.get_by_role("main")).to_contain_text("Finish schedules that were issued are under Schedules")
    expect(page.get_by_role("navigation", name="Project").get_by_role("link")).to_have_text(["Standing", "Schedules"])
    page.goto("/projects/HALL/registers/layers")
    expect(heading(page)).to_have_text("Not found")


def test_a_stranger_finds_no_project(as_):
    page = as_("stranger")
    page.goto("/")
    expect(page.get_by_role("main")).to_contain_text("You belong to no project yet")
    page.goto("/projects/HALL")
    expect(heading(page)).to_have_text("Not found")


def test_a_coordinator_adds_a_member_gives_another_role_and_removes_him(new_project):
    page = new_project("MEMB1")
    page.goto("/projects/MEMB1/members")
    page.get_by_label("Name used to sign in").fill("nobody-of-that-name")
    page.get_by_label("Role", exact=False).last.select_option("consultant")
    page.get_by_label("Discipline", exact=False).last.select_option("archaeology")
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_text("Nobody signs in by that name.")).to_be_visible()
    page.get_by_label("Name used to sign in").fill("historian")
    page.get_by_role("button", name="Add").click()
    page.get_by_label("Role of Hester Orian", exact=True).select_option("owner")
    page.get_by_role("button", name="Save the role of Hester Orian").click()
    expect(page.get_by_role("button", name="Save the role of Hester Orian")).to_be_hidden()
    assert "owner" in [one["role"] for one in api(page, "GET", "projects/MEMB1/members/")["results"]]
    row = page.get_by_role("row").filter(has_text="Hester Orian")
    page.get_by_role("button", name="Remove Hester Orian …").click()
    page.get_by_role("button", name="Remove Hester Orian", exact=True).click()
    page.get_by_role("button", name="Remove", exact=True).click()
    expect(row).to_have_count(0)


def test_a_new_project_is_begun_and_a_token_is_shown_once_and_revoked(as_):
    page = as_("stranger")
    page.goto("/new-project")
    page.get_by_label("Code").fill("bad code")
    page.get_by_label("Name").fill("The barn")
    page.get_by_role("button", name="Begin the project").click()
    expect(page.locator(".field.wrong")).to_contain_text("letters, digits")
    page.get_by_label("Code").fill("BARN")
    page.get_by_role("button", name="Begin the project").click()
    expect(heading(page)).to_have_text("The barn")

    page.goto("/me")
    page.get_by_label("What it is for").fill("a script")
    page.get_by_role("button", name="Make").click()
    secret = page.get_by_label("Token", exact=True).input_value()
    assert page.request.get("/api/v1/me", headers={"Authorization": f"Token {secret}"}).ok
    page.reload()
    expect(page.get_by_role("table", name="Tokens")).to_contain_text("a script")
    assert secret not in page.content()
    page.get_by_role("button", name="Revoke").click()
    page.get_by_role("button", name="Revoke").click()
    expect(page.get_by_text("You have made none.")).to_be_visible()
