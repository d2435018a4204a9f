"""Large files part by part: whatever befalls the connection, what arrives is what was sent, or it is refused."""

import datetime as dt
import hashlib

import pytest
from django.core.files.base import ContentFile, File
from django.core.files.storage import Storage, default_storage
from django.utils import timezone

from surveys import sendings
from surveys.errors import Conflict, Forbidden, Invalid, NotFound, TooLarge
from surveys.models import Sending, SendingPart, Upload

CONTENT = bytes(range(256)) * 40  # 10,240 bytes
SHA256 = hashlib.sha256(CONTENT).hexdigest()


@pytest.fixture(autouse=True)
def _small_parts(settings):
    settings.PART_BYTES = 4_096


@pytest.fixture
def sending(cast, project):
    return sendings.begin(cast.conservator, project, "section.tif", len(CONTENT), SHA256)


def put(cast, project, sending, start, content=None):
    return sendings.put(cast.conservator, project, sending.pk, start, CONTENT[start : start + 4_096] if content is None else content)


def put_all(cast, project, sending):
    for start in range(0, len(CONTENT), 4_096):
        put(cast, project, sending, start)


def parts_kept(sending) -> list[str]:
    return default_storage.listdir(f"sendings/{sending.pk}")[1] if default_storage.exists(f"sendings/{sending.pk}") else []


def test_a_file_in_parts_is_the_file_that_was_sent(cast, project, sending):
    put_all(cast, project, sending)
    upload = sendings.finish(cast.conservator, project, sending.pk).upload
    assert (upload.name, upload.size, upload.sha256) == ("section.tif", 10_240, SHA256)
    assert (upload.created_by, upload.project) == (cast.conservator, project)
    with upload.file.open() as kept:
        assert kept.read() == CONTENT
    assert parts_kept(sending) == []
    assert not SendingPart.objects.exists()


def test_after_a_lost_connection_it_goes_on_where_it_was(cast, project, sending):
    put(cast, project, sending, 0)
    assert sendings.one(cast.conservator, project, sending.pk).received == 4_096
    put(cast, project, sending, 4_096)
    put(cast, project, sending, 8_192)
    assert sendings.finish(cast.conservator, project, sending.pk).upload.sha256 == SHA256


def test_the_same_part_twice_is_answered_as_the_first_time(cast, project, sending):
    assert put(cast, project, sending, 0).received == 4_096
    assert put(cast, project, sending, 0).received == 4_096
    put(cast, project, sending, 4_096)
    assert put(cast, project, sending, 0).received == 8_192
    assert len(parts_kept(sending)) == 2


@pytest.mark.parametrize("start", [4_096, 8_192, 100])
def test_a_part_out_of_order_is_refused_with_where_to_go_on(cast, project, sending, start):
    with pytest.raises(sendings.OutOfPlace, match="goes on at byte 0") as refusal:
        put(cast, project, sending, start, b"x" * 100)
    assert refusal.value.received == 0
    assert parts_kept(sending) == []


def test_a_part_that_begins_where_one_is_and_is_of_another_length_is_refused(cast, project, sending):
    put(cast, project, sending, 0)
    with pytest.raises(sendings.OutOfPlace):
        put(cast, project, sending, 0, b"x" * 100)


def test_a_part_may_not_be_empty_too_large_or_go_beyond_the_end(cast, project, sending):
    with pytest.raises(Invalid, match="empty"):
        put(cast, project, sending, 0, b"")
    with pytest.raises(TooLarge, match="A part may have at most"):
        put(cast, project, sending, 0, bytes(4_097))
    put(cast, project, sending, 0)
    put(cast, project, sending, 4_096)
    with pytest.raises(Invalid, match="would end beyond"):
        put(cast, project, sending, 8_192, bytes(4_000))
    assert sendings.one(cast.conservator, project, sending.pk).received == 8_192


def test_a_file_that_is_not_all_here_is_not_joined(cast, project, sending):
    put(cast, project, sending, 0)
    with pytest.raises(Conflict, match=r"4,096 of 10,240 bytes have come"):
        sendings.finish(cast.conservator, project, sending.pk)
    assert sendings.one(cast.conservator, project, sending.pk).received == 4_096


def test_a_file_that_did_not_arrive_as_it_was_sent_begins_anew(cast, project, sending):
    put(cast, project, sending, 0, b"?" * 4_096)
    put(cast, project, sending, 4_096)
    put(cast, project, sending, 8_192)
    with pytest.raises(Invalid, match="did not arrive as it was sent") as refusal:
        sendings.finish(cast.conservator, project, sending.pk)
    assert refusal.value.code == "not-as-sent"
    assert not Upload.objects.exists()
    assert (sendings.one(cast.conservator, project, sending.pk).received, parts_kept(sending)) == (0, [])
    put_all(cast, project, sending)
    assert sendings.finish(cast.conservator, project, sending.pk).upload.sha256 == SHA256


