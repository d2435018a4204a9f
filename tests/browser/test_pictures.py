"""Pictures, in a real browser on the real service: sent, looked at, measured, registered, read along a line, taken into the record."""

import hashlib
import math
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.sections import (
    FOOT,
    HIGH,
    JOB,
    PAINTS,
    SURFACE,
    WIDE,
    AtThePicture,
    attach,
    choose,
    draw,
    houses,
    layers,
    png,
    pressed,
    read,
    rough,
    section,
    to_pictures,
    under_uv,
    visible,
    with_card,
)
from tests.browser.test_access import axe, violations  # noqa: F401 - the fixture is asked for by name

PART = 4 * 1024 * 1024


@pytest.fixture
def house(as_: Callable[..., Page]) -> Callable[..., tuple[Page, str, str]]:
    """Makes a project with one sample, on it layers of these colours; the page is its coordinator's."""

    return houses(as_)


def test_pictures_are_sent_from_the_bench_described_and_shown_and_the_file_stays_as_it_came(house):
    page, code, sample = house("PIC1")
    to_pictures(page, code)
    content = png(section())
    choose(page, ("S-1 visible.png", content), ("S-1 UV.png", png(section(uv=True))))
    first = page.locator(".sendings > li").first
    first.get_by_label("Caption").fill("the whole section")
    first.get_by_label("Caption").press("Tab")
    expect(page.locator(".sendings > li").filter(has_text="What is written here of it is kept")).to_have_count(2)
    expect(page.locator(".picturetabs button")).to_have_count(2, timeout=JOB)
    expect(page.locator(".picture canvas").first).to_be_visible()
    expect(page.locator(".deskstate")).to_contain_text(
        "No scale: lengths are in px only, until one is set under Scale. Colours uncalibrated"
    )
    rows = {one["kind"]: one for one in api(page, "GET", f"projects/{code}/attachments/?sample={sample}")["results"]}
    assert rows["visible micrograph"]["caption"] == "the whole section"
    assert rows["visible micrograph"]["sha256"] == hashlib.sha256(content).hexdigest()
    assert page.request.get(f"/api/v1/projects/{code}/attachments/{rows['visible micrograph']['id']}/original").body() == content
    page.get_by_role("button", name="2 UV").click()
    assert f"picture={rows['UV micrograph']['id']}" in page.url
    page.reload()
    expect(page.get_by_role("button", name="2 UV")).to_have_attribute("aria-pressed", "true")


def test_a_file_that_was_not_sent_whole_goes_on_after_a_reload_where_it_was_left(house):
    page, code, sample = house("PIC2")
    content = rough(10 * 1024 * 1024)
    sent: list[int] = []
    page.on("request", lambda one: sent.append(int(one.url.rsplit("/", 1)[1])) if re.search(r"/parts/\d+$", one.url) else None)
    page.route(re.compile(rf"/parts/{PART}$"), lambda route: route.abort())
    to_pictures(page, code)
    choose(page, ("S-1.png", content))
    expect(page.locator(".sendings")).to_contain_text("The connection is lost; it goes on by itself")
    page.on("dialog", lambda one: one.accept())
    page.unroute(re.compile(rf"/parts/{PART}$"))
    to_pictures(page, code)
    sent.clear()
    choose(page, ("S-1.png", content))
    expect(page.locator(".sendings")).to_contain_text("What is written here of it is kept", timeout=JOB)
    assert sent == [PART, 2 * PART]
    row = api(page, "GET", f"projects/{code}/attachments/?sample={sample}")["results"][0]
    assert row["sha256"] == hashlib.sha256(content).hexdigest()


