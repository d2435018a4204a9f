"""An archive brought elsewhere is the same project: every record, every reference, every line of history, every file."""

import io
import json

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client

from surveys import archives, jobs, records
from surveys.archives import layout
from surveys.errors import Conflict, Forbidden, NotFound
from surveys.models import (
    Attachment,
    Change,
    Comment,
    Interpretation,
    Invitation,
    Job,
    Layer,
    Membership,
    Mention,
    Person,
    Project,
    Question,
    Record,
    Ruling,
    Sample,
    ScheduleIssue,
    Space,
    Upload,
)
from surveys.work import table
from tests.surveys.archives.conftest import altered, bring, pack, parts, quiet, rows
from tests.surveys.pictures import made

FROM_ELSEWHERE = ("COPY", "HALL")


def names_for_ids(content: bytes) -> dict[str, list]:
    """All rows of an archive with its ids replaced by the order in which they are first met, so that two installations compare."""
    told = json.loads(parts(content)["manifest.json"])
    seen: dict[str, str] = {told["project"]["id"]: "the project"}

    def plain(value):
        if isinstance(value, dict):
            return {key: plain(one) for key, one in value.items()}
        if isinstance(value, list):
            return [plain(one) for one in value]
        if isinstance(value, str) and len(value) == 36 and value.count("-") == 4:
            return seen.setdefault(value, f"id {len(seen)}")
        return value

    found = {}
    for path in (*(f"records/{name}.jsonl" for name in layout.KINDS), layout.UPLOADS, layout.PEOPLE):
        found[path] = [plain(row) for row in rows(content, path)]
    # What this installation did to it: the two lines of its beginning, and the one that says that it was brought.
    history = [
        row for row in rows(content, layout.HISTORY) if not (row["action"] == "changed" and row["reason"].startswith("Brought from"))
    ]
    found[layout.HISTORY] = [plain({**row, "sequence": None}) for row in history]
    return found


def records_of(project: Project) -> dict[str, int]:
    return {name: model._default_manager.filter(project=project).count() for name, model in layout.KINDS.items()}


def test_every_kind_of_record_is_in_an_archive_or_stays_behind_for_a_stated_reason():
    kinds = {kind for model in Record.__subclasses__() for kind in [model, *model.__subclasses__()] if not kind._meta.abstract}
    assert {kind._meta.model_name for kind in kinds} == set(layout.KINDS) | set(layout.LEFT_BEHIND)
    assert set(layout.LEFT_BEHIND) == {Invitation._meta.model_name}


def test_the_fixture_has_one_of_every_kind(full):
    assert all(records_of(full).values())


def test_the_same_record_gives_the_same_bytes(cast, full):
    assert pack(cast.coordinator, full) == pack(cast.coordinator, full)


def test_an_archive_brought_to_an_empty_installation_is_the_same_project_with_the_same_ids(cast, full):
    """Elsewhere is this database after everything of the project is gone from it, history and all."""
    content = pack(cast.coordinator, full)
    counts, layers = records_of(full), set(Layer.objects.values_list("pk", flat=True))
    lines = list(
        Change.objects.order_by("sequence").values("record_type", "record_id", "action", "fields", "act", "at", "actor", "version")
    )
    _forget_everything()
    copy, told = bring(cast.coordinator, content)
    assert (told["ids"], told["strangers"]) == ("kept", [])
    assert records_of(copy) == counts
    assert set(Layer.objects.values_list("pk", flat=True)) == layers
    brought = Change.objects.filter(project=copy, sequence__gt=2).order_by("sequence")
    found = list(brought.values("record_type", "record_id", "action", "fields", "act", "at", "actor", "version"))[:-1]
    assert [_of_copy(line, full, copy) for line in lines] == found
    again = names_for_ids(pack(cast.coordinator, copy))
    before = names_for_ids(content)
    # Who brings it is its coordinator already, by a membership of this installation.
    for path in before:
        if path not in ("records/membership.jsonl", "records/scheduleissue.jsonl", layout.HISTORY):
            assert again[path] == before[path], path
    # The history begins two lines later here, and so does the line of it that the issue rested on.
    (issue,), (issued,) = again["records/scheduleissue.jsonl"], before["records/scheduleissue.jsonl"]
    issued["basis"]["sequence"] += 2
    assert issue == issued


def _of_copy(line: dict, project: Project, copy: Project) -> dict:
    """A line of history in which the project that it speaks of is the one that it has become."""
    fields = {name: [str(copy.pk) if one == str(project.pk) else one for one in pair] for name, pair in line["fields"].items()}
    return line | {"fields": fields, "record_id": copy.pk if line["record_type"] == "project" else line["record_id"]}


def _forget_everything() -> None:
    """Empty the tables of records, as no code of the program could."""
    tables = [model._meta.db_table for model in (Mention, *reversed(list(layout.KINDS.values())), Change, Job, Upload, Project)]
    with connection.constraint_checks_disabled(), connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(table)}")


