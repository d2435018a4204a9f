"""Files that are fetched go on where a download broke off: one range of bytes, as RFC 9110 has it, of the file that was begun."""

import hashlib
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.http import HttpRequest

from surveys import jobs
from surveys.api import files
from surveys.errors import NotFound
from surveys.models import Attachment, Job
from tests.surveys.api.conftest import problem
from tests.surveys.lines.conftest import Pictures

CONTENT = bytes(range(256)) * 40
SHA256 = hashlib.sha256(CONTENT).hexdigest()
TAG = f'"{SHA256}"'


@pytest.fixture
def original(cast, project, paint) -> str:
    picture = Pictures(cast, project)(paint.first, content=CONTENT)
    return f"attachments/{picture.pk}/original"


def body(answer) -> bytes:
    return b"".join(answer.streaming_content)


def test_the_whole_is_answered_with_what_a_later_request_for_the_rest_needs(api, original):
    answer = api("owner").get(original)
    assert (answer.status_code, body(answer)) == (200, CONTENT)
    told = {name: answer.headers[name] for name in ("Accept-Ranges", "ETag", "Content-Length")}
    assert told == {"Accept-Ranges": "bytes", "ETag": TAG, "Content-Length": "10240"}
    assert "Content-Range" not in answer.headers


# The examples of RFC 9110, 14.1.2, for a representation of 10,000 bytes, and the edges of each, for one of 10,240.
PARTS = {
    "bytes=0-499": (0, 499),
    "bytes=500-999": (500, 999),
    "bytes=-500": (9740, 10239),
    "bytes=9500-": (9500, 10239),
    "bytes=0-0": (0, 0),
    "bytes=-1": (10239, 10239),
    "bytes=10239-": (10239, 10239),
    "bytes=0-": (0, 10239),
    "bytes=100-999999999999999999999": (100, 10239),
    "bytes=-999999999999999999999": (0, 10239),
    "Bytes= 5-6 ": (5, 6),
}


@pytest.mark.parametrize("asked", PARTS)
def test_a_range_of_bytes_is_answered_by_just_these(api, original, asked):
    first, last = PARTS[asked]
    answer = api("owner").get(original, Range=asked)
    assert (answer.status_code, body(answer)) == (206, CONTENT[first : last + 1])
    assert answer.headers["Content-Range"] == f"bytes {first}-{last}/10240"
    assert answer.headers["Content-Length"] == str(last - first + 1)
    # What holds of the whole holds of a part.
    assert answer.headers["ETag"] == TAG
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"].startswith("sandbox")
    assert answer.headers["Content-Disposition"].startswith("attachment;")


@pytest.mark.parametrize("asked", ["bytes=10240-", "bytes=10240-10250", "bytes=-0", "bytes=99999999999999999999-"])
def test_a_range_beyond_the_end_is_refused_and_the_length_told(api, original, asked):
    answer = api("owner").get(original, Range=asked)
    told = problem(answer, 416)
    assert answer.headers["Content-Range"] == "bytes */10240"
    assert "10,240 bytes" in told["detail"]


@pytest.mark.parametrize(
    "asked",
    [
        "bytes=0-1,5-6",
        "bytes=9-3",
        "bytes=",
        "bytes=-",
        "bytes=a-b",
        "bytes=1",
        "lines=0-4",
        "0-4",
        "bytes=+1-2",
        "bytes=٣-٤",
        f"bytes=0-{'9' * 5000}",
    ],
)
def test_what_is_no_single_range_of_bytes_is_answered_with_the_whole(api, original, asked):
    answer = api("owner").get(original, Range=asked)
    assert (answer.status_code, len(body(answer))) == (200, 10240)


@pytest.mark.parametrize(
    ("condition", "status"),
    [(TAG, 206), (f'"{"0" * 64}"', 200), (f"W/{TAG}", 200), (SHA256, 200), ("Mon, 30 Nov 2026 10:00:00 GMT", 200)],
)
def test_a_part_of_another_file_than_was_begun_is_never_answered(api, original, condition, status):
    answer = api("owner").get(original, Range="bytes=100-", If_Range=condition)
    assert (answer.status_code, len(body(answer))) == (status, 10140 if status == 206 else 10240)


def test_only_a_download_has_parts(api, original):
    """RFC 9110, 14.2: of other methods a server does not heed Range."""
    answer = api("owner").send("HEAD", original, Range="bytes=100-")
    assert (answer.status_code, answer.headers["Content-Length"], answer.headers["Accept-Ranges"]) == (200, "10240", "bytes")


def test_a_part_is_for_nobody_who_may_not_have_the_whole(api, original):
    for who in ("contractor", "stranger"):
        problem(api(who).get(original, Range="bytes=0-1"), 404)
        problem(api(who).get(original, Range="bytes=99999-"), 404)