def test_a_sending_is_paused_and_goes_on_when_it_is_told_to(house):
    page, code, _ = house("PIC3")
    content = rough(6 * 1024 * 1024)

    def held(route: Any) -> None:
        page.get_by_role("button", name="Pause").dispatch_event("click")
        route.continue_()

    page.route(re.compile(r"/parts/0$"), held)
    to_pictures(page, code)
    choose(page, ("S-1.png", content))
    expect(page.locator(".sendings")).to_contain_text("Paused: 4.2 MB of")
    page.wait_for_timeout(600)
    expect(page.locator(".sendings")).to_contain_text("Paused: 4.2 MB of")
    page.get_by_role("button", name="Go on").click()
    expect(page.locator(".sendings")).to_contain_text("What is written here of it is kept", timeout=JOB)


def test_what_only_claims_to_be_a_picture_is_refused_in_words_and_nothing_is_attached(house):
    page, code, sample = house("PIC4")
    to_pictures(page, code)
    choose(page, ("section.png", b"<svg onload=alert(1)>" * 40))
    expect(page.locator(".sendings .refusal")).to_contain_text("Refused.")
    assert api(page, "GET", f"projects/{code}/attachments/?sample={sample}")["results"] == []


def test_a_picture_is_moved_and_made_larger_by_keys_and_its_finest_tiles_come(house):
    page, code, sample = house("PIC5")
    large = attach(page, code, ("sample", sample), png(section().resize((4 * WIDE, 4 * HIGH))), "S-1.png", "visible micrograph")
    work = AtThePicture(page, code, large["id"])
    finest = re.compile(r"/tiles/13/(\d+)_(\d+)\?version=")
    wanted: list[str] = []
    page.on("request", lambda one: wanted.append(one.url) if finest.search(one.url) else None)
    work.frame.focus()
    work.press("+", "+", "+", "+")
    work.settled()
    assert wanted
    places = {finest.search(one).groups() for one in wanted}
    work.press(*["Shift+ArrowLeft"] * 6)
    work.settled()
    assert {finest.search(one).groups() for one in wanted} - places
    page.keyboard.press("?")
    expect(page.get_by_role("dialog")).to_contain_text("larger, smaller, the whole picture")


def test_the_scale_is_set_by_keyboard_only_and_lengths_are_in_micrometres_then(house):
    page, code, sample = house("PIC6")
    work = AtThePicture(page, code, visible(page, code, sample)["id"], "?tool=scale")
    work.frame.focus()
    work.press("Enter", *["Shift+ArrowRight"] * 12, *["ArrowRight"] * 3, "Enter")
    first, second = work.points()
    assert second[1] == first[1]
    page.get_by_label("Its length, µm").fill("80")
    page.get_by_role("button", name="Set the scale by this line").press("Enter")
    expect(page.locator(".toolpanel h2 + p")).to_contain_text("µm per px, by the line drawn on a stage micrometer")
    row = work.row()
    assert row["um_per_pixel"] == pytest.approx(80 / math.dist(first, second), rel=1e-3)
    assert row["scale_by"] == "stage micrometer"
    box = work.at(300, 450)
    page.mouse.move(*box)
    expect(page.locator(".readout")).to_contain_text(re.compile(r"px from the top; [\d,.]+ µm, [\d,.]+ µm"))
    # A point is stepped as a number too.
    page.get_by_label("Point 1, px from the left").press("ArrowUp")
    assert work.points()[0][0] == pytest.approx(first[0] + 1)


def test_a_scale_of_nought_is_not_stated_and_a_microscope_of_the_project_gives_it_to_a_smaller_picture(house):
    page, code, sample = house("PIC7")
    stand = {"name": "Stand", "magnification": "20×", "um_per_pixel": 0.25, "picture_width": 2 * WIDE}
    api(page, "POST", f"projects/{code}/microscopes/", stand)
    work = AtThePicture(page, code, visible(page, code, sample)["id"], "?tool=scale")
    page.get_by_label("µm per px").fill("0")
    page.get_by_role("button", name="State this").click()
    expect(page.locator(".toolpanel .fault")).to_have_text("A number above 0, as in 0.52.")
    page.get_by_label("Microscope and magnification").select_option(label="Stand, 20×")
    page.get_by_role("button", name="Use this microscope").click()
    expect(page.locator(".toolpanel h2 + p")).to_contain_text("0.5 µm per px, by the microscope Stand, 20×")
    assert work.row()["um_per_pixel"] == pytest.approx(0.5)


