"""Who may do what, over every address: each route and method × each person of the cast, read from the resolver.

A route or method that is added without a row here fails.
"""

import datetime as dt
import re
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.urls import get_resolver

from surveys import jobs, records, saved_views, sessions, tokens
from surveys.models import (
    Change,
    Comment,
    Evidence,
    Generation,
    Interpretation,
    Job,
    Phase,
    Registration,
    Ruling,
    Schedule,
    ScheduleRow,
    Space,
    Traverse,
)
from surveys.records import questions
from surveys.work import schedules
from tests.conftest import PEOPLE
from tests.surveys.api.brought import brought
from tests.surveys.api.conftest import BASE, ROOT, Api
from tests.surveys.lines.conftest import Pictures, read, reading_of

INSIDE = ("coordinator", "conservator", "historian", "owner")


def told(done: int, *, coordinator=None, consultant=None, owner=None, contractor=404, stranger=404, nobody=401) -> dict[str, int]:
    """What each person is answered, where everybody not named is answered as if it were done."""
    consultant = consultant or done
    return {
        "coordinator": coordinator or done,
        "conservator": consultant,
        "historian": consultant,
        "owner": owner or done,
        "contractor": contractor or done,
        "stranger": stranger or done,
        "nobody": nobody or done,
    }


def see() -> dict[str, int]:
    return told(200)


def write(done: int) -> dict[str, int]:
    return told(done, owner=403)


def manage(done: int) -> dict[str, int]:
    return told(done, owner=403, consultant=403)


def person(done: int) -> dict[str, int]:
    """Whoever is signed in."""
    return told(done, contractor=None, stranger=None)


def anybody(done: int) -> dict[str, int]:
    return told(done, contractor=None, stranger=None, nobody=done)


@dataclass
class Asked:
    """What a row sends besides the method: a body (from the world), and whether the version goes along."""

    answers: dict[str, int]
    body: Any = None
    conditioned: bool = False
    query: str = ""


BODIES = {
    "spaces": lambda world: {"number": "9"},
    "elements": lambda world: {"code": "X", "space": str(world["spaces"].pk), "element_class": "wall"},
    "samples": lambda world: {"number": "X", "element": str(world["elements"].pk)},
    "layers": lambda world: {"sample": str(world["samples"].pk), "kind": "paint"},
    "rulings": lambda world: {"kind": "bar", "first_layer": str(world["free"][0].pk), "second_layer": str(world["free"][1].pk)},
    "generations": lambda world: {"space": str(world["spaces"].pk)},
    "phases": lambda world: {"label": "x"},
    "evidence": lambda world: {"reference": "X", "statement": "x"},
    "schedules": lambda world: {"title": "x", "year": 1840},
    "microscopes": lambda world: {"name": "Lab", "magnification": "500×", "um_per_pixel": 0.2},
    "attachments": lambda world: {name: str(value) for name, value in world["brought"].items()},
    "schedule-rows": lambda world: {"schedule": str(world["schedules"].pk), "element": str(world["door"].pk)},
    "traverses": lambda world: {"attachment": str(world["micrograph"].pk), "path": [[10, 90], [10, 10]], "width_px": 5},
}
FREE_FIELD = {
    "spaces": "notes", "elements": "notes", "samples": "notes", "layers": "notes", "rulings": "reason", "generations": "label",
    "phases": "label", "evidence": "notes", "schedules": "notes", "schedule-rows": "remarks",
    "microscopes": "notes", "attachments": "caption", "traverses": "notes",
}  # fmt: skip
# What hangs on or cites the record of each collection in this world decides whether it can go.
REMOVABLE = {**dict.fromkeys(BODIES, 204), "spaces": 409, "elements": 409, "samples": 409, "schedules": 409}