def test_an_archive_brought_beside_the_project_gets_new_ids_everywhere(cast, full):
    content = pack(cast.coordinator, full)
    copy, told = bring(cast.coordinator, content)
    assert told["ids"] == "new"
    assert {name: many for name, many in records_of(copy).items() if name != "membership"} == {
        name: many for name, many in records_of(full).items() if name != "membership"
    }
    old = {row["id"] for name in layout.KINDS for row in rows(content, f"records/{name}.jsonl")}
    new = pack(cast.coordinator, copy)
    text = b"".join(body for path, body in parts(new).items() if path.endswith(".jsonl") and path != layout.PEOPLE).decode()
    assert [one for one in old if one in text] == []


def test_what_is_named_by_id_alone_is_found_again_under_its_new_id(cast, full):
    copy, _ = bring(cast.coordinator, pack(cast.coordinator, full))
    question = Question.objects.get(project=copy)
    assert str(Layer.objects.get(project=copy, pk=question.about_id)) == "101-1/2"
    assert [one["id"] for one in question.answer_records] == [str(copy.evidences.get().pk)]
    assert {comment.about_id for comment in Comment.objects.filter(project=copy)} == {copy.pk}
    issue = ScheduleIssue.objects.get(project=copy)
    assert issue.content["rows"][0]["element"] == str(copy.elements.get(code="101-DL").pk)
    assert Layer.objects.filter(project=copy, pk=next(iter(issue.basis["layer"]))).exists()
    assert [one.person for one in Mention.objects.filter(comment__project=copy)] == [cast.owner]
    finding = Interpretation.objects.get(project=copy, number=2)
    assert (finding.supersedes.project, finding.supersedes.state, finding.supersedes.state_by) == (copy, "agreed", cast.coordinator)


def test_what_was_removed_before_can_be_brought_back_in_the_copy(cast, full):
    copy, _ = bring(cast.coordinator, pack(cast.coordinator, full))
    line = Change.objects.get(project=copy, action="removed", record_type="sample")
    records.restore(cast.coordinator, copy, line.act)
    assert Sample.objects.get(project=copy, number="gone").element.project == copy


def test_the_copy_says_where_it_came_from_and_goes_on_from_there(cast, full):
    copy, told = bring(cast.coordinator, pack(cast.coordinator, full))
    last = Change.objects.filter(project=copy).order_by("sequence").last()
    assert (last.reason, last.actor, last.fields) == ("Brought from an archive of HALL.", cast.coordinator, {"code": ["HALL", "COPY"]})
    sequences = list(Change.objects.filter(project=copy).order_by("sequence").values_list("sequence", flat=True))
    assert sequences == list(range(1, told["changes"] + 4))
    made = records.create(cast.coordinator, copy, Space, {"number": "102"})
    assert Change.objects.get(record_id=made.pk).sequence == sequences[-1] + 1


def test_files_come_along_and_are_what_they_were(cast, full):
    copy, told = bring(cast.coordinator, pack(cast.coordinator, full, outputs=True))
    brought = {one.name: one.file.open("rb").read() for one in Upload.objects.filter(project=copy)}
    assert brought == {"survey.xlsx": b"not really a workbook", "visible.png": made.png() + b"visible", "UV.png": made.png() + b"UV"}
    (issued,) = ScheduleIssue.objects.get(project=copy).files
    assert default_storage.open(issued["path"]).read() == b"Space,Finish\n101,green\n"
    (paper,) = Job.objects.get(project=copy).files
    assert default_storage.open(paper["path"]).read() == b"registers"
    assert told["files"] == 4


