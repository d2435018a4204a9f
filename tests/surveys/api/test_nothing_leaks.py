"""Nothing of a project comes to who has no right to it: by list, search, count, order, feed, mention, job, file, letter or error text.

Every text of every record of a project bears a word that is nowhere else. A stranger, somebody who was a member, a contractor and nobody
then try every route of the resolver with every method and every id of the project. To all but the contractor the project must not
even exist: each is answered word for word as at a project that there never was.
"""

import re
import uuid
from typing import Any

import pytest
from django.apps import apps
from django.core import mail
from django.db import models, transaction

from surveys import jobs, records, tokens
from surveys.api.collections import BY_NAME
from surveys.models import (
    Change,
    Comment,
    Job,
    Membership,
    Mention,
    Person,
    Project,
    ScheduleIssue,
    Seen,
    Space,
    Upload,
)
from surveys.work import digest, table
from tests.conftest import Paint
from tests.surveys.api.conftest import ROOT, Api, problem
from tests.surveys.api.test_roles import TABLE, Undo, routes, world  # noqa: F401 - a fixture
from tests.surveys.pictures import made

MARK = "zqxmark"
# What a contractor sees of a project, and of what was issued to him.
NAME, PLACE, ISSUED = "zqxname", "zqxplace", "zqxissued"
NOT_THERE = "NONE"
# Not texts of people: words of closed lists, digests, notations that address or classify, what a machine writes.
MECHANICAL = {
    "code", "digest", "dated_digest", "correlated_digest", "sha256", "file", "record_type", "register", "worker", "revision", "about_type",
    "kind", "state", "role", "discipline", "action", "subject", "path", "content_type", "read_digest",
}  # fmt: skip
# Rows that are not of a project: who people are, and what they were answered.
PERSONAL = {"person", "session", "token", "answer"}
# At an address that takes the id of a record, ids of these other kinds are tried too.
OTHER_KINDS = ("project", "layer", "scheduleissue")
WALKERS = ("stranger", "former", "contractor", "nobody")


def of_a_project() -> list[Any]:
    """All kinds of row that hold something of a project."""
    return [one for one in apps.get_app_config("surveys").get_models() if one._meta.model_name not in PERSONAL]


def texts_of(model: Any) -> list[Any]:
    """The columns of a kind of row in which people write, or in which what they wrote is kept."""
    found = []
    for field in model._meta.concrete_fields:
        written = isinstance(field, models.CharField | models.TextField | models.JSONField)
        if written and not getattr(field, "choices", None) and field.name not in MECHANICAL:
            found.append(field)
    return found


def word_for(model: Any, field: Any) -> str:
    if model is Project and field.name in ("name", "place"):
        return NAME if field.name == "name" else PLACE
    return ISSUED if model is ScheduleIssue else MARK


def mark(project: Project) -> None:
    """Write the words into every text, beside the rules: what is tried here is who reads it."""
    for model in of_a_project():
        for number, row in enumerate(model._default_manager.all()):
            values = {}
            for field in texts_of(model):
                word = word_for(model, field)
                if isinstance(field, models.JSONField):
                    values[field.name] = marked_json(model, field, getattr(row, field.name), word)
                else:
                    values[field.name] = f"{word}{number}" if len(f"{word}{number}") <= (field.max_length or 1000) else word
            model._default_manager.filter(pk=row.pk).update(**values)


def marked_json(model: Any, field: Any, kept: Any, word: str) -> Any:
    """The word in a value of JSON, where the contractor's page needs its shape in the shape that it has."""
    if model is ScheduleIssue:
        return kept if field.name in ("content", "files", "basis") else [{"text": word}]
    if model is Job and field.name == "files":
        return [{**one, "name": f"{word}.txt"} for one in kept]
    if model is Change:
        return {"notes": [word, word]}
    return [{"sentence": word, "name": word, "key": word}] if isinstance(kept, list) else {"text": word}


