"""The chart of a space in a real browser: gone about in by keys, ruled on with a preview, joined, split, watched by others."""

import re
import time
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, violations  # noqa: F401 - a fixture

STACK = (("primer", "grey", "N 6"), ("paint", "green", "5GY 6/4"), ("paint", "cream", "10YR 8/2"))


def paint(page: Page, code: str, samples: int = 2) -> dict[str, Any]:
    """A space of like samples S1, S2 … of three layers each, correlated; answers its id and that of each layer by name."""
    make = lambda collection, **values: api(page, "POST", f"projects/{code}/{collection}/", values)  # noqa: E731
    space = make("spaces", number="201", name="Parlour")["id"]
    layers = {}
    for number in range(1, samples + 1):
        kind = "wall" if number == 1 else "door leaf"
        element = make("elements", code=f"201-E{number}", space=space, element_class=kind)["id"]
        sample = make("samples", number=f"S{number}", element=element, base_state="complete", top_state="complete")["id"]
        for position, (kind, colour, munsell) in enumerate(STACK, start=1):
            one = make("layers", sample=sample, position=position, kind=kind, colour=colour, munsell=munsell)
            layers[f"S{number}/{position}"] = one["id"]
    correlate(page, code)
    return {"space": space, "layers": layers}


def correlate(page: Page, code: str) -> None:
    job = api(page, "POST", f"projects/{code}/jobs/", {"kind": "correlate", "params": {"space": "201"}})
    until = time.monotonic() + 30
    while job["state"] in ("queued", "running") and time.monotonic() < until:
        time.sleep(0.1)
        job = api(page, "GET", f"projects/{code}/jobs/{job['id']}")
    assert job["state"] == "done", job


def generation_of(page: Page, code: str, layer: str) -> str:
    return str(api(page, "GET", f"projects/{code}/layers/?search={layer}")["results"][0]["generation"])


def open_chart(page: Page, code: str, query: str = "") -> Locator:
    page.goto(f"/projects/{code}/spaces/201{query}")
    expect(page.locator("body:not(.loading) h1")).to_be_visible()
    grid = page.get_by_role("grid", name="Generation chart of space 201")
    expect(grid).to_be_visible()
    page.locator('.chartgrid [tabindex="0"]').focus()
    return grid


def go_to(page: Page, layer: str, key: str) -> None:
    """Press a key until a layer has the focus."""
    for _ in range(12):
        if (page.locator(":focus").get_attribute("aria-label") or "").startswith(f"{layer};"):
            return
        page.keyboard.press(key)
    pytest.fail(f"{key} does not lead to {layer}")


def select(page: Page, *way: tuple[str, str]) -> None:
    """Go to layers by keys, and select each."""
    for layer, key in way:
        go_to(page, layer, key)
        page.keyboard.press("Space")
        expect(page.locator(":focus")).to_have_attribute("aria-checked", "true")


def ruling(page: Page, code: str, painted: dict[str, Any], kind: str, first: str, second: str) -> None:
    layers = painted["layers"]
    api(page, "POST", f"projects/{code}/rulings/", {"kind": kind, "first_layer": layers[first], "second_layer": layers[second]})


