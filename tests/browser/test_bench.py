"""The bench, in a real browser on the real service: a section entered by keyboard only, changed, undone, refused, interrupted."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import api, sign_in
from tests.browser.test_access import axe, settle, violations  # noqa: F401 - the fixture is asked for by name

# Kind, colour, Munsell, UV colour, UV strength, lower boundary, thickness: what one sees from the substrate up.
SIX = (
    ("primer", "grey", "N 6", "milky", "weak", "sharp", "22"), ("paint", "stone", "10YR 7/3", "milky", "moderate", "fused", "30"),
    ("soiling", "black", "N 2", "", "none", "sharp", "5"), ("undercoat", "cream", "10YR 8/2", "bluish", "moderate", "soiled", "25"),
    ("paint", "green", "5GY 6/4", "", "none", "fused", "41"), ("varnish", "brown", "7.5YR 5/4", "greenish", "strong", "weathered", "200"),
)  # fmt: skip
FIELDS = ("kind", "colour", "munsell", "uv_colour", "uv_strength", "lower_boundary", "thickness_um")
DIGITS = {"colour": "3", "munsell": "4", "uv_colour": "6", "uv_strength": "7", "lower_boundary": "8", "thickness_um": "9"}


class AtTheBench:
    """The bench in a page."""

    def __init__(self, page: Page, code: str, sample: str, query: str = "") -> None:
        self.page, self.code, self.sample = page, code, sample
        self.batches: list[Any] = []
        page.on("request", lambda one: self.batches.append(one.post_data_json) if one.url.endswith("/layers/batch") else None)
        page.goto(f"/projects/{code}/bench/{sample}{query}")
        expect(page.get_by_role("heading", level=1)).to_have_text(f"Bench: sample {sample}")
        expect(page.locator(":focus")).to_have_attribute("class", re.compile("band|empty|")) if not query else None

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def field(self, name: str) -> Locator:
        return self.page.locator(f'.entry [data-field="{name}"]').first

    def bands(self) -> Locator:
        return self.page.locator(".stack").get_by_role("option")

    def type_in(self, name: str, text: str) -> None:
        """From the stack into a field by its digit, and back."""
        self.press({**DIGITS, "kind": "1", "notes": "0", "completeness": "2"}[name])
        expect(self.field(name)).to_be_focused()
        self.page.keyboard.type(text)
        self.press("Escape")

    def saved(self) -> None:
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        expect(self.page.locator(".benchstatus .counts")).to_contain_text(re.compile("All (else )?saved"))

    def layers(self) -> list[dict[str, Any]]:
        rows = api(self.page, "GET", f"projects/{self.code}/layers/?sample={self.sample}&ordering=position&page_size=1000")["results"]
        assert [row["position"] for row in rows] == list(range(1, len(rows) + 1))
        return rows

    def colours(self) -> list[str]:
        return [row["colour"] for row in self.layers()]

    def stands(self, *colours: str) -> None:
        """The section as drawn and as kept, from the substrate up."""
        self.saved()
        expect(self.bands()).to_have_count(len(colours))
        for band, colour in zip(self.bands().all(), reversed(colours), strict=True):
            expect(band).to_contain_text(colour)
        assert self.colours() == list(colours)


@pytest.fixture
def house(as_: Callable[..., Page]) -> Callable[..., tuple[Page, str]]:
    """Makes a project with two samples in a space, the first with layers of these colours; the page is its coordinator's."""

    def make(code: str, colours: tuple[str, ...] = (), **options: Any) -> tuple[Page, str]:
        page = as_("coordinator", **options)
        api(page, "POST", "projects/", {"code": code, "name": f"The house {code}"})
        api(page, "POST", f"projects/{code}/members/", {"username": "owner", "role": "owner", "discipline": "ownership"})
        space = api(page, "POST", f"projects/{code}/spaces/", {"number": "101", "name": "Front room"})["id"]
        values = {"code": "101-BB", "space": space, "element_class": "baseboard", "substrate": "pine"}
        element = api(page, "POST", f"projects/{code}/elements/", values)["id"]
        ids = [api(page, "POST", f"projects/{code}/samples/", {"number": f"S-{at}", "element": element})["id"] for at in (1, 2)]
        made = [{"op": "create", "values": {"sample": ids[0], "kind": "paint", "colour": colour}} for colour in colours]
        if made:
            api(page, "POST", f"projects/{code}/layers/batch", {"operations": made})
        return page, code

    return make


