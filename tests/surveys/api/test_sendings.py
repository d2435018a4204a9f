"""Large files over the interface: announced, sent part by part, joined, used; each refusal a problem document."""

import errno
import hashlib
import io

import pytest
from django.core.files.storage import default_storage

from surveys.models import Sending, Upload
from tests.surveys.api.conftest import BASE, problem
from tests.surveys.pictures import made

CONTENT = made.tiff(made.quarters(300, 200))
SHA256 = hashlib.sha256(CONTENT).hexdigest()


@pytest.fixture(autouse=True)
def _small_parts(settings):
    settings.PART_BYTES = 100_000


@pytest.fixture
def sending(api):
    answer = api("conservator").post("sendings/", {"name": "a/section.tif", "size": len(CONTENT), "sha256": SHA256})
    assert answer.status_code == 201, answer.content
    return answer.json()


@pytest.fixture
def put(api, sending):
    def sent(start: int, content: bytes | None = None, who: str = "conservator", kind: str = "application/octet-stream", **headers):
        body = CONTENT[start : start + 100_000] if content is None else content
        return api(who).client.put(f"{BASE}/sendings/{sending['id']}/parts/{start}", body, content_type=kind, **headers)

    return sent


def test_a_file_comes_in_parts_and_is_attached(api, sending, put, paint):
    told = {name: sending[name] for name in ("name", "size", "sha256", "received", "part_size", "upload")}
    assert told == {
        "name": "section.tif", "size": len(CONTENT), "sha256": SHA256, "received": 0, "part_size": 100_000, "upload": None,
    }  # fmt: skip
    assert put(0).json()["received"] == 100_000
    assert api("conservator").get(f"sendings/{sending['id']}").json()["received"] == 100_000
    assert put(100_000).json()["received"] == len(CONTENT)
    answer = api("conservator").post(f"sendings/{sending['id']}/finish")
    assert answer.status_code == 200, answer.content
    upload = answer.json()["upload"]
    assert (upload["name"], upload["size"], upload["sha256"]) == ("section.tif", len(CONTENT), SHA256)
    assert api("owner").get(f"uploads/{upload['id']}").json() == upload
    body = {"about_type": "sample", "about_id": str(paint.first.pk), "upload": upload["id"], "kind": "visible micrograph"}
    assert api("conservator").post("attachments/", body).json()["content_type"] == "image/tiff"
    assert api("conservator").post(f"sendings/{sending['id']}/finish").json()["upload"] == upload


def test_a_part_out_of_place_is_told_where_to_go_on(put):
    told = problem(put(100_000), 409)
    assert (told["code"], told["received"]) == ("out-of-place", 0)
    assert problem(put(2**63), 409)["received"] == 0
    assert put(0).status_code == put(0).status_code == 200


def test_a_part_whose_connection_was_lost_is_refused_and_nothing_of_it_kept(sending, put):
    answer = put(0, **{"wsgi.input": io.BytesIO(CONTENT[:5_000]), "CONTENT_LENGTH": "100000"})
    assert problem(answer, 400)["code"] == "cut-short"
    assert Sending.objects.get(pk=sending["id"]).received == 0


def test_parts_that_are_none_are_refused(put):
    assert problem(put(0, b""), 422)["code"] == "empty"
    assert problem(put(0, bytes(100_001)), 413)
    assert problem(put(0, b"{}", kind="application/json"), 415)


def test_nothing_of_it_is_anybody_elses(api, put, sending):
    for who in ("coordinator", "historian"):
        assert problem(put(0, who=who), 404)
        assert problem(api(who).get(f"sendings/{sending['id']}"), 404)
        assert problem(api(who).post(f"sendings/{sending['id']}/finish"), 404)
        assert problem(api(who).delete(f"sendings/{sending['id']}"), 404)


def test_given_up_it_is_gone(api, put, sending):
    put(0)
    assert api("conservator").delete(f"sendings/{sending['id']}").status_code == 204
    assert problem(put(100_000), 404)
    assert not default_storage.exists(f"sendings/{sending['id']}") or default_storage.listdir(f"sendings/{sending['id']}")[1] == []


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"name": "x", "size": 0}, 422),
        ({"name": "x", "size": 300 * 1024 * 1024}, 413),
        ({"name": "x", "size": 10**30}, 422),
        ({"name": "x", "size": "5"}, 422),
        ({"name": "x"}, 422),
        ({"name": "x", "size": 5, "sha256": "short"}, 422),
        ({"name": "x", "size": 5, "path": "/etc"}, 400),
    ],
)
def test_an_announcement_that_cannot_be_is_refused(api, body, status):
    assert problem(api("conservator").post("sendings/", body), status)


def test_a_file_of_200_mib_may_be_announced(api):
    assert api("conservator").post("sendings/", {"name": "x.tif", "size": 200 * 1024 * 1024}).status_code == 201


def test_a_full_disk_is_told_in_words_and_the_part_can_be_sent_again(put, monkeypatch):
    def full(*given, **options):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(type(default_storage._wrapped), "_save", full)
        told = problem(put(0), 503)
    assert (told["code"], "The disk is full" in told["detail"]) == ("no-room", True)
    assert put(0).json()["received"] == 100_000


def test_what_did_not_arrive_as_it_was_sent_is_told(api, put, sending):
    put(0, bytes(100_000))
    put(100_000)
    answer = api("conservator").post(f"sendings/{sending['id']}/finish")
    assert problem(answer, 422)["code"] == "not-as-sent"
    assert api("conservator").get(f"sendings/{sending['id']}").json()["received"] == 0
    assert not Upload.objects.exists()


def test_a_web_server_that_gives_the_body_in_pieces_is_read_to_the_end(put):
    """As a socket does: a read answers what has come, which may be less than was asked for."""

    class Dripping(io.BytesIO):
        def read(self, size: int = -1) -> bytes:
            return super().read(min(size, 700) if size and size > 0 else 700)

    answer = put(0, **{"wsgi.input": Dripping(CONTENT[:100_000]), "CONTENT_LENGTH": "100000"})
    assert answer.json().get("received") == 100_000, answer.content
