"""Coming by an invitation and leaving, a forgotten password, history and what was removed: two people, in a real browser."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import LOGS, api, sign_in
from tests.browser.test_access import axe, settle, violations  # noqa: F401 - a fixture

NEW = "seventeen grey herons"


def heading(page: Page) -> Any:
    return page.get_by_role("heading", level=1)


def invite(page: Page, code: str, name: str = "Gunda Gast") -> str:
    """Invite somebody from the page of members; the link."""
    settle(page, f"/projects/{code}/members")
    part = page.get_by_role("region", name="Invite somebody")
    part.get_by_label("Name").fill(name)
    part.get_by_label("Role").select_option("consultant")
    part.get_by_label("Discipline").select_option("archaeology")
    part.get_by_role("button", name="Invite").click()
    expect(part.get_by_label("Link")).to_be_focused()
    return part.get_by_label("Link").input_value()


def accept(page: Page, link: str, username: str) -> None:
    """Make an account by a link."""
    page.goto(link)
    page.get_by_label("Name to sign in with").fill(username)
    page.get_by_label("Password").fill(NEW)
    page.get_by_role("button", name="Make the account and accept").click()


def test_who_is_invited_makes_an_account_is_a_member_and_leaves(new_project, as_, axe):  # noqa: F811
    page = new_project("GUEST1")
    link = invite(page, "GUEST1")
    assert violations(page, axe) == []
    expect(page.get_by_role("table", name="Open invitations")).to_contain_text("Gunda Gast")

    guest = as_()
    guest.goto(link)
    expect(heading(guest)).to_have_text("Invitation to The house GUEST1")
    expect(guest).to_have_url(re.compile("/invitation$"))
    assert violations(guest, axe) == []
    # What cannot be is refused beside its field, and nothing else is lost.
    guest.get_by_label("Name to sign in with").fill("coordinator")
    guest.get_by_label("Password").fill("short")
    guest.get_by_role("button", name="Make the account and accept").click()
    expect(guest.get_by_text("Somebody signs in by this name already")).to_be_visible()
    expect(guest.get_by_label("Name to sign in with")).to_be_focused()
    expect(guest.get_by_text("too short")).to_be_visible()
    assert violations(guest, axe) == []
    guest.get_by_label("Name to sign in with").fill("gunda")
    guest.get_by_label("Password").fill(NEW)
    guest.get_by_role("button", name="Make the account and accept").click()
    expect(heading(guest)).to_have_text("The house GUEST1")
    expect(guest.get_by_role("link", name="Gunda Gast")).to_be_visible()

    # The link is used up, for who had it and for who passes it on.
    other = as_()
    other.goto(link)
    expect(other.get_by_role("alert")).to_contain_text("This invitation is not valid")
    settle(page, "/projects/GUEST1/members")
    expect(page.get_by_role("table", name="Members")).to_contain_text("Gunda Gast (gunda)")

    settle(guest, "/projects/GUEST1/members")
    guest.get_by_role("button", name="Leave this project …").click()
    expect(guest.get_by_text("Nothing is asked of Gunda Gast")).to_be_visible()
    guest.get_by_role("button", name="Leave", exact=True).click()
    guest.get_by_role("button", name="Leave", exact=True).click()
    expect(heading(guest)).to_have_text("Structures")
    expect(guest.get_by_text("You belong to no project yet")).to_be_visible()
    guest.goto("/projects/GUEST1")
    expect(heading(guest)).to_have_text("Not found")


def test_who_signs_in_here_already_accepts_as_himself(new_project, as_):
    link = invite(new_project("GUEST2"), "GUEST2", "Stan")
    page = as_()
    page.goto(link)
    page.get_by_role("link", name="Sign in and accept").click()
    expect(heading(page)).to_have_text("Sign in")
    sign_in(page, "stranger")
    expect(heading(page)).to_have_text("Invitation to The house GUEST2")
    page.get_by_role("button", name="Accept as Stan Ranger").click()
    expect(heading(page)).to_have_text("The house GUEST2")


def test_an_invitation_is_withdrawn(new_project, as_):
    page = new_project("GUEST3")
    link = invite(page, "GUEST3")
    page.get_by_role("button", name="Withdraw").click()
    page.get_by_role("button", name="Withdraw").click()
    expect(page.get_by_text("Former invitations (1)")).to_be_visible()
    guest = as_()
    guest.goto(link)
    expect(guest.get_by_role("alert")).to_contain_text("This invitation is not valid")


def test_what_is_asked_of_who_goes_is_named_and_goes_to_another(new_project, as_):
    page = new_project("GUEST4")
    for who in ("conservator", "historian"):
        body = {"username": who, "role": "consultant", "discipline": "archaeology"}
        api(page, "POST", "projects/GUEST4/members/", body)
    project = api(page, "GET", "projects/GUEST4")
    question = {"about_type": "project", "about_id": project["id"], "to_person": "historian", "text": "When was the door hung?"}
    made = api(page, "POST", "projects/GUEST4/questions/", question)
    settle(page, "/projects/GUEST4/members")
    page.get_by_role("button", name="Remove Hester Orian …").click()
    expect(page.get_by_text("When was the door hung?")).to_be_visible()
    page.get_by_label("The questions go to").select_option(label="Connie Vator")
    page.get_by_role("button", name="Remove Hester Orian", exact=True).click()
    page.get_by_role("button", name="Remove", exact=True).click()
    expect(page.get_by_role("table", name="Members")).not_to_contain_text("Hester Orian")
    assert api(page, "GET", f"projects/GUEST4/questions/{made['id']}")["to_name"] == "Connie Vator"


def test_a_coordinator_hands_over(new_project):
    page = new_project("GUEST5")
    api(page, "POST", "projects/GUEST5/members/", {"username": "historian", "role": "consultant", "discipline": "archaeology"})
    settle(page, "/projects/GUEST5/members")
    page.get_by_role("button", name="Leave this project …").click()
    expect(page.get_by_text("is the only coordinator")).to_be_visible()
    part = page.get_by_role("region", name="Hand over")
    part.get_by_role("button", name="Hand over").click()
    part.get_by_role("button", name="Hand over").click()
    expect(page.get_by_role("table", name="Members").get_by_role("row").filter(has_text="Hester Orian")).to_contain_text("coordinator")
    expect(page.get_by_role("region", name="Invite somebody")).to_have_count(0)


def test_a_forgotten_password_is_taken_anew_by_the_link_of_a_letter(new_project, as_, address, axe):  # noqa: F811
    guest = as_()
    accept(guest, invite(new_project("GUEST6"), "GUEST6", "Fay Gett"), "fay")
    expect(heading(guest)).to_have_text("The house GUEST6")
    settle(guest, "/me")
    guest.get_by_text("Change the address").click()
    guest.get_by_label("New e-mail address").fill("fay@example.org")
    guest.locator("section[aria-labelledby=letters]").get_by_label("Your present password").fill(NEW)
    guest.get_by_role("button", name="Save the address").click()
    expect(guest.get_by_text("Letters go to fay@example.org.")).to_be_visible()
    assert violations(guest, axe) == []

    page = as_()
    page.goto("/sign-in")
    page.get_by_role("link", name="Forgotten your password?").click()
    page.get_by_label("E-mail address").fill("fay@example.org")
    page.get_by_role("button", name="Send me a link").click()
    expect(page.get_by_text("If an account has this address")).to_be_visible()
    expect(page.locator("[aria-disabled]")).to_have_count(0)
    found = wait_for_link(page, address)
    page.goto(found)
    expect(page).to_have_url(re.compile("/new-password$"))
    page.get_by_label("New password").fill("short")
    page.get_by_role("button", name="Take this password").click()
    expect(page.get_by_text("too short")).to_be_visible()
    page.get_by_label("New password").fill("eighteen grey herons")
    page.get_by_role("button", name="Take this password").click()
    expect(page.get_by_text("Sign in with the new one.")).to_be_visible()
    sign_in(page, "fay", NEW)
    expect(page.get_by_role("alert")).to_contain_text("name or the password is wrong")
    sign_in(page, "fay", "eighteen grey herons")
    expect(heading(page)).to_have_text("Structures")
    # The session in which the password was forgotten has ended.
    guest.goto("/projects/GUEST6")
    expect(heading(guest)).to_have_text("Sign in")


def wait_for_link(page: Page, address: str) -> str:
    """The last link to a new password that the program has written; letters go out after the answer."""
    for _ in range(100):
        found = re.findall(r"http\S+/new-password#\S+", LOGS[address].read_text())
        if found:
            return found[-1]
        page.wait_for_timeout(100)
    pytest.fail("No letter was written.", pytrace=False)


def test_ones_password_is_changed_by_the_present_one(new_project, as_):
    page = as_()
    accept(page, invite(new_project("GUEST7"), "GUEST7", "Paz Word"), "paz")
    expect(heading(page)).to_have_text("The house GUEST7")
    settle(page, "/me")
    page.get_by_text("Change the password").first.click()
    part = page.locator("section[aria-labelledby=password]")
    part.get_by_label("Your present password").fill("guess")
    part.get_by_label("New password").fill("eighteen grey herons")
    part.get_by_role("button", name="Change the password").click()
    expect(part.get_by_text("This is not your present password.")).to_be_visible()
    part.get_by_label("Your present password").fill(NEW)
    part.get_by_role("button", name="Change the password").click()
    expect(part.get_by_role("status")).to_contain_text("Your password is changed")
    settle(page, "/projects/GUEST7")


# -- history and what was removed -----------------------------------------------------------------------------------------------


def painted(page: Page, code: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """A space's element and a sample of it, twice changed."""
    base = f"projects/{code}"
    space = api(page, "POST", f"{base}/spaces/", {"number": "1"})
    element = api(page, "POST", f"{base}/elements/", {"code": "E1", "space": space["id"], "element_class": "wall"})
    sample = api(page, "POST", f"{base}/samples/", {"number": "S1", "element": element["id"], "height_mm": 1200})
    for version, height in ((1, 1350), (2, 1400)):
        api(page, "PATCH", f"{base}/samples/{sample['id']}", {"height_mm": height}, If_Match=f'"{version}"')
    api(page, "POST", f"{base}/layers/", {"sample": sample["id"], "kind": "paint"})
    return element, sample


