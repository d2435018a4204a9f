"""Files brought, jobs asked for, files that jobs make, and results."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from analysis.core import vocabulary
from surveys import jobs
from surveys.api.files import with_charset
from surveys.models import Job, Upload
from tests.surveys.api.conftest import BASE, problem


def bring(api, name="register.xlsx", content=b"PK", field="file", **more):
    return api.client.post(f"{BASE}/uploads/", {field: SimpleUploadedFile(name, content), **more})


def test_a_file_is_kept_as_it_came(api, project):
    answer = bring(api("historian"), "Käse & Co/../x.xlsx", b"content")
    assert answer.status_code == 201
    told = answer.json()
    assert (told["size"], told["created_by"]) == (7, "Hester Orian")
    assert Upload.objects.get().file.read() == b"content"
    assert api("owner").get(answer.headers["Location"]).json() == told
    assert api("owner").get("uploads/").json()["results"] == [told]


def test_owner_cannot_bring_a_file(api, project):
    problem(bring(api("owner")), 403)
    assert not Upload.objects.exists()


def test_a_file_over_the_limit_is_refused_with_the_limit(api, project, settings):
    settings.UPLOAD_MAX_BYTES = 1024 * 1024
    assert bring(api("historian"), content=b"x" * 1024 * 1024).status_code == 201
    for size in (1024 * 1024 + 1, 3 * 1024 * 1024):
        assert "1 MB" in problem(bring(api("historian"), content=b"x" * size), 413)["detail"]
    assert Upload.objects.count() == 1


def test_what_is_no_file_is_refused(api, project):
    problem(bring(api("historian"), field="document"), 422)
    problem(bring(api("historian"), also="this"), 422)
    problem(api("historian").client.post(f"{BASE}/uploads/", {"file": "text"}), 422)
    problem(api("historian").client.post(f"{BASE}/uploads/", {}), 422)
    problem(api("historian").post("uploads/", {"file": "x"}), 415)
    broken = api("historian").client.generic("POST", f"{BASE}/uploads/", b"--x", content_type="multipart/form-data; boundary=y")
    assert broken.status_code in (400, 422)


def test_a_job_is_accepted_and_an_identical_one_answered_instead(api, project):
    first = api("conservator").post("jobs/", {"kind": "date"})
    assert first.status_code == 202
    told = first.json()
    assert (told["state"], told["progress"]) == ("queued", {"done": 0, "total": 0, "now": ""})
    assert api("owner").get(first.headers["Location"]).json() == told
    again = api("historian").post("jobs/", {"kind": "date", "params": {}})
    assert (again.status_code, again.json()["id"]) == (200, told["id"])


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"kind": "juggle"}, 422),
        ({"kind": "chart", "params": {"space": "101"}}, 422),
        ({"kind": "chart", "params": {"space": "101", "format": ["svg"]}}, 422),
        ({"kind": "chart", "params": {"space": "nowhere", "format": "svg"}}, 404),
        ({"kind": "date", "params": []}, 422),
        ({"params": {}}, 422),
        ({"kind": "date", "colour": "red"}, 400),
    ],
)
def test_a_job_that_cannot_be_is_refused(api, paint, body, status):
    problem(api("conservator").post("jobs/", body), status)
    assert not Job.objects.exists()


def test_an_owner_may_export_and_not_compute(api, paint):
    problem(api("owner").post("jobs/", {"kind": "date"}), 403)
    assert api("owner").post("jobs/", {"kind": "registers"}).status_code == 202


@pytest.mark.parametrize("method", ["POST", "DELETE"])
def test_a_job_is_stopped_by_who_asked_or_a_coordinator(api, project, method):
    job = api("conservator").post("jobs/", {"kind": "date"}).json()
    path = f"jobs/{job['id']}/cancel" if method == "POST" else f"jobs/{job['id']}"
    problem(api("historian").send(method, path), 403)
    assert api("coordinator").send(method, path).json()["state"] == "cancelled"
    problem(api("conservator").send(method, path), 409)


@pytest.fixture
def finished(cast, project):
    """A job that made two files, one with a name that no header bears as it is."""
    job = jobs.ask(cast.conservator, project, "registers", {})
    files = [
        jobs.keep_file(job, 'Räume "1".xlsx', "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", b"PK"),
        jobs.keep_file(job, "chart.svg", "image/svg+xml", b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"),
    ]
    Job.objects.filter(pk=job.pk).update(state="done", files=files, result={"rows": 3})
    return job


def test_the_files_of_a_job_are_told_with_addresses_that_answer(api, finished):
    told = api("owner").get(f"jobs/{finished.pk}").json()
    assert (told["state"], told["result"]) == ("done", {"rows": 3})
    assert [set(file) for file in told["files"]] == [{"name", "size", "sha256", "content_type", "url"}] * 2
    for file in told["files"]:
        answer = api("owner").get(file["url"])
        assert (answer.status_code, len(b"".join(answer.streaming_content))) == (200, file["size"])
        said = "; charset=utf-8" if file["name"] == "chart.svg" else ""
        assert answer.headers["Content-Type"] == file["content_type"] + said


def test_a_file_is_given_to_be_kept_and_never_to_be_run(api, finished):
    table, drawing = (api("owner").get(file["url"]) for file in api("owner").get(f"jobs/{finished.pk}").json()["files"])
    assert table.headers["Content-Disposition"] == "attachment; filename*=utf-8''R%C3%A4ume%20%221%22.xlsx"
    assert drawing.headers["Content-Disposition"] == 'attachment; filename="chart.svg"'
    for answer in (table, drawing):
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Security-Policy"].startswith("sandbox; default-src 'none'")


@pytest.mark.parametrize(
    ("content_type", "said"),
    [
        ("text/csv", "text/csv; charset=utf-8"),
        ("text/plain", "text/plain; charset=utf-8"),
        ("image/svg+xml", "image/svg+xml; charset=utf-8"),
        ("application/xml", "application/xml; charset=utf-8"),
        ("application/pdf", "application/pdf"),
        ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",) * 2,
    ],
)
def test_what_is_text_says_its_charset(content_type, said):
    assert with_charset(content_type) == said


@pytest.mark.parametrize("name", ["other.xlsx", "..%2Fsecret_key", "../../../secret_key"])
def test_a_file_that_the_job_did_not_make_is_not_found(api, finished, name):
    problem(api("owner").get(f"jobs/{finished.pk}/files/{name}"), 404)


def test_a_contractor_does_not_see_jobs_files_or_results(api, paint, finished):
    for path in (
        "jobs/",
        f"jobs/{finished.pk}",
        f"jobs/{finished.pk}/files/chart.svg",
        "uploads/",
        "dating/",
        f"spaces/{paint.space.pk}/chart",
        f"spaces/{paint.space.pk}/chart.svg",
    ):
        assert api("owner").get(path).status_code == 200
        problem(api("contractor").get(path), 404)


def test_the_chart_holds_a_cell_for_each_layer(api, paint):
    told = api("owner").get(f"spaces/{paint.space.pk}/chart").json()
    assert (told["space"], len(told["samples"]), len(told["cells"])) == ("101", 2, 6)


def test_the_chart_is_drawn_for_a_page_and_runs_nothing(api, paint):
    answer = api("owner").get(f"spaces/{paint.space.pk}/chart.svg")
    assert answer.headers["Content-Type"] == "image/svg+xml; charset=utf-8"
    assert answer.content.startswith(b"<svg")
    assert answer.headers["Content-Security-Policy"].startswith("sandbox; default-src 'none'")


def test_dating_is_asked_with_or_without_tentative_evidence(api, project, monkeypatch):
    asked = []
    monkeypatch.setattr("surveys.work.dating.answer", lambda found, *, include_tentative: asked.append(include_tentative) or {"x": 1})
    assert api("owner").get("dating/").json() == {"x": 1}
    assert api("owner").get("dating/?tentative=true").status_code == 200
    problem(api("owner").get("dating/?tentative=maybe"), 400)
    assert asked == [False, True]


def test_the_vocabulary_holds_every_closed_list(api, cast):
    told = api("stranger").get("/api/v1/vocabulary").json()
    lists = {name: list(value) for name, value in vars(vocabulary).items() if isinstance(value, tuple)}
    assert lists
    assert all(words in told.values() for words in lists.values())
