"""Writes of interpretations with what they cite, their moves from state to state, and whom one asks to review them."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any, Final

from django.utils import timezone

from surveys import access, rules
from surveys.errors import Conflict, Fault, Forbidden
from surveys.models import Citation, Interpretation, Membership, Person, Project, ReviewRequest
from surveys.records import removal, states
from surveys.records.writing import Pen, refuse, writing

# The column in which a citation of each kind names its record.
COLUMNS: Final = {"sample": "sample", "layer": "layer", "evidence": "evidence", "interpretation": "cited"}
TOGETHER: Final = ("interpretation", "sample", "layer__sample", "evidence", "cited")
MOST: Final = 500
ORDINALS: Final = ("1st", "2nd", "3rd")


def write(pen: Pen, rows: list[tuple[Interpretation, dict[str, Any]]]) -> None:
    """Make and change interpretations; `citations` among the values are all that one cites, from then on."""
    cited = _citations(pen, rows)
    new = [record for record, _ in rows if record._state.adding]
    fresh = {record.pk for record in new}
    for record, values in rows:
        values.pop("citations", None)
        if not record._state.adding:
            _refuse_to_others(pen, record)
            _refuse_fixed(record, values)
    pen.number(new)
    pen.create(new)
    pen.change_many([(record, values) for record, values in rows if record.pk not in fresh])
    _refuse_circles(pen, rows, fresh)
    for (record, _), wanted in zip(rows, cited, strict=True):
        if wanted is not None:
            _cite(pen, record, wanted, record.pk in fresh)


def _refuse_to_others(pen: Pen, record: Interpretation) -> None:
    if record.created_by_id != pen.actor.pk:
        text = (
            f"{str(record).capitalize()} is {record.created_by}'s, so nobody else changes it. Dispute it, or write one that supersedes it."
        )
        raise Forbidden(text)


def _refuse_fixed(record: Interpretation, values: Mapping[str, Any]) -> None:
    if record.state == states.SUPERSEDED:
        raise Conflict(f"{str(record).capitalize()} is superseded and stays as it was. {record.state_reason}", code="state")
    older = values.get("supersedes", record.supersedes)
    if record.state == states.AGREED and older != record.supersedes:
        text = f"{str(record).capitalize()} is agreed, so what it superseded cannot be changed."
        raise Conflict(text, code="state", faults=(Fault("supersedes", "state", text),))


def remove(pen: Pen, going: Sequence[Interpretation]) -> None:
    """Remove interpretations. Only one's own draft goes: what others were asked about stays, and is superseded."""
    for record in going:
        _refuse_to_others(pen, record)
        name = str(record).capitalize()
        if record.state != states.WORKING:
            raise Conflict(f"{name} is {record.state}; only a working one can be removed. Write one that supersedes it.", code="state")
        if record.supersedes is not None and record.supersedes.state_reason == states.replaced_by(record):
            raise Conflict(f"{name} has replaced {record.supersedes}, so it stays.", code="state")
    removal.remove(pen, Interpretation, going)


def _refuse_circles(pen: Pen, rows: list[tuple[Interpretation, dict[str, Any]]], fresh: Collection[Any]) -> None:
    """What one supersedes is there to be superseded, and does not come back to it."""
    older = dict(Interpretation.objects.filter(project=pen.project, supersedes__isnull=False).values_list("pk", "supersedes"))
    for place, (record, values) in enumerate(rows):
        target = record.supersedes if record.pk in fresh or "supersedes" in values else None
        if target is None:
            continue
        text = ""
        if target.state == states.WORKING:
            text = f"{str(target).capitalize()} is still a draft of {target.created_by}. Nothing supersedes a draft."
        elif target.state == states.SUPERSEDED and target.state_reason != states.replaced_by(record):
            text = f"{str(target).capitalize()} is superseded already. {target.state_reason}"
        step: Any = target.pk
        while step is not None and not text:
            if step == record.pk:
                text = f"{str(target).capitalize()} itself comes to supersede {record}."
            step = older.get(step)
        if text:
            raise Conflict(text, code="state", faults=(Fault("supersedes", "state", text, place),))


# -- citations --------------------------------------------------------------------------------------------------------------