def test_two_layers_are_tied_by_keyboard_previewed_kept_and_obeyed(new_project):
    page = new_project("CH1")
    paint(page, "CH1")
    assert generation_of(page, "CH1", "S1/2") != generation_of(page, "CH1", "S2/3")
    open_chart(page, "CH1")
    select(page, ("S1/2", "ArrowUp"), ("S2/2", "ArrowRight"))
    page.keyboard.press("Space")
    select(page, ("S2/3", "ArrowUp"))
    expect(page.locator(".charttools")).to_contain_text("Selected: S1/2 and S2/3.")
    page.keyboard.press("t")
    dialog = page.get_by_role("dialog", name="Tie: of one campaign")
    expect(dialog).to_contain_text("S1/2 and S2/3 are of one campaign")
    expect(dialog.get_by_label("Reason")).to_be_focused()
    page.keyboard.type("the same glaze")
    page.keyboard.press("Control+Enter")

    tray = page.get_by_role("region", name="Proposed rulings")
    expect(tray).to_contain_text("If they are kept", timeout=30_000)
    expect(tray).to_contain_text("would move")
    expect(page.locator(".chip.moving").first).to_contain_text("→")
    expect(page.get_by_role("checkbox", name="would move").first).to_be_visible()
    assert api(page, "GET", "projects/CH1/rulings/")["results"] == []

    tray.get_by_role("button", name="Keep 1 ruling").focus()
    page.keyboard.press("Enter")
    expect(tray).to_be_hidden()
    expect(page.get_by_role("table", name="Rulings")).to_contain_text("the same glaze")
    expect(page.get_by_text("have changed since: correlate it again")).to_be_visible()
    page.get_by_role("button", name="Correlate this space").click()
    expect(page.get_by_text("have changed since: correlate it again")).to_have_count(0, timeout=30_000)
    assert generation_of(page, "CH1", "S1/2") == generation_of(page, "CH1", "S2/3")


def test_a_contradictory_ruling_is_refused_in_words_with_its_chain(new_project):
    page = new_project("CH2")
    painted = paint(page, "CH2")
    ruling(page, "CH2", painted, "tie", "S1/2", "S2/3")
    ruling(page, "CH2", painted, "bar", "S1/2", "S1/3")
    open_chart(page, "CH2", "?cell=S1/3")
    select(page, ("S1/3", "ArrowUp"), ("S2/3", "ArrowRight"))
    page.keyboard.press("Space")
    select(page, ("S2/2", "ArrowDown"))
    page.keyboard.press("t")
    page.get_by_role("button", name="Propose and preview").click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("These cannot all be true", timeout=30_000)
    expect(alert.get_by_role("listitem")).to_have_count(3)
    expect(alert).to_contain_text("bar S1/2 – S1/3")
    page.get_by_role("button", name="Keep 1 ruling").click()
    expect(alert.first).to_contain_text("cannot all be true")
    assert len(api(page, "GET", "projects/CH2/rulings/")["results"]) == 2
    page.get_by_role("button", name="Discard").click()
    expect(page.get_by_role("region", name="Proposed rulings")).to_be_hidden()


def test_a_ruling_that_the_choice_does_not_allow_says_why(new_project):
    page = new_project("CH3")
    paint(page, "CH3")
    open_chart(page, "CH3")
    page.keyboard.press("t")
    expect(page.locator(".charttools")).to_contain_text("Select two or more layers")
    page.keyboard.press("b")
    expect(page.locator(".charttools")).to_contain_text("select just two")
    page.keyboard.press("h")
    dialog = page.get_by_role("dialog", name="Hold in a generation")
    expect(dialog.get_by_label("Generation")).to_be_focused()
    dialog.get_by_label("Generation").select_option("2")
    expect(dialog).to_contain_text("S1/1 belongs to generation 2")
    page.keyboard.press("Escape")
    expect(dialog).to_have_count(0)
    expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile("^S1/1;"))