@pytest.fixture
def marked(cast, project, world):  # noqa: F811
    """A project in which every text bears the word, and whose historian was let go."""
    job = Job.objects.get(pk=world["jobs"].pk)
    Job.objects.filter(pk=job.pk).update(files=[jobs.keep_file(job, f"{MARK}.txt", "text/plain", MARK.encode())], result={"text": MARK})
    text = "@stranger @contractor @historian @owner look at this"
    Person.objects.update(daily_digest=True)
    for person in Person.objects.all():
        Person.objects.filter(pk=person.pk).update(email=f"{person.username}@example.org")
    records.remove_member(cast.coordinator, project, Membership.objects.get(person=cast.historian).pk, 1)
    records.create(cast.coordinator, project, Comment, {**world["about"], "text": text})
    for person in (cast.owner, cast.historian, cast.contractor, cast.stranger):
        Seen.objects.get_or_create(person=person, project=project)
    mark(project)
    world["before"] = text
    return world


def test_every_text_of_every_kind_of_row_bears_the_word(marked):
    """Otherwise what follows would prove nothing. A new kind of record, or a new text in one, fails here until the world holds it."""
    bare = []
    for model in of_a_project():
        rows = list(model._default_manager.values())
        for field in texts_of(model):
            if not any(word_for(model, field) in str(row[field.attname]) for row in rows):
                bare.append(f"{model._meta.model_name}.{field.name}")
    unheld = {"scheduleissue.content", "scheduleissue.files", "scheduleissue.basis"}
    assert set(bare) <= unheld


def ids_of(project: Project) -> dict[str, str]:
    """The id of one row of each kind, by the kind; of all that bear a UUID."""
    found = {}
    for model in of_a_project():
        if isinstance(model._meta.pk, models.UUIDField):
            row = model._default_manager.filter(**({"pk": project.pk} if model is Project else {"project": project})).first()
            found[str(model._meta.model_name)] = str(row.pk) if row else str(uuid.uuid4())
    return found


def secret_words(cast, project) -> set[str]:
    """What may not be read by who has no right: the words, all ids, and who belongs to the project."""
    ids = set()
    for model in of_a_project():
        if isinstance(model._meta.pk, models.UUIDField):
            ids |= {
                str(pk)
                for pk in model._default_manager.filter(**({"pk": project.pk} if model is Project else {"project": project})).values_list(
                    "pk", flat=True
                )
            }
    people = {one.name for one in (cast.coordinator, cast.conservator, cast.owner)} | {one.username for one in (cast.conservator,)}
    return {MARK, NAME, PLACE, ISSUED} | ids | people


def asked(name: str, method: str, path: str, found: dict[str, Any], others: list[str]) -> list[tuple[str, Any]]:
    """The addresses (below the project's) and bodies with which a route is tried."""
    row = TABLE[name, method]
    body = row.body(found) if row.body else ({} if method in ("POST", "PUT", "PATCH") else None)
    if name in ("invitation-look", "invitation-accept"):
        body = {"secret": "x" * 43}
    if not isinstance(body, dict | bytes | None):  # a file
        body = {}
    path = re.sub("<int:[a-z]+>", "0", path)
    own = getattr(found.get(path.split("<str:code>/")[-1].split("/")[0]), "pk", None)
    keys = [str(own or uuid.uuid4()), *others] if "<uuid:record_id>" in path else [""]
    queries = [row.query, "?search=zqxmar&count=true", "?ordering=-notes", "?fields=notes"] if method == "GET" else [row.query]
    files = (f"{MARK}.txt", "a.txt") if "<str:name>" in path else ("",)
    return [
        (path.replace("<uuid:record_id>", key).replace("<str:name>", file) + query, body)
        for key in dict.fromkeys(keys)
        for query in (queries if "<uuid" not in path else [row.query])
        for file in files
    ]


