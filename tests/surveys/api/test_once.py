"""Idempotency-Key: asked twice, done once."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from surveys import idempotency, records
from surveys.models import Answer, Change, Job, Space, Upload
from tests.surveys.api.conftest import BASE, problem


def test_a_post_sent_again_is_answered_as_the_first_time_and_done_once(api, project):
    first, again = (api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1") for _ in range(2))
    assert first.status_code == again.status_code == 201
    assert first.json() == again.json()
    assert {name: first.headers[name] for name in ("ETag", "Location")} == {name: again.headers[name] for name in ("ETag", "Location")}
    assert "Idempotency-Replayed" not in first.headers
    assert again.headers["Idempotency-Replayed"] == "true"
    assert Space.objects.count() == 1


def test_without_a_key_a_post_sent_again_is_another_one(api, project):
    assert api("conservator").post("spaces/", {"number": "9"}).status_code == 201
    assert problem(api("conservator").post("spaces/", {"number": "9"}), 409)["code"] == "taken"


def test_a_refusal_is_repeated_even_when_it_would_be_accepted_now(api, cast, project):
    records.create(cast.conservator, project, Space, {"number": "9"})
    refused = problem(api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1"), 409)
    space = Space.objects.get()
    records.change(cast.conservator, project, Space, space.pk, 1, {"number": "10"})
    assert problem(api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1"), 409) == refused
    assert Space.objects.count() == 1


@pytest.mark.parametrize("path", ["spaces/", "elements/", "spaces/batch"])
def test_a_key_used_for_another_request_is_refused(api, project, path):
    assert api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1").status_code == 201
    assert problem(api("conservator").post(path, {"number": "10"}, Idempotency_Key="k1"), 422)["code"] == "key-reused"
    assert Space.objects.count() == 1


def test_the_key_of_one_person_is_nothing_to_another(api, project):
    assert api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1").status_code == 201
    assert api("historian").post("spaces/", {"number": "10"}, Idempotency_Key="k1").status_code == 201


def test_the_order_of_fields_makes_no_other_request(api, project):
    api("conservator").post("spaces/", b'{"number": "9", "name": "x"}', Idempotency_Key="k1")
    again = api("conservator").post("spaces/", b'{ "name": "x", "number": "9"}', Idempotency_Key="k1")
    assert again.status_code == 201


@pytest.mark.parametrize("key", ["", "x" * 201, "käse"])
def test_what_is_no_key_is_refused(api, project, key):
    answer = api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key=key)
    assert problem(answer, 422)["code"] == "bad-key"
    assert Space.objects.count() == 0


def test_a_failure_of_the_program_is_not_kept_and_leaves_nothing(api, project, monkeypatch):
    made = records.create

    def fail(*args):
        made(*args)
        raise RuntimeError("secret inside")

    monkeypatch.setattr(records, "create", fail)
    told = problem(api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1"), 500)
    assert "secret" not in str(told)
    assert (Space.objects.count(), Answer.objects.count(), Change.objects.filter(record_type="space").count()) == (0, 0, 0)
    monkeypatch.undo()
    assert api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1").status_code == 201


def test_a_batch_a_job_and_a_file_are_done_once_too(api, project, django_capture_on_commit_callbacks):
    rows = {"operations": [{"op": "create", "values": {"number": "1"}}]}
    batches = [api("conservator").post("spaces/batch", rows, Idempotency_Key="a").json() for _ in range(2)]
    assert batches[0] == batches[1]
    jobs = [api("conservator").post("jobs/", {"kind": "date"}, Idempotency_Key="b") for _ in range(2)]
    assert [(job.status_code, job.json()["id"]) for job in jobs] == [(202, str(Job.objects.get().pk))] * 2
    files = [bring(api("conservator"), b"one", "c") for _ in range(2)]
    assert [file.status_code for file in files] == [201, 201]
    assert files[0].json() == files[1].json()
    assert problem(bring(api("conservator"), b"two", "c"), 422)["code"] == "key-reused"
    assert (Space.objects.count(), Job.objects.count(), Upload.objects.count()) == (1, 1, 1)


def bring(api, content, key):
    return api.client.post(f"{BASE}/uploads/", {"file": SimpleUploadedFile("a.xlsx", content)}, headers={"Idempotency-Key": key})


def test_old_answers_are_forgotten(api, project):
    api("conservator").post("spaces/", {"number": "9"}, Idempotency_Key="k1")
    assert idempotency.forget_old() == 0
    Answer.objects.update(created_at=timezone.now() - timedelta(days=8))
    assert idempotency.forget_old() == 1
