"""Pictures and documents on records: attached, made ready, shown, fetched as they came, refused in words."""

import datetime as dt
import hashlib
import uuid

import numpy
import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile

from surveys import jobs, records
from surveys.models import Attachment, Generation, Job, Microscope, Question, Space
from surveys.work import table
from tests.surveys.api.conftest import BASE, problem, rows
from tests.surveys.pictures import made


@pytest.fixture
def bring(api, django_capture_on_commit_callbacks):
    """Brings a file and attaches it as the conservator; answers the answer."""

    def brought(content: bytes, about, name: str = "section.png", kind: str = "visible micrograph", who: str = "conservator", **more):
        upload = api(who).client.post(f"{BASE}/uploads/", {"file": SimpleUploadedFile(name, content)})
        assert upload.status_code == 201, upload.content
        body = {"about_type": about._meta.model_name, "about_id": str(about.pk), "upload": upload.json()["id"], "kind": kind, **more}
        with django_capture_on_commit_callbacks(execute=True):
            return api(who).post("attachments/", body)

    return brought


def do_jobs(kind: str = "picture") -> list[Job]:
    done = []
    for job in Job.objects.filter(state="queued", kind=kind).order_by("created_at"):
        jobs.run(str(job.pk), "test", table.do)
        job.refresh_from_db()
        done.append(job)
    return done


def test_a_picture_is_attached_and_made_ready(api, bring, paint):
    content = made.png(made.quarters(700, 300))
    answer = bring(content, paint.first, caption="Whole section", magnification="200×", taken_on="2026-05-14")
    assert answer.status_code == 201, answer.content
    row = answer.json()
    told = {
        name: row[name] for name in ("number", "about_name", "name", "size", "sha256", "content_type", "prepared", "colour_state", "bits")
    }
    assert told == {
        "number": 1, "about_name": "101-1", "name": "section.png", "size": len(content), "sha256": hashlib.sha256(content).hexdigest(),
        "content_type": "image/png", "prepared": "waiting", "colour_state": "uncalibrated", "bits": None,
    }  # fmt: skip
    assert row["pictures"] == {"thumbnail": None, "tiles": None}
    assert problem(api("owner").get(f"attachments/{row['id']}/tiles"), 409)["code"] == "waiting"
    (job,) = do_jobs()
    assert (job.state, job.error, job.result["width"], job.created_by.username) == ("done", "", 700, "conservator")
    row = api("owner").get(f"attachments/{row['id']}").json()
    assert (row["prepared"], row["width"], row["height"], row["bits"], row["version"]) == ("ready", 700, 300, 8, 1)
    thumbnail = api("owner").get(row["pictures"]["thumbnail"])
    assert (thumbnail.status_code, thumbnail.headers["Content-Type"]) == (200, "image/jpeg")
    tiles = api("owner").get(row["pictures"]["tiles"]).json()
    assert (tiles["width"], tiles["tile_size"], tiles["overlap"], tiles["format"]) == (700, 512, 0, "jpeg")
    assert tiles["levels"][0] == {"level": 0, "width": 1, "height": 1, "columns": 1, "rows": 1}
    assert tiles["levels"][-1] == {"level": 10, "width": 700, "height": 300, "columns": 2, "rows": 1}
    tile = api("owner").get(tiles["tile"].format(level=10, column=1, row=0))
    assert (tile.status_code, tile.headers["Content-Type"]) == (200, "image/jpeg")
    assert tile.headers["X-Content-Type-Options"] == "nosniff"
    for beyond in ("11/0_0", "10/2_0", "10/0_1", "99999999999999999999/0_0"):
        assert problem(api("owner").get(f"attachments/{row['id']}/tiles/{beyond}"), 404)