def everything(found: dict[str, Any], project: Project | None = None) -> list[tuple[str, str, str, Any]]:
    """(name of the route, method, address with '<str:code>', body) of all that is tried; with a project, ids of other kinds too."""
    ids = ids_of(project) if project else {}
    others = [ids[kind] for kind in OTHER_KINDS] if project else []
    told = []
    for name, method, path, _ in routes():
        tries = asked(name, method, path, found, others)
        told += [(name, method, address, body) for address, body in tries]
        if method == "GET":
            told.append((name, "HEAD", tries[0][0], None))
    return told


def read(answer: Any) -> str:
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return f"{answer.status_code} {dict(answer.headers)} {content.decode('utf-8', 'replace')}"


def tried(client: Any, method: str, address: str, body: Any) -> Any:
    """What is answered, without anything being done."""
    try:
        with transaction.atomic():
            if isinstance(body, bytes):  # a part of a file
                answer = client.client.put(address, body, content_type="application/octet-stream")
            else:
                answer = client.send(method, address, body, If_Match='"1"') if method != "GET" else client.get(address)
            text = read(answer)
            raise Undo
    except Undo:
        return answer, text


@pytest.fixture
def walker(cast, marked):
    """A client for each of those who have no right."""
    people = {"stranger": cast.stranger, "former": cast.historian, "contractor": cast.contractor, "nobody": None}
    return lambda who: Api(people[who])


# Signing in and out changes who asks; the rest of these is one's own.
OWN_DOOR = {("session", "POST"), ("session", "DELETE"), ("schema", "GET"), ("docs", "GET"), ("schema", "HEAD"), ("docs", "HEAD")}
# Where a contractor may read the name and place of the project, and what was issued.
CARD_ROUTES, ISSUE_ROUTES = {"projects", "project", "my-news"}, {"issues", "issue", "issue-file"}


@pytest.mark.parametrize("who", WALKERS)
def test_no_route_tells_anything(cast, project, marked, walker, who):
    client, words = walker(who), secret_words(cast, project)
    issue = ScheduleIssue.objects.get()
    leaks = []
    for name, method, address, body in everything(marked, project):
        if (name, method) in OWN_DOOR:
            continue
        place = f"{ROOT}/{address.replace('<str:code>', 'HALL')}"
        _, text = tried(client, method, place, body)
        allowed: set[str] = set()
        if who == "contractor" and name in CARD_ROUTES:
            allowed = {NAME, PLACE}
        if who == "contractor" and name in ISSUE_ROUTES:
            # What went out is his to read, as it was frozen.
            allowed = {NAME, PLACE, ISSUED, str(issue.pk), str(issue.schedule_id), cast.coordinator.name}
            allowed |= {word for word in words if word in str(issue.content)}
        found = {word for word in words if word in text} - allowed
        if found:
            leaks.append((method, place, sorted(found), text[:300]))
    assert leaks == []


def test_the_words_would_be_found_where_they_are_told(cast, project, marked):
    """The same walk by the owner, who sees the record: the words and the ids stand in the answers of most routes."""
    client, told = Api(cast.owner), set()
    for name, method, address, body in everything(marked):
        if method == "GET" and "<str:code>" in address:
            _, text = tried(client, method, f"{ROOT}/{address.replace('<str:code>', 'HALL')}", body)
            told |= {name} if MARK in text else set()
    assert len(told) >= 30


@pytest.mark.parametrize("who", ["stranger", "former", "nobody"])
def test_a_project_is_answered_word_for_word_as_one_that_there_never_was(cast, project, marked, walker, who):
    client = walker(who)
    differing = []
    for name, method, address, body in everything(marked):
        if "<str:code>" not in address:
            continue
        answers = []
        for code in ("HALL", NOT_THERE):
            answer, text = tried(client, method, f"{ROOT}/{address.replace('<str:code>', code)}", body)
            # A request's own number differs from one to the next.
            answers.append((answer.status_code, re.sub(r"'X-Request-ID': '\w+'", "", text).replace(code, "CODE")))
        if answers[0] != answers[1]:
            differing.append((name, method, address, answers))
    assert differing == []