def test_visible_and_uv_are_registered_and_looked_at_by_turns_parted_and_side_by_side(house):
    page, code, sample = house("PIC8")
    picture, other = visible(page, code, sample), under_uv(page, code, sample)
    work = AtThePicture(page, code, picture["id"], "?tool=registration")
    expect(page.get_by_label("Look at").locator("option")).to_have_text(["one picture", "both side by side"])
    expect(page.locator(".toolpanel")).to_contain_text("is not registered with")
    page.get_by_role("button", name="Register them").click()
    expect(page.locator(".toolpanel")).to_contain_text("px left over", timeout=JOB)
    row = api(page, "GET", f"projects/{code}/registrations/?fixed={picture['id']}")["results"][0]
    assert (row["moving"], row["fixed"]) == (other["id"], picture["id"])
    expect(page.get_by_label("Look at")).to_have_value("blink")
    work.frame.focus()
    work.press("o")
    expect(page.locator("#announcements")).to_have_text("Picture 2, UV micrograph")
    work.press("w")
    expect(page.get_by_role("separator")).to_have_attribute("aria-valuenow", "50")
    page.get_by_role("separator").press("ArrowRight")
    expect(page.get_by_role("separator")).to_have_attribute("aria-valuenow", "52")
    page.get_by_label("Look at").select_option("beside")
    expect(page.locator(".picture")).to_have_count(2)
    page.locator(".picture").first.hover()
    expect(page.locator(".picture").nth(1).locator(".shape.cross")).to_have_count(1)


def test_layers_are_read_along_a_line_and_taken_into_an_empty_record(house):
    page, code, sample = house("PIC9")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    work = AtThePicture(page, code, picture["id"])
    draw(work, (600, FOOT + 60), (600, SURFACE - 60))
    line = work.lines()[0]
    found = read(line["layers"])
    # The layers lie level and the line stands upright, so a layer is as thick as it was painted: half a µm for each px.
    assert [one["thickness_um"] for one in found] == pytest.approx([thick / 2 for _, _, thick in PAINTS], abs=1.5)
    expect(page.locator(".readlayers > li[data-layer]")).to_have_count(len(PAINTS))
    expect(page.locator(".readlayers")).to_contain_text("uncalibrated")
    page.get_by_role("button", name="Take into the record …").click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("No layer is in the record of this sample yet.")
    expect(dialog).to_contain_text("Colours are uncalibrated")
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog).to_have_count(0)
    expect(page.locator(".standinglayers > li")).to_have_count(len(PAINTS))
    rows = layers(page, code)
    assert [one["thickness_um"] for one in rows] == pytest.approx([thick / 2 for _, _, thick in PAINTS], abs=1.5)
    assert {(one["lab_l"], one["munsell"]) for one in rows} == {(None, "")}
    # The picture and the stack are one: what is pointed at in either is marked in the other.
    page.goto(f"/projects/{code}/bench/S-1?layer=1")
    expect(page.locator(".picture canvas").first).to_be_visible()
    expect(page.locator(".shape.band.chosen text")).to_have_text("1", timeout=30_000)
    page.keyboard.press("ArrowUp")
    expect(page.locator(".shape.band.chosen text")).to_have_text("2")
    box = page.locator(".shape.band.chosen").bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator(".band.pointed .position")).to_have_text("2")
    expect(page.locator(".readout")).to_contain_text("on line 1")