def test_generations_are_joined_and_split_in_the_panel_of_their_row(new_project):
    page = new_project("CH4")
    paint(page, "CH4")
    before = api(page, "GET", "projects/CH4/generations/")["results"]
    open_chart(page, "CH4")
    page.keyboard.press("Home")
    expect(page.locator(":focus")).to_have_attribute("role", "rowheader")
    page.keyboard.press("Enter")
    panel = page.get_by_role("complementary", name="Details")
    expect(panel.get_by_role("heading", name="Generation 1")).to_be_focused()
    panel.get_by_role("button", name="Join with 2").click()
    panel.get_by_role("button", name="Join", exact=True).click()
    expect(page.locator(".rowhead")).to_have_count(len(before) - 1)
    after = api(page, "GET", "projects/CH4/generations/")["results"]
    assert [one["id"] for one in after] == [before[0]["id"], *(one["id"] for one in before[2:])]
    inside = [position for position in (1, 2, 3) if generation_of(page, "CH4", f"S1/{position}") == before[0]["id"]]
    assert len(inside) >= 2
    expect(panel).to_contain_text("Select those of its layers that are to be a generation of their own")

    panel.get_by_role("heading", name="Generation 1").focus()
    page.keyboard.press("Escape")
    page.keyboard.press("ArrowRight")
    top = max(inside)
    select(page, (f"S1/{top}", "ArrowUp"), (f"S2/{top}", "ArrowRight"))
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    panel.get_by_role("button", name="Split off above").click()
    panel.get_by_role("button", name="Split", exact=True).click()
    expect(page.locator(".rowhead")).to_have_count(len(before))
    assert generation_of(page, "CH4", "S1/1") == before[0]["id"] != generation_of(page, "CH4", f"S1/{top}")
    assert generation_of(page, "CH4", f"S1/{top}") == generation_of(page, "CH4", f"S2/{top}")


def test_an_owner_looks_closer_and_changes_nothing(as_):
    coordinator = as_("coordinator")
    job = api(coordinator, "POST", "projects/HALL/jobs/", {"kind": "correlate", "params": {"space": "101"}})
    while job["state"] in ("queued", "running"):
        time.sleep(0.1)
        job = api(coordinator, "GET", f"projects/HALL/jobs/{job['id']}")
    page = as_("owner")
    page.goto("/projects/HALL/spaces/101")
    grid = page.get_by_role("grid", name="Generation chart of space 101")
    expect(grid).to_be_visible()
    expect(grid.get_by_role("checkbox")).to_have_count(0)
    expect(page.get_by_role("button", name=re.compile("Tie|Bar|Hold|Preview"))).to_have_count(0)
    page.locator('.chartgrid [tabindex="0"]').focus()
    for key in ("Space", "t", "b", "h", "p"):
        page.keyboard.press(key)
    expect(page.get_by_role("dialog")).to_have_count(0)
    page.keyboard.press("Enter")
    panel = page.get_by_role("complementary", name="Details")
    expect(panel.get_by_role("heading", name="Layer 101-1/1")).to_be_focused()
    expect(panel).to_contain_text("Why this generation")
    page.keyboard.press("Escape")
    expect(panel).to_be_hidden()
    expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile("^101-1/1;"))
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    expect(panel.get_by_role("heading", name="Generation 1")).to_be_focused()
    expect(panel.locator("form, input, textarea")).to_have_count(0)
    expect(panel.get_by_role("button")).to_have_count(1)  # Close


def test_what_another_changes_appears_and_the_choice_and_the_focus_stay(new_project):
    page = new_project("CH5")
    painted = paint(page, "CH5")
    open_chart(page, "CH5")
    select(page, ("S1/2", "ArrowUp"))
    row = api(page, "GET", f"projects/CH5/layers/{painted['layers']['S1/2']}")
    api(page, "PATCH", f"projects/CH5/layers/{row['id']}", {"colour": "sage"}, If_Match=f'"{row["version"]}"')
    chip = page.get_by_role("checkbox", name="S1/2; paint, sage")
    expect(chip).to_be_visible(timeout=5_000)
    expect(chip).to_be_checked()
    expect(chip).to_be_focused()


def test_two_who_name_one_generation_are_shown_both_names(new_project):
    page = new_project("CH6")
    paint(page, "CH6")
    open_chart(page, "CH6", "?row=1&open=1")
    panel = page.get_by_role("complementary", name="Details")
    panel.get_by_label("Label").fill("the first scheme")
    first = api(page, "GET", "projects/CH6/generations/?ordinal=1")["results"][0]
    api(page, "PATCH", f"projects/CH6/generations/{first['id']}", {"label": "as built"}, If_Match=f'"{first["version"]}"')
    expect(page.get_by_role("rowheader", name="as built").first).to_be_visible(timeout=5_000)
    expect(panel.get_by_label("Label")).to_have_value("the first scheme")
    panel.get_by_role("button", name="Save").click()
    clash = panel.get_by_role("alert")
    expect(clash).to_contain_text("the first scheme")
    expect(clash).to_contain_text("as built")
    panel.get_by_role("button", name="Save").click()
    expect(panel.get_by_role("heading", name="Generation 1: the first scheme")).to_be_visible()