def test_a_former_value_is_put_back_from_the_history(new_project, axe):  # noqa: F811
    page = new_project("PAST1")
    _, sample = painted(page, "PAST1")
    settle(page, f"/projects/PAST1/registers/samples/{sample['id']}")
    past = page.get_by_role("region", name="Its history")
    expect(past.get_by_text("height above the floor from “1,350 mm” to “1,400 mm”")).to_be_visible()
    past.get_by_text("All that it held").click()
    expect(past.get_by_text("element: “element E1”")).to_be_visible()
    assert violations(page, axe) == []
    # By keyboard.
    past.get_by_role("button", name="Put back height above the floor “1,200 mm”").focus()
    page.keyboard.press("Enter")
    expect(past.get_by_role("button", name="No")).to_be_focused()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Enter")
    expect(past.get_by_text("height above the floor from “1,400 mm” to “1,200 mm”")).to_be_visible()
    expect(page.get_by_label("Height (mm)")).to_have_value("1200")
    assert api(page, "GET", f"projects/PAST1/samples/{sample['id']}")["version"] == 4


def test_a_former_value_that_would_break_a_rule_is_refused_with_the_reason(new_project):
    page = new_project("PAST2")
    element, sample = painted(page, "PAST2")
    api(page, "PATCH", f"projects/PAST2/samples/{sample['id']}", {"number": "S2"}, If_Match='"3"')
    api(page, "POST", "projects/PAST2/samples/", {"number": "S1", "element": element["id"]})
    settle(page, f"/projects/PAST2/registers/samples/{sample['id']}")
    page.get_by_role("button", name="Put back number “S1”").click()
    page.get_by_role("button", name="Put back", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("already used")


def test_a_removed_sample_is_brought_back_with_its_layers(new_project, axe):  # noqa: F811
    page = new_project("PAST3")
    _, sample = painted(page, "PAST3")
    settle(page, f"/projects/PAST3/registers/samples/{sample['id']}")
    page.get_by_role("button", name="Remove this sample").click()
    page.get_by_role("button", name="Remove", exact=True).click()
    expect(heading(page)).to_have_text("Samples")
    page.get_by_role("link", name="Removed").click()
    row = page.get_by_role("table", name="Removed").get_by_role("row").filter(has_text="Sample S1, with 1 layer")
    expect(row).to_contain_text("removed")
    assert violations(page, axe) == []
    row.get_by_role("button", name="Bring back sample S1, with 1 layer").click()
    row.get_by_role("button", name="Bring back", exact=True).click()
    expect(row).to_contain_text("brought back")
    assert api(page, "GET", f"projects/PAST3/samples/{sample['id']}")["layer_count"] == 1
    page.get_by_label("Show").select_option("Layers")
    expect(page).to_have_url(re.compile("kind=layer"))
    expect(page.get_by_role("table", name="Removed").get_by_role("row")).to_have_count(2)


def test_the_history_is_at_hand_in_the_chart_and_at_the_bench(as_, axe):  # noqa: F811
    page = as_("conservator")
    settle(page, "/projects/HALL/bench/101-1?layer=2")
    page.get_by_text("History of this layer").click()
    expect(page.get_by_text("Connie Vator: Made.")).to_be_visible()
    page.get_by_text("History of this sample").click()
    expect(page.get_by_text("Connie Vator: Made.")).to_have_count(2)
    assert violations(page, axe) == []


# -- who may not write is offered nothing that would be refused ------------------------------------------------------------------


@pytest.mark.parametrize("path", ["", "/members", "/settings", "/registers/samples", "/bench/101-1", "/outputs", "/years", "/spaces/101"])
def test_an_owner_is_offered_nothing_that_would_be_refused(as_, path):
    page = as_("owner")
    refused: list[str] = []
    page.on("response", lambda answer: refused.append(answer.url) if answer.status in (403, 404) else None)
    settle(page, f"/projects/HALL{path}")
    main = page.get_by_role("main")
    for name in (
        "Save",
        "Remove",
        "Correlate",
        "Add above",
        "Add a row",
        "New",
        "Invite",
        "Add",
        "Hand over",
        "Issue",
        "Put back",
        "Import",
    ):
        expect(main.get_by_role("button", name=re.compile(f"^{name}( |$)"))).to_have_count(0)
    expect(
        page.get_by_role("navigation", name="Project").get_by_role("link", name=re.compile("^(Import|Removed|Settings)$"))
    ).to_have_count(0)
    assert refused == []


def test_a_contractor_sees_the_card_and_what_was_issued_and_may_leave(as_):
    page = as_("contractor")
    refused: list[str] = []
    page.on("response", lambda answer: refused.append(answer.url) if answer.status in (403, 404) else None)
    settle(page, "/projects/HALL")
    names = page.get_by_role("navigation", name="Project").get_by_role("link").all_inner_texts()
    assert set(names) <= {"Standing", "Schedules"}
    page.get_by_role("button", name="Leave this project …").click()
    expect(page.get_by_text("Nothing is asked of Conrad Tractor")).to_be_visible()
    assert refused == []
    for path in ("/members", "/registers/samples", "/bench", "/removed", "/years", "/spaces/101"):
        settle(page, f"/projects/HALL{path}")
        expect(heading(page)).to_have_text("Not found")