def test_a_line_is_drawn_corrected_and_taken_over_by_keyboard_only(house):
    page, code, sample = house("PIC10")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Draw a line").press("Enter")
    expect(work.frame).to_be_focused()
    work.press("Enter")
    # The cross begins in the middle of the picture; where exactly a point is is typed.
    for point, (x, y) in enumerate(((600, FOOT + 50), (600, SURFACE - 50)), start=1):
        if point == 2:
            work.frame.focus()
            work.press("Shift+ArrowUp", "Enter")
        page.get_by_label(f"Point {point}, px from the left").fill(str(x))
        page.get_by_label(f"Point {point}, px from the top").fill(str(y))
    page.get_by_role("button", name="Read along this line").press("Enter")
    expect(page.locator(".readlayers > li[data-layer]")).to_have_count(len(PAINTS), timeout=JOB)
    before = read(work.lines()[0]["layers"])
    work.frame.focus()
    work.press("n", "n")
    expect(page.locator("#announcements")).to_contain_text("Boundary 2 of 5")
    after = pressed(work, "Shift+ArrowUp", "ArrowUp", "ArrowUp", "ArrowDown")
    assert after[1]["from_px"] == pytest.approx(before[1]["from_px"] + 11, abs=0.1)
    assert len(pressed(work, "s")) == len(PAINTS) + 1
    assert len(pressed(work, "z")) == len(PAINTS)
    assert len(pressed(work, "x")) == len(PAINTS) - 1
    again = pressed(work, "z", "z")
    assert [one["from_px"] for one in again] == pytest.approx([one["from_px"] for one in before], abs=0.1)
    page.get_by_role("button", name="Take into the record …").press("Enter")
    page.get_by_role("dialog").get_by_role("button", name="Take into the record").press("Enter")
    expect(page.get_by_role("dialog")).to_have_count(0)
    assert len(layers(page, code)) == len(PAINTS)


def test_what_somebody_entered_stays_unless_its_replacement_is_ticked(house):
    page, code, sample = house("PIC11", ("stone", "green"))
    first = layers(page, code)[0]
    batch = [{"op": "change", "id": first["id"], "version": first["version"], "values": {"thickness_um": 99, "uv_colour": "milky"}}]
    api(page, "POST", f"projects/{code}/layers/batch", {"operations": batch})
    picture = visible(page, code, sample, um_per_pixel=0.5)
    work = AtThePicture(page, code, picture["id"])
    draw(work, (600, FOOT + 60), (600, SURFACE - 60))
    page.get_by_role("button", name="Take into the record …").click()
    dialog = page.get_by_role("dialog")
    for index in range(1, len(PAINTS) + 1):
        dialog.get_by_label(f"Read layer {index}: what becomes of it").select_option("leave")
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog.locator(".refusal")).to_contain_text("Nothing is chosen")
    dialog.get_by_label("Read layer 1: what becomes of it").select_option("replace")
    dialog.get_by_label("Read layer 1: which layer of the record").select_option(first["id"])
    row = dialog.locator("tbody tr").last
    expect(row).to_contain_text("99 µm")
    expect(row).to_contain_text(re.compile(r"4\d(\.\d)? µm"))
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog.locator(".refusal")).to_contain_text("Say which fields of read layer 1")
    expect(dialog.get_by_label(re.compile("^Replace L\\*a\\*b\\*"))).to_have_count(0)
    dialog.get_by_label(re.compile("^Replace Thickness")).check()
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog).to_have_count(0)
    after = layers(page, code)
    assert len(after) == 2
    assert after[0]["thickness_um"] == pytest.approx(PAINTS[0][2] / 2, abs=1.5)
    assert (after[0]["colour"], after[0]["uv_colour"], after[0]["munsell"]) == ("stone", "milky", "")


def test_a_grey_card_in_the_picture_makes_its_colours_better_than_uncalibrated(house):
    page, code, sample = house("PIC12")
    picture = attach(page, code, ("sample", sample), png(with_card()), "S-1 card.png", "visible micrograph")
    work = AtThePicture(page, code, picture["id"], "?tool=colours")
    expect(page.locator(".toolpanel h2 + p")).to_contain_text("uncalibrated")
    target = page.get_by_label("Target")
    expect(target.locator("option")).not_to_have_count(1)
    cards = [one for one in api(page, "GET", f"projects/{code}/targets/")["results"] if len(one["patches"]) == 1]
    target.select_option(cards[0]["name"])
    work.click(80, 80)
    page.get_by_role("button", name="Read the colours of the target").click()
    expect(page.locator("#announcements")).to_contain_text("Not all was pointed at yet")
    work.click(240, 180)
    page.get_by_role("button", name="Read the colours of the target").click()
    expect(page.locator(".toolpanel h2 + p")).to_contain_text(re.compile("white-balanced|calibrated by"), timeout=JOB)
    # Any one patch is suited to the last digit: that is no measure.
    expect(page.locator(".toolpanel h2 + p")).to_contain_text("no other patch checks it")
    expect(page.locator(".toolpanel h2 + p")).not_to_contain_text("ΔE00")


