"""Colours on a screen, and who else is here."""

import pytest
from django.core.cache import caches

from surveys import presence
from surveys.errors import NotFound

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nobody_here():
    caches["presence"].clear()


@pytest.fixture
def ask(client, cast):
    client.force_login(cast.conservator)
    return lambda **query: client.get("/api/v1/colours", query)


def test_a_notation_is_shown_in_its_one_form(ask):
    answer = ask(notation="5gy 6/4,n 9/").json()["results"]
    assert [one["munsell"] for one in answer] == ["5GY 6/4", "N 9"]
    assert all(one["srgb"].startswith("#") and len(one["srgb"]) == 7 and one["fault"] == "" for one in answer)


def test_a_grey_has_equal_parts_of_red_green_and_blue_within_a_step(ask):
    # A neutral has the chromaticity of the white point, and sRGB shows that by equal parts (IEC 61966-2-1).
    shown = ask(notation="N 5").json()["results"][0]["srgb"]
    parts = [int(shown[at : at + 2], 16) for at in (1, 3, 5)]
    assert max(parts) - min(parts) <= 1


def test_lab_is_shown_with_its_nearest_notation(ask):
    # L* 100 with a* = b* = 0 is the white point itself: #ffffff.
    white, grey = ask(lab="100,0,0;50,0,0").json()["results"]
    assert white["srgb"] == "#ffffff"
    assert grey["munsell"].startswith("N")


def test_what_is_no_colour_is_answered_with_its_fault_beside_the_others(ask):
    first, second, third = ask(notation="5GY 6/4,greenish", lab="1,2").json()["results"]
    assert first["fault"] == ""
    assert second["srgb"] is None
    assert second["fault"]
    assert "three numbers" in third["fault"]


@pytest.mark.parametrize("lab", ["nan,0,0", "inf,0,0", "101,0,0", "50,1e9,0"])
def test_an_impossible_lab_is_refused_in_words(ask, lab):
    one = ask(lab=lab).json()["results"][0]
    assert one["lab"] is None
    assert one["fault"]


def test_asking_for_no_colour_or_too_many_is_refused(ask):
    assert ask().status_code == 400
    assert ask(notation=",".join(["N 5"] * 201)).status_code == 400


def test_nobody_asks_for_colours(client):
    assert client.get("/api/v1/colours", {"notation": "N 5"}).status_code == 401


def say(client, person, where):
    client.force_login(person)
    return client.post("/api/v1/projects/HALL/presence/", {"where": where}, content_type="application/json")


def test_each_hears_who_else_is_here_and_not_himself(client, cast):
    assert say(client, cast.conservator, "registers/layers").json() == {"present": []}
    assert say(client, cast.historian, "registers/evidence").json() == {"present": [{"name": "Connie Vator", "where": "registers/layers"}]}


def test_who_went_elsewhere_is_told_there(client, cast):
    say(client, cast.conservator, "registers/layers")
    say(client, cast.conservator, "registers/samples")
    assert say(client, cast.owner, "").json()["present"] == [{"name": "Connie Vator", "where": "registers/samples"}]


def test_who_has_gone_is_forgotten(cast, monkeypatch):
    monkeypatch.setattr(presence, "SECONDS", 0)
    presence.say(cast.conservator, cast.project, "registers/layers")
    assert presence.say(cast.historian, cast.project, "") == []


@pytest.mark.parametrize("who", ["contractor", "stranger"])
def test_who_may_not_see_the_record_hears_of_nobody(client, cast, who):
    assert say(client, cast[who], "registers/layers").status_code == 404
    with pytest.raises(NotFound):
        presence.say(cast[who], cast.project, "")


def test_a_place_must_be_said(client, cast):
    client.force_login(cast.conservator)
    assert client.post("/api/v1/projects/HALL/presence/", {}, content_type="application/json").status_code == 422


@pytest.mark.parametrize("where", ["x" * 81, "line\nbreak", "\\ud800"])
def test_a_place_that_cannot_be_shown_is_refused(client, cast, where):
    client.force_login(cast.conservator)
    body = '{"where": "' + where.replace("\n", "\\n") + '"}'
    assert client.post("/api/v1/projects/HALL/presence/", body, content_type="application/json").status_code in (400, 422)