def _citations(pen: Pen, rows: Sequence[tuple[Interpretation, Mapping[str, Any]]]) -> list[list[dict[str, Any]] | None]:
    """For each row what it is to cite, as fields of citations; None where nothing is said of them."""
    flat: list[dict[str, Any]] = []
    places: list[tuple[int, int]] = []
    faults: list[Fault] = []
    for row, (_, values) in enumerate(rows):
        for number, told in enumerate(values.get("citations") or ()):
            try:
                flat.append(_clean(told))
                places.append((row, number))
            except rules.Refused as refusal:
                faults.append(Fault("citations", refusal.code, f"The {_nth(number)} citation: {refusal}", row))
        if len(values.get("citations") or ()) > MOST:
            faults.append(Fault("citations", "too-many", f"An interpretation cites at most {MOST} records.", row))
    resolved, unfound = pen.resolve(Citation, flat)
    for fault in unfound:
        row, number = places[fault.row or 0]
        faults.append(Fault("citations", fault.code, f"The {_nth(number)} citation: {fault.detail}", row))
    refuse(faults)
    found: list[list[dict[str, Any]] | None] = [[] if "citations" in values else None for _, values in rows]
    for (row, _), one in zip(places, resolved, strict=True):
        listed = found[row]
        assert listed is not None
        listed.append(one)
    for row, ((record, _), cites) in enumerate(zip(rows, found, strict=True)):
        faults += _between(record, cites, row)
    refuse(faults)
    return found


def _clean(told: Any) -> dict[str, Any]:
    if not isinstance(told, Mapping) or not {"type", "id"} <= set(told) <= {"type", "id", "note"}:
        raise rules.Refused("it is written as type, id and, if there is one, note.")
    kind = str(told["type"])
    if kind not in COLUMNS:
        raise rules.Refused(f"'{kind[:40]}' cannot be cited. These can: {', '.join(COLUMNS)}.", "unknown-word")
    note = rules.clean_text(told.get("note"), Citation._meta.get_field("note"), is_name=False)
    return {"kind": kind, COLUMNS[kind]: str(told["id"]), "note": note}


def _nth(number: int) -> str:
    return ORDINALS[number] if number < len(ORDINALS) else f"{number + 1}th"


def _between(record: Interpretation, cites: Sequence[Mapping[str, Any]] | None, row: int) -> list[Fault]:
    if cites is None:
        return []
    targets = [target_of(one) for one in cites]
    twice = next((target for target in targets if targets.count(target) > 1), None)
    if twice is not None:
        return [Fault("citations", "twice", f"{_name(twice)} is cited twice.", row)]
    if record in targets:
        return [Fault("citations", "itself", "An interpretation cannot cite itself.", row)]
    if not cites and record.state != states.WORKING and not record._state.adding:
        text = f"It is {record.state}, so it must cite something. Take it back to 'working' first, or name another record."
        return [Fault("citations", "without-citation", text, row)]
    return []


def target_of(citation: Mapping[str, Any] | Citation) -> Any:
    """The record that a citation names."""
    if isinstance(citation, Citation):
        return getattr(citation, COLUMNS[citation.kind])
    return citation[COLUMNS[citation["kind"]]]


def _name(record: Any) -> str:
    kind = record._meta.verbose_name
    return str(record) if str(record).startswith(kind) else f"{kind} {record}"


def _cite(pen: Pen, record: Interpretation, wanted: Sequence[Mapping[str, Any]], fresh: bool) -> None:
    """Let an interpretation cite just what is wanted, and count that as a change of it."""
    standing = [] if fresh else list(Citation.objects.filter(interpretation=record).select_related(*TOGETHER).order_by("created_at", "pk"))
    by_target = {target_of(one): one for one in standing}
    keep = {target_of(one) for one in wanted}
    before = [_name(target_of(one)) for one in standing]
    gone = [one for one in standing if target_of(one) not in keep]
    new = [Citation(project=pen.project, interpretation=record, **one) for one in wanted if target_of(one) not in by_target]
    notes = [(by_target[target_of(one)], {"note": one["note"]}) for one in wanted if target_of(one) in by_target]
    pen.remove(gone)
    pen.create(new)
    noted = pen.change_many(notes)
    _refuse_cited_circle(pen, record, new)
    if (gone or new or noted) and not fresh:
        pen.touch(record, {"citations": [before, [_name(target_of(one)) for one in wanted]]})


