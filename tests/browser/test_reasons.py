"""What the correlation says for itself, in a real browser: why a layer stands there, where to look next, what spaces share."""

import re
from typing import Any

from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, violations  # noqa: F401 - a fixture
from tests.browser.test_chart import correlate, go_to, open_chart, paint

NEXT = "Where to look next"


def numbers(panel: Any) -> list[int]:
    """The decibans of the table, in tenths; the sum comes last."""
    told = panel.locator(".weights tbody td:nth-child(3)").all_inner_texts()
    return [round(float(re.sub(r",.*", "", one, flags=re.S).replace("−", "-")) * 10) for one in told]


def doubtful(page: Page, code: str) -> dict[str, Any]:
    """The like samples of the chart's tests, and three of whites that only UV would part; on the last nobody looked."""
    painted = paint(page, code)
    make = lambda collection, **values: api(page, "POST", f"projects/{code}/{collection}/", values)  # noqa: E731
    element = make("elements", code="201-DC", space=painted["space"], element_class="door casing")["id"]
    for number, glows in (("S7", ("yellow", "violet", "green")), ("S8", ("yellow", "violet", "green")), ("S9", ("", ""))):
        sample = make("samples", number=number, element=element, base_state="complete", top_state="complete")["id"]
        for position, glow in enumerate(glows, start=1):
            seen = {"uv_colour": glow, "uv_strength": "strong"} if glow else {}
            make("layers", sample=sample, position=position, kind="paint", munsell="N 9", lower_boundary="soiled", **seen)
    correlate(page, code)
    return painted


def test_what_weighed_for_a_layer_is_told_on_demand_in_numbers_that_add_up(new_project, axe):  # noqa: F811
    page = new_project("WHY1")
    doubtful(page, "WHY1")
    open_chart(page, "WHY1", "?cell=S9/1")
    page.keyboard.press("Enter")
    panel = page.get_by_role("complementary", name="Details")
    expect(panel.get_by_role("heading", name="Layer S9/1")).to_be_focused()
    expect(panel.locator(".weights")).to_have_count(0)
    ask = panel.get_by_role("button", name="Weigh the evidence")
    ask.focus()
    page.keyboard.press("Enter")
    table = panel.get_by_role("table", name="What weighed for generation")
    expect(table).to_be_visible()
    expect(panel).to_contain_text(re.compile(r"S9/1 stands in generation \d+"))
    *terms, total = numbers(panel)
    assert len(terms) > 2
    assert sum(terms) == total
    expect(panel).to_contain_text("The total is the ratio of the two probabilities")
    expect(panel).to_contain_text("10 are odds of ten to one")
    assert violations(page, axe) == []


def test_another_generation_can_be_chosen_to_compare_with_and_the_numbers_add_up_again(new_project):
    page = new_project("WHY2")
    doubtful(page, "WHY2")
    open_chart(page, "WHY2", "?cell=S9/1&open=1")
    panel = page.get_by_role("complementary", name="Details")
    panel.get_by_role("button", name="Weigh the evidence").click()
    choice = panel.get_by_label("Compared with generation")
    expect(choice).to_be_visible()
    others = choice.locator("option").all_inner_texts()
    other = next(one for one in others if one != choice.input_value())
    choice.select_option(other)
    expect(panel.get_by_role("table", name=re.compile(f"against {other}$"))).to_be_visible()
    expect(panel.get_by_label("Compared with generation")).to_be_focused()
    *terms, total = numbers(panel)
    assert sum(terms) == total


def test_a_layer_that_stands_nowhere_has_nothing_to_weigh(new_project):
    page = new_project("WHY3")
    painted = paint(page, "WHY3")
    sample = api(page, "GET", "projects/WHY3/samples/?number=S1")["results"][0]["id"]
    api(page, "POST", "projects/WHY3/layers/", {"sample": sample, "position": 4, "kind": "paint", "munsell": "N 9"})
    assert painted["space"]
    open_chart(page, "WHY3", "?cell=S1/4&open=1")
    panel = page.get_by_role("complementary", name="Details")
    expect(panel).to_contain_text("placed in no generation yet")
    expect(panel.get_by_role("button", name="Weigh the evidence")).to_have_count(0)


def test_where_to_look_next_selects_the_layers_it_asks_about(new_project, axe):  # noqa: F811
    page = new_project("LOOK1")
    doubtful(page, "LOOK1")
    open_chart(page, "LOOK1")
    summary = page.get_by_text(NEXT, exact=True)
    expect(page.locator(".looking li")).to_have_count(0)
    summary.focus()
    page.keyboard.press("Enter")
    first = page.locator(".looking ol").first.locator("li").first
    expect(first).to_contain_text("Expected to settle")
    expect(page.locator(".looking").get_by_role("heading", name="To rule on")).to_be_visible()
    expect(page.locator(".looking")).to_contain_text("under UV")
    assert violations(page, axe) == []
    select = first.get_by_role("button", name="Select")
    pair = re.findall(r"S\d/\d", select.inner_text())
    assert len(pair) == 2
    select.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".charttools")).to_contain_text(f"Selected: {pair[0]} and {pair[1]}.")
    expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile(f"^{pair[0]};"))
    # From here it is as with any choice: a bar is proposed at once.
    page.keyboard.press("b")
    expect(page.get_by_role("dialog", name="Bar: not of one campaign")).to_contain_text(f"{pair[0]} and {pair[1]}")


