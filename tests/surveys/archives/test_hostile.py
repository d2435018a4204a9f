"""Archives that are broken, or made to do harm: each refused in a sentence, with nothing changed."""

import hashlib
import io
import json
import uuid
import zipfile
from collections.abc import Callable
from typing import Any

import pytest

from surveys import archives, records
from surveys.archives import guard, layout
from surveys.errors import Conflict, DomainError, Invalid, TooLarge
from surveys.models import Change, Layer, Person, Project, Space, Upload
from tests.surveys.archives.conftest import altered, bring, pack, parts, quiet, repacked, rows
from tests.surveys.pictures import made

LAYERS = "records/layer.jsonl"


@pytest.fixture
def content(cast: Any, full: Project) -> bytes:
    return pack(cast.coordinator, full)


@pytest.fixture
def refused(cast: Any, content: bytes) -> Callable[..., str]:
    """What an archive is refused with; nothing of it may be left behind."""
    empty = records.create_project(cast.coordinator, {"code": "EMPTY", "name": "Empty"})
    before = (Change.objects.count(), Layer.objects.count(), Person.objects.count(), Upload.objects.count())

    def ask(hostile: bytes, error: type[DomainError] = Invalid) -> str:
        with pytest.raises(error) as told:
            archives.bring(cast.coordinator, empty, "hall.zip", io.BytesIO(hostile), quiet)
        assert (Change.objects.count(), Layer.objects.count(), Person.objects.count(), Upload.objects.count()) == before
        empty.refresh_from_db()
        assert (empty.name, empty.version, empty.change_sequence) == ("Empty", 1, 2)
        return told.value.detail

    return ask


def zipped(*held: tuple[str, bytes], compress: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", compress) as packed:
        for name, body in held:
            packed.writestr(name, body)
    return out.getvalue()


# -- the file -----------------------------------------------------------------------------------------------------------------


def test_what_is_no_archive_at_all_is_refused(refused, content):
    assert "damaged" in refused(b"")
    assert "damaged" in refused(b"PK\x03\x04 and nothing else")
    assert "damaged" in refused(content[: len(content) // 2])
    assert "no manifest" in refused(zipped())
    assert "manifest says something else" in refused(repacked(parts(content), lambda told: told.update(format="another")))


def test_an_unknown_version_is_named(refused, content):
    assert "version 2 of the format; this program reads version 1" in refused(repacked(parts(content), lambda told: told.update(version=2)))


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "/etc/passwd", "records/../x", "files/../../x", "files/ABC", "records\\space.jsonl", "x"]
)
def test_a_part_with_a_name_that_no_archive_has_is_refused(refused, content, name):
    told = refused(repacked({**parts(content), name: b"x"}))
    assert "which no project archive has" in told


def test_a_bomb_is_refused_by_what_it_would_unpack_to_before_it_is_unpacked(refused, content, monkeypatch):
    zeros = b"0" * (guard.RATIO_FROM + 1)
    bombs = [repacked({**parts(content), path: zeros}) for path in (f"files/{'0' * 64}", LAYERS)]
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_, **__: pytest.fail("unpacked something"))
    for bomb in bombs:
        assert "400 times" in refused(bomb, TooLarge)


def test_more_than_the_limits_is_refused_by_name_of_the_limit(refused, content, monkeypatch):
    monkeypatch.setattr(guard, "TEXT", 5_000)
    assert "of records, the limit" in refused(content, TooLarge)
    monkeypatch.undo()
    monkeypatch.setattr(guard, "PARTS", 10)
    assert "over the limit of 10" in refused(content, TooLarge)


def test_a_line_longer_than_any_record_is_refused(refused, content, monkeypatch):
    monkeypatch.setattr(guard, "LINE", 300)
    assert "is longer than" in refused(content, TooLarge)


def test_two_parts_of_one_name_are_refused(refused, content):
    held = list(parts(content).items())
    with pytest.warns(UserWarning, match="Duplicate"):
        twice = zipped(*held, held[0])
    assert "two parts of one name" in refused(twice)


def test_a_part_that_is_not_what_the_manifest_says_is_refused(refused, content):
    held = parts(content)
    changed = zipped(*({**held, LAYERS: held[LAYERS].replace(b"green", b"black")}).items())
    assert "was changed after it was made: 'records/layer.jsonl'" in refused(changed)
    assert "lacks its part 'records/layer.jsonl'" in refused(zipped(*((name, body) for name, body in held.items() if name != LAYERS)))
    unnamed = zipped(*held.items(), (f"files/{'0' * 64}", b"x"))
    assert "its manifest does not name" in refused(unnamed)
    (file,) = [name for name in held if name.startswith("files/") and held[name] == b"not really a workbook"]
    other = repacked({**held, file: b"something else"})
    assert "is not what its name says" in refused(other)


