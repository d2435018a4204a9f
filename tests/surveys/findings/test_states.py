"""The table of review states × everybody: who moves what where, and what is refused."""

from itertools import product

import pytest

from surveys import records
from surveys.errors import Conflict, Forbidden, Invalid, NotFound, Stale, VersionMissing
from surveys.models import Change, Comment, Interpretation, ReviewRequest
from tests.surveys.findings.conftest import REASON, cite

STATES = ("working", "for comment", "agreed", "disputed", "superseded")
WHO = ("coordinator", "conservator", "historian", "owner", "contractor", "stranger")
# The conservator is the author, the historian disputed it. What the others may do, the owner and the coordinator may alike.
OTHERS = ("coordinator", "historian", "owner")
ALLOWED = (
    {("working", "for comment", "conservator"), ("for comment", "working", "conservator"), ("agreed", "for comment", "conservator")}
    | {("disputed", "for comment", "conservator"), ("disputed", "for comment", "historian")}
    | {("for comment", "agreed", who) for who in OTHERS}
    | {(state, "disputed", who) for state in ("for comment", "agreed") for who in OTHERS}
    | {("disputed", "agreed", who) for who in OTHERS}
)
STEPS = {(before, after) for before, after, _ in ALLOWED}


def refusal(before, after, who):
    """How a move that the table does not have is refused."""
    if who in ("contractor", "stranger"):
        return NotFound
    if after == "superseded":
        return Invalid
    return Forbidden if (before, after) in STEPS else Conflict


@pytest.mark.parametrize("before", STATES)
def test_each_person_moves_what_the_table_lets_him_and_nothing_else(findings, before):
    for after, who in product(STATES, WHO):
        record = findings.at(before)
        if (before, after, who) in ALLOWED:
            findings.move(record, who, after, REASON)
            assert findings.state(record) == after, (before, after, who)
        else:
            with pytest.raises(refusal(before, after, who)):
                findings.move(record, who, after, REASON)
            assert findings.state(record) == before, (before, after, who)


@pytest.mark.parametrize(("before", "after", "who"), sorted(ALLOWED))
def test_a_reason_is_needed_just_where_the_table_says(findings, before, after, who):
    record = findings.at(before)
    if (before, after) in {("working", "for comment"), ("for comment", "working"), ("for comment", "agreed")}:
        findings.move(record, who, after)
        assert findings.state(record) == after
        return
    with pytest.raises(Invalid) as refused:
        findings.move(record, who, after, "  ")
    assert [fault.field for fault in refused.value.faults] == ["reason"]
    assert findings.state(record) == before


def test_what_cites_nothing_is_put_before_nobody(findings):
    record = findings.write(cites=[])
    with pytest.raises(Invalid, match="cites nothing yet"):
        findings.move(record, "conservator", "for comment")
    findings.change("conservator", record, citations=cite(findings.evidence))
    findings.move(record, "conservator", "for comment")
    with pytest.raises(Invalid, match="must cite something"):
        findings.change("conservator", record, citations=[])


def test_a_move_says_who_when_and_why_in_the_record_and_its_history(findings):
    record = findings.at("disputed")
    assert (record.state_by, record.state_reason) == (findings.cast.historian, REASON)
    assert record.state_at is not None
    line = Change.objects.filter(record_id=record.pk).latest("sequence")
    assert (line.actor, line.fields["state"], line.reason) == (findings.cast.historian, ["for comment", "disputed"], REASON)


def test_a_dispute_stands_in_the_thread_where_it_can_be_answered(findings):
    record = findings.at("disputed")
    said = Comment.objects.get(about_type="interpretation", about_id=record.pk)
    assert (said.created_by, said.text, said.thread) == (findings.cast.historian, f"Disputed: {REASON}", None)


def test_nobody_moves_what_he_has_not_read_as_it_stands(findings):
    record = findings.at("for comment")
    findings.change("conservator", record, statement="First painted red.")
    with pytest.raises(Stale) as stale:
        records.transition(findings.cast.historian, findings.project, record.pk, record.version - 1, "agreed")
    assert stale.value.current.statement == "First painted red."
    with pytest.raises(VersionMissing):
        records.transition(findings.cast.historian, findings.project, record.pk, None, "agreed")
    assert findings.state(record) == "for comment"


def test_the_update_holds_only_while_the_state_is_what_was_read(findings):
    record = findings.at("for comment")
    with records.writing(findings.cast.historian, findings.project) as pen, pytest.raises(Stale):
        pen.move(record, {"state": "working"}, {"state": "agreed"})
    assert findings.state(record) == "for comment"