def test_a_photograph_and_a_document_hang_on_an_element_and_can_be_removed(house):
    page, code, _ = house("PIC13")
    element = api(page, "GET", f"projects/{code}/elements/")["results"][0]
    page.goto(f"/projects/{code}/registers/elements/{element['id']}")
    attached = page.get_by_role("region", name="Attachments")
    expect(attached).to_contain_text("No picture and no document is attached.")
    attached.get_by_text("Attach a photograph or a document").click()
    choose(page, ("room.png", png(section())), ("notes.pdf", b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"))
    expect(attached.locator(".attachments > li")).to_have_count(2, timeout=JOB)
    expect(attached.locator(".attachments img")).to_have_count(1, timeout=JOB)
    expect(attached.get_by_role("link", name="Download notes.pdf")).to_be_visible()
    attached.locator(".attachments > li").filter(has_text="notes.pdf").get_by_role("button", name="Remove").click()
    attached.locator(".attachments > li").filter(has_text="notes.pdf").get_by_role("button", name="Remove").click()
    expect(attached.locator(".attachments > li")).to_have_count(1)


def test_an_owner_looks_and_changes_nothing_and_a_contractor_finds_nothing(house, as_):
    page, code, sample = house("PIC14")
    picture = visible(page, code, sample)
    owner = as_("owner")
    work = AtThePicture(owner, code, picture["id"], "?tool=scale")
    expect(owner.get_by_role("button", name="State this")).to_have_count(0)
    work.tool("Layers along a line")
    expect(owner.get_by_role("button", name="Draw a line")).to_have_count(0)
    owner.goto(f"/projects/{code}/bench/S-1")
    expect(owner.locator(".picture canvas").first).to_be_visible()
    expect(owner.get_by_text("Add pictures of this sample")).to_be_hidden()
    contractor = as_("contractor")
    contractor.goto(f"/projects/{code}/pictures/{picture['id']}")
    expect(contractor.locator("h1")).to_have_text(re.compile("Not found|This could not be shown"))


@pytest.mark.parametrize("look", [("light", 1440, 900), ("dark", 1024, 768)])
def test_pictures_and_their_tools_have_no_fault_that_the_accessibility_rules_know(house, as_, axe, look):  # noqa: F811
    scheme, width, height = look
    page, code, sample = house(f"PIC15-{scheme}")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    under_uv(page, code, sample)
    draw(AtThePicture(page, code, picture["id"]), (600, FOOT + 60), (600, SURFACE - 60))
    page = as_("coordinator", color_scheme=scheme, viewport={"width": width, "height": height})
    found = {}
    for tool in ("", "?tool=scale", "?tool=colours", "?tool=registration", "?tool=lines"):
        AtThePicture(page, code, picture["id"], tool)
        found[tool] = violations(page, axe)
    expect(page.locator(".readlayers")).to_be_visible()
    page.get_by_role("button", name="Take into the record …").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    found["accept"] = violations(page, axe)
    page.goto(f"/projects/{code}/bench/S-1")
    expect(page.locator(".picture canvas").first).to_be_visible()
    page.get_by_text("Add pictures of this sample").click()
    page.get_by_text("All its pictures and documents").click()
    found["bench"] = violations(page, axe)
    wide = "() => document.documentElement.scrollWidth - innerWidth"
    assert page.evaluate(wide) <= 0
    assert {name: wrong for name, wrong in found.items() if wrong} == {}