def test_a_part_that_was_lost_from_the_disk_is_noticed(cast, project):
    made = sendings.begin(cast.conservator, project, "section.tif", len(CONTENT))
    put_all(cast, project, made)
    default_storage.delete(SendingPart.objects.order_by("start")[1].path)
    with pytest.raises(Invalid, match="did not arrive"):
        sendings.finish(cast.conservator, project, made.pk)


def test_joining_twice_makes_one_upload(cast, project, sending):
    put_all(cast, project, sending)
    first = sendings.finish(cast.conservator, project, sending.pk).upload
    assert sendings.finish(cast.conservator, project, sending.pk).upload == first
    with pytest.raises(sendings.OutOfPlace):
        put(cast, project, sending, 0)
    assert Upload.objects.count() == 1


def test_of_two_who_join_at_once_one_upload_is_made(cast, project, sending, monkeypatch):
    put_all(cast, project, sending)
    conclude = sendings._conclude

    def late(one, upload):
        monkeypatch.setattr(sendings, "_conclude", conclude)
        sendings.finish(cast.conservator, project, sending.pk)
        return conclude(one, upload)

    monkeypatch.setattr(sendings, "_conclude", late)
    upload = sendings.finish(cast.conservator, project, sending.pk).upload
    assert Upload.objects.get() == upload
    assert default_storage.listdir("uploads")[1].count(f"{upload.pk}.bin") == 1


def test_of_two_who_send_one_part_at_once_one_is_noted(cast, project, sending, monkeypatch):
    keep = sendings._keep

    def late(path, content):
        monkeypatch.setattr(sendings, "_keep", keep)
        put(cast, project, sending, 0)
        return keep(path, content)

    monkeypatch.setattr(sendings, "_keep", late)
    assert put(cast, project, sending, 0).received == 4_096
    assert len(parts_kept(sending)) == 1


def test_a_sending_is_its_senders_alone(cast, project, sending):
    for who in (cast.coordinator, cast.historian):
        with pytest.raises(NotFound):
            sendings.one(who, project, sending.pk)
        with pytest.raises(NotFound):
            sendings.put(who, project, sending.pk, 0, b"x")
        with pytest.raises(NotFound):
            sendings.give_up(who, project, sending.pk)
    with pytest.raises(Forbidden):
        sendings.begin(cast.owner, project, "x", 1)
    for who in (cast.contractor, cast.stranger):
        with pytest.raises(NotFound):
            sendings.begin(who, project, "x", 1)


def test_sizes_and_digests_that_cannot_be_are_refused(cast, project, settings):
    settings.SENDING_MAX_BYTES = 1024 * 1024
    with pytest.raises(TooLarge, match="at most 1 MiB"):
        sendings.begin(cast.conservator, project, "x", 1024 * 1024 + 1)
    with pytest.raises(Invalid, match="empty"):
        sendings.begin(cast.conservator, project, "x", 0)
    for digest in ("abc", "g" * 64, "0" * 65):
        with pytest.raises(Invalid, match="64 hexadecimal"):
            sendings.begin(cast.conservator, project, "x", 1, digest)
    assert sendings.begin(cast.conservator, project, "x", 1, "A" * 64).sha256 == "a" * 64


@pytest.mark.parametrize(
    ("came", "kept"),
    [
        ("section.tif", "section.tif"),
        ("../../etc/passwd", "passwd"),
        ("C:\\pictures\\section 1.tif", "section 1.tif"),
        ("a/b/", "file"),
        ("..", "file"),
        ("", "file"),
        ("\x00\x1b[2Jx\u202e.tif", "[2Jx.tif"),
        ("é" * 300 + ".tif", "é" * 196 + ".tif"),
    ],
)
def test_a_name_is_a_name_and_no_path(came, kept):
    assert sendings.plain_name(came) == kept


def test_given_up_it_is_gone_with_its_parts(cast, project, sending):
    put(cast, project, sending, 0)
    sendings.give_up(cast.conservator, project, sending.pk)
    assert (Sending.objects.count(), parts_kept(sending)) == (0, [])
    with pytest.raises(NotFound):
        put(cast, project, sending, 4_096)


def test_given_up_while_a_part_comes_nothing_is_left(cast, project, sending, monkeypatch):
    keep = sendings._keep

    def late(path, content):
        sendings.give_up(cast.conservator, project, sending.pk)
        return keep(path, content)

    monkeypatch.setattr(sendings, "_keep", late)
    with pytest.raises(NotFound, match="given up"):
        put(cast, project, sending, 0)
    assert parts_kept(sending) == []


def test_nobody_has_more_than_fifty_on_their_way(cast, project, monkeypatch):
    monkeypatch.setattr(sendings, "MOST_OPEN", 2)
    for _ in range(2):
        sendings.begin(cast.conservator, project, "x", 1)
    with pytest.raises(Conflict, match="on their way already"):
        sendings.begin(cast.conservator, project, "x", 1)
    sendings.begin(cast.historian, project, "x", 1)