def test_who_became_an_owner_moves_his_own_text_no_more(findings):
    record = findings.at("for comment")
    member = findings.project.memberships.get(person=findings.cast.conservator)
    records.change_member(findings.cast.coordinator, findings.project, member.pk, member.version, {"role": "owner"})
    for to in ("working", "agreed"):
        with pytest.raises(Forbidden):
            findings.move(record, "conservator", to)


# -- superseding ---------------------------------------------------------------------------------------------------------------


def test_the_older_one_stands_until_the_newer_is_agreed_and_goes_in_the_same_act(findings):
    older = findings.at("agreed")
    newer = findings.write("historian", supersedes=str(older.pk), cites=cite(older))
    findings.move(newer, "historian", "for comment")
    assert findings.state(older) == "agreed"
    findings.move(newer, "owner", "agreed")
    older.refresh_from_db()
    assert (older.state, older.state_reason) == ("superseded", f"Replaced by interpretation {newer.number}.")
    # It cites what it replaces, and is not put back by replacing it.
    assert findings.state(newer) == "agreed"
    acts = {line.act for line in Change.objects.filter(record_id__in=[older.pk, newer.pk], fields__has_key="state", action="changed")}
    assert Change.objects.filter(record_id=older.pk).latest("sequence").act in acts


def test_what_was_replaced_does_not_come_back_when_its_successor_is_disputed(findings):
    older = findings.at("superseded")
    newer = Interpretation.objects.get(supersedes=older)
    findings.move(newer, "historian", "disputed", REASON)
    assert findings.state(older) == "superseded"
    findings.move(newer, "historian", "agreed", "Settled.")
    assert (findings.state(older), findings.state(newer)) == ("superseded", "agreed")


def test_of_two_successors_the_first_to_be_agreed_takes_the_place(findings):
    older = findings.at("agreed")
    first, second = (findings.at("for comment", supersedes=str(older.pk)) for _ in range(2))
    findings.move(first, "historian", "agreed")
    with pytest.raises(Conflict, match=f"Replaced by interpretation {first.number}"):
        findings.move(second, "historian", "agreed")
    assert findings.state(second) == "for comment"
    findings.change("conservator", second, supersedes=str(first.pk))
    findings.move(second, "historian", "agreed")
    assert (findings.state(first), findings.state(second)) == ("superseded", "agreed")


def test_a_draft_and_what_is_superseded_already_are_superseded_by_nothing(findings):
    for state in ("working", "superseded"):
        with pytest.raises(Conflict):
            findings.write("historian", supersedes=str(findings.at(state).pk))


def test_two_interpretations_never_supersede_or_rest_on_each_other(findings):
    first = findings.at("for comment")
    second = findings.write(supersedes=str(first.pk), cites=cite(first))
    third = findings.write(cites=cite(second))
    findings.move(second, "conservator", "for comment")
    with pytest.raises(Conflict, match="comes to supersede"):
        findings.change("conservator", first, supersedes=str(second.pk))
    with pytest.raises(Conflict, match="rests on interpretation 1 itself"):
        findings.change("conservator", first, citations=cite(third))
    with pytest.raises(Invalid):
        findings.change("conservator", first, citations=cite(first))
    with pytest.raises(Invalid):
        findings.change("conservator", first, supersedes=str(first.pk))


# -- writing -------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["coordinator", "historian", "owner"])
def test_nobody_changes_or_removes_somebody_elses(findings, who):
    record = findings.at("working")
    with pytest.raises(Forbidden):
        findings.change(who, record, statement="Mine.")
    with pytest.raises(Forbidden):
        findings.change(who, record, citations=[])
    with pytest.raises(Forbidden):
        records.remove(findings.cast[who], findings.project, Interpretation, record.pk, record.version)
    assert Interpretation.objects.get().statement == "First painted green."


@pytest.mark.parametrize("state", ["for comment", "agreed", "disputed", "superseded"])
def test_what_others_were_asked_about_is_not_removed(findings, state):
    record = findings.at(state)
    with pytest.raises(Conflict):
        records.remove(findings.cast.conservator, findings.project, Interpretation, record.pk, record.version)
    assert Interpretation.objects.filter(pk=record.pk).exists()


def test_a_draft_goes_with_its_citations_and_comes_back_with_them(findings):
    record = findings.write(cites=cite(findings.layer, findings.evidence))
    records.remove(findings.cast.conservator, findings.project, Interpretation, record.pk, record.version)
    act = Change.objects.get(record_id=record.pk, action="removed").act
    records.restore(findings.cast.coordinator, findings.project, act)
    back = Interpretation.objects.get()
    assert (back.pk, back.created_by, back.citations.count()) == (record.pk, findings.cast.conservator, 2)
    assert findings.write().number == record.number + 1


