"""As of and Readings: what is shown of which year, by slider, number, phase and address; gaps named; by keyboard and on paper."""

import itertools
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import api
from tests.browser.test_access import axe, settle, violations

__all__ = ["axe"]
NUMBERS = itertools.count(1)
TOO_WIDE = """() => [...document.querySelectorAll('body *')].filter(one => one.getBoundingClientRect().right > innerWidth + 1
    && !one.closest('.hidden, svg, .ladderframe')).map(one => one.outerHTML.slice(0, 120))"""


def fill(page: Page, code: str) -> None:
    """A room whose door was green from 1800 and cream from 1900 by firm evidence; its casing likewise; its wall was not sampled."""
    base = f"projects/{code}"
    project = api(page, "GET", base)
    api(page, "PATCH", base, {"first_year": 1780, "last_year": 1980}, If_Match=f'"{project["version"]}"')
    space = api(page, "POST", f"{base}/spaces/", {"number": "101", "name": "Front room"})["id"]
    phase = api(page, "POST", f"{base}/phases/", {"label": "The building", "earliest": 1800, "latest": 1800})["id"]
    first, second = (
        api(page, "POST", f"{base}/generations/", {"space": space, **more})["id"] for more in ({"phase": phase}, {"label": "the refit"})
    )
    for number, (name, element_class) in enumerate((("DL", "door leaf"), ("DC", "door casing"), ("WL", "wall")), start=1):
        element = api(page, "POST", f"{base}/elements/", {"code": name, "space": space, "element_class": element_class})["id"]
        if name == "WL":
            continue
        values = {"number": f"S{number}", "element": element, "base_state": "complete", "top_state": "complete"}
        sample = api(page, "POST", f"{base}/samples/", values)["id"]
        for generation, munsell, colour in ((first, "5GY 6/4", "green"), (second, "10YR 8/2", "cream")):
            api(
                page,
                "POST",
                f"{base}/layers/",
                {"sample": sample, "kind": "paint", "munsell": munsell, "colour": colour, "generation": generation},
            )
    for reference, generation, year in (("E-1", first, 1800), ("E-2", second, 1900)):
        told = {"reference": reference, "statement": "x", "bears_on": "generation", "generation": generation, "relation": "made in"}
        api(page, "POST", f"{base}/evidence/", {**told, "earliest": year, "latest": year, "certainty": "firm"})


@pytest.fixture
def page(new_project):
    code = f"ASOF{next(NUMBERS)}"
    made = new_project(code)
    fill(made, code)
    made.code = code  # type: ignore[attr-defined]
    return made


def show(page: Page, where: str) -> None:
    settle(page, f"/projects/{page.code}/{where}")  # type: ignore[attr-defined]


def element(page: Page, code: str):
    return page.locator(f"[data-element='{code}']")


def test_a_year_shows_swatch_notation_probability_and_a_sentence_for_each_element_and_names_the_gap(page):
    show(page, "as-of?year=1850")
    expect(page.locator(".asofsummary")).to_contain_text("As of 1850: 2 elements with a finish, 1 without evidence.")
    door = element(page, "DL")
    expect(door).to_contain_text("As of 1850 the door leaf DL showed 5GY 6/4 (green) (paint): generation 1, surely (100 %), on 1 sample.")
    assert re.fullmatch("#[0-9a-f]{6}", door.locator("svg.patch rect").first.get_attribute("fill") or "")
    expect(door.get_by_role("link", name="S1")).to_have_attribute("href", f"/projects/{page.code}/bench/S1")
    expect(page.get_by_text("No evidence for 1850: no sample was taken of it.")).to_be_visible()
    expect(page.get_by_role("region", name="Cautions")).to_contain_text("never a paint match")