TABLE: dict[tuple[str, str], Asked] = {
    ("session", "GET"): Asked(person(200)),
    ("session", "POST"): Asked(anybody(200), lambda world: {"username": "owner", "password": "not-a-real-secret"}),
    ("session", "DELETE"): Asked(anybody(204)),
    ("me", "GET"): Asked(person(200)),
    ("me", "PATCH"): Asked(person(200), lambda world: {"daily_digest": False}),
    ("tokens", "GET"): Asked(person(200)),
    ("tokens", "POST"): Asked(person(201), lambda world: {"label": "x"}),
    # The token of the world is the coordinator's; to everybody else there is none.
    ("token", "DELETE"): Asked({**dict.fromkeys(PEOPLE, 404), "coordinator": 204, "nobody": 401}),
    ("my-sessions", "GET"): Asked(person(200)),
    ("my-sessions-end", "POST"): Asked(person(200), lambda world: {"password": "not-a-real-secret"}),
    # The session of the world is the owner's, elsewhere; to everybody else there is none.
    ("my-session-end", "POST"): Asked(
        {**dict.fromkeys(PEOPLE, 404), "owner": 204, "nobody": 401}, lambda world: {"password": "not-a-real-secret"}
    ),
    ("second-factor", "GET"): Asked(person(200)),
    ("second-factor", "POST"): Asked(person(201), lambda world: {"password": "not-a-real-secret"}),
    # Nobody of the world has a second factor, or a key that could be confirmed.
    ("second-factor-confirm", "POST"): Asked(person(409), lambda world: {"code": "000000"}),
    ("second-factor-off", "POST"): Asked(person(409), lambda world: {"password": "not-a-real-secret", "code": "000000"}),
    ("recovery-codes", "POST"): Asked(person(409), lambda world: {"password": "not-a-real-secret", "code": "000000"}),
    ("vocabulary", "GET"): Asked(person(200)),
    ("colours", "GET"): Asked(person(200), query="?notation=N%205"),
    ("presence", "POST"): Asked(see(), lambda world: {"where": "bench"}),
    ("views", "GET"): Asked(see()),
    ("views", "POST"): Asked(told(201), lambda world: {"register": "layers", "name": "x", "arrangement": {}}),
    # The view of the world is the owner's; to everybody else there is none.
    ("view", "GET"): Asked({**dict.fromkeys(PEOPLE, 404), "owner": 200, "nobody": 401}),
    ("view", "PATCH"): Asked({**dict.fromkeys(PEOPLE, 404), "owner": 200, "nobody": 401}, lambda world: {"name": "y"}, True),
    ("view", "DELETE"): Asked({**dict.fromkeys(PEOPLE, 404), "owner": 204, "nobody": 401}, None, True),
    ("schema", "GET"): Asked(anybody(200)),
    ("docs", "GET"): Asked(anybody(200)),
    ("projects", "GET"): Asked(person(200)),
    ("projects", "POST"): Asked(person(201), lambda world: {"code": "NEW", "name": "New"}),
    ("project", "GET"): Asked(told(200, contractor=None)),
    ("project", "PATCH"): Asked(manage(200), lambda world: {"notes": "x"}, True),
    ("members", "GET"): Asked(see()),
    ("members", "POST"): Asked(manage(201), lambda world: {"username": "stranger", "role": "owner", "discipline": "ownership"}),
    ("member", "GET"): Asked(see()),
    ("member", "PATCH"): Asked(manage(200), lambda world: {"discipline": "archaeology"}, True),
    ("member", "DELETE"): Asked(manage(204), None, True),
    # The membership of the world is the contractor's own.
    ("member-leaving", "GET"): Asked({**manage(200), "contractor": 200}),
    ("member-leaving", "POST"): Asked({**manage(204), "contractor": 204}, lambda world: {}),
    ("leaving", "GET"): Asked(told(200, contractor=None)),
    # The coordinator is the last.
    ("leaving", "POST"): Asked(told(204, coordinator=403, contractor=None), lambda world: {}),
    ("handing-over", "POST"): Asked(manage(200), lambda world: {"to": str(world["members"].pk), "role": "consultant"}),
    ("invitations", "GET"): Asked(manage(200)),
    ("invitations", "POST"): Asked(manage(201), lambda world: {"name": "Gast", "role": "owner", "discipline": "ownership"}),
    ("invitation", "GET"): Asked(manage(200)),
    ("invitation", "DELETE"): Asked(manage(204), None, True),
    ("invitation-look", "POST"): Asked(anybody(200), lambda world: {"secret": world["secret"]}),
    # Members belong to the project already; who has no account must say what to make one of.
    ("invitation-accept", "POST"): Asked(
        {**dict.fromkeys(PEOPLE, 409), "stranger": 201, "nobody": 422}, lambda world: {"secret": world["secret"]}
    ),
    ("my-password", "POST"): Asked(person(422), lambda world: {"password": "wrong", "new_password": "x"}),
    ("my-email", "POST"): Asked(person(200), lambda world: {"password": "not-a-real-secret", "email": "a@example.org"}),
    ("password-resets", "POST"): Asked(anybody(202), lambda world: {"email": "nobody@example.org"}),
    ("password-reset-use", "POST"): Asked(anybody(404), lambda world: {"secret": "x.y", "password": "x"}),
    ("changes", "GET"): Asked(see()),
    # The history of the world is that of its space, which was made and never changed: there is nothing to put back.
    ("history", "GET"): Asked(see()),
    ("history-restore", "POST"): Asked(
        write(422),
        lambda world: {"sequence": Change.objects.get(record_id=world["history"].pk).sequence, "fields": ["name"], "version": 1},
    ),
    ("removed", "GET"): Asked(manage(200)),
    ("restorations", "POST"): Asked(manage(200), lambda world: {"act": str(world["act"])}),
    ("sendings", "POST"): Asked(write(201), lambda world: {"name": "a.tif", "size": 3}),
    # The file on its way is the coordinator's; to everybody else there is none. Nothing of it is here yet, so it cannot be joined.
    ("sending", "GET"): Asked({**write(404), "coordinator": 200}),
    ("sending", "DELETE"): Asked({**write(404), "coordinator": 204}),
    ("sending-part", "PUT"): Asked({**write(404), "coordinator": 200}, lambda world: b"abc"),
    ("sending-finish", "POST"): Asked({**write(404), "coordinator": 409}),
    ("attachment-original", "GET"): Asked(see()),
    ("attachment-thumbnail", "GET"): Asked(see()),
    ("attachment-tiles", "GET"): Asked(see()),
    ("attachment-tile", "GET"): Asked(see()),
    ("uploads", "GET"): Asked(see()),
    ("uploads", "POST"): Asked(write(201), lambda world: SimpleUploadedFile("a.xlsx", b"x")),
    ("upload", "GET"): Asked(see()),
    ("jobs", "GET"): Asked(see()),
    ("jobs", "POST"): Asked(write(202), lambda world: {"kind": "correlate"}),
    ("job", "GET"): Asked(see()),
    # The job of the world is the historian's.
    ("job", "DELETE"): Asked({**manage(200), "historian": 200}),
    ("job-cancel", "POST"): Asked({**manage(200), "historian": 200}),
    ("job-file", "GET"): Asked(see()),
    ("chart", "GET"): Asked(see()),
    ("chart-drawing", "GET"): Asked(see()),
    ("campaigns", "GET"): Asked(see()),
    ("layer-why", "GET"): Asked(see()),
    ("looking", "GET"): Asked(see()),
    ("dating", "GET"): Asked(see()),
    ("schedule-draft", "GET"): Asked(see()),
    # What went out is for the contractor too.
    ("issues", "GET"): Asked(told(200, contractor=200)),
    ("issue", "GET"): Asked(told(200, contractor=200)),
    ("issue-file", "GET"): Asked(told(200, contractor=200)),
    ("issue-since", "GET"): Asked(see()),
    ("issue-comments", "GET"): Asked(told(200, contractor=200)),
    ("issue-comments", "POST"): Asked(told(201, contractor=201), lambda world: {"text": "x"}),
    # It is the coordinator's, so nobody else puts it up for comment.
    ("schedule-transitions", "POST"): Asked(told(403, coordinator=200), lambda world: {"to": "for comment"}, True),
    ("generation-join", "POST"): Asked(
        write(200), lambda world: {"version": 1, "other": str(world["other"].pk), "other_version": world["other"].version}
    ),
    # No layer is placed in the generation of this world, so none can be split off.
    ("generation-split", "POST"): Asked(write(422), lambda world: {"version": 1, "layers": [str(world["layers"].pk)]}),
    ("coverage", "GET"): Asked(see()),
    ("my-news", "GET"): Asked(person(200)),
    ("news", "GET"): Asked(see()),
    ("news-seen", "POST"): Asked(told(200), lambda world: {"sequence": 1}),
    ("comments", "GET"): Asked(see()),
    ("comments", "POST"): Asked(told(201), lambda world: {**world["about"], "text": "x"}),
    ("comment-candidates", "GET"): Asked(see()),
    ("comment-threads", "GET"): Asked(see()),
    ("comment", "GET"): Asked(see()),
    # The comment and the question of the world are the historian's; the question is to the owner.
    ("comment", "PATCH"): Asked({**told(403), "historian": 200}, lambda world: {"text": "y"}, True),
    ("comment", "DELETE"): Asked({**manage(204), "historian": 204}, None, True),
    ("comment-resolve", "POST"): Asked(told(200)),
    ("comment-reopen", "POST"): Asked(told(409)),
    ("questions", "GET"): Asked(see()),
    ("questions", "POST"): Asked(told(201), lambda world: {**world["about"], "text": "x", "to_discipline": "archaeology"}),
    ("question", "GET"): Asked(see()),
    ("question", "PATCH"): Asked({**told(403), "historian": 200}, lambda world: {"text": "y"}, True),
    ("question-answer", "POST"): Asked(told(200, consultant=403), lambda world: {"answer": "x"}),
    ("question-withdraw", "POST"): Asked({**told(403), "historian": 200}),
    ("question-reopen", "POST"): Asked({**told(403), "historian": 409}),
    ("readings", "GET"): Asked(see()),
    ("as-of", "GET"): Asked(see(), query="?year=1840"),
}
# The interpretation of the world is the historian's and for comment; the owner was asked to review it.
HISTORIAN_ONLY = {**told(403), "historian": 200}
FINDING = lambda world: {**world["finding"], "statement": "y"}  # noqa: E731
TABLE |= {
    ("interpretations", "GET"): Asked(see()),
    ("interpretations", "POST"): Asked(write(201), FINDING),
    ("interpretations-batch", "POST"): Asked(write(200), lambda world: {"operations": [{"op": "create", "values": FINDING(world)}]}),
    ("interpretations-one", "GET"): Asked(see()),
    ("interpretations-one", "PATCH"): Asked(HISTORIAN_ONLY, lambda world: {"statement": "y"}, True),
    ("interpretations-one", "PUT"): Asked(HISTORIAN_ONLY, FINDING, True),
    # What others were asked about stays.
    ("interpretations-one", "DELETE"): Asked({**told(403), "historian": 409}, None, True),
    ("review", "GET"): Asked(see()),
    ("transitions", "POST"): Asked({**told(200), "historian": 403}, lambda world: {"to": "agreed"}, True),
    ("reviews", "GET"): Asked(see()),
    ("reviews", "POST"): Asked(write(200), lambda world: {"people": ["owner"]}),
    ("review-looked", "POST"): Asked({**told(409), "owner": 200}),
    ("space-sides", "GET"): Asked(see()),
    ("element-sides", "GET"): Asked(see()),
}
TABLE |= {
    ("traverse-profile", "GET"): Asked(see()),
    ("sample-lines", "GET"): Asked(see()),
    ("sample-lines-accept", "POST"): Asked(
        write(200),
        lambda world: {**world["line_seen"], "rows": [{"index": 2, "deed": "new"}]},
    ),
    ("targets", "GET"): Asked(see()),
    ("measurements", "GET"): Asked(see()),
    ("measurement", "GET"): Asked(see()),
    ("registrations", "GET"): Asked(see()),
    ("registration", "GET"): Asked(see()),
    ("registration", "DELETE"): Asked(write(204), None, True),
}
for _name in BODIES:
    TABLE |= {
        (_name, "GET"): Asked(see()),
        (_name, "POST"): Asked(write(201), BODIES[_name]),
        (f"{_name}-batch", "POST"): Asked(
            write(200), lambda world, name=_name: {"operations": [{"op": "create", "values": BODIES[name](world)}]}
        ),
        (f"{_name}-one", "GET"): Asked(see()),
        (f"{_name}-one", "PATCH"): Asked(write(200), lambda world, name=_name: {FREE_FIELD[name]: "x"}, True),
        (f"{_name}-one", "PUT"): Asked(write(200), lambda world, name=_name: world["whole"](name), True),
        (f"{_name}-one", "DELETE"): Asked(write(REMOVABLE[_name]), None, True),
    }


