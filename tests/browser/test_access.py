"""Every screen, in light and dark, wide and narrow: by keyboard, for a screen reader, and within the Content-Security-Policy."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import ROOT, api, sign_in

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# What a screen says while a part of it is still asked for.
WAITING = re.compile("^(…|Reading the history …|Working out .*…|Drawing …)$")
SCREENS = (
    "/", "/new-project", "/me", "/projects/HALL", "/projects/HALL/spaces/101", "/projects/HALL/import", "/projects/HALL/outputs",
    "/projects/HALL/members", "/projects/HALL/removed", "/projects/HALL/settings",
    "/projects/HALL/registers/spaces", "/projects/HALL/registers/elements",
    "/projects/HALL/registers/samples", "/projects/HALL/registers/layers", "/projects/HALL/registers/evidence",
    "/projects/HALL/registers/phases", "/projects/HALL/registers/layers/new", "/projects/HALL/registers/evidence/new",
    "/projects/HALL/questions", "/projects/HALL/questions/new",
    "/projects/HALL/spaces/nowhere", "/projects/HALL/bench", "/projects/HALL/bench/101-1?layer=2&field=munsell",
)  # fmt: skip


@pytest.fixture(scope="session")
def axe(address: str) -> str:
    return Path(AXE).read_text(encoding="utf-8")


def violations(page: Page, axe: str) -> list[str]:
    """What the library finds, as lines. It is evaluated by the browser's debugger, which the page's policy does not bind."""
    page.evaluate(axe)
    found = page.evaluate("rules => axe.run(document, { runOnly: { type: 'tag', values: rules } })", RULES)
    return [f"{one['id']} ({one['impact']}): {node['html'][:160]}" for one in found["violations"] for node in one["nodes"]]


def settle(page: Page, address: str) -> None:
    page.goto(address)
    expect(page.locator("body:not(.loading) h1")).to_be_visible()
    expect(page.get_by_text(WAITING)).to_have_count(0)


@pytest.mark.parametrize("look", [("light", 1400), ("dark", 800)])
def test_no_screen_has_a_fault_that_the_accessibility_rules_know(as_, axe, look):
    scheme, width = look
    page = as_("coordinator", color_scheme=scheme, viewport={"width": width, "height": 900})
    found = {}
    for address in SCREENS:
        settle(page, address)
        if wrong := violations(page, axe):
            found[address] = wrong
    assert found == {}


def test_no_screen_that_is_shown_without_signing_in_has_a_fault(as_, axe):
    page = as_(color_scheme="dark", viewport={"width": 1024, "height": 768})
    for address in ("/sign-in", "/forgotten", "/new-password", "/new-password#a.b", "/invitation", "/invitation#unknown"):
        settle(page, "/sign-in")
        settle(page, address)
        assert violations(page, axe) == []


def test_the_rules_would_find_a_fault(as_, axe):
    page = as_("coordinator")
    settle(page, "/")
    page.evaluate("document.querySelector('main').append(document.createElement('input'))")
    assert any(line.startswith("label") for line in violations(page, axe))


def test_what_opens_only_on_request_has_no_fault_either(as_, axe):
    page = as_()
    settle(page, "/sign-in")
    sign_in(page, "coordinator", "")
    assert violations(page, axe) == []
    page = as_("coordinator")
    settle(page, "/projects/HALL/registers/layers/new")
    page.get_by_role("button", name="Make").click()
    expect(page.locator(".field.wrong")).to_have_count(2)
    assert violations(page, axe) == []
    page.get_by_role("button", name="Keys").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    assert violations(page, axe) == []


def test_no_screen_is_wider_than_a_narrow_window(as_):
    """WCAG 2.2, 1.4.10: at 320 CSS pixels nothing but a table or a drawing scrolls sideways."""
    page = as_("coordinator", viewport={"width": 320, "height": 700})
    wide = []
    for address in SCREENS:
        settle(page, address)
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wide.append(address)
    assert wide == []


def test_the_heading_takes_the_focus_and_the_title_says_where_one_is(as_):
    page = as_("coordinator")
    settle(page, "/projects/HALL")
    page.get_by_role("link", name="Outputs").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Outputs")
    expect(page.get_by_role("heading", level=1)).to_be_focused()
    expect(page).to_have_title("Outputs – The hall – Undercoat")
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("The hall")
    expect(page).to_have_title("The hall – Undercoat")


def test_keys_open_help_and_reach_the_search_and_can_be_switched_off(as_):
    page = as_("coordinator")
    settle(page, "/projects/HALL/registers/layers")
    page.keyboard.press("?")
    expect(page.get_by_role("dialog", name="Keys")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0)
    page.keyboard.press("/")
    expect(page.get_by_label("Search")).to_be_focused()
    page.keyboard.type("?")
    expect(page.get_by_label("Search")).to_have_value("?")
    page.get_by_role("button", name="Keys").click()
    page.get_by_label("Keys of one character").uncheck()
    page.keyboard.press("Escape")
    page.get_by_role("heading", level=1).focus()
    page.keyboard.press("?")
    expect(page.get_by_role("dialog")).to_have_count(0)


def test_a_generation_is_named_without_a_mouse(as_):
    page = as_("conservator")
    job = api(page, "POST", "projects/HALL/jobs/", {"kind": "correlate", "params": {"space": "101"}})
    page.goto("/projects/HALL/outputs")
    expect(page.get_by_role("listitem").filter(has_text="Correlation of space 101").first).to_contain_text("done")
    assert job["kind"] == "correlate"
    settle(page, "/projects/HALL/spaces/101")
    page.get_by_role("button", name="Edit generation 1", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_label("Label")).to_be_focused()
    page.keyboard.type("the first scheme")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_role("table", name="Generations, newest first")).to_contain_text("the first scheme")


def test_text_in_a_record_is_never_read_as_markup(as_):
    page = as_("conservator")
    wicked = "<img src=x onerror=alert(1)><script>alert(2)</script>"
    made = api(page, "POST", "projects/HALL/phases/", {"label": wicked})
    alarms: list[str] = []
    page.on("dialog", lambda dialog: (alarms.append(dialog.message), dialog.dismiss()))
    settle(page, "/projects/HALL/registers/phases")
    expect(page.get_by_text(wicked)).to_be_visible()
    settle(page, "/projects/HALL")
    assert alarms == []
    api(page, "DELETE", f"projects/HALL/phases/{made['id']}", If_Match=f'"{made["version"]}"')


def test_the_page_forbids_scripts_and_styles_that_are_not_files_of_the_program(as_):
    page = as_()
    answer = page.goto("/")
    policy = answer.headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert page.evaluate("document.querySelectorAll('script:not([src]), style, [style], [onclick]').length") == 0