def test_an_archive_that_is_damaged_within_is_refused(refused, content):
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        part = packed.getinfo(LAYERS)
    damaged = bytearray(content)
    damaged[part.header_offset + 30 + len(LAYERS) + part.compress_size // 2] ^= 0xFF
    assert "damaged" in refused(bytes(damaged))


def test_an_archive_under_a_password_is_refused(refused, content):
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        first = packed.infolist()[0].header_offset
    locked = bytearray(content)
    locked[first + 6] |= 1
    locked[locked.index(b"PK\x01\x02") + 8] |= 1
    assert "locked with a password" in refused(bytes(locked))


# -- its rows -----------------------------------------------------------------------------------------------------------------


def first(**values: Any) -> Callable[[list[dict[str, Any]]], None]:
    """Changes the first row."""
    return lambda found: found[0].update(values)


ROWS = [
    (LAYERS, first(kind="gold"), "layer.jsonl, line 1: kind: 'gold' is not one of the words"),
    (LAYERS, first(position=0), "position"),
    (LAYERS, first(position=9), "numbered 1, 2, 3"),
    (LAYERS, first(position=True), "position: 'True' is not a whole number"),
    (LAYERS, first(lab_l=101.0, lab_a=0.0, lab_b=0.0), "lab_l: L* lies between 0 and 100"),
    (LAYERS, first(munsell="99ZZ 3/4"), "munsell"),
    (LAYERS, first(colour="a" * 121), "121 characters long; at most 120"),
    (LAYERS, first(colour="a\0b"), "colour: This must be text"),
    (LAYERS, first(colour=["a"]), "colour: This must be text"),
    (LAYERS, first(confidence=2.0), "break"),
    (LAYERS, first(generation=str(uuid.uuid4())), "refers to a generation that the archive does not hold"),
    (LAYERS, first(sample=None), "sample"),
    (LAYERS, first(created_at="yesterday"), "'yesterday' is no moment"),
    (LAYERS, first(created_at="2026-01-01T00:00:00"), "offset from UTC"),
    (LAYERS, first(created_by="nobody"), "'nobody' is not among the archive's people"),
    (LAYERS, first(secret=1), "there is no field 'secret'"),
    (LAYERS, lambda found: found[0].pop("kind"), "the field 'kind' is missing"),
    (LAYERS, lambda found: found.append(found[0]), "this id is there twice"),
    (LAYERS, first(id="1"), "'1' is no id"),
    ("records/element.jsonl", first(element_class="spaceship"), "element_class: 'spaceship' is not among the project's classes"),
    ("records/space.jsonl", lambda found: found.append({**found[0], "id": str(uuid.uuid4())}), "bear one name or number"),
    ("records/membership.jsonl", first(role="king"), "role: 'king' is not one of the words"),
    ("records/evidence.jsonl", first(earliest=1900, latest=1800), "before the earliest"),
    ("records/question.jsonl", first(about_id=str(uuid.uuid4())), "about a record that the archive does not know"),
    (
        "records/question.jsonl",
        first(answer_records=[{"type": "evidence", "id": {"a": 1}}]),
        "answer_records: This must be a list of objects",
    ),
    ("records/scheduleissue.jsonl", lambda found: found[0]["files"][0].update(path="/etc/passwd"), "a file is told by"),
    ("records/scheduleissue.jsonl", lambda found: found[0]["files"][0].update(sha256="0" * 64), "does not hold the file"),
    ("records/scheduleissue.jsonl", lambda found: found[0]["files"][0].update(content_type="text/html; x"), "type is not to be read"),
    (layout.UPLOADS, first(size=1), "does not hold the file"),
    (layout.PEOPLE, first(username=1), "needs a sign-in name"),
    (layout.PEOPLE, lambda found: found.pop(), "is not among the archive's people"),
    (layout.HISTORY, first(sequence=2), "no line of a history in order"),
    (layout.HISTORY, first(action="invented"), "no line of a history in order"),
    (layout.HISTORY, first(record_type="person"), "no kind of record 'person'"),
    (layout.HISTORY, first(record_name="a" * 201), "too long"),
]


@pytest.mark.parametrize(("path", "change", "words"), ROWS, ids=[f"{path.split('/')[-1]}: {words[:40]}" for path, _, words in ROWS])
def test_a_row_that_could_not_have_been_entered_is_refused_by_its_place(refused, content, path, change, words):
    assert words in refused(altered(content, path, change))


def test_a_row_that_is_no_object_or_nested_without_end_is_refused(refused, content):
    held = parts(content)
    assert "line 1 is no JSON object" in refused(repacked({**held, LAYERS: b"[]\n"}))
    assert "line 1 is no JSON object" in refused(repacked({**held, LAYERS: b"{not json\n"}))
    deep: Any = {}
    for _ in range(50):
        deep = {"a": deep}
    assert "nested too deeply" in refused(altered(content, "records/scheduleissue.jsonl", first(content=deep)))


def test_layers_whose_generations_fall_as_positions_rise_are_refused(refused, content):
    generations = {row["ordinal"]: row["id"] for row in rows(content, "records/generation.jsonl")}

    def upside_down(found: list[dict[str, Any]]) -> None:
        sample = found[0]["sample"]
        for row in found:
            if row["sample"] == sample:
                row["generation"] = generations[1] if row["position"] > 1 else generations[2]

    assert "lies above" in refused(altered(content, LAYERS, upside_down))


def test_rulings_that_contradict_each_other_are_refused(refused, content):
    ruling = "records/ruling.jsonl"

    def contradict(found: list[dict[str, Any]]) -> None:
        tie = next(row for row in found if row["kind"] == "tie")
        found.append(
            {**tie, "id": str(uuid.uuid4()), "kind": "bar", "first_layer": tie["second_layer"], "second_layer": tie["first_layer"]}
        )

    told = refused(altered(content, ruling, contradict), Conflict)
    assert "These cannot all be true" in told
    assert "tie 101-1/1 – 101-2/1" in told
    assert "bar 101-2/1 – 101-1/1" in told


def test_a_layer_cannot_belong_to_a_generation_of_another_space(refused, content):
    other = str(uuid.uuid4())
    space = {**rows(content, "records/space.jsonl")[0], "id": other, "number": "elsewhere"}
    held = parts(content)
    held["records/space.jsonl"] += json.dumps(space).encode() + b"\n"

    def move(found: list[dict[str, Any]]) -> None:
        for row in found:
            row["space"] = other

    assert "generation of another space" in refused(altered(repacked(held), "records/generation.jsonl", move))


def test_no_record_of_another_project_is_reached_by_an_id(cast, project, refused, content):
    """Not by a reference, and not by a line of history that is brought back afterwards."""
    elsewhere = records.create_project(cast.stranger, {"code": "THEIRS", "name": "Theirs"})
    theirs = records.create(cast.stranger, elsewhere, Space, {"number": "1"})
    before = Change.objects.filter(project=elsewhere).count()

    def refer(found: list[dict[str, Any]]) -> None:
        found[0]["space"] = str(theirs.pk)

    def remember(found: list[dict[str, Any]]) -> None:
        line = next(row for row in found if row["record_type"] == "element")
        line["fields"]["space"] = [None, str(theirs.pk)]

    empty = records.create_project(cast.coordinator, {"code": "NONE", "name": "Empty"})
    for path, change in (("records/element.jsonl", refer), (layout.HISTORY, remember)):
        with pytest.raises(Invalid, match="archive does not"):
            archives.bring(cast.coordinator, empty, "hall.zip", io.BytesIO(altered(content, path, change)), quiet)
    assert Change.objects.filter(project=elsewhere).count() == before


def test_an_archive_that_claims_the_ids_of_another_project_gets_ids_of_its_own(cast, content):
    """Beside the project it comes from every id is taken, so that nothing of that project can be overwritten."""
    standing = {layer.pk: layer.version for layer in Layer.objects.all()}
    copy, told = bring(cast.coordinator, altered(content, LAYERS, first(colour="black")))
    assert told["ids"] == "new"
    assert {layer.pk: layer.version for layer in Layer.objects.exclude(project=copy)} == standing
    assert not Layer.objects.exclude(project=copy).filter(colour="black").exists()


def test_a_picture_that_is_none_is_refused_whatever_its_row_calls_it(content, refused):
    """What is told of a file is looked at in the file: a page is no micrograph, whatever type the archive gives it."""
    held = parts(content)
    page = b"<!doctype html><script>1</script>"
    before, after = hashlib.sha256(made.png() + b"UV").hexdigest(), hashlib.sha256(page).hexdigest()
    del held[f"files/{before}"]
    held[f"files/{after}"] = page
    uploads = [json.loads(line) for line in held["uploads.jsonl"].splitlines()]
    for row in uploads:
        if row["sha256"] == before:
            row |= {"sha256": after, "size": len(page)}
    held["uploads.jsonl"] = b"".join(json.dumps(row).encode() + b"\n" for row in uploads)
    assert "attachment 2: UV.png is no picture" in refused(repacked(held))