def test_where_to_look_next_says_when_the_record_has_changed(new_project):
    page = new_project("LOOK2")
    painted = doubtful(page, "LOOK2")
    open_chart(page, "LOOK2")
    page.get_by_text(NEXT, exact=True).click()
    expect(page.locator(".looking li").first).to_be_visible()
    layers = painted["layers"]
    api(page, "POST", "projects/LOOK2/rulings/", {"kind": "tie", "first_layer": layers["S1/1"], "second_layer": layers["S2/1"]})
    again = page.get_by_role("button", name="Work it out again")
    expect(again).to_be_visible(timeout=15_000)
    again.click()
    expect(page.locator(".looking")).to_contain_text("correlate it again")


def test_who_may_not_rule_is_shown_the_layer_and_selects_nothing(new_project, as_):
    page = new_project("LOOK3")
    doubtful(page, "LOOK3")
    api(page, "POST", "projects/LOOK3/members/", {"username": "owner", "role": "owner", "discipline": "ownership"})
    owner = as_("owner")
    open_chart(owner, "LOOK3")
    owner.get_by_text(NEXT, exact=True).click()
    show = owner.locator(".looking").get_by_role("button", name="Show").first
    name = show.inner_text().removeprefix("Show ")
    show.click()
    expect(owner.locator(":focus")).to_have_attribute("aria-label", re.compile(f"^{name};"))
    expect(owner.locator(".chip.chosen")).to_have_count(0)
    go_to(owner, name, "ArrowUp")


def houses(page: Page, code: str) -> None:
    """Two spaces of one door casing each, with the same three colours; one phase."""
    make = lambda collection, **values: api(page, "POST", f"projects/{code}/{collection}/", values)  # noqa: E731
    for number in ("201", "202"):
        space = make("spaces", number=number)["id"]
        element = make("elements", code=f"{number}-DC", space=space, element_class="door casing")["id"]
        for letter in "ab":
            sample = make("samples", number=f"{number}{letter}", element=element, base_state="complete", top_state="complete")["id"]
            for position, munsell in enumerate(("5R 4/10", "5GY 6/4", "5PB 4/8"), start=1):
                make("layers", sample=sample, position=position, kind="paint", munsell=munsell, lower_boundary="soiled")
    make("phases", label="the sale")
    api(page, "PATCH", f"projects/{code}", {"first_year": 1800, "last_year": 1950}, If_Match='"1"')
    for number in ("201", "202"):
        job = api(page, "POST", f"projects/{code}/jobs/", {"kind": "correlate", "params": {"space": number}})
        for _ in range(300):
            if job["state"] not in ("queued", "running"):
                break
            page.wait_for_timeout(100)
            job = api(page, "GET", f"projects/{code}/jobs/{job['id']}")
        assert job["state"] == "done"


def test_what_two_spaces_share_is_offered_and_put_in_a_phase_only_when_somebody_says_so(new_project, axe):  # noqa: F811
    page = new_project("ACROSS")
    houses(page, "ACROSS")
    page.goto("/projects/ACROSS/years")
    page.get_by_role("button", name="Look for what they share").click()
    offer = page.locator(".acrossoffers > li", has_text="201/2 and 202/2")
    expect(offer).to_contain_text("may be one campaign")
    offer.get_by_text("What they share").click()
    expect(offer).to_contain_text("the same colour on the door casing")
    assert violations(page, axe) == []
    offer.get_by_role("button", name="Put them in it").click()
    expect(offer.get_by_role("alert")).to_contain_text("Choose the phase first")
    assert all(one["phase"] is None for one in api(page, "GET", "projects/ACROSS/generations/")["results"])
    offer.get_by_label("Phase").select_option("phase 1: the sale")
    offer.get_by_role("button", name="Put both in it").click()
    expect(offer).to_contain_text("201/2 and 202/2 are in phase 1: the sale now.")
    placed = {one["name"]: one["phase"] for one in api(page, "GET", "projects/ACROSS/generations/")["results"]}
    assert {name for name, phase in placed.items() if phase} == {"201/2", "202/2"}


def test_where_to_look_next_is_open_where_the_address_says_so_and_the_address_follows(new_project):
    page = new_project("LOOK4")
    doubtful(page, "LOOK4")
    open_chart(page, "LOOK4", "?looking=yes")
    expect(page.locator(".looking li").first).to_be_visible()
    page.get_by_text(NEXT, exact=True).click()
    expect(page.locator(".looking li").first).to_be_hidden()
    expect(page).to_have_url(re.compile(r"spaces/201(\?(?!.*looking).*)?$"))