@pytest.mark.parametrize("who", ["stranger", "former"])
def test_no_count_and_no_order_tells_of_a_project(marked, walker, who):
    for query in (
        "?count=true",
        f"?search={NAME}&count=true",
        f"?search={MARK}&count=true",
        f"?name__icontains={NAME}&count=true",
        "?code=HALL&count=true",
    ):
        told = walker(who).get(f"{ROOT}/projects/{query}").json()
        assert (told["results"], told["count"]) == ([], 0)
    assert walker(who).get(f"{ROOT}/me/news").json().get("projects", []) == []


def test_a_contractor_finds_a_project_by_its_card_and_by_nothing_else(marked, walker):
    client = walker("contractor")
    for words, many in ((NAME, 1), (PLACE, 1), (MARK, 0)):
        assert client.get(f"{ROOT}/projects/?search={words}&count=true").json()["count"] == many
    for query in (
        "summary__icontains=zqx",
        "notes__icontains=zqx",
        "ordering=summary",
        "ordering=change_sequence",
        "fields=notes",
        "version=1",
    ):
        problem(client.get(f"{ROOT}/projects/?{query}"), 400)
    assert set(client.get(f"{ROOT}/projects/").json()["results"][0]) == {"code", "name", "place", "role"}


def test_a_code_that_is_taken_is_all_that_a_stranger_can_learn_of_a_project(marked, walker):
    """A code stands in addresses, so no two projects have one; that much cannot be hidden from who tries to take it."""
    answer = walker("stranger").post(f"{ROOT}/projects/", {"code": "hall", "name": "x"})
    assert problem(answer, 422)["detail"] == "This code is taken."


def test_nobody_is_called_or_written_to_who_does_not_see_the_project(cast, project, marked):
    """Neither by a mention, nor in the letter of the day; whoever sees it gets the letter, so that this is no silence of everything."""
    comment = Comment.objects.get(created_by=cast.coordinator)
    assert {one.person for one in Mention.objects.filter(comment=comment)} == {cast.owner}
    digest.send_due()
    records.create(cast.coordinator, project, Space, {"number": "201", "name": MARK})
    Seen.objects.update(digest_at=None, digest_sequence=0, sequence=0)
    mail.outbox.clear()
    digest.send_due()
    outside = {f"{who}@example.org" for who in ("stranger", "contractor", "historian")}
    written_to = {address for letter in mail.outbox for address in letter.recipients()}
    assert "owner@example.org" in written_to
    assert written_to.isdisjoint(outside)


def test_no_letter_of_an_account_tells_of_a_project(cast, project, marked, walker):
    mail.outbox.clear()
    walker("nobody").post(f"{ROOT}/password-resets/", {"email": "historian@example.org"})
    walker("former").post(f"{ROOT}/me/email", {"password": "not-a-real-secret", "email": "elsewhere@example.org"})
    assert len(mail.outbox) == 2
    told = " ".join(f"{letter.subject} {letter.body}" for letter in mail.outbox)
    assert [word for word in secret_words(cast, project) if word in told] == []


def test_the_candidates_of_a_mention_are_members_who_see_the_project(cast, project, marked, walker):
    for who, status in (("stranger", 404), ("former", 404), ("contractor", 404), ("nobody", 401)):
        problem(walker(who).get("comments/candidates"), status)
    listed = Api(cast.owner).get("comments/candidates").content.decode()
    assert "conservator" in listed
    assert "historian" not in listed
    assert "contractor" not in listed
    assert "stranger" not in listed


def test_who_was_a_member_is_not_told_again_what_he_was_told(cast, project, paint):
    """An answer that is kept for a retry (Idempotency-Key) is of the project too."""
    client, body = Api(cast.historian), {"number": "301", "name": MARK}
    assert client.post("spaces/", body, Idempotency_Key="one").status_code == 201
    assert client.post("spaces/", body, Idempotency_Key="one").headers["Idempotency-Replayed"] == "true"
    member = Membership.objects.get(person=cast.historian)
    records.change_member(cast.coordinator, project, member.pk, member.version, {"role": "contractor"})
    assert MARK not in problem(client.post("spaces/", body, Idempotency_Key="one"), 404)["detail"]
    member.refresh_from_db()
    records.remove_member(cast.coordinator, project, member.pk, member.version)
    problem(client.post("spaces/", body, Idempotency_Key="one"), 404)