def test_what_nobody_went_on_with_for_a_week_is_tidied_away_and_what_is_whole_stays(cast, project, sending):
    put(cast, project, sending, 0)
    other = sendings.begin(cast.conservator, project, "other.tif", len(CONTENT))
    put_all(cast, project, other)
    upload = sendings.finish(cast.conservator, project, other.pk).upload
    fresh = sendings.begin(cast.conservator, project, "fresh.tif", 5)
    assert sendings.forget_old() == 0
    Sending.objects.exclude(pk=fresh.pk).update(heard_at=timezone.now() - dt.timedelta(days=8))
    assert sendings.forget_old() == 2
    assert list(Sending.objects.all()) == [fresh]
    assert parts_kept(sending) == []
    with Upload.objects.get(pk=upload.pk).file.open() as kept:
        assert kept.read() == CONTENT


def test_a_part_left_by_who_died_before_it_was_noted_is_tidied_away_with_its_sending(cast, project, sending):
    put_all(cast, project, sending)
    default_storage.save(f"sendings/{sending.pk}/4096-left", ContentFile(b"x" * 4_096))
    sendings.finish(cast.conservator, project, sending.pk)
    other = sendings.begin(cast.conservator, project, "other.tif", len(CONTENT))
    put(cast, project, other, 0)
    sendings.forget_old()
    assert len(parts_kept(sending)) == len(parts_kept(other)) == 1
    Sending.objects.filter(pk=sending.pk).update(heard_at=timezone.now() - dt.timedelta(days=8))
    sendings.forget_old()
    sendings.forget_old()
    assert not default_storage.exists(f"sendings/{sending.pk}")
    assert len(parts_kept(other)) == 1


def test_a_full_disk_costs_the_part_only(cast, project, sending, monkeypatch):
    import errno

    def full(*given, **options):
        raise OSError(errno.ENOSPC, "No space left on device")

    put(cast, project, sending, 0)
    with monkeypatch.context() as patch:
        patch.setattr(type(default_storage._wrapped), "_save", full)
        with pytest.raises(OSError, match="No space"):
            put(cast, project, sending, 4_096)
    assert sendings.one(cast.conservator, project, sending.pk).received == 4_096
    put(cast, project, sending, 4_096)
    put(cast, project, sending, 8_192)
    with monkeypatch.context() as patch:
        patch.setattr(type(default_storage._wrapped), "_save", full)
        with pytest.raises(OSError, match="No space"):
            sendings.finish(cast.conservator, project, sending.pk)
    assert sendings.finish(cast.conservator, project, sending.pk).upload.sha256 == SHA256


def test_who_finds_the_parts_taken_away_by_another_who_joined_them_is_answered_the_same(cast, project, sending, monkeypatch):
    """Two requests to join at once: one reads the parts, the other has joined them before the first is through."""
    put_all(cast, project, sending)
    pieces, done = sendings._pieces, []

    def late(parts):
        if not done:
            done.append(True)
            done.append(sendings.finish(cast.conservator, project, sending.pk).upload)
        return pieces(parts)

    monkeypatch.setattr(sendings, "_pieces", late)
    found = sendings.finish(cast.conservator, project, sending.pk)
    assert found.upload == done[1]
    assert (Upload.objects.count(), found.upload.sha256) == (1, SHA256)


class Elsewhere(Storage):
    """Whole files by name, as an object store has them: no paths, no folders, nothing appended."""

    def __init__(self) -> None:
        self.held: dict[str, bytes] = {}

    def _open(self, name: str, mode: str = "rb") -> File:
        if name not in self.held:
            raise FileNotFoundError(name)
        assert mode == "rb"
        return ContentFile(self.held[name])

    def _save(self, name: str, content: File) -> str:
        self.held[name] = b"".join(content.chunks())
        return name

    def delete(self, name: str) -> None:
        self.held.pop(name, None)

    def exists(self, name: str) -> bool:
        return name in self.held


def test_a_store_that_cannot_append_and_has_no_paths_does_as_well(cast, project, sending, monkeypatch, paint):
    """Parts, the whole, and a picture made ready from it."""
    from surveys import jobs, records
    from surveys.models import Attachment
    from surveys.work import table
    from tests.surveys.pictures import made

    store = Elsewhere()
    monkeypatch.setattr(default_storage, "_wrapped", store)
    monkeypatch.setattr(Upload._meta.get_field("file"), "storage", store)
    put_all(cast, project, sending)
    upload = sendings.finish(cast.conservator, project, sending.pk).upload
    assert list(store.held.values()) == [CONTENT]
    upload = jobs.upload(cast.conservator, project, "section.png", made.png())
    told = {"about_type": "sample", "about_id": paint.first.pk, "upload": upload.pk, "kind": "photograph"}
    picture = records.create(cast.conservator, project, Attachment, told)
    job = jobs.ask(cast.conservator, project, "picture", {"attachment": str(picture.pk)})
    jobs.run(str(job.pk), "test", table.do)
    job.refresh_from_db()
    assert (job.state, job.error) == ("done", "")
    assert sum(name.startswith(f"pictures/{picture.pk}/") for name in store.held) == 8