def routes() -> list[tuple[str, str, str, type]]:
    """(name, method, address, view) of every route below /api/v1/."""
    found = []
    for included in get_resolver().url_patterns:
        if str(included.pattern) != "api/v1/":
            continue
        for pattern in included.url_patterns:
            view = pattern.callback.cls
            for method in view.http_method_names:
                if method not in ("head", "options") and hasattr(view, method):
                    found.append((pattern.name, method.upper(), str(pattern.pattern), view))
    return found


def test_every_route_has_its_row_and_every_row_its_route():
    assert {(name, method) for name, method, _, _ in routes()} == set(TABLE)
    assert all(set(row.answers) == set(PEOPLE) for row in TABLE.values())


def sections(cast, project, paint) -> dict[str, Any]:
    """Two micrographs of the second sample, laid on each other, and a line that was read, one of whose layers was taken over."""
    pictures = Pictures(cast, project)
    visible, uv = pictures(paint.first, um_per_pixel=0.5, scale_by="stated"), pictures(paint.first, "UV micrograph")
    values = {"attachment": visible.pk, "path": [[10, 90], [10, 10]], "width_px": 5}
    line = read(cast, project, records.create(cast.conservator, project, Traverse, values), reading_of())
    row = records.Row(1, "beside", layer=str(paint.layers["101-1"][0].pk))
    done = records.accept_layers(cast.conservator, project, paint.first.pk, line.pk, line.version, [row])
    laid = Registration.objects.create(
        project=project, created_by=cast.conservator, fixed=visible, moving=uv, method="points", residual_px=0.5,
        matrix=[[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    )  # fmt: skip
    line.refresh_from_db()
    seen = {"traverse": str(line.pk), "version": line.version}
    return {"micrograph": visible, "traverses": line, "line_seen": seen, "measurements": done.measurements[0], "registrations": laid}


@pytest.fixture
def world(cast, project, paint):
    """Something at every address."""
    make = lambda model, **values: records.create(cast.coordinator, project, model, values)  # noqa: E731
    gone = make(Space, number="gone")
    records.remove(cast.coordinator, project, Space, gone.pk, 1)
    job = jobs.ask(cast.historian, project, "date", {})
    # As of a kind that all who see may ask for: who may not ask for a paper may not fetch it.
    Job.objects.filter(pk=job.pk).update(kind="registers", files=[jobs.keep_file(job, "a.txt", "text/plain", b"x")])
    first, second = (paint.layers[number][0] for number in ("101-1", "101-2"))
    invitation, secret = records.invite(cast.coordinator, project, {"name": "Gast", "role": "owner", "discipline": "ownership"})
    found = {
        "invitations": invitation,
        "secret": secret,
        "history": paint.space,
        "spaces": paint.space,
        "elements": paint.baseboard,
        "samples": paint.first,
        "layers": paint.layers["101-1"][2],
        "free": (paint.layers["101-1"][1], paint.layers["101-2"][1]),
        "rulings": make(Ruling, kind="tie", first_layer=first.pk, second_layer=second.pk),
        "generations": make(Generation, space=paint.space.pk),
        "other": make(Generation, space=paint.space.pk),
        "phases": make(Phase, label="x"),
        "evidence": make(Evidence, reference="E1", statement="x", bears_on="space", space=paint.space.pk),
        "members": project.memberships.get(person=cast.contractor),
        "uploads": jobs.upload(cast.coordinator, project, "a.xlsx", b"x"),
        "jobs": job,
        "tokens": tokens.make(cast.coordinator, "x")[0],
        "views": saved_views.make(cast.owner, project, "layers", "mine", {}),
        "about": (about := {"about_type": "space", "about_id": str(paint.space.pk)}),
        "comments": records.create(cast.historian, project, Comment, {**about, "text": "x"}),
        "questions": questions.ask(cast.historian, project, {**about, "text": "x", "to_person": "owner"}),
        "act": Change.objects.get(record_id=gone.pk, action="removed").act,
    }
    # Below 'me': where the owner is signed in besides.
    found["me"] = SimpleNamespace(pk=sessions.name_of(str(Api(cast.owner).client.session.session_key)))
    found["door"] = paint.door
    found["schedules"] = make(Schedule, title="x", year=1840)
    found["schedule-rows"] = make(ScheduleRow, schedule=found["schedules"].pk, element=paint.baseboard.pk)
    project.refresh_from_db()
    basis, day = {"sequence": project.change_sequence, "rows": {}}, dt.date(2026, 11, 25)
    content = {**schedules.content(found["schedules"]).content}
    out = records.Issued("for work", day, "", content, [], basis, [jobs.keep_file(job, "a.txt", "text/plain", b"x")])
    found["issues"] = records.issue(cast.coordinator, project, found["schedules"].pk, "A", out)
    found["finding"] = {"discipline": "archaeology", "subject": "space", "space": str(paint.space.pk), "statement": "x"}
    cited = {**found["finding"], "citations": [{"type": "sample", "id": str(paint.second.pk)}]}
    finding = records.create(cast.historian, project, Interpretation, cited)
    found["interpretations"] = records.transition(cast.historian, project, finding.pk, finding.version, "for comment")
    records.ask_review(cast.historian, project, finding.pk, ["owner"])
    found |= sections(cast, project, paint)
    found |= brought(cast, project, paint.second)
    # Evidence cites the space and the element, and the tie a layer of the sample: none of the three can be removed.
    make(Evidence, reference="E2", statement="x", bears_on="element", element=paint.baseboard.pk)

    def whole(name):
        """A record as it is, for PUT."""
        shown = {}
        for field in found[name]._meta.concrete_fields:
            from surveys import rules

            if field.name in rules.WRITABLE[type(found[name])]:
                value = getattr(found[name], field.attname)
                shown[field.name] = str(value) if isinstance(value, UUID) else value
        return {key: value for key, value in shown.items() if value not in (None, "")}

    found["whole"] = whole
    return found


def address(path: str, world: dict[str, Any]) -> str:
    name = path.split("<str:code>/")[-1].split("/")[0]
    record = getattr(world.get(name), "pk", "")
    path = re.sub("<int:[a-z]+>", "0", path)
    return f"{ROOT}/" + path.replace("<str:code>", "HALL").replace("<uuid:record_id>", str(record)).replace("<str:name>", "a.txt")


class Undo(Exception):
    """Takes back what one request did."""


@pytest.mark.parametrize("who", PEOPLE)
def test_each_person_is_answered_as_the_table_says_at_every_address(api, world, who):
    wrong = []
    client = api(who)
    for name, method, path, _ in routes():
        asked = TABLE[name, method]
        body = asked.body(world) if asked.body else None
        there = address(path, world) + asked.query
        headers = {"If_Match": f'"{version(there, world)}"'} if asked.conditioned else {}
        try:
            with transaction.atomic():
                if isinstance(body, bytes):
                    answer = client.client.put(there, body, content_type="application/octet-stream")
                elif isinstance(body, SimpleUploadedFile):
                    answer = client.client.post(there, {"file": body})
                else:
                    answer = client.send(method, there, body, **headers)
                raise Undo
        except Undo:
            pass
        if name == "session" and method != "GET" and who != "nobody":
            api.again(who)
            client = api(who)
        if answer.status_code != asked.answers[who]:
            wrong.append((method, there, answer.status_code, asked.answers[who], answer.content[:200] if not answer.streaming else b""))
    assert not wrong


def version(there: str, world: dict[str, Any]) -> int:
    """The version of what lies at an address."""
    part = there.removeprefix(f"{BASE}/").split("/")[0]
    record = world.get(part)
    if record is None:
        return 1
    record.refresh_from_db()
    return record.version