def test_a_section_of_six_layers_is_entered_by_keyboard_only(house):
    page, code = house("BENCH1")
    bench = AtTheBench(page, code, "S-1")
    for values in SIX:
        bench.press("a")
        expect(bench.field("kind")).to_be_focused()
        page.keyboard.type(values[0])
        bench.press("Enter", "Escape")
        for name, text in list(zip(FIELDS, values, strict=True))[1:]:
            if text:
                bench.type_in(name, text)
    bench.saved()
    rows = bench.layers()
    assert [tuple(row[name] for name in FIELDS[:-1]) for row in rows] == [values[:-1] for values in SIX]
    assert [row["thickness_um"] for row in rows] == [float(values[-1]) for values in SIX]
    expect(page.get_by_role("option", name="Layer 2 of 6, paint, stone, 10YR 7/3, UV moderate milky, fused below, 30 µm")).to_be_visible()
    expect(page.locator(".benchcounts")).to_contain_text("6 layers so far · 0 of 2 samples of this space examined")
    bench.press("v", "f")
    expect(page.locator(".benchcounts")).to_contain_text("1 of 2 samples of this space examined")
    bench.press("t")
    page.keyboard.type("comp")
    bench.press("Enter")
    page.keyboard.type("lost")
    bench.press("Enter", "Escape")
    bench.saved()
    sample = api(page, "GET", f"projects/{code}/samples/?number=S-1")["results"][0]
    assert (sample["base_state"], sample["top_state"]) == ("complete", "lost")
    assert sample["examined_uv_on"] == sample["examined_visible_on"]
    assert sample["examined_uv_by"]
    expect(page.get_by_role("heading", name="Nothing is lacking")).to_be_visible()


def test_split_merge_move_copy_and_remove_are_one_batch_each_and_each_is_undone(house):
    page, code = house("BENCH2", ("red", "blue", "white"))
    bench = AtTheBench(page, code, "S-1")
    before = ("red", "blue", "white")
    for key, after in (
        ("s", ("red", "blue", "white", "white")), ("c", ("red", "blue", "white", "white")), ("m", ("red", "blue; white")),
        ("d", ("red", "white", "blue")), ("x", ("red", "blue")),
    ):  # fmt: skip
        bench.press("End", "Home")
        sent = len(bench.batches)
        bench.press(key)
        bench.stands(*after)
        assert len(bench.batches) == sent + 1
        bench.press("z")
        bench.stands(*before)
        assert len(bench.batches) == sent + 2
        bench.press("y")
        bench.stands(*after)
        bench.press("z")
        bench.stands(*before)


def test_the_fields_are_walked_with_enter_and_the_layers_with_page_keys_and_a_value_is_repeated(house):
    page, code = house("BENCH3", ("red", "blue", "white"))
    bench = AtTheBench(page, code, "S-1", "?layer=1&field=colour")
    expect(bench.field("colour")).to_be_focused()
    page.keyboard.type("grey")
    bench.press("PageUp")
    expect(bench.field("colour")).to_have_value("blue")
    expect(bench.field("colour")).to_be_focused()
    bench.press("F4")
    expect(bench.field("colour")).to_have_value("grey")
    bench.press("Enter")
    expect(bench.field("munsell")).to_be_focused()
    bench.press("Shift+Enter", "Escape", "ArrowUp", "r")
    bench.stands("grey", "grey", "grey")
    assert page.url.endswith("/S-1?layer=3")
    bench.press("Enter")
    assert page.url.endswith("/S-1?layer=3&field=colour")
    page.reload()
    expect(bench.field("colour")).to_be_focused()
    expect(page.get_by_role("heading", name="Layer 3 of 3")).to_be_visible()


def test_an_impossible_munsell_notation_stays_and_is_told_why(house):
    page, code = house("BENCH4", ("red", "blue"))
    bench = AtTheBench(page, code, "S-1")
    bench.type_in("munsell", "5R 5/60")
    expect(bench.field("munsell")).to_have_attribute("aria-invalid", "true")
    box = page.locator(".benchfield.of-munsell")
    expect(box).to_contain_text("refused")
    reason = api(page, "GET", "colours?notation=5R%205/60")["results"][0]["fault"]
    expect(box).to_contain_text(reason)
    bench.type_in("uv_colour", "milky")
    expect(page.get_by_role("option", name=re.compile("Layer 2 of 2.*refused"))).to_be_visible()
    bench.saved()
    assert [(row["munsell"], row["uv_colour"]) for row in bench.layers()] == [("", ""), ("", "milky")]
    page.reload()
    expect(bench.field("munsell")).to_have_value("5R 5/60")
    expect(bench.bands().first).to_be_focused()
    bench.type_in("munsell", "5R 5/6")
    # Until it is sent, 'All else saved' still stands for the refused one.
    expect(page.locator(".benchstatus .counts")).to_contain_text("All saved")
    assert bench.layers()[1]["munsell"] == "5R 5/6"