def test_the_address_says_where_one_is(new_project):
    page = new_project("CH7")
    paint(page, "CH7")
    open_chart(page, "CH7")
    go_to(page, "S1/2", "ArrowUp")
    page.get_by_role("button", name="large").click()
    page.get_by_role("button", name="Details (Enter)").click()
    assert "cell=S1%2F2" in page.url
    page.reload()
    expect(page.get_by_role("button", name="large")).to_have_attribute("aria-pressed", "true")
    expect(page.get_by_role("heading", name="Layer S1/2")).to_be_visible()
    expect(page.locator('.chartgrid [tabindex="0"]')).to_have_attribute("aria-label", re.compile("^S1/2;"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_chart_with_all_that_opens_has_no_fault_that_the_accessibility_rules_know(new_project, as_, axe, scheme):  # noqa: F811
    maker = new_project(f"CH8{scheme}")
    paint(maker, f"CH8{scheme}")
    page = as_("coordinator", color_scheme=scheme, viewport={"width": 1440, "height": 900})
    open_chart(page, f"CH8{scheme}")
    select(page, ("S1/2", "ArrowUp"), ("S2/2", "ArrowRight"))
    page.keyboard.press("b")
    assert violations(page, axe) == []
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("If they are kept")).to_be_visible(timeout=30_000)
    page.get_by_text("Layer by layer").click()
    page.get_by_text("Key to the marks").click()
    page.get_by_role("button", name="Details (Enter)").click()
    assert violations(page, axe) == []
    page.locator(".rowhead").last.click()
    expect(page.get_by_role("heading", name="Generation 1")).to_be_visible()
    page.get_by_role("button", name="small").click()
    assert violations(page, axe) == []


def large(samples: int, generations: int) -> dict[str, Any]:
    """A full chart, as the interface would answer it."""
    from tests.bench.bench_chart_screen import chart

    return chart(samples, generations)


def stubbed(page: Page, samples: int, generations: int) -> None:
    made = large(samples, generations)
    page.route(re.compile(r"/spaces/[^/]+/chart$"), lambda route: route.fulfill(json=made))


def test_of_a_large_chart_only_what_is_in_sight_is_in_the_page(new_project):
    page = new_project("CH9")
    paint(page, "CH9", 1)
    stubbed(page, 200, 40)
    grid = open_chart(page, "CH9")
    expect(grid).to_have_attribute("aria-rowcount", "42")
    expect(grid).to_have_attribute("aria-colcount", "201")
    assert page.locator(".chip").count() < 400
    page.keyboard.press("Control+Home")
    expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile("^S000/40;"))
    page.keyboard.press("End")
    expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile("^S199/40;"))
    assert page.locator(".chip").count() < 400
    scroller = page.locator(".chartscroll")
    scroller.evaluate("one => one.scrollTo(9000, 600)")
    expect(page.get_by_role("columnheader", name="S060")).to_be_visible()
    # What has the focus is kept, so that keys go on from there.
    expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile("^S199/40;"))
    head = page.locator(".rowhead").first.bounding_box()
    frame = scroller.bounding_box()
    assert head is not None
    assert frame is not None
    assert abs(head["x"] - frame["x"]) < 3


def test_on_paper_the_whole_chart_is_there(new_project):
    page = new_project("CH10")
    paint(page, "CH10", 1)
    stubbed(page, 60, 10)
    open_chart(page, "CH10")
    assert page.locator(".chip").count() < 300
    page.emulate_media(media="print")
    expect(page.locator(".chip")).to_have_count(600)
    expect(page.locator(".charttools")).to_be_hidden()
    page.emulate_media(media="screen")
    expect(page.locator(".chip")).not_to_have_count(600)