def test_the_original_comes_back_as_it_came_to_be_kept_and_not_shown(api, bring, paint):
    content = made.jpeg(exif=made.exif(6)) + b"<script>tail</script>"
    row = bring(content, paint.first, name='../../etc/<b>sec"tion.jpg').json()
    answer = api("owner").get(f"attachments/{row['id']}/original")
    assert b"".join(answer.streaming_content) == content
    assert answer.headers["Content-Disposition"].startswith("attachment;")
    assert ".." not in answer.headers["Content-Disposition"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"].startswith("sandbox")
    assert answer.headers["ETag"] == f'"{hashlib.sha256(content).hexdigest()}"'


REFUSED_AT_ONCE = {
    "a ZIP": (b"PK\x03\x04" + bytes(60), "a ZIP archive"),
    "a page": (b"<!DOCTYPE html><html><script>1</script>", "a web page"),
    "a drawing": (b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'/>", "a vector drawing"),
    "PostScript": (b"%!PS-Adobe-3.0 EPSF-3.0\n", "PostScript"),
    "a GIF": (b"GIF89a" + bytes(20), "a GIF"),
    "a WebP": (b"RIFF\x10\0\0\0WEBPVP8 ", "a WebP picture"),
    "a PDF": (b"%PDF-1.7\n", "a PDF"),
    "text": (b"Space,Element\n", "text"),
    "noise": (bytes(range(1, 200)), "of a kind that is not known"),
}


@pytest.mark.parametrize("what", REFUSED_AT_ONCE)
def test_what_is_no_picture_is_refused_at_once_whatever_it_is_called(bring, paint, what):
    content, words = REFUSED_AT_ONCE[what]
    told = problem(bring(content, paint.first, name="section.tif"), 422)
    assert words in told["detail"]
    assert told["errors"][0]["pointer"] == "/upload"
    assert not Attachment.objects.exists()


def test_a_document_is_kept_for_fetching_only(api, bring, paint):
    row = bring(b"%PDF-1.7\n%more", paint.space, name="letter.pdf", kind="document").json()
    told = {name: row[name] for name in ("content_type", "prepared", "colour_state", "pictures")}
    nothing = {"thumbnail": None, "tiles": None}
    assert told == {"content_type": "application/pdf", "prepared": "ready", "colour_state": "", "pictures": nothing}
    assert not Job.objects.filter(kind="picture").exists()
    assert problem(api("owner").get(f"attachments/{row['id']}/thumbnail"), 404)
    answer = api("conservator").patch(f"attachments/{row['id']}", {"kind": "photograph"}, If_Match='"1"')
    assert "no picture" in problem(answer, 422)["detail"]


@pytest.mark.parametrize("content", [b"GIF89a" + bytes(20), b"\x00\x01\x02\x03"])
def test_a_document_of_an_unknown_kind_is_refused(bring, paint, content):
    assert "A document is brought as" in problem(bring(content, paint.space, name="x.pdf", kind="document"), 422)["detail"]


def test_a_picture_that_cannot_be_opened_says_so_and_can_still_be_fetched(api, bring, paint):
    content = made.jpeg(made.quarters(400, 400))[:-700]
    row = bring(content, paint.first, name="section.jpg").json()
    (job,) = do_jobs()
    assert (job.state, "cut short" in job.error) == ("failed", True)
    row = api("owner").get(f"attachments/{row['id']}").json()
    assert (row["prepared"], row["refusal"], row["pictures"]["tiles"]) == ("refused", job.error, None)
    assert "cut short" in problem(api("owner").get(f"attachments/{row['id']}/tiles"), 404)["detail"]
    assert b"".join(api("owner").get(f"attachments/{row['id']}/original").streaming_content) == content


def test_asked_again_a_picture_is_made_anew_and_the_old_sizes_are_gone(api, bring, paint):
    row = bring(made.png(), paint.first).json()
    do_jobs()
    before = Attachment.objects.get(pk=row["id"]).shown["folder"]
    again = api("conservator").post("jobs/", {"kind": "picture", "params": {"attachment": row["id"]}})
    assert again.status_code == 202
    (job,) = do_jobs()
    assert job.state == "done"
    after = Attachment.objects.get(pk=row["id"]).shown["folder"]
    assert after != before
    assert not default_storage.exists(f"{before}/thumbnail.jpg")
    assert not default_storage.exists(before)
    assert default_storage.exists(f"{after}/thumbnail.jpg")


def test_what_is_shown_is_kept_for_ever_under_its_version_only(api, bring, paint, monkeypatch):
    from surveys.pictures import pyramid

    row = bring(made.png(), paint.first).json()
    do_jobs()
    here = f"attachments/{row['id']}"
    before = api("owner").get(here).json()["pictures"]
    assert before["thumbnail"].partition("?")[2] == before["tiles"].partition("?")[2] != ""
    tiles = api("owner").get(before["tiles"]).json()
    assert before["tiles"].endswith(f"?version={tiles['version']}")
    tile = tiles["tile"].format(level=0, column=0, row=0)
    for address in (before["thumbnail"], tile):
        assert api("owner").get(address).headers["Cache-Control"] == "private, immutable, max-age=31536000"
    # Without a version what is shown now is answered, and not kept for long.
    for address in (f"{here}/thumbnail", f"{here}/tiles/0/0_0"):
        assert api("owner").get(address).headers["Cache-Control"] == "private, max-age=3600"
    # Made anew alike, it has the same addresses.
    remake(api, row)
    assert api("owner").get(here).json()["pictures"] == before
    # What another version of the program makes has others, and is never answered in place of what was.
    monkeypatch.setattr(pyramid, "VERSION", "2")
    assert api("owner").get(here).json()["pictures"] == before
    remake(api, row)
    after = api("owner").get(here).json()["pictures"]
    assert after["thumbnail"] != before["thumbnail"]
    assert api("owner").get(after["thumbnail"]).status_code == 200
    for address in (before["thumbnail"], before["tiles"], tile):
        assert "was made anew since" in problem(api("owner").get(address), 404)["detail"]
    other = bring(made.png(made.quarters(70, 40)), paint.first).json()
    do_jobs()
    assert api("owner").get(f"attachments/{other['id']}").json()["pictures"]["tiles"].partition("?")[2] != after["tiles"].partition("?")[2]


def remake(api, row):
    assert api("conservator").post("jobs/", {"kind": "picture", "params": {"attachment": row["id"]}}).status_code == 202
    assert [job.state for job in do_jobs()] == ["done"]


def test_whoever_cuts_tiles_otherwise_gives_them_another_version():
    from surveys.pictures import child, pyramid

    told = (child.TILE, child.QUALITY, child.THUMBNAIL, pyramid.VERSION)
    assert told == (512, 90, 320, "1"), "What is cut otherwise needs another pyramid.VERSION; then write both here."


@pytest.mark.parametrize("way", ["disk", "program", "person", "worker", "gone"])
def test_a_picture_that_could_not_be_made_ready_says_so_and_is_asked_for_again(api, bring, cast, project, paint, monkeypatch, way):
    import errno

    from surveys.work import pictures

    row = bring(made.png(), paint.first).json()
    here = f"attachments/{row['id']}"
    assert api("owner").get(here).json()["troubles"] == []
    (queued,) = Job.objects.filter(kind="picture")
    words = {
        "disk": "The disk is full", "program": "Something went wrong in the program", "person": "Stopped before it began",
        "worker": "ended its worker 3 times", "gone": "is missing from where it is kept",
    }[way]  # fmt: skip
    with monkeypatch.context() as patch:
        if way in ("disk", "program"):
            fault = OSError(errno.ENOSPC, "No space left on device") if way == "disk" else RuntimeError("a bug")

            def failed(*given):
                raise fault

            patch.setattr(pictures, "_keep", failed)
        if way == "person":
            jobs.cancel(cast.conservator, project, queued.pk)
        if way == "worker":
            Job.objects.update(attempt=3)
            jobs.sweep()
        if way == "gone":
            path = Attachment.objects.get().upload.file.name
            content = default_storage.open(path).read()
            default_storage.delete(path)
        do_jobs()
    told = api("owner").get(here).json()
    assert (told["prepared"], [one["kind"] for one in told["troubles"]]) == ("waiting", ["picture"])
    assert told["troubles"][0]["sentence"].startswith("It is not made ready to be shown. ")
    assert words in told["troubles"][0]["sentence"]
    assert words in problem(api("owner").get(f"{here}/tiles"), 409)["detail"]
    assert words in rows(api("owner").get("attachments/"))[0]["troubles"][0]["sentence"]
    if way == "gone":
        from django.core.files.base import ContentFile

        default_storage.save(path, ContentFile(content))
    again = api("conservator").post("jobs/", {"kind": told["troubles"][0]["kind"], "params": {"attachment": row["id"]}})
    assert again.status_code == 202
    assert api("owner").get(here).json()["troubles"] == []
    do_jobs()
    told = api("owner").get(here).json()
    assert (told["prepared"], told["troubles"]) == ("ready", [])


def test_a_picture_for_which_no_job_was_ever_asked_says_that_nothing_is_under_way(api, bring, paint):
    row = bring(made.png(), paint.first).json()
    assert row["troubles"] == []
    Job.objects.all().delete()
    Attachment.objects.update(created_at=Attachment.objects.get().created_at - dt.timedelta(minutes=5))
    (trouble,) = api("owner").get(f"attachments/{row['id']}").json()["troubles"]
    assert trouble["sentence"] == "It is not made ready to be shown, and nothing is under way. Ask for it again."


def test_a_target_whose_colours_could_not_be_measured_says_so_on_its_picture(api, bring, paint, django_capture_on_commit_callbacks):
    row = bring(made.png(numpy.zeros((40, 60, 3), numpy.uint8)), paint.first).json()
    do_jobs()
    # Black all over: no light to measure by.
    target = {"target": "grey card", "patches": [{"box": [5, 5, 20, 20]}]}
    with django_capture_on_commit_callbacks(execute=True):
        told = api("conservator").patch(f"attachments/{row['id']}", {"colour_target": target}, If_Match='"1"')
    assert told.status_code == 200, told.content
    assert api("owner").get(f"attachments/{row['id']}").json()["troubles"] == []
    (job,) = do_jobs("picture-colour")
    assert job.state == "failed"
    now = api("owner").get(f"attachments/{row['id']}").json()
    assert now["troubles"] == [{"kind": "picture-colour", "sentence": f"Its colours are not measured by its target. {job.error}"}]
    assert now["colour_state"] == "uncalibrated"
    with django_capture_on_commit_callbacks(execute=True):
        api("conservator").patch(f"attachments/{row['id']}", {"colour_target": None}, If_Match='"2"')
    assert api("owner").get(f"attachments/{row['id']}").json()["troubles"] == []


def test_what_is_said_of_waiting_pictures_costs_one_query_however_many_wait(api, bring, paint):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for _ in range(2):
        bring(made.png(), paint.first)
        api("owner").get("attachments/")
        with CaptureQueriesContext(connection) as caught:
            rows(api("owner").get("attachments/"))
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_a_full_disk_is_told_and_leaves_nothing_half_done(api, bring, paint, monkeypatch):
    import errno

    row = bring(made.png(made.quarters(1400, 900)), paint.first).json()
    save, kept = default_storage.save, []

    def full(name, content, **options):
        if len(kept) == 5:
            raise OSError(errno.ENOSPC, "No space left on device")
        kept.append(save(name, content, **options))
        return kept[-1]

    monkeypatch.setattr(default_storage._wrapped if hasattr(default_storage, "_wrapped") else default_storage, "save", full)
    (job,) = do_jobs()
    assert (job.state, "The disk is full" in job.error) == ("failed", True)
    assert len(kept) == 5
    assert not any(default_storage.exists(path) for path in kept)
    assert api("owner").get(f"attachments/{row['id']}").json()["prepared"] == "waiting"


def test_a_picture_that_goes_while_it_is_made_ready_leaves_nothing_behind(bring, cast, project, paint, monkeypatch):
    from surveys.work import pictures

    row = bring(made.png(), paint.first).json()
    keep = pictures._keep

    def removed_meanwhile(*given):
        keep(*given)
        records.remove(cast.coordinator, project, Attachment, row["id"], 1)

    monkeypatch.setattr(pictures, "_keep", removed_meanwhile)
    (job,) = do_jobs()
    assert (job.state, job.error) == ("failed", "Attachment 1 was removed meanwhile.")
    assert not default_storage.exists(f"pictures/{row['id']}/{job.pk}-1/thumbnail.jpg")


def test_the_file_stays_and_what_it_is_about_must_be_there(api, bring, cast, project, paint):
    row = bring(made.png(), paint.first).json()
    other = jobs.upload(cast.conservator, project, "other.png", made.png())
    answer = api("conservator").patch(f"attachments/{row['id']}", {"upload": str(other.pk)}, If_Match='"1"')
    assert problem(answer, 422)["errors"][0]["code"] == "fixed"
    body = {"about_type": "sample", "about_id": str(uuid.uuid4()), "upload": str(other.pk), "kind": "photograph"}
    assert problem(api("conservator").post("attachments/", body), 422)["errors"][0]["pointer"] == "/about_id"
    moved = api("conservator").patch(f"attachments/{row['id']}", {"about_id": str(paint.second.pk), "caption": "x"}, If_Match='"1"')
    assert (moved.status_code, moved.json()["about_name"]) == (200, "101-2")


def test_the_fields_that_follow_from_the_file_cannot_be_set(api, bring, paint):
    row = bring(made.png(), paint.first).json()
    for name, value in (("scale_by", "stated"), ("prepared", "ready"), ("content_type", "text/html"), ("width", 5), ("sha256", "0" * 64)):
        assert problem(api("conservator").patch(f"attachments/{row['id']}", {name: value}, If_Match='"1"'), 400), name


def test_a_file_of_another_project_cannot_be_attached_nor_seen(api, cast, paint, bring):
    elsewhere = records.create_project(cast.stranger, {"code": "ELSE", "name": "Elsewhere"})
    theirs = jobs.upload(cast.stranger, elsewhere, "theirs.png", made.png())
    body = {"about_type": "sample", "about_id": str(paint.first.pk), "upload": str(theirs.pk), "kind": "photograph"}
    assert problem(api("conservator").post("attachments/", body), 422)["errors"][0]["pointer"] == "/upload"
    row = bring(made.png(), paint.first).json()
    do_jobs()
    for path in ("", "/original", "/thumbnail", "/tiles", "/tiles/0/0_0"):
        for who in ("stranger", "contractor"):
            assert problem(api(who).get(f"attachments/{row['id']}{path}"), 404)
        assert problem(api("stranger").get(f"/api/v1/projects/ELSE/attachments/{row['id']}{path}"), 404)


def test_pictures_of_a_sample_and_of_its_layers_are_found_by_the_sample(api, bring, paint):
    on_sample = bring(made.png(), paint.first).json()["number"]
    on_layer = bring(made.jpeg(), paint.layers["101-1"][1]).json()["number"]
    bring(made.png(), paint.second)
    found = rows(api("owner").get(f"attachments/?sample={paint.first.pk}"))
    assert {row["number"] for row in found} == {on_sample, on_layer}
    assert {row["about_name"] for row in found} == {"101-1", "101-1/2"}
    assert len(rows(api("owner").get("attachments/?about_type=sample"))) == 2
    assert len(rows(api("owner").get("attachments/?prepared=waiting&kind=visible%20micrograph"))) == 3


def test_a_list_costs_the_same_number_of_queries_however_long(api, bring, paint, django_assert_num_queries, cast, project):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    scope = records.create(cast.conservator, project, Microscope, {"name": "Lab", "magnification": "200×", "um_per_pixel": 0.5})
    bring(made.png(), paint.first, microscope=str(scope.pk))
    with CaptureQueriesContext(
        connection,
    ) as one:
        rows(api("owner").get("attachments/"))
    for about in (paint.first, paint.second, *paint.layers["101-1"], paint.space):
        bring(made.png(), about)
    api("owner").get("attachments/")
    with CaptureQueriesContext(connection) as many:
        found = rows(api("owner").get("attachments/?about_type=sample"))
    assert len(found) == 3
    assert len(many) == len(one)


# -- what hangs on what ----------------------------------------------------------------------------------------------------------------


def test_pictures_go_with_what_they_are_on_and_come_back_to_be_made_ready(
    api, bring, cast, project, paint, django_capture_on_commit_callbacks
):
    row = bring(made.png(), paint.layers["101-1"][0]).json()
    other = bring(made.png(), paint.first).json()
    do_jobs()
    paint.first.refresh_from_db()
    answer = api("coordinator").delete(f"samples/{paint.first.pk}", If_Match=f'"{paint.first.version}"')
    assert answer.status_code == 204, answer.content
    assert not Attachment.objects.exists()
    act = api("coordinator").get("removed/").json()["acts"][0]
    assert {one["type"]: one["count"] for one in act["counts"]}["attachment"] == 2
    with django_capture_on_commit_callbacks(execute=True):
        back = api("coordinator").post("restorations/", {"act": act["act"]})
    assert back.status_code == 200, back.content
    assert {one["collection"] for one in back.json()["restored"]} >= {"attachments", "samples", "layers"}
    assert {str(one.pk): one.prepared for one in Attachment.objects.all()} == {row["id"]: "waiting", other["id"]: "waiting"}
    assert [job.state for job in do_jobs()] == ["done", "done"]
    row = api("owner").get(f"attachments/{row['id']}").json()
    assert (row["prepared"], row["number"]) == ("ready", 1)


def test_a_removed_layer_takes_its_pictures_and_the_stack_closes_up(api, bring, paint):
    layer = paint.layers["101-1"][0]
    bring(made.png(), layer)
    layer.refresh_from_db()
    assert api("conservator").delete(f"layers/{layer.pk}", If_Match=f'"{layer.version}"').status_code == 204
    assert not Attachment.objects.exists()
    assert [one["position"] for one in rows(api("owner").get(f"layers/?sample={paint.first.pk}"))] == [1, 2]


def test_a_picture_cannot_come_back_to_what_is_gone(api, bring, cast, project):
    space = records.create(cast.conservator, project, Space, {"number": "9"})
    row = bring(made.png(), space).json()
    assert api("conservator").delete(f"attachments/{row['id']}", If_Match='"1"').status_code == 204
    act = api("coordinator").get("removed/").json()["acts"][0]["act"]
    assert api("conservator").delete(f"spaces/{space.pk}", If_Match='"1"').status_code == 204
    assert "the space that it is about is gone" in problem(api("coordinator").post("restorations/", {"act": act}), 409)["detail"]


def test_a_picture_whose_colours_another_uses_stays(api, bring, paint):
    target = {"target": "grey card", "patches": [{"box": [0, 0, 20, 20]}]}
    card = bring(made.png(), paint.space, kind="photograph", colour_target=target)
    assert card.status_code == 201, card.content
    card = card.json()
    other = bring(made.png(), paint.first, colour_from=card["id"])
    assert other.status_code == 201, other.content
    assert "attachment 2 refers to it" in problem(api("conservator").delete(f"attachments/{card['id']}", If_Match='"1"'), 409)["detail"]


def test_pictures_of_a_generation_are_carried_over_when_it_becomes_part_of_another(bring, cast, project, paint):
    keep, gone = (records.create(cast.conservator, project, Generation, {"space": paint.space.pk}) for _ in range(2))
    row = bring(made.png(), gone, kind="photograph").json()
    keep.refresh_from_db()
    gone.refresh_from_db()
    records.join(cast.conservator, project, keep.pk, keep.version, gone.pk, gone.version)
    assert Attachment.objects.get(pk=row["id"]).about_id == keep.pk


def test_pictures_on_a_question_go_with_it_and_with_what_it_is_about_and_come_back(api, bring, cast, project):
    space = records.create(cast.conservator, project, Space, {"number": "9"})
    asked = {"about_type": "space", "about_id": str(space.pk), "text": "Which?", "to_discipline": "archaeology"}
    question = Question.objects.get(pk=api("conservator").post("questions/", asked).json()["id"])
    row = bring(made.png(), question, kind="photograph").json()
    assert api("conservator").delete(f"spaces/{space.pk}", If_Match='"1"').status_code == 204
    assert (Attachment.objects.count(), Question.objects.count()) == (0, 0)
    act = api("coordinator").get("removed/").json()["acts"][0]["act"]
    assert api("coordinator").post("restorations/", {"act": act}).status_code == 200
    assert Attachment.objects.get(pk=row["id"]).about_id == question.pk


def test_a_number_is_not_used_again(api, bring, paint):
    row = bring(made.png(), paint.first).json()
    api("conservator").delete(f"attachments/{row['id']}", If_Match='"1"')
    assert bring(made.png(), paint.first).json()["number"] == 2


def test_an_owner_attaches_nothing(api, bring, cast, project, paint):
    upload = jobs.upload(cast.conservator, project, "x.png", made.png())
    body = {"about_type": "sample", "about_id": str(paint.first.pk), "upload": str(upload.pk), "kind": "photograph"}
    assert problem(api("owner").post("attachments/", body), 403)
    assert problem(api("owner").post("jobs/", {"kind": "picture", "params": {"attachment": str(uuid.uuid4())}}), 403)
    assert problem(api("conservator").post("jobs/", {"kind": "picture", "params": {"attachment": str(uuid.uuid4())}}), 404)


# -- tidying ---------------------------------------------------------------------------------------------------------------------------


def test_what_was_made_of_a_picture_goes_once_it_is_gone_or_made_anew(api, bring, paint):
    from django.core.files.base import ContentFile

    from surveys.work import pictures

    stays, goes, waits = (bring(made.png(), paint.first).json()["id"] for _ in range(3))
    do_jobs()
    kept = Attachment.objects.get(pk=stays).shown["folder"]
    # What a worker left that was killed: beside what is shown, and of a picture whose job is under way.
    for left in (f"pictures/{stays}/{uuid.uuid4()}-1/3/0_0.jpg", f"pictures/{waits}/{uuid.uuid4()}-1/3/0_0.jpg"):
        default_storage.save(left, ContentFile(b"x"))
    assert api("conservator").post("jobs/", {"kind": "picture", "params": {"attachment": waits}}).status_code == 202
    assert api("conservator").delete(f"attachments/{goes}", If_Match='"1"').status_code == 204
    assert pictures.tidy() >= 2
    assert default_storage.listdir(f"pictures/{stays}")[0] == [kept.rpartition("/")[2]]
    assert default_storage.exists(f"{kept}/thumbnail.jpg")
    assert not default_storage.exists(f"pictures/{goes}")
    assert len(default_storage.listdir(f"pictures/{waits}")[0]) == 2
    assert pictures.tidy() == 0