def test_what_is_entered_while_the_connection_is_lost_outlasts_a_reload(house):
    page, code = house("BENCH5", ("red", "blue"))
    bench = AtTheBench(page, code, "S-1")
    page.route("**/layers/batch", lambda route: route.abort())
    bench.press("a")
    page.keyboard.type("varnish")
    bench.press("Enter", "Escape")
    bench.type_in("colour", "brown")
    bench.press("End", "u")
    bench.press("0")
    page.keyboard.type("half a sent")
    expect(page.locator(".benchstatus")).to_contain_text("unsaved")
    page.reload()
    expect(bench.bands()).to_have_count(3)
    expect(page.locator(".benchstatus")).to_contain_text("is here again")
    assert [one.split("\n")[0] for one in bench.bands().locator(".position").all_inner_texts()] == ["3", "2", "1"]
    expect(bench.bands().nth(0)).to_contain_text("brown")
    page.unroute("**/layers/batch")
    bench.stands("blue", "red", "brown")
    assert [row["notes"] for row in bench.layers()] == ["", "half a sent", ""]


def test_next_and_previous_sample_by_key_and_by_number_and_back(house):
    page, code = house("BENCH6", ("red",))
    bench = AtTheBench(page, code, "S-1")
    bench.press("3")
    page.keyboard.type("blue")
    bench.press("Escape", "n")
    expect(page.get_by_role("heading", level=1)).to_have_text("Bench: sample S-2")
    expect(page.locator(".cross .empty")).to_be_focused()
    assert bench.colours() == ["blue"]
    bench.press("n")
    expect(page.locator(".said")).to_contain_text("last sample of the project")
    bench.press("a")
    page.keyboard.type("paint")
    bench.press("Enter", "Escape", "r")
    bench.press("g")
    page.keyboard.type("S-9")
    bench.press("Enter")
    expect(page.locator(".said")).to_contain_text("There is no sample S-9")
    bench.press("Control+a")
    page.keyboard.type("S-1")
    bench.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Bench: sample S-1")
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("Bench: sample S-2")


def test_a_layer_that_a_ruling_cites_is_not_removed_and_the_reason_is_said(house):
    page, code = house("BENCH7", ("red", "blue"))
    bench = AtTheBench(page, code, "S-1")
    first, second = (row["id"] for row in bench.layers())
    api(page, "POST", f"projects/{code}/rulings/", {"kind": "bar", "first_layer": first, "second_layer": second, "reason": "dirt between"})
    bench.press("Home", "x")
    expect(page.locator(".said")).to_contain_text("Not done (removal)")
    bench.stands("red", "blue")
    bench.press("m")
    expect(page.locator(".said")).to_contain_text("Not done (merging)")
    bench.stands("red", "blue")


def test_where_two_wrote_both_values_stand_until_one_chooses(house):
    page, code = house("BENCH8", ("red",))
    bench = AtTheBench(page, code, "S-1")
    row = bench.layers()[0]
    bench.press("3")
    page.keyboard.type("scarlet")
    api(page, "PATCH", f"projects/{code}/layers/{row['id']}", {"colour": "crimson"}, If_Match=f'"{row["version"]}"')
    bench.press("Escape")
    box = page.locator(".benchfield.of-colour")
    expect(box).to_contain_text("Recorded: “crimson”")
    box.get_by_role("button", name="Keep mine").click()
    bench.stands("scarlet")


def test_anothers_layer_appears_without_taking_my_place(house):
    page, code = house("BENCH9", ("red", "blue"))
    bench = AtTheBench(page, code, "S-1")
    bench.press("Home", "3")
    page.keyboard.type("navy")
    sample = api(page, "GET", f"projects/{code}/samples/?number=S-1")["results"][0]["id"]
    api(page, "POST", f"projects/{code}/layers/", {"sample": sample, "kind": "primer", "colour": "grey", "position": 1})
    expect(bench.bands()).to_have_count(3)
    expect(bench.field("colour")).to_be_focused()
    expect(page.get_by_role("heading", name="Layer 3 of 3")).to_be_visible()
    bench.press("Escape")
    bench.stands("grey", "red", "navy")