def test_what_jobs_and_issues_made_is_fetched_in_parts_as_well(api, cast, project):
    job = Job.objects.create(project=project, created_by=cast.conservator, kind="registers", state="done", digest="x")
    Job.objects.filter(pk=job.pk).update(files=[jobs.keep_file(job, "a b.xlsx", "application/zip", CONTENT)])
    answer = api("conservator").get(f"jobs/{job.pk}/files/a%20b.xlsx", Range="bytes=10000-")
    assert (answer.status_code, body(answer)) == (206, CONTENT[10000:])


def test_a_file_that_goes_while_it_is_fetched_is_told_to_be_missing(api, original):
    default_storage.delete(Attachment.objects.get().upload.file.name)
    assert "is missing" in problem(api("owner").get(original, Range="bytes=0-1"), 404)["detail"]


# -- without reading the file whole ---------------------------------------------------------------------------------------------------


class Read(ContentFile):
    """A file that counts what is read of it."""

    many = 0
    shut = False

    def read(self, size: int = -1) -> bytes:
        found = super().read(size)
        self.many += len(found)
        return found

    def close(self) -> None:
        self.shut = True


def asked(headers: dict[str, str]) -> HttpRequest:
    request = HttpRequest()
    request.method = "GET"
    request.META |= {f"HTTP_{name.upper().replace('-', '_')}": value for name, value in headers.items()}
    return request


def sent(headers: dict[str, str]):
    told = {"name": "a.tif", "path": "uploads/a.bin", "content_type": "image/tiff", "sha256": SHA256}
    return files.sent(asked(headers), [told], "a.tif", "It is gone.")


def test_of_a_file_no_more_is_read_than_the_part_and_it_is_closed(monkeypatch):
    kept = Read(CONTENT)
    monkeypatch.setattr(default_storage._wrapped, "open", lambda path, mode="rb": kept)
    answer = sent({"Range": "bytes=10000-10002"})
    assert body(answer) == CONTENT[10000:10003]
    assert kept.many == 3
    answer.file_to_stream.close()
    assert kept.shut


def test_a_refused_range_leaves_no_file_open(monkeypatch):
    kept = Read(CONTENT)
    monkeypatch.setattr(default_storage._wrapped, "open", lambda path, mode="rb": kept)
    with pytest.raises(files.NoSuchBytes):
        sent({"Range": "bytes=10240-"})
    assert kept.shut


class Store(BaseHTTPRequestHandler):
    """One object of a store that speaks as S3 does: HEAD, GET, and GET of a range."""

    asked: list[tuple[str, str | None]] = []

    def do_HEAD(self) -> None:
        self.answer(CONTENT, 200)

    def do_GET(self) -> None:
        part = self.headers.get("Range")
        self.asked.append((self.path, part))
        if part is None:
            self.wfile.write(self.answer(CONTENT, 200))
            return
        first, last = map(int, part.removeprefix("bytes=").split("-"))
        self.wfile.write(self.answer(CONTENT[first : last + 1], 206))

    def answer(self, content: bytes, status: int) -> bytes:
        there = self.path == "/paint/undercoat/uploads/a.bin"
        self.send_response(status if there else 404)
        self.send_header("Content-Length", str(len(content) if there else 0))
        self.end_headers()
        return content if there else b""

    def log_message(self, *given) -> None:
        pass


@pytest.fixture
def store(monkeypatch):
    from storages.backends.s3 import S3Storage

    server = HTTPServer(("127.0.0.1", 0), Store)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    Store.asked = []
    told = {"bucket_name": "paint", "access_key": "k", "secret_key": "s", "region_name": "eu-west-1", "location": "undercoat"}
    made = S3Storage(**told, endpoint_url=f"http://127.0.0.1:{server.server_port}", addressing_style="path")
    monkeypatch.setattr(default_storage, "_wrapped", made)
    yield Store
    server.shutdown()
    server.server_close()
    thread.join()


def test_an_object_store_is_asked_for_the_part_only(store):
    assert body(sent({"Range": "bytes=10000-"})) == CONTENT[10000:]
    assert store.asked == [("/paint/undercoat/uploads/a.bin", "bytes=10000-10239")]


def test_what_an_object_store_has_is_sent_as_it_comes(store):
    answer = sent({})
    assert answer.headers["Content-Length"] == "10240"
    assert body(answer) == CONTENT
    assert store.asked == [("/paint/undercoat/uploads/a.bin", None)]


def test_what_an_object_store_has_lost_is_told_to_be_missing(store):
    told = {"name": "a.tif", "path": "uploads/b.bin", "content_type": "image/tiff", "sha256": SHA256}
    with pytest.raises(NotFound, match=r"It is gone\."):
        files.sent(asked({}), [told], "a.tif", "It is gone.")
