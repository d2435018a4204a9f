"""Findings: written, disputed and settled by people of three disciplines; side by side; by keyboard and for a screen reader."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, settle, violations
from tests.browser.test_chart import go_to

__all__ = ["axe"]
TEAM = (
    ("conservator", "consultant", "paint conservation"), ("historian", "consultant", "architectural history"),
    ("stranger", "consultant", "archaeology"), ("owner", "owner", "ownership"),
)  # fmt: skip


def house(new_project: Any, code: str) -> Page:
    """A project with a room, a sample of two layers, and a team of three disciplines and the owner."""
    page = new_project(code)
    base = f"projects/{code}"
    space = api(page, "POST", f"{base}/spaces/", {"number": "101", "name": "Front room"})
    wall = api(page, "POST", f"{base}/elements/", {"code": "W", "space": space["id"], "element_class": "wall"})
    sample = api(page, "POST", f"{base}/samples/", {"number": "K-014", "element": wall["id"]})
    for colour in ("grey", "green"):
        api(page, "POST", f"{base}/layers/", {"sample": sample["id"], "kind": "paint", "colour": colour})
    for username, role, discipline in TEAM:
        api(page, "POST", f"{base}/members/", {"username": username, "role": role, "discipline": discipline})
    return page


def evidence(page: Page, code: str, reference: str) -> dict[str, Any]:
    told = {"reference": reference, "statement": "Wire nails in the lath.", "kind": "hardware", "discipline": "archaeology"}
    return api(page, "POST", f"projects/{code}/evidence/", told)


def write(page: Page, code: str, statement: str, cites: str = "K-014/2") -> None:
    """Write an interpretation on the screen; what it cites is found by typing and taken with the keys."""
    settle(page, f"/projects/{code}/findings/new")
    page.get_by_label("About a").select_option("space")
    page.get_by_label("Which one").fill("101")
    page.get_by_label("Finding").fill(statement)
    cite(page, cites)
    page.get_by_role("button", name="Make").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(r"^Interpretation \d+$"))


def cite(page: Page, name: str) -> None:
    field = page.get_by_role("combobox", name="Cite")
    field.press_sequentially(name)
    expect(offers(page).first).to_contain_text(name)
    field.press("Enter")
    expect(page.locator(".cites").get_by_role("link").filter(has_text=name)).to_be_visible()
    expect(field).to_be_focused()


def offers(page: Page) -> Any:
    return page.get_by_role("listbox", name="Records that can be cited").get_by_role("option")


def state(page: Page, word: str) -> None:
    expect(page.locator(".standingnow")).to_contain_text(word)


def say(page: Page, button: str, reason: str = "") -> None:
    """One's word on it, as a reviewer or its author."""
    page.get_by_label("Reason or remark").fill(reason)
    page.get_by_role("button", name=button, exact=True).click()