def test_what_is_lacking_leads_to_its_field(house):
    page, code = house("BENCH10", ("red", ""))
    bench = AtTheBench(page, code, "S-1")
    lacking = page.get_by_role("region", name="Still lacking")
    for told in ("No base state", "No top state", "Not examined under UV", "No lower boundary: layer 2", "No colour: layer 2"):
        expect(lacking).to_contain_text(told)
    lacking.get_by_role("button", name="No colour: layer 2").click()
    expect(bench.field("colour")).to_be_focused()
    page.keyboard.type("blue")
    bench.press("Escape")
    expect(lacking).not_to_contain_text("No colour")
    bench.press("l")
    expect(page.get_by_role("button", name="No base state")).to_be_focused()
    bench.press("?")
    expect(page.get_by_role("dialog")).to_contain_text("split a layer, or merge it with the one beneath")


def test_keys_of_one_character_can_be_switched_off_and_buttons_do_the_same(house):
    page, code = house("BENCH11", ("red", "blue"))
    page.add_init_script("localStorage.setItem('undercoat single keys', 'off')")
    bench = AtTheBench(page, code, "S-1")
    bench.press("x", "s", "n")
    bench.stands("red", "blue")
    page.get_by_role("button", name="Split").click()
    bench.stands("red", "blue", "blue")


def test_the_owner_reads_it_and_changes_nothing(house, as_):
    page, code = house("BENCH12", ("red", "blue"))
    bench = AtTheBench(as_("owner"), code, "S-1")
    bench.press("x", "s", "v", "ArrowDown", "Enter")
    expect(bench.field("kind")).to_be_focused()
    bench.page.keyboard.type("primer")
    bench.press("Escape")
    expect(bench.page.get_by_role("button", name="Split")).to_have_count(0)
    expect(bench.page.get_by_role("option")).to_have_count(2)
    assert bench.batches == []
    assert AtTheBench(page, code, "S-1").colours() == ["red", "blue"]


def test_twenty_layers_go_in_without_the_hand_leaving_the_keys(house):
    page, code = house("BENCH13")
    bench = AtTheBench(page, code, "S-1")
    for at in range(1, 21):
        bench.press("a")
        page.keyboard.type("pa" if at % 3 else "soil")
        bench.press("Enter", "Enter")
        page.keyboard.type(f"coat {at}")
        bench.press("Escape")
    bench.stands(*(f"coat {at}" for at in range(1, 21)))
    assert [row["kind"] for row in bench.layers()] == ["paint" if at % 3 else "soiling" for at in range(1, 21)]


def test_a_session_that_ends_loses_nothing_that_was_entered(house):
    page, code = house("BENCH14", ("red", "blue"))
    bench = AtTheBench(page, code, "S-1")
    bench.press("4")
    page.keyboard.type("N 5")
    page.context.clear_cookies(name="sessionid")
    expect(page.get_by_text("Your session has ended")).to_be_visible()
    sign_in(page, "coordinator")
    expect(page.get_by_role("heading", level=1)).to_have_text("Bench: sample S-1")
    expect(bench.bands().first).to_contain_text("N 5")
    bench.saved()
    assert bench.layers()[1]["munsell"] == "N 5"


@pytest.mark.parametrize("look", [("light", 1400), ("dark", 800)])
def test_the_rules_of_accessibility_find_no_fault(house, axe, look):  # noqa: F811
    scheme, width = look
    code = f"AXE{scheme[0]}{width}".upper()
    page, code = house(code, ("red", "", "blue"), color_scheme=scheme, viewport={"width": width, "height": 800})
    settle(page, f"/projects/{code}/bench/S-2")
    assert violations(page, axe) == []
    bench = AtTheBench(page, code, "S-1")
    bench.type_in("munsell", "5R 5/60")
    expect(page.locator(".benchfield.of-munsell")).to_contain_text("refused")
    bench.press("1")
    expect(page.locator(".offers")).to_be_visible()
    assert violations(page, axe) == []


def test_in_a_narrow_window_nothing_scrolls_sideways(house):
    page, code = house("BENCH15", ("red", "", "blue"), viewport={"width": 320, "height": 800})
    AtTheBench(page, code, "S-1")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
