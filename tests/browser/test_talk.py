"""Comments where the work is, members called by name, questions asked and answered, and what is new for whom."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.register import Register

NASTY = '<img src=x onerror="window.hurt=1"><script>window.hurt=1</script> javascript:alert(1) https://example.org/a?b=1&c="><b>x</b>'


def new_house(page: Page, code: str) -> str:
    """A project of the coordinator with the conservator and the historian in it, and a sample with two layers."""
    api(page, "POST", "projects/", {"code": code, "name": f"The house {code}"})
    base = f"projects/{code}"
    for who, role, discipline in (
        ("conservator", "consultant", "paint conservation"),
        ("historian", "consultant", "architectural history"),
        ("owner", "owner", "ownership"),
    ):
        api(page, "POST", f"{base}/members/", {"username": who, "role": role, "discipline": discipline})
    space = api(page, "POST", f"{base}/spaces/", {"number": "101", "name": "Front room"})
    wall = api(page, "POST", f"{base}/elements/", {"code": "W", "space": space["id"], "element_class": "wall"})
    sample = api(page, "POST", f"{base}/samples/", {"number": "S-1", "element": wall["id"]})
    for kind, colour in (("primer", "grey"), ("paint", "green")):
        api(page, "POST", f"{base}/layers/", {"sample": sample["id"], "kind": kind, "colour": colour})
    return base


@pytest.fixture
def talked(as_):
    """(the pages of coordinator, conservator and historian, in a house of their own) by its code."""

    def make(code: str):
        coordinator = as_("coordinator")
        new_house(coordinator, code)
        return coordinator, as_("conservator"), as_("historian")

    return make


def drawer(page: Page):
    return page.get_by_role("complementary")


def test_a_comment_on_a_cell_is_seen_by_who_is_called_answered_and_resolved_in_place(talked):
    _, conservator, historian = talked("TALK1")
    register = Register(conservator, "TALK1", "layers")
    register.go(1, "colour")
    conservator.keyboard.press("Shift+F2")
    expect(drawer(conservator).get_by_role("heading", level=2)).to_have_text(re.compile("layer S-1/2, Colour", re.I))
    field = drawer(conservator).get_by_label("New comment")
    field.click()
    conservator.keyboard.type("Is this the first coat, @hes")
    offers = drawer(conservator).get_by_role("option")
    expect(offers).to_have_count(1)
    expect(offers).to_contain_text("Hester Orian")
    conservator.keyboard.press("Enter")
    expect(field).to_have_value("Is this the first coat, @historian ")
    conservator.keyboard.press("Control+Enter")
    expect(drawer(conservator).get_by_role("article")).to_contain_text("Is this the first coat, @historian")
    expect(register.cell(1, "colour")).to_contain_text("”1")
    expect(register.cell(1, "colour")).to_contain_text("1 open comment")

    other = Register(historian, "TALK1", "layers")
    expect(other.cell(1, "colour").locator(".talkmark")).to_be_visible()
    other.cell(1, "colour").locator(".talkmark").click()
    expect(drawer(historian).get_by_role("article")).to_contain_text("Is this the first coat")
    drawer(historian).get_by_role("button", name="Reply").click()
    historian.keyboard.type("The bill says two coats: https://example.org/bill.")
    historian.keyboard.press("Control+Enter")
    expect(drawer(historian).get_by_role("link", name="https://example.org/bill")).to_have_attribute("rel", "noopener noreferrer nofollow")
    # It appears with the other without a reload.
    expect(drawer(conservator).get_by_role("article")).to_have_count(2)

    drawer(conservator).get_by_role("button", name="Resolve").click()
    expect(drawer(conservator).get_by_text("No comment is open.")).to_be_visible()
    expect(register.cell(1, "colour").locator(".talkmark")).to_have_count(0)
    expect(other.cell(1, "colour").locator(".talkmark")).to_have_count(0)
    drawer(historian).get_by_text("1 resolved").click()
    expect(drawer(historian).get_by_text("resolved by Connie Vator")).to_be_visible()
    drawer(historian).get_by_role("button", name="Open again").click()
    expect(register.cell(1, "colour").locator(".talkmark")).to_be_visible()
    conservator.keyboard.press("Escape")
    expect(drawer(conservator)).to_have_count(0)
    expect(register.cell(1, "colour")).to_be_focused()


def test_what_a_comment_says_is_text_and_only_its_addresses_are_links(talked):
    coordinator, conservator, _ = talked("TALK2")
    layer = api(coordinator, "GET", "projects/TALK2/layers/")["results"][0]
    api(coordinator, "POST", "projects/TALK2/comments/", {"about_type": "layer", "about_id": layer["id"], "text": NASTY})
    conservator.goto(f"/projects/TALK2/registers/layers/{layer['id']}")
    told = conservator.get_by_role("article")
    expect(told).to_contain_text('<img src=x onerror="window.hurt=1"><script>window.hurt=1</script> javascript:alert(1)')
    assert conservator.evaluate("window.hurt") is None
    assert told.locator("img, script, b").count() == 0
    links = told.get_by_role("link")
    assert [one.get_attribute("href") for one in links.all()] == ["https://example.org/a?b=1&c="]


def test_one_edits_and_removes_ones_own_comment_and_nobody_is_offered_anothers(talked):
    coordinator, conservator, historian = talked("TALK3")
    layer = api(coordinator, "GET", "projects/TALK3/layers/")["results"][0]
    for page in (conservator, historian):
        page.goto(f"/projects/TALK3/registers/layers/{layer['id']}")
    conservator.get_by_label("New comment").fill("It looks scraped.")
    conservator.get_by_role("button", name="Comment", exact=True).click()
    expect(historian.get_by_role("article")).to_contain_text("It looks scraped.")
    expect(historian.get_by_role("button", name="Edit")).to_have_count(0)
    conservator.get_by_role("button", name="Edit").click()
    conservator.get_by_label("Your comment").fill("It looks scorched.")
    conservator.get_by_role("button", name="Save", exact=True).last.click()
    expect(conservator.get_by_role("article")).to_contain_text("edited")
    expect(historian.get_by_role("article")).to_contain_text("It looks scorched.")
    conservator.get_by_role("region", name="Comments").get_by_role("button", name="Remove").click()
    conservator.get_by_role("region", name="Comments").get_by_role("button", name="Remove").click()
    expect(conservator.get_by_role("article")).to_have_count(0)
    expect(historian.get_by_role("article")).to_have_count(0)


def test_what_is_typed_into_a_comment_outlasts_a_reload_and_what_others_say(talked):
    coordinator, conservator, _ = talked("TALK4")
    layer = api(coordinator, "GET", "projects/TALK4/layers/")["results"][0]
    conservator.goto(f"/projects/TALK4/registers/layers/{layer['id']}")
    conservator.get_by_label("New comment").fill("Half a thought")
    api(coordinator, "POST", "projects/TALK4/comments/", {"about_type": "layer", "about_id": layer["id"], "text": "Another."})
    expect(conservator.get_by_role("article")).to_contain_text("Another.")
    expect(conservator.get_by_label("New comment")).to_have_value("Half a thought")
    conservator.reload()
    expect(conservator.get_by_label("New comment")).to_have_value("Half a thought")
    conservator.get_by_role("button", name="Comment", exact=True).click()
    expect(conservator.get_by_role("article")).to_have_count(2)
    expect(conservator.get_by_label("New comment")).to_have_value("")


def test_at_the_bench_a_layer_and_a_field_are_commented_on_without_leaving_them(talked):
    _, conservator, historian = talked("TALK5")
    conservator.goto("/projects/TALK5/bench/S-1")
    band = conservator.get_by_role("option", name=re.compile("Layer 2 of 2"))
    expect(band).to_be_focused()
    conservator.keyboard.press("q")
    expect(drawer(conservator).get_by_role("heading", level=2)).to_have_text(re.compile("layer S-1/2", re.I))
    # Keys of the bench do nothing to the layers from within the drawer.
    conservator.keyboard.press("x")
    drawer(conservator).get_by_label("New comment").fill("Look at this one.")
    conservator.keyboard.press("Control+Enter")
    expect(conservator.get_by_role("option", name=re.compile("Layer 2 of 2.*1 open comment"))).to_be_visible()
    conservator.keyboard.press("Escape")
    expect(conservator.get_by_role("option", name=re.compile("Layer 2 of 2"))).to_be_focused()

    historian.goto("/projects/TALK5/bench/S-1?layer=1&field=colour")
    field = historian.get_by_role("region", name="Layer 1 of 2").get_by_label(re.compile("Colour"))
    expect(field.first).to_be_focused()
    historian.keyboard.press("Shift+F2")
    expect(drawer(historian).get_by_role("heading", level=2)).to_have_text(re.compile("layer S-1/1, Colour", re.I))
    drawer(historian).get_by_label("New comment").fill("Grey, or blue?")
    historian.keyboard.press("Control+Enter")
    historian.keyboard.press("Escape")
    expect(field.first).to_be_focused()
    expect(historian.locator(".of-colour .talkmark")).to_be_visible()
    expect(conservator.get_by_role("option", name=re.compile("Layer 1 of 2.*1 open comment"))).to_be_visible()


def test_in_a_chart_a_layer_and_a_generation_bear_their_comments(talked):
    coordinator, conservator, _ = talked("TALK6")
    base = "projects/TALK6"
    space = api(coordinator, "GET", f"{base}/spaces/")["results"][0]
    generation = api(coordinator, "POST", f"{base}/generations/", {"space": space["id"]})
    for row in api(coordinator, "GET", f"{base}/layers/")["results"]:
        api(coordinator, "PATCH", f"{base}/layers/{row['id']}", {"generation": generation["id"]}, If_Match=f'"{row["version"]}"')
    conservator.goto(f"/{base}/spaces/101")
    chip = conservator.locator('.chip[aria-label*="S-1/2"]')
    chip.focus()
    conservator.keyboard.press("c")
    expect(drawer(conservator).get_by_role("heading", level=2).first).to_have_text(re.compile("layer S-1/2", re.I))
    conservator.get_by_role("complementary", name="layer S-1/2").get_by_label("New comment").fill("Which green?")
    conservator.keyboard.press("Control+Enter")
    expect(chip.locator(".talkmark")).to_be_visible()
    expect(chip).to_have_attribute("aria-label", re.compile("1 open comment"))
    conservator.keyboard.press("Escape")
    expect(conservator.locator(".chip:focus")).to_have_count(1)
    conservator.keyboard.press("Home")
    head = conservator.locator(".rowhead").first
    head.focus()
    conservator.keyboard.press("c")
    conservator.get_by_role("complementary", name="generation 101/1").get_by_label("New comment").fill("The first scheme?")
    conservator.keyboard.press("Control+Enter")
    expect(conservator.locator(".rowhead .talkmark")).to_be_visible()
    # A mark opens its thread.
    chip.locator(".talkmark").click()
    expect(conservator.get_by_role("complementary", name="layer S-1/2").get_by_role("article")).to_contain_text("Which green?")