def _refuse_cited_circle(pen: Pen, record: Interpretation, new: Sequence[Citation]) -> None:
    """Two interpretations that rest on each other rest on nothing."""
    if not any(one.kind == "interpretation" for one in new):
        return
    rests: dict[Any, list[Any]] = {}
    for one, other in Citation.objects.filter(project=pen.project, kind="interpretation").values_list("interpretation", "cited"):
        rests.setdefault(one, []).append(other)
    for citation in new:
        seen, waiting = set(), [citation.cited_id]
        while waiting:
            step = waiting.pop()
            if step == record.pk:
                text = f"{str(citation.cited).capitalize()} rests on {record} itself, so neither can rest on the other."
                raise Conflict(text, code="circle", faults=(Fault("citations", "circle", text),))
            if step is not None and step not in seen:
                seen.add(step)
                waiting += rests.get(step, [])


# -- review -----------------------------------------------------------------------------------------------------------------


def transition(actor: Person, project: Project, record_id: Any, version: int | None, to: str, reason: str = "") -> Interpretation:
    """Move an interpretation to another state, as the table of `states` lets the actor; his own review is answered by it."""
    with writing(actor, project, access.REVIEW, reason=reason) as pen:
        record: Interpretation = pen.find(Interpretation, record_id, version)
        states.move(pen, record, to, reason)
        _answer(pen, record)
        return record


def ask_review(actor: Person, project: Project, record_id: Any, usernames: Sequence[str]) -> list[ReviewRequest]:
    """Ask members to review an interpretation; who was asked already is asked once, who had answered is asked again."""
    with writing(actor, project) as pen:
        record: Interpretation = _of_project(pen, record_id)
        if record.state in (states.WORKING, states.SUPERSEDED):
            raise Conflict(
                f"{str(record).capitalize()} is {record.state}, so there is nothing to review. Put it up for comment.", code="state"
            )
        people = _reviewers(pen, record, usernames)
        standing = {one.person_id: one for one in _requests(record).filter(person__in=people)}
        pen.create([ReviewRequest(project=pen.project, interpretation=record, person=one) for one in people if one.pk not in standing])
        pen.change_many([(one, {"answered_at": None}) for one in standing.values()])
        return list(_requests(record))


def answer_review(actor: Person, project: Project, record_id: Any) -> list[ReviewRequest]:
    """Say that one has looked, without moving it."""
    with writing(actor, project, access.REVIEW) as pen:
        record = _of_project(pen, record_id)
        if not _answer(pen, record):
            raise Conflict("Nobody asked you to review this, or you have answered.", code="state")
        return list(_requests(record))


def standing_of_review(actor: Person, record: Interpretation) -> dict[str, Any]:
    """What a person may do with an interpretation now: write it, ask for reviews of it, and to which states he may move it."""
    role = access.role_of(actor, record.project)
    writes = access.may(role, access.WRITE)
    steps = states.open_to(record, actor.pk, role, states.authors_of(record))
    return {
        "may_write": writes and record.created_by_id == actor.pk and record.state != states.SUPERSEDED,
        "may_ask": writes and record.state not in (states.WORKING, states.SUPERSEDED),
        "moves": [{"to": step.after, "reason_needed": step.reason} for step in steps],
    }


def _of_project(pen: Pen, record_id: Any) -> Interpretation:
    return access.get(pen.actor, pen.project, Interpretation, record_id)


def _requests(record: Interpretation) -> Any:
    return ReviewRequest.objects.filter(interpretation=record).select_related("interpretation", "person").order_by("created_at", "pk")


def _answer(pen: Pen, record: Interpretation) -> bool:
    asked = list(_requests(record).filter(person=pen.actor, answered_at__isnull=True))
    pen.change_many([(one, {"answered_at": timezone.now()}) for one in asked])
    return bool(asked)


def _reviewers(pen: Pen, record: Interpretation, usernames: Sequence[str]) -> list[Person]:
    """The members of those names; whoever is none is refused in the same words, whether there is such a person or not."""
    wanted = list(dict.fromkeys(usernames))
    roles = [role for role, may in access.TABLE.items() if access.REVIEW in may]
    members = Membership.objects.filter(project=pen.project, role__in=roles, person__username__in=wanted, person__is_active=True)
    found = {one.person.username: one.person for one in members.select_related("person")}
    authors = states.authors_of(record)
    faults = [
        Fault("people", "not-found", f"No reviewer of this project signs in as '{name[:80]}'.") for name in wanted if name not in found
    ]
    faults += [
        Fault("people", "author", f"{one} wrote it, so somebody else must review it.") for one in found.values() if one.pk in authors
    ]
    if not wanted:
        faults.append(Fault("people", "required", "Name somebody."))
    refuse(faults)
    return [found[name] for name in wanted]