def test_three_disciplines_settle_a_disputed_interpretation(new_project, as_):
    code = "SETTLE"
    coordinator = house(new_project, code)
    conservator, historian, archaeologist = (as_(who) for who in ("conservator", "historian", "stranger"))
    there = f"/projects/{code}/findings/1"

    # The conservator concludes something of the paint and asks the historian.
    write(conservator, code, "The green is of the first painting, in 1794.")
    state(conservator, "working")
    say(conservator, "Put up for comment")
    state(conservator, "for comment")
    expect(conservator.get_by_role("button", name="Agree", exact=True)).to_have_count(0)
    conservator.get_by_label("Hester Orian, architectural history").check()
    conservator.get_by_role("button", name="Ask for review").click()
    expect(conservator.get_by_text("Hester Orian, asked by Connie Vator")).to_be_visible()

    # The historian disputes it, and must say why.
    settle(historian, there)
    expect(historian.get_by_text("You were asked.")).to_be_visible()
    say(historian, "Dispute")
    expect(historian.get_by_role("alert")).to_contain_text("Say why")
    say(historian, "Dispute", "The wall was replastered in 1880.")
    state(historian, "disputed")
    expect(historian.get_by_role("region", name="What is said about it")).to_contain_text("Disputed: The wall was replastered in 1880.")

    # The archaeologist answers in the thread, with evidence that the conservator takes up.
    evidence(archaeologist, code, "E-9")
    settle(archaeologist, there)
    archaeologist.get_by_role("button", name="Reply").click()
    archaeologist.get_by_label("Answer").fill("The lath has wire nails: E-9.")
    archaeologist.get_by_label("Answer").press("Control+Enter")
    expect(archaeologist.get_by_role("region", name="What is said about it")).to_contain_text("wire nails: E-9")
    settle(conservator, there)
    expect(conservator.get_by_role("region", name="What is said about it")).to_contain_text("wire nails: E-9")
    conservator.get_by_role("link", name="Change it").click()
    conservator.get_by_label("Finding").fill("The green is the first painting of the plaster of 1880.")
    cite(conservator, "E-9")
    conservator.get_by_role("button", name="Save").click()
    expect(conservator.locator(".finding")).to_have_text("The green is the first painting of the plaster of 1880.")
    say(conservator, "Put up for comment again", "Rewritten for the plaster of 1880.")
    state(conservator, "for comment")

    # The historian agrees; the archaeologist sees it, and then changes what it rests on.
    settle(historian, there)
    say(historian, "Agree")
    state(historian, "agreed")
    state(historian, "by Hester Orian")
    settle(archaeologist, f"/projects/{code}/findings?state=agreed")
    expect(archaeologist.get_by_role("row").filter(has_text="plaster of 1880")).to_contain_text("agreed")
    found = api(archaeologist, "GET", f"projects/{code}/evidence/")["results"][0]
    path = f"projects/{code}/evidence/{found['id']}"
    api(archaeologist, "PATCH", path, {"statement": "Cut nails after all."}, If_Match=f'"{found["version"]}"')
    settle(historian, there)
    state(historian, "for comment")
    state(historian, "what it rests on changed: evidence E-9")
    expect(historian.get_by_text("◑ changed since")).to_be_visible()
    expect(historian.get_by_text("You were asked.")).to_be_visible()

    # Settled again, it stands among what they agree on.
    say(historian, "Agree", "Cut nails were made to 1890.")
    state(historian, "agreed")
    settle(coordinator, f"/projects/{code}/side-by-side")
    expect(coordinator.get_by_role("region", name="Where they agree")).to_contain_text("Hester Orian agrees with Connie Vator")
    moves = conservator.get_by_role("region", name="How it came to this")
    settle(conservator, there)
    expect(moves.get_by_role("listitem")).to_have_count(6)


def test_of_two_who_move_it_at_once_the_second_is_told_what_it_is_now(new_project, as_):
    house(new_project, "QUICK")
    conservator, historian, owner = (as_(who) for who in ("conservator", "historian", "owner"))
    write(conservator, "QUICK", "Green first.")
    say(conservator, "Put up for comment")
    state(conservator, "for comment")
    for page in (historian, owner):
        settle(page, "/projects/QUICK/findings/1")
    say(owner, "Agree")
    state(owner, "agreed")
    say(historian, "Dispute", "Grey first.")
    expect(historian.get_by_role("alert")).to_contain_text("is now 'agreed' by Owen Nerr")
    expect(historian.get_by_label("Reason or remark")).to_have_value("Grey first.")
    state(historian, "for comment")


def test_one_that_supersedes_another_takes_its_place_when_it_is_agreed(new_project, as_):
    house(new_project, "REPLACE")
    conservator, historian = as_("conservator"), as_("historian")
    write(conservator, "REPLACE", "Green first.")
    say(conservator, "Put up for comment")
    settle(historian, "/projects/REPLACE/findings/1")
    expect(historian.get_by_role("link", name="Change it")).to_have_count(0)
    historian.get_by_role("link", name="Write one that supersedes it").click()
    expect(historian.get_by_label("Which one")).to_have_value("101")
    expect(historian.locator(".cites")).to_contain_text("interpretation 1")
    historian.get_by_label("Finding").fill("Grey first, then green.")
    historian.get_by_role("button", name="Make").click()
    expect(historian.get_by_role("heading", level=1)).to_have_text("Interpretation 2")
    say(historian, "Put up for comment")
    settle(conservator, "/projects/REPLACE/findings/2")
    say(conservator, "Agree")
    state(conservator, "agreed")
    conservator.get_by_role("link", name="interpretation 1").first.click()
    state(conservator, "superseded")
    state(conservator, "Replaced by interpretation 2.")
    expect(conservator.get_by_role("link", name="Change it")).to_have_count(0)


def test_the_list_is_narrowed_in_the_address_and_leads_both_ways(new_project, as_):
    house(new_project, "NARROW")
    page = as_("conservator")
    write(page, "NARROW", "Green first.")
    write(page, "NARROW", "Grey was an undercoat.", "K-014/1")
    settle(page, "/projects/NARROW/findings")
    page.get_by_label("Words").fill("undercoat")
    page.get_by_role("button", name="Narrow").click()
    expect(page).to_have_url(re.compile(r"/findings\?search=undercoat$"))
    expect(page.get_by_role("table").get_by_role("row")).to_have_count(2)
    page.get_by_role("link", name="layer K-014/1").click()
    expect(page.get_by_role("region", name="Interpretations")).to_contain_text("Grey was an undercoat.")
    page.get_by_role("link", name="Write one that cites this").click()
    expect(page.locator(".cites")).to_contain_text("layer K-014/1")
    expect(page.get_by_label("Which one")).to_have_value("K-014/1")


