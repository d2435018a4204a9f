"""The daily e-mail: to who wants it, once, of what he may see when it is written, and of nothing else."""

import datetime as dt
import os
import subprocess
import sys

import pytest
from django.core import mail as outbox
from django.core.management import call_command
from django.db.models import F
from django.utils import timezone

from config.checks import letters_have_an_hour
from surveys import records, seen
from surveys.models import Comment, Person, Project, Question, Seen, Space
from surveys.records import questions
from surveys.work import digest
from tests.surveys.api.test_comments import about


@pytest.fixture
def with_mail(cast):
    """Everybody has an address, the stranger and the contractor too."""
    for one in Person.objects.all():
        Person.objects.filter(pk=one.pk).update(email=f"{one.username}@example.org")
    return cast


@pytest.fixture
def begun(with_mail, project, paint):
    """A first day has passed: from now on it is told what is new."""
    digest.send_due()
    outbox.outbox.clear()
    tomorrow()
    return with_mail


def tomorrow() -> None:
    """Let all that was asked and sent so far have been so a day earlier."""
    day = dt.timedelta(days=1)
    Seen.objects.update(digest_at=F("digest_at") - day)
    Question.objects.update(created_at=F("created_at") - day)


def letters() -> dict[str, str]:
    """What was sent, by who it was sent to."""
    return {one.to[0].split("@")[0]: one.body for one in outbox.outbox}


def test_the_first_day_tells_nobody_all_that_was_before(with_mail, project, paint):
    assert digest.send_due() == 0
    assert Seen.objects.filter(digest_sequence=Project.objects.get().change_sequence).count() == 4


def test_what_is_new_goes_to_each_member_who_sees_it_without_his_own_doing(begun, project, paint):
    records.create(begun.conservator, project, Space, {"number": "102"})
    assert digest.send_due() == 3
    assert set(letters()) == {"coordinator", "historian", "owner"}
    letter = letters()["owner"]
    assert "Dear Owen Nerr," in letter
    assert "The hall (HALL)" in letter
    assert "paint conservation, space 102: 1 new (space 102)" in letter
    assert outbox.outbox[0].subject == "What is new in The hall"


def test_calls_answers_questions_and_reviews_are_told_in_words(begun, project, paint):
    layer = paint.layers["101-1"][0]
    head = records.create(begun.owner, project, Comment, {**about(layer), "text": "Is it original?"})
    records.create(begun.conservator, project, Comment, {**about(layer), "text": "It is.\nSurely.", "thread": head.pk})
    records.create(begun.historian, project, Comment, {**about(project), "text": "@owner, have you the key?"})
    mine = questions.ask(begun.owner, project, {**about(paint.space), "text": "How old?", "to_discipline": "paint conservation"})
    questions.answer(begun.conservator, project, mine.pk, "From 1838.", [])
    values = {**about(paint.door), "text": "Whose is it?", "to_person": "owner", "needed_by": "2020-05-14"}
    questions.ask(begun.historian, project, values)
    digest.send_due()
    letter = letters()["owner"]
    assert "question 2 of Hester Orian on element 101-DL, needed by 14 May 2020 (overdue): Whose is it?" in letter
    assert "Hester Orian called you on the project: @owner, have you the key?" in letter
    assert "Connie Vator answered in a thread of yours on layer 101-1/1: It is. Surely." in letter
    assert "Connie Vator answered your question 1: From 1838." in letter


def test_it_goes_once_a_day_and_only_when_there_is_something_new(begun, project):
    records.create(begun.conservator, project, Space, {"number": "102"})
    assert digest.send_due() == 3
    records.create(begun.conservator, project, Space, {"number": "103"})
    assert digest.send_due() == 0
    tomorrow()
    assert digest.send_due() == 3
    assert "space 103" in letters()["owner"]
    assert "space 102" not in outbox.outbox[-1].body
    tomorrow()
    assert digest.send_due() == 0


def test_what_one_has_seen_on_the_screen_is_not_told_by_e_mail(begun, project):
    records.create(begun.conservator, project, Space, {"number": "102"})
    now = Project.objects.get()
    seen.mark(begun.owner, now, now.change_sequence)
    assert digest.send_due() == 2
    assert "owner" not in letters()


def test_what_waits_is_not_told_again_each_day_but_when_it_has_become_overdue(begun, project, paint):
    values = {**about(paint.door), "text": "Whose is it?", "to_person": "owner"}
    asked = questions.ask(begun.historian, project, values)
    assert digest.send_due() == 1
    tomorrow()
    assert digest.send_due() == 0
    yesterday = timezone.localdate() - dt.timedelta(days=1)
    questions.reword(begun.historian, project, asked.pk, 1, {"needed_by": str(yesterday)})
    tomorrow()
    assert digest.send_due() == 1
    assert "(overdue)" in letters()["owner"]