def test_what_an_interpretation_is_superseded_by_or_cites_stays(findings):
    for model_record in (findings.layer, findings.evidence):
        findings.write(cites=cite(model_record))
        with pytest.raises(Conflict, match="refers to it"):
            records.remove(findings.cast.conservator, findings.project, type(model_record), model_record.pk, model_record.version)


def test_a_superseded_one_stays_as_it_was(findings):
    record = findings.at("superseded")
    with pytest.raises(Conflict, match="superseded and stays"):
        findings.change("conservator", record, statement="Otherwise.")


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"subject": "element"}, "element"),
        ({"subject": "nonsense"}, "subject"),
        ({"discipline": "alchemy"}, "discipline"),
        ({"statement": ""}, "statement"),
        ({"citations": [{"type": "space", "id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff"}]}, "citations"),
        ({"citations": [{"type": "layer", "id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff"}]}, "citations"),
        ({"citations": [{"type": "layer"}]}, "citations"),
    ],
)
def test_a_fault_is_told_of_its_field_and_nothing_is_written(findings, values, field):
    told = {"discipline": "archaeology", "subject": "space", "space": str(findings.paint.space.pk), "statement": "x", **values}
    with pytest.raises(Invalid) as refused:
        records.create(findings.cast.conservator, findings.project, Interpretation, told)
    assert field in [fault.field for fault in refused.value.faults]
    assert not Interpretation.objects.exists()


def test_records_of_another_project_are_neither_cited_nor_spoken_of(findings, cast):
    from tests.conftest import Paint
    from tests.surveys.api.test_lists import cast_of

    other = records.create_project(cast.owner, {"code": "OTHER", "name": "Other"})
    theirs = Paint(cast_of(cast), other, "501")
    with pytest.raises(Invalid, match="no such layer in HALL"):
        findings.write(cites=cite(theirs.layers["501-1"][0]))
    with pytest.raises(Invalid, match="no such space in HALL"):
        findings.write(space=str(theirs.space.pk))


def test_what_is_cited_is_just_what_was_sent_and_counts_as_a_change(findings):
    record = findings.write(cites=cite(findings.layer))
    findings.change(
        "conservator", record, citations=[*cite(findings.evidence), {**cite(findings.paint.first)[0], "note": "the whole of it"}]
    )
    record.refresh_from_db()
    assert record.version == 2
    assert {(one.kind, one.note) for one in record.citations.all()} == {("evidence", ""), ("sample", "the whole of it")}
    line = Change.objects.filter(record_id=record.pk).latest("sequence")
    assert line.fields == {"citations": [["layer 101-1/2"], ["evidence E-1", "sample 101-1"]]}
    findings.change(
        "conservator", record, citations=[*cite(findings.evidence), {**cite(findings.paint.first)[0], "note": "the whole of it"}]
    )
    assert Interpretation.objects.get().version == 2
    with pytest.raises(Invalid, match="cited twice"):
        findings.change("conservator", record, citations=cite(findings.evidence, findings.evidence))


# -- review requests -----------------------------------------------------------------------------------------------------------


def test_members_are_asked_once_and_answer_by_moving_it_or_by_saying_so(findings, cast, project):
    record = findings.at("for comment")
    records.ask_review(cast.conservator, project, record.pk, ["historian", "owner", "historian"])
    records.ask_review(cast.coordinator, project, record.pk, ["historian"])
    assert sorted(one.person.username for one in ReviewRequest.objects.all()) == ["historian", "owner"]
    findings.move(record, "historian", "agreed")
    records.answer_review(cast.owner, project, record.pk)
    assert not ReviewRequest.objects.filter(answered_at__isnull=True).exists()
    with pytest.raises(Conflict):
        records.answer_review(cast.owner, project, record.pk)


def test_who_is_no_reviewer_is_refused_in_the_same_words_whoever_he_is(findings, cast, project):
    record = findings.at("for comment")
    texts = set()
    for name in ("contractor", "stranger", "nobody-at-all"):
        with pytest.raises(Invalid) as refused:
            records.ask_review(cast.conservator, project, record.pk, [name])
        texts.add(refused.value.detail.replace(name, "…"))
    assert len(texts) == 1
    with pytest.raises(Invalid, match="wrote it"):
        records.ask_review(cast.coordinator, project, record.pk, ["conservator"])
    assert not ReviewRequest.objects.exists()


def test_nobody_is_asked_about_a_draft_nor_by_who_may_not_write(findings, cast, project):
    with pytest.raises(Conflict):
        records.ask_review(cast.conservator, project, findings.at("working").pk, ["historian"])
    with pytest.raises(Forbidden):
        records.ask_review(cast.owner, project, findings.at("for comment").pk, ["historian"])