def test_what_cannot_be_kept_is_told_beside_its_field_and_nothing_is_lost(new_project, as_):
    house(new_project, "FAULTS")
    page = as_("conservator")
    settle(page, "/projects/FAULTS/findings/new")
    page.get_by_label("About a").select_option("element")
    page.get_by_label("Which one").fill("nowhere")
    page.get_by_label("Finding").fill("Green first.")
    cite(page, "K-014/2")
    page.get_by_role("button", name="Make").click()
    expect(page.get_by_text("There is no element “nowhere” here.")).to_be_visible()
    expect(page.get_by_label("Which one")).to_be_focused()
    page.get_by_label("Which one").fill("W")
    page.get_by_role("button", name="Make").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Interpretation 1")
    expect(page.locator(".cites")).to_contain_text("layer K-014/2")


def test_layers_chosen_in_the_chart_are_cited(new_project, as_):
    coordinator = house(new_project, "CHARTED")
    space = api(coordinator, "GET", "projects/CHARTED/spaces/")["results"][0]
    sample = api(coordinator, "GET", "projects/CHARTED/layers/")["results"]
    generation = api(coordinator, "POST", "projects/CHARTED/generations/", {"space": space["id"]})
    for layer in sample:
        path = f"projects/CHARTED/layers/{layer['id']}"
        api(coordinator, "PATCH", path, {"generation": generation["id"]}, If_Match=f'"{layer["version"]}"')
    page = as_("conservator")
    settle(page, "/projects/CHARTED/spaces/101")
    page.get_by_role("button", name="Cite …").click()
    expect(page.get_by_text("Select the layers to cite first")).to_be_visible()
    page.locator('.chartgrid [tabindex="0"]').focus()
    go_to(page, "K-014/1", "ArrowRight")
    page.keyboard.press("Space")
    page.get_by_role("button", name="Cite …").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("New interpretation")
    expect(page.locator(".cites")).to_contain_text("layer K-014/1")
    expect(page.get_by_label("Which one")).to_have_value("101")


def test_an_owner_reviews_and_is_offered_no_writing(new_project, as_):
    house(new_project, "OWNED")
    conservator = as_("conservator")
    write(conservator, "OWNED", "Green first.")
    say(conservator, "Put up for comment")
    state(conservator, "for comment")
    page = as_("owner")
    settle(page, "/projects/OWNED/findings")
    expect(page.get_by_role("link", name="New interpretation")).to_have_count(0)
    page.get_by_role("link", name="1", exact=True).click()
    expect(page.get_by_role("button", name="Agree", exact=True)).to_be_visible()
    expect(page.get_by_role("link", name="Write one that supersedes it")).to_have_count(0)
    expect(page.get_by_role("button", name="Ask for review")).to_have_count(0)


@pytest.mark.parametrize("look", [("light", 1440), ("dark", 800)])
def test_findings_have_no_fault_that_the_accessibility_rules_know(new_project, as_, axe, look):
    scheme, width = look
    code = f"ACCESS{width}"
    house(new_project, code)
    page = as_("conservator", color_scheme=scheme, viewport={"width": width, "height": 900})
    evidence(page, code, "E-9")
    write(page, code, "Green first.")
    say(page, "Put up for comment")
    state(page, "for comment")
    found = {}
    for part in (
        "findings",
        "findings/1",
        "findings/1/edit",
        "findings/new",
        "side-by-side",
        "side-by-side?left=archaeology&right=ownership",
    ):
        settle(page, f"/projects/{code}/{part}")
        if wrong := violations(page, axe):
            found[part] = wrong
    field = page.get_by_role("combobox", name="Cite")
    settle(page, f"/projects/{code}/findings/new")
    field.press_sequentially("K-")
    expect(offers(page).first).to_be_visible()
    if wrong := violations(page, axe):
        found["the offers of what can be cited"] = wrong
    assert found == {}


def test_findings_fit_a_narrow_window(new_project, as_):
    house(new_project, "SLIM")
    page = as_("conservator")
    write(page, "SLIM", "Green first.")
    page.set_viewport_size({"width": 320, "height": 700})
    for part in ("findings", "findings/1", "findings/new", "side-by-side"):
        settle(page, f"/projects/SLIM/{part}")
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, part
