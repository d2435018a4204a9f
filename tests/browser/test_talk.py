"""Comments where the work is, members called by name, questions asked and answered, and what is new for whom."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.register import Register
from tests.browser.test_access import axe, settle, violations

__all__ = ["axe"]
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


def test_a_question_is_asked_from_a_record_answered_with_what_it_rests_on_and_told_to_who_asked(talked):
    coordinator, conservator, historian = talked("TALK7")
    api(coordinator, "POST", "projects/TALK7/evidence/", {"reference": "E-7", "statement": "A bill for two coats of green"})
    layer = api(coordinator, "GET", "projects/TALK7/layers/?kind=paint")["results"][0]
    for page in (conservator, historian):
        page.goto("/projects/TALK7")
        page.get_by_role("button", name="I have seen all this").click()
        expect(page.get_by_text("Nobody else has written anything")).to_be_visible()

    conservator.goto(f"/projects/TALK7/registers/layers/{layer['id']}")
    conservator.get_by_role("link", name="Ask a question about this").click()
    expect(conservator.get_by_text("About: layer S-1/2.")).to_be_visible()
    conservator.get_by_role("button", name="Ask").click()
    expect(conservator.get_by_text("This is needed.")).to_be_visible()
    conservator.get_by_label("Question").fill("Was it painted twice?")
    conservator.get_by_label("To", exact=True).select_option("discipline:architectural history")
    conservator.get_by_label("Needed by").fill("2020-05-14")
    conservator.get_by_role("button", name="Ask").click()
    expect(conservator.get_by_role("heading", level=1)).to_have_text("Question 1")
    expect(conservator.get_by_role("article")).to_contain_text("open, overdue")
    expect(conservator.get_by_role("button", name="Answer")).to_have_count(0)

    historian.goto("/")
    row = historian.get_by_role("row").filter(has_text="TALK7")
    expect(row).to_contain_text("1 question (1 overdue)")
    row.get_by_role("link", name="1 question (1 overdue)").click()
    waiting = historian.get_by_role("region", name="New for you")
    expect(waiting).to_contain_text("needed by 14 May 2020")
    waiting.get_by_role("link", name="Question 1").click()
    historian.get_by_role("button", name="Answer").click()
    historian.get_by_label("Answer", exact=True).fill("Twice, by the bill.")
    historian.get_by_role("combobox", name="Cite").press_sequentially("E-7")
    historian.get_by_role("option", name=re.compile("evidence E-7")).click()
    historian.get_by_role("button", name="Answer").last.click()
    expect(historian.get_by_role("article", name=re.compile("Question 1"))).to_contain_text("It rests on evidence E-7.")

    conservator.goto("/projects/TALK7")
    told = conservator.get_by_role("region", name="New for you")
    expect(told).to_contain_text("Hester Orian answered your question 1: Twice, by the bill.")
    told.get_by_role("button", name="I have seen all this").click()
    expect(told).to_contain_text("Nobody else has written anything since just now.")
    conservator.goto("/projects/TALK7/questions?show=answered")
    conservator.get_by_role("button", name="Ask again").click()
    expect(conservator.get_by_text("There are none.")).to_be_visible()
    conservator.get_by_role("link", name="Asked by me").click()
    article = conservator.get_by_role("article")
    expect(article).to_contain_text("The answer before it was asked again: Hester Orian")
    conservator.get_by_role("button", name="Withdraw").click()
    expect(article).to_contain_text("withdrawn")


def test_what_others_wrote_is_told_by_discipline_with_ways_to_the_records(talked):
    coordinator, conservator, historian = talked("TALK8")
    historian.goto("/projects/TALK8")
    historian.get_by_role("button", name="I have seen all this").click()
    expect(historian.get_by_text("Nobody else has written anything")).to_be_visible()
    layer = api(coordinator, "GET", "projects/TALK8/layers/?kind=paint")["results"][0]
    conservator.goto("/")
    there = f"projects/TALK8/layers/{layer['id']}"
    api(conservator, "PATCH", there, {"colour": "deep green"}, If_Match=f'"{layer["version"]}"')
    said = {"about_type": "layer", "about_id": layer["id"], "about_field": "colour", "text": "@historian, is this in the bill?"}
    api(conservator, "POST", "projects/TALK8/comments/", said)
    historian.goto("/")
    row = historian.get_by_role("row").filter(has_text="TALK8")
    expect(row).to_contain_text("1 change, 1 comment and you are called in 1")
    row.get_by_role("link", name=re.compile("1 change")).click()
    told = historian.get_by_role("region", name="New for you")
    expect(told.get_by_role("heading", name="Paint conservation")).to_be_visible()
    expect(told).to_contain_text("Space 101: 1 changed – layer S-1/2")
    expect(told).to_contain_text("Connie Vator called you on layer S-1/2, colour: @historian, is this in the bill?")
    told.get_by_role("link", name="layer S-1/2, colour").click()
    expect(historian.get_by_role("article")).to_contain_text("@historian, is this in the bill?")
    expect(historian.locator("strong.called")).to_have_attribute("title", "Hester Orian")


def test_an_owner_asks_and_comments_and_is_offered_no_more(talked, as_):
    talked("TALK9")
    owner = as_("owner")
    owner.goto("/projects/TALK9/registers/layers")
    expect(owner.locator(".counts")).to_contain_text("rows.")
    owner.locator('.slick-row[data-row="0"] .slick-cell.l3').click()
    owner.get_by_role("button", name="Comments", exact=True).click()
    drawer(owner).get_by_label("New comment").fill("Why grey?")
    drawer(owner).get_by_role("button", name="Comment", exact=True).click()
    expect(drawer(owner).get_by_role("article")).to_contain_text("Why grey?")
    expect(drawer(owner).get_by_role("link", name="Ask a question about this")).to_be_visible()


def test_talk_has_no_fault_that_the_accessibility_rules_know(talked, axe):
    coordinator, conservator, _ = talked("TALK10")
    layer = api(coordinator, "GET", "projects/TALK10/layers/?kind=paint")["results"][0]
    about = {"about_type": "layer", "about_id": layer["id"]}
    head = api(coordinator, "POST", "projects/TALK10/comments/", {**about, "text": "One, @conservator. https://example.org"})
    api(coordinator, "POST", "projects/TALK10/comments/", {**about, "text": "Two.", "thread": head["id"]})
    done = api(coordinator, "POST", "projects/TALK10/comments/", {**about, "text": "Three."})
    api(coordinator, "POST", f"projects/TALK10/comments/{done['id']}/resolve")
    api(coordinator, "POST", "projects/TALK10/questions/", {**about, "text": "Why?", "to_person": "conservator", "needed_by": "2020-01-01"})
    for scheme in ("light", "dark"):
        conservator.emulate_media(color_scheme=scheme)
        for there, ready in (
            (f"/projects/TALK10/registers/layers/{layer['id']}", "One, @conservator."),
            ("/projects/TALK10/questions", "Why?"),
            ("/projects/TALK10/questions/1", "Why?"),
            ("/projects/TALK10/questions/new", "About: the project as a whole."),
            ("/projects/TALK10", "Waits for you"),
        ):
            settle(conservator, there)
            expect(conservator.get_by_text(ready).first).to_be_visible()
            assert violations(conservator, axe) == [], there
    register = Register(conservator, "TALK10", "layers")
    register.go(1, "name")
    conservator.keyboard.press("Shift+F2")
    expect(drawer(conservator).get_by_role("article").first).to_be_visible()
    drawer(conservator).get_by_label("New comment").press_sequentially("@hes")
    expect(drawer(conservator).get_by_role("option")).to_be_visible()
    assert violations(conservator, axe) == []