def test_a_token_of_who_was_a_member_opens_nothing(cast, project, marked):
    _, secret = tokens.make(cast.historian, "script")
    client = Api(None).client
    for path in ("", "/spaces/", "/changes/", f"/jobs/{marked['jobs'].pk}/files/{MARK}.txt"):
        assert client.get(f"{ROOT}/projects/HALL{path}", headers={"Authorization": f"Token {secret}"}).status_code == 404


def test_the_pages_are_the_same_for_everybody(marked, walker):
    for path in ("/", "/projects/HALL", "/projects/HALL/members"):
        answers = [walker(who).client.get(path) for who in ("stranger", "nobody")]
        for answer in answers:
            assert MARK not in read(answer)
            assert NAME not in read(answer)


# -- ids of one project in another ------------------------------------------------------------------------------------------------


@pytest.fixture
def mill(cast):
    """The stranger's own project, in which he may do everything."""
    made = records.create_project(cast.stranger, {"code": "MILL", "name": "The mill"})
    cast.mill_paint = Paint.__new__(Paint)
    from types import SimpleNamespace

    Paint.__init__(cast.mill_paint, SimpleNamespace(conservator=cast.stranger), made, "M1")  # type: ignore[arg-type]
    return made


def test_no_id_of_another_project_is_known_in_any_address(cast, project, marked, mill):
    """Every id of every kind, at every address of one's own project that takes one, with every method."""
    client, words = Api(cast.stranger), secret_words(cast, project)
    wrong = []
    for name, method, address, body in everything(marked, project):
        if "<str:code>" not in address or not re.search(r"[0-9a-f]{8}-[0-9a-f]{4}-", address):
            continue
        place = f"{ROOT}/{address.replace('<str:code>', 'MILL')}"
        answer, text = tried(client, method, place, body)
        if answer.status_code not in (404, 400, 422) or any(word in text for word in words):
            wrong.append((name, method, place, text[:300]))
    assert wrong == []


def references(body: Any) -> list[str]:
    """The fields of a body that take an id."""
    return [name for name, field in body().fields.items() if getattr(field, "schema", {}).get("format") == "uuid"]


def collections() -> list[Any]:
    """The collections in which records are made from their own fields."""
    return [one for name, one in BY_NAME.items() if (name, "POST") in TABLE and name not in ("members", "uploads", "jobs", "projects")]


def target_of(collection: Any, field: str) -> str:
    found = collection.model._meta.get_field(field)
    return str(found.related_model._meta.model_name) if found.is_relation else "space"


def test_no_id_of_another_project_is_taken_in_any_field(cast, project, marked, mill):
    client, ids, tried_fields, wrong = Api(cast.stranger), ids_of(project), 0, []
    for collection in collections():
        body = collection.values
        for field in references(body):
            other = ids[target_of(collection, field)]
            values = {field: other, **({"about_type": "space"} if field == "about_id" else {})}
            if field == "about_id":
                upload = jobs.upload(cast.stranger, mill, "a.png", made.png())
                values |= {"upload": str(upload.pk), "kind": "photograph"} if collection.name == "attachments" else {"text": "x"}
            if collection.name == "questions":
                values["to_discipline"] = "archaeology"
            answer, text = tried(client, "POST", f"{ROOT}/projects/MILL/{collection.name}/", values)
            faults = answer.json().get("errors", [])
            tried_fields += 1
            known = any(one["pointer"] == f"/{field}" and one["code"] == "not-found" for one in faults)
            if answer.status_code != 422 or not known or any(word in text for word in secret_words(cast, project)):
                wrong.append((collection.name, field, text[:300]))
    assert wrong == []
    assert tried_fields >= 20