def test_the_year_is_moved_by_keys_on_the_slider_by_number_and_by_steps_and_is_in_the_address(page):
    show(page, "as-of?year=1899")
    slider = page.get_by_label("Slide to a year")
    slider.focus()
    page.keyboard.press("ArrowRight")
    expect(page).to_have_url(re.compile(r"year=1900"))
    expect(element(page, "DL")).to_contain_text("10YR 8/2")
    page.get_by_label("Year", exact=True).fill("1799")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page).to_have_url(re.compile(r"year=1799"))
    expect(page.locator(".asofsummary")).to_contain_text("As of 1799: 0 elements with a finish, 3 without evidence.")
    page.get_by_role("button", name="10 later").click()
    expect(page).to_have_url(re.compile(r"year=1809"))
    page.reload()
    expect(element(page, "DL")).to_contain_text("5GY 6/4")


def test_what_is_no_year_is_refused_in_words(page):
    show(page, "as-of?year=1850")
    page.get_by_label("Year", exact=True).fill("c.1850")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("Write a year as 1838 or 120 BCE.")
    expect(page).to_have_url(re.compile(r"year=1850"))


def test_a_phase_is_chosen_and_is_in_the_address(page):
    show(page, "as-of?year=1950")
    page.get_by_label("Or the end of a phase").select_option("1")
    expect(page).to_have_url(re.compile(r"phase=1$"))
    expect(element(page, "DC")).to_contain_text("As of phase 1, The building the door casing DC showed 5GY 6/4")
    page.get_by_label("Or the end of a phase").select_option("")
    expect(page).not_to_have_url(re.compile("phase="))


def test_without_a_year_the_middle_of_the_study_is_shown(page):
    show(page, "as-of")
    expect(page.get_by_label("Year", exact=True)).to_have_value("1880")  # between 1780 and 1980


def test_readings_say_of_each_element_what_follows_with_mark_word_and_numbers(page):
    show(page, "readings")
    door = element(page, "DL")
    expect(door).to_contain_text("from the start")
    expect(door).to_contain_text(
        "Door leaf DL carries 2 of the 2 generations that it could, where one neighbour carries 2; it reaches generation 1"
    )
    assert door.get_by_role("img", name="Carries generations 1, 2 of 2.").locator("rect.carried").count() == 2
    door.get_by_text("What it rests on").click()
    expect(door.get_by_text("The base is complete in S1.")).to_be_visible()
    page.get_by_text("No evidence: 1 element").click()
    expect(page.get_by_text("Wall WL: no evidence, for it has no sample.")).to_be_visible()
    page.get_by_label("Class").select_option("door casing")
    expect(page).to_have_url(re.compile("class=door%20casing"))
    expect(page.locator("[data-element]")).to_have_count(1)


def test_an_owner_finds_both_in_the_menu_and_a_contractor_neither(as_):
    page = as_("owner")
    for name in ("As of", "Readings"):
        settle(page, "/projects/HALL")
        page.get_by_role("navigation", name="Project").get_by_role("link", name=name).click()
        expect(page.get_by_role("heading", level=1)).to_have_text(name)
    page = as_("contractor")
    for where in ("as-of", "readings"):
        settle(page, f"/projects/HALL/{where}")
        expect(page.get_by_role("heading", level=1)).to_have_text("Not found")


def test_neither_has_a_fault_that_the_accessibility_rules_know_and_both_fit_a_narrow_window(page, axe):
    for where in ("as-of?year=1850&tentative=yes", "as-of?phase=1", "readings"):
        for width, scheme in ((1440, "light"), (1024, "dark")):
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=scheme)
            show(page, where)
            page.evaluate("document.querySelectorAll('main details').forEach(one => { one.open = true; })")
            assert violations(page, axe) == []
        page.set_viewport_size({"width": 320, "height": 700})
        show(page, where)
        assert page.evaluate(TOO_WIDE) == [], where
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), where
        assert page.evaluate("document.querySelectorAll('[style]').length") == 0


def test_on_paper_the_answers_and_cautions_stand_without_controls(page):
    show(page, "as-of?year=1850")
    page.emulate_media(media="print")
    expect(page.get_by_label("Slide to a year")).to_be_hidden()
    expect(element(page, "DL").locator("svg.patch").first).to_be_visible()
    expect(page.get_by_role("heading", name="Cautions")).to_be_visible()
