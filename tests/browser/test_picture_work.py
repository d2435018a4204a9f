"""Work on pictures with mouse and keys, and what stands on record afterwards: boundaries, lines, pairs of points, plates, microscopes."""

import base64
import hashlib
import io
import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.sections import (
    FOOT,
    JOB,
    PAINTS,
    SURFACE,
    AtThePicture,
    attach,
    houses,
    layers,
    png,
    read,
    section,
    to_pictures,
    under,
    under_uv,
    visible,
    with_card,
)
from tests.browser.test_access import axe, violations  # noqa: F401 - the fixture is asked for by name

UPRIGHT = [[600, FOOT + 60], [600, SURFACE - 60]]


@pytest.fixture
def house(as_: Callable[..., Page]) -> Callable[..., tuple[Page, str, str]]:
    return houses(as_)


def line_on(page: Page, code: str, picture: str, path: list[list[float]], width: float = 40) -> dict[str, Any]:
    """A line that was drawn and read."""
    made = api(page, "POST", f"projects/{code}/traverses/", {"attachment": picture, "path": path, "width_px": width})
    return awaited(page, code, made["id"], lambda one: one["state"] == "read")


def awaited(page: Page, code: str, line: str, fits: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    for _ in range(JOB // 250):
        found: dict[str, Any] = api(page, "GET", f"projects/{code}/traverses/{line}")
        if fits(found):
            return found
        page.wait_for_timeout(250)
    raise AssertionError(f"Line {found['number']} did not become what was waited for: {found['state']}, {found['boundaries']}")


def registered(page: Page, code: str, picture: dict[str, Any], other: dict[str, Any]) -> None:
    """The UV picture lies on the visible one, by four places that both show."""
    pairs = [[list(under(*spot)), list(spot)] for spot in ((200, 200), (1000, 220), (980, 700), (220, 680))]
    asked = {"kind": "register-pictures", "params": {"fixed": picture["id"], "moving": other["id"], "points": pairs}}
    api(page, "POST", f"projects/{code}/jobs/", asked)
    for _ in range(JOB // 250):
        if api(page, "GET", f"projects/{code}/registrations/?fixed={picture['id']}")["results"]:
            return
        page.wait_for_timeout(250)
    raise AssertionError("The pictures were not registered.")


def drag(work: AtThePicture, start: tuple[float, float], end: tuple[float, float]) -> None:
    mouse = work.page.mouse
    mouse.move(*work.at(*start))
    mouse.down()
    for share in (0.25, 0.5, 0.75, 1):
        mouse.move(*work.at(*(one + (other - one) * share for one, other in zip(start, end, strict=True))))
    mouse.up()


def accepted(page: Page, code: str, sample: str, line: dict[str, Any]) -> None:
    rows = [{"index": one["index"], "deed": "new"} for one in read(line["layers"])]
    api(page, "POST", f"projects/{code}/samples/{sample}/lines/accept", {"traverse": line["id"], "version": line["version"], "rows": rows})


# -- boundaries ----------------------------------------------------------------------------------------------------------------


def test_a_boundary_is_dragged_with_the_mouse_and_undone_by_a_key(house):
    page, code, sample = house("PW1")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    before = [one["from_px"] for one in read(line["layers"])]
    # The first paint is 90 px thick; its upper face lies so far above the foot of the line.
    assert before[1] == pytest.approx(60 + PAINTS[0][2], abs=3)
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    expect(page.locator(".readlayers")).to_be_visible()
    face = UPRIGHT[0][1] - before[1]
    drag(work, (600, face), (600, face - 25))
    after = awaited(page, code, line["id"], lambda one: one["boundaries"] is not None)
    assert after["boundaries"][1] == pytest.approx(before[1] + 25, abs=3)
    assert [one for at, one in enumerate(after["boundaries"][:-1]) if at != 1] == pytest.approx([before[0], *before[2:]], abs=0.1)
    field = page.get_by_label("Boundary 2, px")
    assert float(field.input_value()) == pytest.approx(after["boundaries"][1], abs=0.05)
    thick = f"{round((after['boundaries'][1] - before[0]) / 2, 1):g}"
    expect(page.locator(".readlayers > li[data-layer='1']")).to_contain_text(re.compile(rf"{thick.split('.')[0]}(\.\d)? µm"))
    work.frame.focus()
    work.press("Control+z")
    again = awaited(page, code, line["id"], lambda one: one["version"] > after["version"])
    assert again["boundaries"][:-1] == pytest.approx(before, abs=0.1)


def test_a_boundary_is_moved_by_keys_over_the_uv_picture_beside_it_too(house):
    page, code, sample = house("PW2")
    picture, other = visible(page, code, sample, um_per_pixel=0.5), under_uv(page, code, sample)
    registered(page, code, picture, other)
    line = line_on(page, code, picture["id"], UPRIGHT)
    before = [one["from_px"] for one in read(line["layers"])]
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_label("Look at").select_option("beside")
    second = page.locator(".picture").nth(1)
    expect(second.locator(".shape.cut")).to_have_count(len(PAINTS) + 1)
    second.focus()
    work.press("n", "n")
    expect(page.locator("#announcements")).to_contain_text("Boundary 2 of 5")
    work.press("Shift+ArrowUp", "ArrowUp", "ArrowUp")
    after = awaited(page, code, line["id"], lambda one: one["boundaries"] is not None)
    assert after["boundaries"][1] == pytest.approx(before[1] + 12, abs=0.1)


def test_boundaries_wait_for_a_lost_connection_and_are_saved_when_it_is_back(house):
    page, code, sample = house("PW3")
    picture = visible(page, code, sample)
    line = line_on(page, code, picture["id"], UPRIGHT)
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    expect(page.locator(".readlayers")).to_be_visible()
    lost = re.compile(rf"/traverses/{line['id']}$")
    page.route(lost, lambda route: route.abort() if route.request.method == "PATCH" else route.fallback())
    work.frame.focus()
    work.press("n", "n", "Shift+ArrowUp")
    expect(page.get_by_text("The boundaries are not saved yet; they are when it is back.")).to_be_visible()
    assert api(page, "GET", f"projects/{code}/traverses/{line['id']}")["boundaries"] is None
    page.unroute(lost)
    after = awaited(page, code, line["id"], lambda one: one["boundaries"] is not None)
    assert after["boundaries"][1] == pytest.approx(read(line["layers"])[1]["from_px"] + 10, abs=0.1)
    expect(page.get_by_text("The boundaries are not saved yet")).to_have_count(0)


def test_boundaries_that_somebody_else_moved_first_are_shown_and_ones_own_are_not_lost(house):
    page, code, sample = house("PW4")
    picture = visible(page, code, sample)
    line = line_on(page, code, picture["id"], UPRIGHT)
    places = [*(one["from_px"] for one in read(line["layers"])), read(line["layers"])[-1]["to_px"]]
    theirs = [places[0], round(places[1]) + 30, *places[2:]]
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    expect(page.locator(".readlayers")).to_be_visible()

    # The page does not hear of it before it saves.
    page.route(re.compile(r"/changes\?"), lambda route: None)
    page.wait_for_timeout(300)
    api(page, "PATCH", f"projects/{code}/traverses/{line['id']}", {"boundaries": theirs}, If_Match=f'"{line["version"]}"')
    work.frame.focus()
    work.press("n", "n", "ArrowUp", "ArrowUp")
    expect(page.get_by_text(re.compile("Yours were at"))).to_be_visible()
    expect(page.get_by_label("Boundary 2, px")).to_have_value(re.compile(rf"^{theirs[1]}$"))
    page.get_by_role("button", name="Put mine in their place").click()
    mine = awaited(page, code, line["id"], lambda one: abs(one["boundaries"][1] - places[1] - 2) < 0.1)
    assert mine["boundaries"] == pytest.approx([places[0], places[1] + 2, *places[2:]], abs=0.1)


def test_a_boundary_left_out_from_the_list_leaves_the_focus_beside_it_and_the_number_of_layers_is_told(house):
    page, code, sample = house("PW20")
    picture = visible(page, code, sample)
    line = line_on(page, code, picture["id"], UPRIGHT)
    many = len(read(line["layers"]))
    AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Leave out layer 1", exact=True).focus()
    page.keyboard.press("Enter")
    awaited(page, code, line["id"], lambda one: len(read(one["layers"])) == many - 1)
    expect(page.get_by_text(f"{many - 1} layers proposed")).to_be_visible()
    expect(page.get_by_role("button", name="Leave out layer 1", exact=True)).to_be_focused()


def test_a_line_that_another_version_read_is_offered_to_be_read_again_and_boundaries_by_hand_stay(house):
    page, code, sample = house("PW21")
    picture = visible(page, code, sample)
    line = line_on(page, code, picture["id"], UPRIGHT)
    places = [*(one["from_px"] for one in read(line["layers"])), read(line["layers"])[-1]["to_px"]]
    hand = [places[0], round(places[1]) + 12, *places[2:]]
    api(page, "PATCH", f"projects/{code}/traverses/{line['id']}", {"boundaries": hand}, If_Match=f'"{line["version"]}"')
    older = [True]

    def told(route: Any) -> None:
        answer = route.fetch()
        body = answer.json()
        for one in body["results"] if older[0] else []:
            one |= {"read_by_older": True, "read_at": "2026-01-01T00:00:00Z"}
        route.fulfill(response=answer, json=body)

    page.route(re.compile(rf"/projects/{code}/traverses\?"), told)
    AtThePicture(page, code, picture["id"], "?tool=lines")
    box = page.get_by_role("region", name="Read by another version")
    expect(box).to_contain_text("Boundaries that were put by hand stay where they are")
    older[0] = False
    with page.expect_request(lambda one: one.method == "POST" and one.url.rstrip("/").endswith("/jobs")) as asked:
        box.get_by_role("button", name="Read it again").click()
    assert asked.value.post_data_json == {"kind": "read-line", "params": {"traverse": line["id"]}}
    expect(box).to_have_count(0, timeout=JOB)
    expect(page.locator(".picture")).to_be_focused()
    expect(page.get_by_label("Boundary 2, px")).to_have_value(f"{hand[1]}")


def test_a_line_that_somebody_else_removed_is_told_to_be_gone_and_not_silently_another(house):
    page, code, sample = house("PW22")
    picture = visible(page, code, sample)
    line_on(page, code, picture["id"], [[300, FOOT + 60], [300, SURFACE - 60]])
    second = line_on(page, code, picture["id"], UPRIGHT)
    AtThePicture(page, code, picture["id"], f"?tool=lines&line={second['number']}")
    expect(page.get_by_role("heading", name="Line 2: a proposal")).to_be_visible()
    api(page, "DELETE", f"projects/{code}/traverses/{second['id']}", If_Match=f'"{second["version"]}"')
    expect(page.get_by_text("Line 2 was removed meanwhile by somebody else.")).to_be_visible()
    expect(page.get_by_role("heading", name="Line 1: a proposal")).to_be_visible()


# -- lines -----------------------------------------------------------------------------------------------------------------------


def test_a_drawn_line_is_moved_bent_and_made_wider_with_the_mouse_and_read_anew(house):
    page, code, sample = house("PW5")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Change its course or width").click()
    work.settled()
    drag(work, (600, SURFACE - 60), (700, SURFACE - 50))
    # A leg that is drawn aside is bent; beside the line a click makes it longer at the nearer end.
    middle = (650, (FOOT + 60 + SURFACE - 50) / 2)
    drag(work, middle, (620, middle[1]))
    assert work.points() == [pytest.approx(one, abs=3) for one in (UPRIGHT[0], (620, middle[1]), (700, SURFACE - 50))]
    work.click(590, FOOT + 110)
    assert work.points()[0] == pytest.approx((590, FOOT + 110), abs=3)
    page.get_by_role("button", name="Undo").click()
    assert len(work.points()) == 3
    # The side of the strip lies half its width beside the leg.
    width = page.get_by_label("Width of the strip that is read, px")
    leg = math.dist((620, middle[1]), (700, SURFACE - 50))
    across = ((SURFACE - 50 - middle[1]) / leg, -(700 - 620) / leg)
    spot = ((620 + 700) / 2, (middle[1] + SURFACE - 50) / 2)
    aside = lambda far: (spot[0] + across[0] * far, spot[1] + across[1] * far)  # noqa: E731
    drag(work, aside(20), aside(40))
    assert float(width.input_value()) == pytest.approx(80, abs=4)
    drawn = work.points()
    page.get_by_role("button", name="Read along the changed line").click()
    after = awaited(page, code, line["id"], lambda one: one["state"] == "read" and one["path"] != line["path"])
    assert after["path"] == [pytest.approx(one, abs=0.11) for one in drawn]
    assert after["width_px"] == pytest.approx(80, abs=4)
    assert after["number"] == line["number"]
    expect(page.locator(".readlayers > li[data-layer]")).to_have_count(len(read(after["layers"])), timeout=JOB)


def test_a_drawn_line_is_changed_by_keyboard_only_and_each_step_undone(house):
    page, code, sample = house("PW6")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Change its course or width").press("Enter")
    expect(work.frame).to_be_focused()
    work.press("a")
    expect(page.locator("#announcements")).to_have_text("Point 2 put between.")
    middle = work.points()[1]
    assert middle == pytest.approx((600, (UPRIGHT[0][1] + UPRIGHT[1][1]) / 2), abs=0.1)
    step = 10 * max(1, 1 / work.scale())
    work.press("Shift+ArrowRight")
    assert work.points()[1] == pytest.approx((600 + step, middle[1]), abs=0.2)
    work.press("z")
    assert work.points()[1] == pytest.approx(middle)
    work.press("y", "PageUp", "Shift+PageUp")
    expect(page.get_by_label("Width of the strip that is read, px")).to_have_value("51")
    work.press("n", "Backspace")
    assert len(work.points()) == 2
    work.press("z")
    assert len(work.points()) == 3
    page.get_by_label("Point 1, px from the left").fill("580")
    page.get_by_role("button", name="Read along the changed line").press("Enter")
    after = awaited(page, code, line["id"], lambda one: one["state"] == "read" and one["path"] != line["path"])
    assert after["path"] == [pytest.approx(one, abs=0.2) for one in ((580, UPRIGHT[0][1]), (600 + step, middle[1]), UPRIGHT[1])]
    assert after["width_px"] == 51


def test_boundaries_by_hand_are_shown_beside_the_reading_of_a_changed_line_and_can_be_put_there(house):
    page, code, sample = house("PW7")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    found = read(line["layers"])
    # Somebody says that the second layer is two.
    by_hand = [found[0]["from_px"], found[1]["from_px"], found[1]["from_px"] + 20, *(one["to_px"] for one in found[1:])]
    api(page, "PATCH", f"projects/{code}/traverses/{line['id']}", {"boundaries": by_hand}, If_Match=f'"{line["version"]}"')
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Change its course or width").click()
    expect(page.get_by_text("Boundaries were put by hand along this line.")).to_be_visible()
    for point in (1, 2):
        page.get_by_label(f"Point {point}, px from the left").fill("640")
    page.get_by_role("button", name="Read along the changed line").click()
    former = page.get_by_role("region", name="Boundaries by hand before")
    expect(former).to_contain_text(f"{len(by_hand)} boundaries stood where", timeout=JOB)
    after = api(page, "GET", f"projects/{code}/traverses/{line['id']}")
    assert (after["boundaries"], [one[0] for one in after["path"]]) == (None, [640, 640])
    assert len(read(after["layers"])) == len(PAINTS)
    # They are still there after a reload, dotted on the picture.
    page.reload()
    expect(former).to_be_visible()
    expect(page.locator(".shape.cut text", has_text="was")).to_have_text(["was 1", f"was {len(by_hand)}"])
    work.settled()
    former.get_by_role("button", name="Put the boundaries there").click()
    put = awaited(page, code, line["id"], lambda one: one["boundaries"] is not None)
    # The line lies 40 px beside where it was and is as long, so the places along it are the same.
    assert put["boundaries"] == pytest.approx(by_hand, abs=0.1)
    expect(former).to_have_count(0)


def test_the_course_of_a_line_whose_layers_were_taken_over_stays_and_a_changed_one_is_another_line(house):
    page, code, sample = house("PW8")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    accepted(page, code, sample, line)
    stands = layers(page, code)
    work = AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Change its course or width").click()
    expect(page.get_by_text("so its course stays: a changed one is read as another line")).to_be_visible()
    for point in (1, 2):
        page.get_by_label(f"Point {point}, px from the left").fill("300")
    page.get_by_role("button", name="Read along it as another line").click()
    expect(page.get_by_role("button", name="Line 2", exact=True)).to_have_attribute("aria-pressed", "true", timeout=JOB)
    kept = {one["number"]: one for one in work.lines()}
    assert kept[1]["path"] == line["path"]
    assert [one[0] for one in kept[2]["path"]] == [300, 300]
    assert layers(page, code) == stands


def test_several_lines_on_one_section_are_one_table(house):
    page, code, sample = house("PW9")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    for x in (300, 900):
        line_on(page, code, picture["id"], [[x, UPRIGHT[0][1]], [x, UPRIGHT[1][1]]])
    AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_text("All lines of this sample together").click()
    table = page.get_by_role("table", name="Layers of all lines, from the surface down")
    expect(table.get_by_role("columnheader")).to_have_text(
        ["Layer", "Line 1", "Line 2", "Thickness, least to most", "L*a*b*", "UV", "Lines agree", "In the record"]
    )
    rows = table.locator("tbody tr")
    expect(rows).to_have_count(len(PAINTS))
    for row, (at, (_, _, thick)) in zip(rows.all(), reversed(list(enumerate(PAINTS, start=1))), strict=True):
        cells = [one.inner_text() for one in row.locator("th, td").all()]
        assert cells[:3] == [str(at)] * 3
        # Painted level, so as thick as it was painted: half a µm a px, wherever a line crosses.
        assert float(cells[3].split(" µm")[0]) == pytest.approx(thick / 2, abs=1.5)
        assert cells[6:] == ["100 %", "no"]


def test_a_measured_colour_takes_the_place_of_what_stands_where_that_is_ticked(house):
    page, code, sample = house("PW23", ("stone",))
    first = layers(page, code)[0]
    batch = [{"op": "change", "id": first["id"], "version": first["version"], "values": {"lab_l": 20, "lab_a": 0, "lab_b": 0}}]
    api(page, "POST", f"projects/{code}/layers/batch", {"operations": batch})
    picture = attach(page, code, ("sample", sample), png(with_card()), "S-1 card.png", "visible micrograph")
    card = next(one for one in api(page, "GET", f"projects/{code}/targets/")["results"] if len(one["patches"]) == 1)
    target = {"target": card["name"], "patches": [{"box": [80, 80, 160, 100]}]}
    api(page, "PATCH", f"projects/{code}/attachments/{picture['id']}", {"colour_target": target}, If_Match=f'"{picture["version"]}"')
    for _ in range(JOB // 250):
        if api(page, "GET", f"projects/{code}/attachments/{picture['id']}")["colour_state"] != "uncalibrated":
            break
        page.wait_for_timeout(250)
    line = line_on(page, code, picture["id"], UPRIGHT)
    assert line["colour_calibrated"]
    AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Take into the record …").click()
    dialog = page.get_by_role("dialog")
    for index in range(2, len(read(line["layers"])) + 1):
        dialog.get_by_label(f"Read layer {index}: what becomes of it").select_option("leave")
    dialog.get_by_label("Read layer 1: what becomes of it").select_option("replace")
    dialog.get_by_label("Read layer 1: which layer of the record").select_option(first["id"])
    dialog.get_by_label(re.compile("^Replace L\\*a\\*b\\*")).check()
    dialog.get_by_label(re.compile("^Replace Munsell")).check()
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog).to_have_count(0)
    (after,) = layers(page, code)
    measured = read(line["layers"])[0]
    assert [after["lab_l"], after["lab_a"], after["lab_b"]] == pytest.approx(measured["lab"], abs=0.01)
    assert (after["munsell"], after["munsell_by"], after["colour"]) == (measured["munsell"], "measured", "stone")


def test_new_layers_are_each_of_the_kind_that_is_chosen_for_them(house):
    page, code, sample = house("PW24")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    many = len(read(line["layers"]))
    page.set_viewport_size({"width": 1024, "height": 768})
    AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Take into the record …").click()
    dialog = page.get_by_role("dialog")
    # What is decided is in view without scrolling past all layers.
    expect(dialog.get_by_role("button", name="Take into the record")).to_be_in_viewport(ratio=1)
    dialog.get_by_label("Kind of all new layers").select_option("paint")
    dialog.get_by_label("Read layer 1: kind").select_option("primer")
    dialog.get_by_label(f"Read layer {many}: kind").select_option("varnish")
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog).to_have_count(0)
    assert [one["kind"] for one in layers(page, code)] == ["primer", *["paint"] * (many - 2), "varnish"]
    expect(page.get_by_text(f"{many} layers proposed, all in the record")).to_be_visible()
    # What is in the record is not offered to be made once more.
    page.get_by_role("button", name="Take into the record …").click()
    assert dialog.get_by_label("Read layer 1: what becomes of it").locator("option[value=new]").count() == 0


def test_layers_that_somebody_else_put_meanwhile_are_shown_before_anything_is_taken_over(house):
    page, code, sample = house("PW28")
    picture = visible(page, code, sample)
    line_on(page, code, picture["id"], UPRIGHT)
    AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Take into the record …").click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("No layer is in the record of this sample yet.")
    theirs = [{"op": "create", "values": {"sample": sample, "kind": "paint", "colour": colour}} for colour in ("stone", "green")]
    api(page, "POST", f"projects/{code}/layers/batch", {"operations": theirs})
    dialog.get_by_role("button", name="Take into the record").click()
    expect(dialog.locator(".refusal")).to_contain_text("Somebody else changed the layers of this sample meanwhile")
    expect(dialog).to_contain_text("2 layers stand in the record.")
    assert [one["colour"] for one in layers(page, code)] == ["stone", "green"]


def test_boundaries_are_saved_after_all_where_those_that_were_found_could_not_be_had(house):
    page, code, sample = house("PW29")
    picture = visible(page, code, sample)
    line = line_on(page, code, picture["id"], UPRIGHT)
    place = read(line["layers"])[0]["to_px"]
    AtThePicture(page, code, picture["id"], "?tool=lines")

    lost = [True]
    page.route(
        re.compile(f"/traverses/{line['id']}"),
        lambda route: route.abort() if lost[0] and route.request.method == "PATCH" else route.continue_(),
    )
    field = page.get_by_label("Boundary 2, px")
    field.fill(f"{round(place) + 9}")
    field.press("Tab")
    expect(page.get_by_text("The boundaries are not saved yet")).to_be_visible()
    page.get_by_role("button", name="As it was found").click()
    expect(page.locator(".toolpanel .refusal").first).to_contain_text("The connection is lost")
    lost[0] = False
    awaited(page, code, line["id"], lambda one: one["boundaries"] is not None and one["boundaries"][1] == round(place) + 9)


def test_what_was_read_in_pictures_stands_on_the_page_of_a_layer(house):
    page, code, sample = house("PW10")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    line = line_on(page, code, picture["id"], UPRIGHT)
    accepted(page, code, sample, line)
    third = layers(page, code)[2]
    page.goto(f"/projects/{code}/registers/layers/{third['id']}")
    part = page.get_by_role("region", name="Read in pictures")
    expect(part).to_contain_text("uncalibrated")
    told = part.get_by_role("row").nth(1).inner_text()
    assert float(re.search(r"([\d.]+) µm", told)[1]) == pytest.approx(PAINTS[2][2] / 2, abs=1.5)
    part.get_by_role("link", name="line 1 on picture 1").click()
    expect(page.get_by_role("heading", name="Line 1: a proposal")).to_be_visible()
    assert picture["id"] in page.url


# -- two pictures ----------------------------------------------------------------------------------------------------------------


def test_visible_and_uv_are_registered_by_pairs_of_points_and_the_residual_is_told(house):
    page, code, sample = house("PW11")
    picture, other = visible(page, code, sample), under_uv(page, code, sample)
    work = AtThePicture(page, code, picture["id"], "?tool=registration")
    page.get_by_role("button", name="Name pairs of points").click()
    frames = page.locator(".picture")
    expect(frames).to_have_count(2)
    work.settled()
    spots = [(200, 200), (1000, 220), (980, 700), (220, 680)]
    for many, spot in enumerate(spots, start=1):
        work.click(*spot)
        expect(page.get_by_text(f"Point {many} is still to be put in picture 2, UV micrograph.")).to_be_visible()
        work.click(*under(*spot), frame=frames.nth(1))
        if many == 3:
            expect(page.get_by_text("3 pairs: they just fix it, and nothing checks them.")).to_be_visible()
    page.get_by_role("button", name="Register by these pairs").click()
    state = page.locator(".toolpanel h2 + p")
    expect(state).to_contain_text(re.compile(r"by 4 pairs of points that a person named, [\d.]+ px left over"), timeout=JOB)
    row = api(page, "GET", f"projects/{code}/registrations/?fixed={picture['id']}")["results"][0]
    assert (row["method"], row["moving"], len(row["points"])) == ("points", other["id"], 4)
    # Clicked to within a px of the screen, which is about three of the picture.
    assert row["residual_px"] < 4
    x, y = under(600, 450)
    lies = np.array(row["matrix"]) @ (x, y, 1)
    assert math.dist(lies[:2] / lies[2], (600, 450)) < 5
    expect(page.get_by_label("Look at")).to_have_value("blink")
    page.get_by_text("How far each pair is off").click()
    expect(page.locator(".toolpanel details ol li")).to_have_count(4)


def test_pairs_that_are_refused_stay_for_one_of_them_to_be_mended(house):
    page, code, sample = house("PW12")
    picture = visible(page, code, sample)
    under_uv(page, code, sample)
    work = AtThePicture(page, code, picture["id"], "?tool=registration")
    page.get_by_role("button", name="Name pairs of points").click()
    frames = page.locator(".picture")
    expect(frames).to_have_count(2)
    work.settled()
    for spot in ((300, 200), (600, 700), (900, 300)):
        work.click(*spot)
        work.click(*spot, frame=frames.nth(1))
    # Three places that are one in the other picture tell of no way to lay it.
    for point in (1, 2, 3):
        there = page.get_by_role("group", name="Picture 2, UV micrograph")
        there.get_by_label(f"Point {point}, px from the left").fill("600")
        there.get_by_label(f"Point {point}, px from the top").fill("450")
    page.get_by_role("button", name="Register by these pairs").click()
    expect(page.locator(".toolpanel .now")).to_have_text(re.compile("^Not registered. "), timeout=JOB)
    assert len(work.points()) == 6
    assert api(page, "GET", f"projects/{code}/registrations/?fixed={picture['id']}")["results"] == []


def test_side_by_side_both_show_one_place_and_the_pointer_is_seen_in_both_and_in_the_stack(house):
    page, code, sample = house("PW13")
    picture, other = visible(page, code, sample, um_per_pixel=0.5), under_uv(page, code, sample)
    registered(page, code, picture, other)
    accepted(page, code, sample, line_on(page, code, picture["id"], UPRIGHT))
    page.goto(f"/projects/{code}/bench/S-1?picture={picture['id']}")
    expect(page.locator(".picture canvas").first).to_be_visible()
    first, second = page.locator(".picture").first, page.locator(".picture").nth(1)
    first.hover()
    for _ in range(4):
        page.mouse.wheel(0, -240)
        page.wait_for_timeout(300)
    page.get_by_label("Look at").select_option("beside")
    expect(second.locator("canvas").first).to_be_visible()
    page.wait_for_timeout(700)
    for frame, there in ((first, second), (second, first)):
        for share in ((0.5, 0.5), (0.3, 0.7)):
            assert linked(page, frame, there, share) == pytest.approx(share, abs=0.02)
        page.mouse.wheel(0, -240)
        page.wait_for_timeout(700)
        assert linked(page, frame, there, (0.6, 0.4)) == pytest.approx((0.6, 0.4), abs=0.02)
    # What lies under the pointer on the line is marked in the stack, from either picture.
    for frame in (second, first):
        line = frame.locator(".shape.box").first.bounding_box()
        box = frame.bounding_box()
        page.mouse.move(line["x"] + line["width"] / 2, box["y"] + box["height"] / 2)
        expect(page.locator(".band.pointed")).to_have_count(1)
        page.mouse.move(box["x"] + 3, box["y"] + 3)
        expect(page.locator(".band.pointed")).to_have_count(0)


def linked(page: Page, frame: Any, there: Any, share: tuple[float, float]) -> tuple[float, float]:
    """Where the pointer is seen in the picture beside the one that it is over, in shares of its frame."""
    box, other = frame.bounding_box(), there.bounding_box()
    page.mouse.move(box["x"] + box["width"] * share[0], box["y"] + box["height"] * share[1])
    expect(there.locator(".shape.cross")).to_have_count(1)
    page.wait_for_timeout(150)
    cross = there.locator(".shape.cross").bounding_box()
    return (cross["x"] + cross["width"] / 2 - other["x"]) / other["width"], (cross["y"] + cross["height"] / 2 - other["y"]) / other[
        "height"
    ]


# -- files, plates, microscopes --------------------------------------------------------------------------------------------------


def test_ways_of_looking_are_gone_through_by_one_key_and_the_picture_keeps_the_focus(house):
    page, code, sample = house("PW25")
    picture, other = visible(page, code, sample), under_uv(page, code, sample)
    registered(page, code, picture, other)
    work = AtThePicture(page, code, picture["id"])
    work.frame.focus()
    look = page.get_by_label("Look at")
    for mode in ("blink", "split", "beside", "one", "blink"):
        page.keyboard.press("w")
        expect(look).to_have_value(mode)
        work.settled()
        expect(work.frame).to_be_focused()
    # Where that which has the focus goes, the picture that stays has it.
    page.keyboard.press("w")
    page.get_by_role("separator", name="Where the two pictures part").focus()
    look.select_option("one")
    work.settled()
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("document.activeElement !== document.body")


def test_the_name_of_a_line_that_ends_at_the_picture_s_edge_is_seen_whole(house):
    page, code, sample = house("PW26")
    picture = visible(page, code, sample)
    line_on(page, code, picture["id"], [[1190, FOOT + 60], [1195, 2]])
    line_on(page, code, picture["id"], UPRIGHT)
    work = AtThePicture(page, code, picture["id"], "?tool=lines&line=2")
    name = page.locator(".overlay text", has_text="line 1")
    expect(name).to_be_visible()
    work.settled()
    frame, text = work.frame.bounding_box(), name.bounding_box()
    assert frame is not None
    assert text is not None
    assert frame["x"] <= text["x"]
    assert text["x"] + text["width"] <= frame["x"] + frame["width"]
    assert frame["y"] <= text["y"]


def test_names_of_lines_that_end_beside_each_other_are_not_written_over_each_other(house):
    page, code, sample = house("PW30")
    picture = visible(page, code, sample)
    for x in (600, 612, 620):
        line_on(page, code, picture["id"], [[x, FOOT + 60], [x, SURFACE - 60]])
    work = AtThePicture(page, code, picture["id"])
    expect(page.locator(".overlay text")).to_have_count(3)
    work.settled()
    boxes = [one.bounding_box() for one in page.locator(".overlay text").all()]
    # The outline about the letters is counted in, of which 3 px may meet.
    feet = sorted(box["y"] for box in boxes if box is not None)
    assert len(feet) == 3
    assert all(low + 14 <= high for low, high in pairwise(feet))


def test_a_file_that_is_asked_for_too_often_is_fetched_later_and_one_that_is_gone_is_told_beside_its_link(house):
    page, code, sample = house("PW27")
    picture = visible(page, code, sample)
    asked: list[int] = []

    def answer(route: Any) -> None:
        asked.append(len(asked))
        if len(asked) == 1:
            body = {"type": "about:blank", "title": "Too often", "status": 429, "code": "too-often", "detail": "Too many."}
            route.fulfill(status=429, content_type="application/problem+json", headers={"Retry-After": "2"}, json=body)
        elif len(asked) == 3:
            gone = "This file is no longer kept."
            body = {"type": "about:blank", "title": "Not found", "status": 404, "code": "not-found", "detail": gone}
            route.fulfill(status=404, content_type="application/problem+json", json=body)
        else:
            route.continue_()

    AtThePicture(page, code, picture["id"])
    here = page.url
    page.context.route(re.compile("/original"), answer)
    link = page.get_by_role("link", name="Download S-1.png")
    with page.expect_download(timeout=JOB) as download:
        link.click()
        expect(page.get_by_text("More was asked for than is answered in a minute. It goes on by itself")).to_be_visible()
    assert hashlib.sha256(Path(download.value.path()).read_bytes()).hexdigest() == picture["sha256"]
    # The file itself the browser fetches without being overheard.
    assert len(asked) == 2
    link.click()
    expect(page.get_by_text("This file is no longer kept.")).to_be_visible()
    assert page.url == here


def test_a_picture_is_dropped_onto_its_place_on_the_bench(house):
    page, code, sample = house("PW14")
    to_pictures(page, code)
    content = png(section())
    drop = """(target, { name, content }) => {
        const data = new DataTransfer();
        data.items.add(new File([Uint8Array.from(atob(content), (one) => one.charCodeAt(0))], name, { type: "image/png" }));
        const over = new DragEvent("dragover", { dataTransfer: data, bubbles: true, cancelable: true });
        target.dispatchEvent(over);
        const lit = target.classList.contains("over");
        target.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
        return [over.defaultPrevented, lit, target.classList.contains("over")];
    }"""
    zone = page.locator(".drop.pictures")
    told = zone.evaluate(drop, {"name": "S-1 under UV.png", "content": base64.b64encode(content).decode()})
    assert told == [True, True, False]
    expect(page.locator(".sendings")).to_contain_text("What is written here of it is kept", timeout=JOB)
    rows = api(page, "GET", f"projects/{code}/attachments/?sample={sample}")["results"]
    assert [(one["name"], one["kind"], one["sha256"]) for one in rows] == [
        ("S-1 under UV.png", "UV micrograph", hashlib.sha256(content).hexdigest())
    ]


def test_a_plate_is_made_and_fetched_as_pdf_and_as_png(house, tmp_path: Path):
    page, code, sample = house("PW15")
    picture, other = visible(page, code, sample, um_per_pixel=0.5), under_uv(page, code, sample)
    registered(page, code, picture, other)
    accepted(page, code, sample, line_on(page, code, picture["id"], UPRIGHT))
    page.goto(f"/projects/{code}/bench/S-1")
    expect(page.locator(".picture canvas").first).to_be_visible()
    made = {}
    for form in ("pdf", "png"):
        page.locator(".platemaker select").select_option(form)
        page.get_by_role("button", name="Make a plate").click()
        with page.expect_download(timeout=JOB) as download:
            page.get_by_role("link", name=f"Download {code} plate S-1.{form}").click(timeout=JOB)
        made[form] = Path(download.value.path()).read_bytes()
    sheet = pypdf.PdfReader(io.BytesIO(made["pdf"])).pages[0]
    words = sheet.extract_text()
    for told in ("Sample S-1: cross-section", "Visible light", "Under ultraviolet", "0.5 µm a pixel", "Colours uncalibrated", "µm"):
        assert told in words
    assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == pytest.approx((297 / 25.4 * 72, 210 / 25.4 * 72), abs=1)
    image = Image.open(io.BytesIO(made["png"]))
    assert image.format == "PNG"
    assert image.width / image.height == pytest.approx(297 / 210, abs=0.01)
    pixels = np.asarray(image.convert("RGB"), np.float32)
    for seen, lit, thick in PAINTS:
        # Both pictures are on it, with each paint as it looks in either light, the thicker the more of it.
        for colour in (seen, lit):
            shown = (np.abs(pixels - np.array(colour)).max(axis=2) < 24).mean()
            assert shown > thick / 90 * 0.004


def test_microscopes_are_added_changed_and_removed_in_settings_and_give_a_picture_its_scale(house):
    page, code, sample = house("PW16")
    picture = visible(page, code, sample)
    page.goto(f"/projects/{code}/settings")
    page.get_by_text("Microscopes of this project").first.click()
    page.get_by_role("button", name="Add a microscope").click()
    form = page.locator("details form.record")
    form.get_by_label("Name").fill("Stand 2")
    form.get_by_label("Magnification").fill("20×/0.5")
    for nonsense in ("", "fine", "0", "-1"):
        form.get_by_label("Scale").fill(nonsense)
        form.get_by_role("button", name="Add").click()
        expect(form.locator(".field.wrong, .refusal").first).to_be_visible()
        assert api(page, "GET", f"projects/{code}/microscopes/")["results"] == []
    form.get_by_label("Scale").fill("0.25")
    form.get_by_label("Width of its pictures").fill("2400")
    form.get_by_role("button", name="Add").click()
    table = page.get_by_role("table", name="Microscopes of this project")
    expect(table).to_contain_text("Stand 2")
    page.get_by_role("button", name="Change Stand 2, 20×/0.5").click()
    form.get_by_label("Scale").fill("0.26")
    form.get_by_role("button", name="Save").click()
    expect(table).to_contain_text("0.26")
    row = api(page, "GET", f"projects/{code}/microscopes/")["results"][0]
    assert (row["name"], row["magnification"], row["um_per_pixel"], row["picture_width"]) == ("Stand 2", "20×/0.5", 0.26, 2400)
    AtThePicture(page, code, picture["id"], "?tool=scale")
    page.get_by_label("Microscope and magnification").select_option(label="Stand 2, 20×/0.5")
    page.get_by_role("button", name="Use this microscope").click()
    # The picture is half as wide as those on which it was measured.
    expect(page.locator(".toolpanel h2 + p")).to_contain_text("0.52 µm per px, by the microscope Stand 2, 20×/0.5")
    assert api(page, "GET", f"projects/{code}/attachments/{picture['id']}")["um_per_pixel"] == pytest.approx(0.52)
    spare = {"name": "Spare", "magnification": "10×", "um_per_pixel": 1}
    api(page, "POST", f"projects/{code}/microscopes/", spare)
    page.goto(f"/projects/{code}/settings")
    page.get_by_text("Microscopes of this project").first.click()
    row = table.get_by_role("row").filter(has_text="Spare")
    row.get_by_role("button", name="Remove").click()
    row.get_by_role("button", name="Remove").click()
    expect(table).not_to_contain_text("Spare")
    assert [one["name"] for one in api(page, "GET", f"projects/{code}/microscopes/")["results"]] == ["Stand 2"]


# -- what goes wrong -------------------------------------------------------------------------------------------------------------


def broken() -> bytes:
    """A picture that was cut short on its way out of the camera."""
    whole = png(section())
    return whole[: len(whole) // 2]


def test_a_picture_that_cannot_be_shown_says_why_and_what_can_be_done(house, axe):  # noqa: F811
    page, code, sample = house("PW17")
    made = attach(page, code, ("sample", sample), broken(), "S-1.png", "visible micrograph", ready=False)
    page.goto(f"/projects/{code}/pictures/{made['id']}")
    said = page.locator(".unready")
    expect(said).to_contain_text("It cannot be shown.", timeout=JOB)
    refusal = api(page, "GET", f"projects/{code}/attachments/{made['id']}")["refusal"]
    assert refusal
    expect(said).to_contain_text(refusal)
    expect(said).to_contain_text("save it anew as TIFF (8 or 16 bits), PNG or JPEG")
    said.get_by_role("button", name="Look into it again").click()
    expect(said.locator(".now")).to_contain_text(re.compile(r"\w"))
    assert violations(page, axe) == []
    page.goto(f"/projects/{code}/bench/S-1")
    page.get_by_text("All its pictures and documents").click()
    expect(page.locator(".attachments .unready")).to_contain_text(refusal)


def test_a_target_that_cannot_be_measured_says_why_where_the_colours_are_told(house, axe):  # noqa: F811
    page, code, sample = house("PW19")
    picture = attach(page, code, ("sample", sample), png(with_card(grey=255)), "S-1 card.png", "visible micrograph")
    work = AtThePicture(page, code, picture["id"], "?tool=colours")
    card = next(one for one in api(page, "GET", f"projects/{code}/targets/")["results"] if len(one["patches"]) == 1)
    page.get_by_label("Target").select_option(card["name"])
    work.click(80, 80)
    work.click(240, 180)
    page.get_by_role("button", name="Read the colours of the target").click()
    said = page.locator(".toolpanel .unready")
    expect(said).to_contain_text("is overexposed", timeout=JOB)
    assert work.row()["colour_state"] == "uncalibrated"
    page.reload()
    expect(said).to_contain_text(work.row()["troubles"][0]["sentence"])
    expect(page.locator(".deskstate")).to_contain_text("Colours uncalibrated: the target could not be measured; Colours says why.")
    expect(said.get_by_role("button", name="Measure the target again")).to_be_visible()
    assert violations(page, axe) == []


def test_states_of_work_on_pictures_have_no_fault_that_the_accessibility_rules_know(house, axe):  # noqa: F811
    page, code, sample = house("PW18")
    picture = visible(page, code, sample, um_per_pixel=0.5)
    under_uv(page, code, sample)
    line = line_on(page, code, picture["id"], UPRIGHT)
    found: dict[str, Any] = {}
    work = AtThePicture(page, code, picture["id"], "?tool=registration")
    page.get_by_role("button", name="Name pairs of points").click()
    expect(page.locator(".picture")).to_have_count(2)
    work.click(300, 300)
    found["pairs"] = violations(page, axe)
    AtThePicture(page, code, picture["id"], "?tool=lines")
    page.get_by_role("button", name="Change its course or width").click()
    found["changing"] = violations(page, axe)
    page.get_by_role("button", name="Cancel").click()
    accepted(page, code, sample, line)
    page.goto(f"/projects/{code}/settings")
    page.get_by_text("Microscopes of this project").first.click()
    page.get_by_role("button", name="Add a microscope").click()
    found["microscopes"] = violations(page, axe)
    page.goto(f"/projects/{code}/registers/layers/{layers(page, code)[0]['id']}")
    expect(page.get_by_role("region", name="Read in pictures")).to_be_visible()
    found["layer"] = violations(page, axe)
    assert {name: wrong for name, wrong in found.items() if wrong} == {}