def test_no_id_of_another_project_is_taken_in_what_is_done_to_a_record(cast, project, marked, mill):
    """Bodies of deeds that are no collection: citations, answers, joining, splitting, handing over, jobs, what was removed."""
    client, ids, paint = Api(cast.stranger), ids_of(project), cast.mill_paint
    make = lambda path, body: client.post(f"{ROOT}/projects/MILL/{path}", body)  # noqa: E731
    generation = make("generations/", {"space": str(paint.space.pk)}).json()
    finding = {"discipline": "archaeology", "subject": "space", "space": str(paint.space.pk), "statement": "x"}
    question = make(
        "questions/", {"about_type": "space", "about_id": str(paint.space.pk), "text": "x", "to_discipline": "archaeology"}
    ).json()
    act = Change.objects.filter(project=project, action="removed").first()
    refused = [
        make("interpretations/", {**finding, "citations": [{"type": "sample", "id": ids["sample"]}]}),
        make("interpretations/", {**finding, "citations": [{"type": "interpretation", "id": ids["interpretation"]}]}),
        make(f"generations/{generation['id']}/join", {"version": 1, "other": ids["generation"], "other_version": 1}),
        make(f"generations/{generation['id']}/split", {"version": 1, "layers": [ids["layer"]]}),
        make("handing-over", {"to": ids["membership"], "role": "owner"}),
        make("restorations/", {"act": str(act.act)}),
        make("jobs/", {"kind": "load", "params": {"upload": ids["upload"]}}),
        make("jobs/", {"kind": "import", "params": {"upload": ids["upload"]}}),
        make(f"history/{ids['space']}/restore", {"sequence": 1, "fields": ["name"], "version": 1}),
        client.patch(f"{ROOT}/projects/MILL/elements/{paint.door.pk}", {"space": ids["space"]}, If_Match='"1"'),
        client.post(
            f"{ROOT}/projects/MILL/questions/{question['id']}/answer",
            {"answer": "x", "answer_records": [{"type": "sample", "id": ids["sample"]}]},
        ),
    ]
    texts = [read(answer) for answer in refused]
    assert {answer.status_code for answer in refused} <= {404, 422, 400}, texts
    assert [text for text in texts if any(word in text for word in secret_words(cast, project))] == []


def test_a_filter_by_an_id_of_another_project_answers_as_by_one_that_there_never_was(cast, project, marked, mill):
    client, ids, wrong, many = Api(cast.stranger), ids_of(project), [], 0
    for collection in collections():
        for column in collection.columns.values():
            if column.kind != "reference" or column.target is None:
                continue
            other = ids.get(str(column.target._meta.model_name))
            answers = [
                read(client.get(f"{ROOT}/projects/MILL/{collection.name}/?{column.name}={key}")).replace(str(key), "ID")
                for key in (other, uuid.uuid4())
            ]
            many += 1
            if re.sub(r"'X-Request-ID': '\w+'", "", answers[0]) != re.sub(r"'X-Request-ID': '\w+'", "", answers[1]):
                wrong.append((collection.name, column.name, answers))
    assert wrong == []
    assert many >= 10


def test_a_job_of_ones_own_reads_nothing_of_another_project(cast, project, marked, mill):
    """Numbers of spaces and samples are the same in many projects; a job finds those of its own."""
    for kind, params in (("registers", {}), ("correlate", {})):
        job = jobs.ask(cast.stranger, mill, kind, params)
        jobs.run(str(job.pk), "a worker", table.do)
        job.refresh_from_db()
        assert job.state == "done", job.error
        kept = str(job.result)
        for file in job.files:
            from django.core.files.storage import default_storage

            with default_storage.open(file["path"]) as handle:
                kept += handle.read().decode("latin-1")
        assert MARK not in kept
        assert NAME not in kept
    assert Upload.objects.filter(project=mill).count() == 0