@pytest.mark.parametrize("change", [{"daily_digest": False}, {"email": ""}, {"is_active": False}])
def test_who_wants_none_has_no_address_or_no_account_has_none(begun, project, change):
    Person.objects.filter(pk=begun.owner.pk).update(**change)
    records.create(begun.conservator, project, Space, {"number": "102"})
    assert digest.send_due() == 2
    assert "owner" not in letters()


def test_who_has_left_or_is_contractor_or_a_stranger_has_none(begun, project, paint):
    records.create(begun.conservator, project, Comment, {**about(paint.space), "text": "@historian @contractor @stranger, it is secret."})
    member = project.memberships.get(person=begun.historian)
    records.remove_member(begun.coordinator, project, member.pk, member.version)
    digest.send_due()
    assert not {"historian", "contractor", "stranger"} & set(letters())


def test_who_belongs_to_two_projects_has_one_e_mail_and_of_one_that_he_left_no_word(begun, project):
    other = records.create_project(begun.stranger, {"code": "OTHER", "name": "The mill"})
    records.add_member(begun.stranger, other, "owner", "owner", "ownership")
    digest.send_due()
    tomorrow()
    outbox.outbox.clear()
    records.create(begun.conservator, project, Space, {"number": "102"})
    records.create(begun.stranger, other, Space, {"number": "9"})
    digest.send_due()
    assert [one.subject for one in outbox.outbox if one.to == ["owner@example.org"]] == ["What is new in 2 structures"]
    assert "OTHER" not in letters()["historian"]
    member = other.memberships.get(person=begun.owner)
    records.remove_member(begun.stranger, other, member.pk, member.version)
    records.create(begun.stranger, other, Space, {"number": "secret"})
    tomorrow()
    outbox.outbox.clear()
    digest.send_due()
    assert "owner" not in letters() or "mill" not in letters()["owner"]


def test_one_that_did_not_go_out_is_tried_again(begun, project, monkeypatch):
    records.create(begun.conservator, project, Space, {"number": "102"})
    with monkeypatch.context() as broken:
        broken.setattr("surveys.mail.send", lambda *told: False)
        assert digest.send_due() == 0
    assert digest.send_due() == 3


def test_one_that_cannot_be_written_keeps_nobody_elses_back(begun, project, monkeypatch):
    records.create(begun.conservator, project, Space, {"number": "102"})
    real = digest.letter

    def broken(person, found):
        if person == begun.historian:
            raise RuntimeError("broken")
        return real(person, found)

    monkeypatch.setattr(digest, "letter", broken)
    assert digest.send_due() == 2
    assert digest.send_due() == 0
    monkeypatch.undo()
    tomorrow()
    digest.send_due()
    assert "space 102" in letters()["historian"]


def test_a_name_on_two_lines_makes_no_header_of_its_own(begun, project):
    from surveys.records import change_project

    change_project(begun.coordinator, project, 1, {"name": "The hall\nBcc: everybody@example.org"})
    assert digest.send_due() == 3
    assert outbox.outbox[0].subject == "What is new in The hall Bcc: everybody@example.org"
    assert outbox.outbox[0].bcc == []


def test_links_stand_in_it_where_the_address_of_the_program_is_known(begun, project, settings):
    records.create(begun.conservator, project, Space, {"number": "102"})
    settings.SITE_ADDRESS = "https://paint.example.org"
    digest.send_due()
    assert "https://paint.example.org/projects/HALL" in letters()["owner"]
    assert "https://paint.example.org/me" in letters()["owner"]


@pytest.mark.parametrize(("now", "since"), [("2026-05-14T04:59", "2026-05-13T05:00"), ("2026-05-14T05:00", "2026-05-14T05:00")])
def test_it_is_due_from_its_hour_on(settings, now, since):
    settings.DIGEST_HOUR = 5
    moment = lambda text: dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC)  # noqa: E731
    assert digest.due(moment(now)) == moment(since)


def test_the_command_sends_what_is_due_and_says_how_many(begun, project, capsys):
    records.create(begun.conservator, project, Space, {"number": "102"})
    call_command("digest")
    assert capsys.readouterr().out == "3 e-mails sent.\n"


def test_of_many_workers_at_once_one_writes(tmp_path):
    """Four threads on a database of their own, as workers have it."""
    environment = {**os.environ, "UNDERCOAT_DATA": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path}/race.sqlite3"}
    command = [sys.executable, "-m", "tests.surveys.race_of_digests"]
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=True, timeout=120)
    assert done.stdout.split() == ["sent", "1", "by", "4", "workers", "letters", "1"]


@pytest.mark.parametrize(("hour", "faults"), [(0, 0), (23, 0), (24, 1), (-1, 1)])
def test_an_hour_that_no_day_has_is_told_at_the_start(settings, hour, faults):
    settings.DIGEST_HOUR = hour
    assert len(letters_have_an_hour(None)) == faults