def test_pictures_come_along_with_their_files_and_what_is_shown_of_them_is_made_anew(cast, full, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        copy, _ = bring(cast.coordinator, pack(cast.coordinator, full))
    visible, other = Attachment.objects.filter(project=copy).order_by("number")
    sample = Sample.objects.get(project=copy, number="101-1")
    assert (visible.about_type, visible.about_id, visible.upload.name) == ("sample", sample.pk, "visible.png")
    assert (visible.prepared, visible.shown, visible.scale_line["length_um"]) == ("waiting", {}, 100.0)
    assert (other.colour_from, other.microscope.name, other.registered_on.get().fixed) == (visible, "Lab 1", visible)
    asked = Job.objects.filter(project=copy, kind="picture")
    assert {job.params["attachment"] for job in asked} == {str(visible.pk), str(other.pk)}
    for job in asked:
        jobs.run(str(job.pk), "test", table.do)
    visible.refresh_from_db()
    assert (visible.prepared, default_storage.exists(f"{visible.shown['folder']}/thumbnail.jpg")) == ("ready", True)
    line = visible.traverses.get()
    assert line.reading["pictures"] == [str(visible.pk), str(other.pk)]
    assert (line.boundaries, line.measurements.get().layer.sample) == ([40.0, 90.5], sample)


def test_papers_stay_behind_unless_they_are_asked_for(cast, full):
    copy, _ = bring(cast.coordinator, pack(cast.coordinator, full))
    assert not Job.objects.filter(project=copy).exists()


def test_somebody_of_another_installation_stands_in_the_copy_and_cannot_sign_in(cast, full):
    content = altered(pack(cast.coordinator, full), layout.PEOPLE, lambda people: people[2].update(name="Somebody Else"))
    username = rows(content, layout.PEOPLE)[2]["username"]
    copy, told = bring(cast.coordinator, content)
    stand_in = Person.objects.get(name="Somebody Else")
    assert told["strangers"] == ["Somebody Else"]
    assert (stand_in.username, stand_in.is_active, stand_in.has_usable_password()) == (f"{username}+COPY", False, False)
    assert Membership.objects.filter(project=copy, person=stand_in).exists()
    # Packed again, the person bears the name that he has at home.
    assert {"username": username, "name": "Somebody Else"} in rows(pack(cast.coordinator, copy), layout.PEOPLE)


def test_only_a_coordinator_archives(cast, full):
    for who, refusal in ((cast.conservator, Forbidden), (cast.owner, Forbidden), (cast.contractor, NotFound), (cast.stranger, NotFound)):
        with pytest.raises(refusal):
            pack(who, full)
        with pytest.raises(refusal):
            jobs.ask(who, full, "archive", {})


def test_an_archive_is_refused_by_a_project_that_holds_anything(cast, full):
    with pytest.raises(Conflict, match="holds nothing yet"):
        archives.bring(cast.coordinator, full, "hall.zip", io.BytesIO(pack(cast.coordinator, full)), quiet)


def test_a_missing_file_is_told_instead_of_left_out(cast, full):
    default_storage.delete(Upload.objects.get(project=full, name="survey.xlsx").file.name)
    with pytest.raises(Conflict, match=r"survey\.xlsx of this project is missing"):
        pack(cast.coordinator, full)


def test_the_jobs_archive_and_bring(cast, full):
    job = jobs.ask(cast.coordinator, full, "archive", {"outputs": True})
    jobs.run(str(job.pk), "test", table.do)
    job.refresh_from_db()
    assert (job.state, job.error) == ("done", "")
    assert jobs.ask(cast.coordinator, full, "archive", {"outputs": True}).pk == job.pk
    copy = records.create_project(cast.coordinator, {"code": "COPY", "name": "To be filled"})
    kept = jobs.upload(cast.coordinator, copy, "hall.zip", default_storage.open(job.files[0]["path"]).read())
    bringing = jobs.ask(cast.coordinator, copy, "import-archive", {"upload": str(kept.pk)})
    jobs.run(str(bringing.pk), "test", table.do)
    bringing.refresh_from_db()
    assert (bringing.state, bringing.error) == ("done", "")
    assert Ruling.objects.filter(project=copy).count() == 2


def test_an_archive_is_made_anew_when_the_record_has_changed(cast, full):
    job = jobs.ask(cast.coordinator, full, "archive", {})
    jobs.run(str(job.pk), "test", table.do)
    records.create(cast.conservator, full, Space, {"number": "102"})
    assert jobs.ask(cast.coordinator, full, "archive", {}).pk != job.pk


def test_the_commands_archive_and_unarchive(cast, full, tmp_path, capsys):
    out = tmp_path / "hall.zip"
    call_command("archive", project="HALL", out=out)
    call_command("unarchive", str(out), code="THERE")
    there = Project.objects.get(code="THERE")
    assert (there.name, Layer.objects.filter(project=there).count()) == ("The hall", 6)
    assert "ids new" in capsys.readouterr().out
    with pytest.raises(CommandError, match="already"):
        call_command("unarchive", str(out), code="there")
    out.write_bytes(b"PK no archive")
    with pytest.raises(CommandError, match="damaged"):
        call_command("unarchive", str(out), code="OTHER")
    assert not Project.objects.filter(code="OTHER").exists()


def test_an_archive_is_fetched_by_a_coordinator_only_though_everybody_sees_the_job(cast, full):
    job = jobs.ask(cast.coordinator, full, "archive", {})
    jobs.run(str(job.pk), "test", table.do)
    address = f"/api/v1/projects/HALL/jobs/{job.pk}"
    answers = {}
    for who in ("coordinator", "conservator", "owner", "contractor", "stranger"):
        client = Client()
        client.force_login(cast[who])
        answers[who] = (client.get(address).status_code, client.get(f"{address}/files/HALL archive.zip").status_code)
    assert answers == {
        "coordinator": (200, 200),
        "conservator": (200, 403),
        "owner": (200, 403),
        "contractor": (404, 404),
        "stranger": (404, 404),
    }
