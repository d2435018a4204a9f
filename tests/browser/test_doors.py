"""The doors, in a real browser: signing in with a code, recovery codes, and where one is signed in."""

import base64
import hashlib
import hmac
import json
import re
import struct
import time

from playwright.sync_api import Page, expect

from tests.browser.conftest import sign_in
from tests.browser.test_access import axe, settle, violations  # noqa: F401 - a fixture
from tests.browser.test_people import NEW, accept, heading, invite


def shown_by_a_telephone(key: str) -> str:
    """What a telephone shows that was given the key: RFC 6238 as it is written, apart from the program's library."""
    counter = struct.pack(">Q", int(time.time()) // 30)
    digest = hmac.new(base64.b32decode(key.replace(" ", "")), counter, hashlib.sha1).digest()
    start = digest[-1] & 15
    return f"{(int.from_bytes(digest[start : start + 4]) & 0x7FFFFFFF) % 1_000_000:06}"


def account(new_project, as_, code: str, name: str, username: str) -> Page:
    """A page of somebody new, whose sessions no other test needs."""
    page = as_()
    accept(page, invite(new_project(code), code, name), username)
    expect(heading(page)).to_have_text(f"The house {code}")
    return page


def set_up(page: Page) -> list[str]:
    """Turn the second factor on; the recovery codes."""
    settle(page, "/second-factor")
    page.get_by_label("Your present password").fill(NEW)
    page.get_by_role("button", name="Make a key").click()
    code = page.get_by_label("Code that your telephone shows")
    code.fill(shown_by_a_telephone(page.get_by_label("Key", exact=True).input_value()))
    code.press("Enter")
    expect(page.get_by_label("Recovery codes")).to_be_focused()
    return page.get_by_label("Recovery codes").input_value().split()


def test_a_second_factor_is_set_up_with_a_telephone(new_project, as_, axe):  # noqa: F811
    page = account(new_project, as_, "DOOR1", "Fay Tor", "faytor")
    settle(page, "/me")
    part = page.get_by_role("region", name="Second factor")
    expect(part).to_contain_text("Off: your name and password are enough")
    part.get_by_role("link", name="Set it up").click()
    expect(heading(page)).to_have_text("Second factor")
    assert violations(page, axe) == []
    page.get_by_label("Your present password").fill("guess")
    page.get_by_role("button", name="Make a key").click()
    expect(page.get_by_text("This is not your present password.")).to_be_visible()
    page.get_by_label("Your present password").fill(NEW)
    page.get_by_role("button", name="Make a key").click()
    expect(page.get_by_role("heading", name="Give the key to your telephone")).to_be_focused()
    picture = page.get_by_role("img", name="The key, as a picture for the camera of your telephone")
    expect(picture).to_be_visible()
    assert picture.evaluate("image => image.naturalWidth") > 100
    assert violations(page, axe) == []
    code = page.get_by_label("Code that your telephone shows")
    code.fill("12")
    code.press("Enter")
    expect(page.get_by_text("This code is not right")).to_be_visible()
    expect(code).to_be_focused()
    code.fill(shown_by_a_telephone(page.get_by_label("Key", exact=True).input_value()))
    code.press("Enter")
    expect(page.get_by_label("Recovery codes")).to_be_focused()
    assert len(page.get_by_label("Recovery codes").input_value().split()) == 10
    assert violations(page, axe) == []
    page.get_by_role("button", name="I have kept them").click()
    expect(page.get_by_role("region", name="Second factor")).to_contain_text("10 recovery codes left")


def test_who_has_a_second_factor_signs_in_with_a_code(new_project, as_, axe):  # noqa: F811
    codes = set_up(account(new_project, as_, "DOOR2", "Cody Word", "cody"))
    page = as_()
    page.goto("/sign-in?next=/projects/DOOR2")
    expect(page.get_by_label("Code")).to_be_hidden()
    sign_in(page, "cody", NEW)
    # Asking for the code is no refusal.
    expect(page.get_by_label("Code")).to_be_focused()
    expect(page.get_by_role("alert")).to_have_count(0)
    assert violations(page, axe) == []
    page.keyboard.type("12 34")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("This code is not right")
    expect(page.get_by_label("Code")).to_be_focused()
    assert violations(page, axe) == []
    page.get_by_label("Code").fill(codes[0])
    page.keyboard.press("Enter")
    expect(heading(page)).to_have_text("The house DOOR2")
    settle(page, "/me")
    expect(page.get_by_role("region", name="Second factor")).to_contain_text("9 recovery codes left")


def test_a_second_factor_is_turned_off_and_recovery_codes_made_anew(new_project, as_, axe):  # noqa: F811
    page = account(new_project, as_, "DOOR3", "Ofa Now", "ofa")
    codes = set_up(page)
    settle(page, "/second-factor")
    expect(page.get_by_text("You have 10 recovery codes left.")).to_be_visible()
    page.get_by_text("Make new recovery codes").first.click()
    page.get_by_text("Turn it off").first.click()
    assert violations(page, axe) == []
    part = page.locator("details").filter(has_text="Those that you have now work no longer then")
    part.get_by_label("Your present password").fill(NEW)
    part.get_by_label("Code").fill(codes[0])
    part.get_by_role("button", name="Make new recovery codes").click()
    expect(page.get_by_label("Recovery codes")).to_be_focused()
    fresh = page.get_by_label("Recovery codes").input_value().split()
    settle(page, "/second-factor")
    page.get_by_text("Turn it off").first.click()
    part = page.locator("details").filter(has_text="For another telephone")
    for code, said in ((codes[1], "This code is not right"), (fresh[0], "")):
        part.get_by_label("Your present password").fill(NEW)
        part.get_by_label("Code").fill(code)
        part.get_by_role("button", name="Turn it off").click()
        if said:
            expect(part.get_by_text(said)).to_be_visible()
    expect(page.get_by_text("You have none: your name and password are enough")).to_be_visible()


def test_where_everybody_must_have_one_it_is_set_up_before_anything_else(as_, axe):  # noqa: F811
    """What the interface answers there is told to the page; that it answers so is tried where the interface is."""
    page = as_("owner")
    refused = {"type": "x", "title": "x", "status": 403, "detail": "Set yours up first.", "code": "second-factor-missing"}
    page.route(
        "**/api/v1/projects**", lambda route: route.fulfill(status=403, content_type="application/problem+json", body=json.dumps(refused))
    )
    state = {"on": False, "since": None, "recovery_codes": 0, "required": True}
    page.route("**/api/v1/me/second-factor", lambda route: route.fulfill(content_type="application/json", body=json.dumps(state)))
    page.goto("/projects/HALL")
    expect(heading(page)).to_have_text("Second factor")
    expect(page).to_have_url(re.compile(r"/second-factor\?next=%2Fprojects%2FHALL$"))
    expect(page.get_by_role("status").filter(has_text="Here everybody needs a second factor")).to_be_visible()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    assert violations(page, axe) == []


def test_one_sees_where_one_is_signed_in_and_ends_a_session(new_project, as_, axe):  # noqa: F811
    page = account(new_project, as_, "DOOR4", "Ses Sion", "sesion")
    others = [as_(user_agent="Mozilla/5.0 (Windows NT 10.0; rv:146.0) Gecko/20100101 Firefox/146.0") for _ in range(3)]
    for other in others:
        other.goto("/sign-in?next=/me")
        sign_in(other, "sesion", NEW)
        expect(heading(other)).to_have_text("Ses Sion")
    settle(page, "/me")
    part = page.get_by_role("region", name="Where you are signed in")
    rows = part.get_by_role("table").get_by_role("row")
    expect(rows).to_have_count(5)  # with the heads
    expect(rows.nth(1)).to_contain_text("Chrome on Linux (this one)")
    expect(rows.nth(2)).to_contain_text("Firefox on Windows")
    assert violations(page, axe) == []
    # By keyboard: the button asks for the password, and that is where one stands.
    rows.nth(2).get_by_role("button", name="End …").focus()
    page.keyboard.press("Enter")
    expect(part.get_by_label("Your present password")).to_be_focused()
    assert violations(page, axe) == []
    page.keyboard.type("guess")
    page.keyboard.press("Enter")
    expect(part.get_by_text("This is not your present password.")).to_be_visible()
    expect(rows).to_have_count(5)
    part.get_by_label("Your present password").fill(NEW)
    page.keyboard.press("Enter")
    expect(rows).to_have_count(4)
    expect(part.get_by_role("heading")).to_be_focused()
    signed_out = [other for other in others if other.request.get("/api/v1/me").status == 401]
    assert len(signed_out) == 1
    signed_out[0].goto("/me")
    expect(heading(signed_out[0])).to_have_text("Sign in")
    part.get_by_role("button", name="End all others …").click()
    part.get_by_role("button", name="Leave it").click()
    expect(part.get_by_label("Your present password")).to_have_count(0)
    part.get_by_role("button", name="End all others …").click()
    part.get_by_label("Your present password").fill(NEW)
    part.get_by_role("button", name="End all others", exact=True).click()
    expect(rows).to_have_count(2)
    expect(part.get_by_role("button", name=re.compile("^End"))).to_have_count(0)
    assert [other.request.get("/api/v1/me").status for other in others] == [401, 401, 401]
    assert page.request.get("/api/v1/me").status == 200
