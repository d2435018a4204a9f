"""What the race looks for, it would find: a sound story passes, and each way of losing an edit is told."""

import copy

import pytest

from tests.race.ledger import AWAY, BROKEN, FAULT, KEPT, REFUSED, Ledger, Write, check, contiguous, replay

FEED = [
    {"sequence": 1, "action": "created", "record_type": "layer", "record_id": "a", "record_name": "S/1", "version": 1, "act": "1",
     "fields": {"sample": [None, "s"], "position": [None, 1]}},
    {"sequence": 2, "action": "created", "record_type": "layer", "record_id": "b", "record_name": "S/2", "version": 1, "act": "2",
     "fields": {"sample": [None, "s"], "position": [None, 2], "notes": [None, "insert 1"]}},
    {"sequence": 3, "action": "changed", "record_type": "layer", "record_id": "a", "record_name": "S/1", "version": 2, "act": "3",
     "fields": {"notes": ["", "batch 1"]}},
    {"sequence": 4, "action": "changed", "record_type": "layer", "record_id": "b", "record_name": "S/2", "version": 2, "act": "3",
     "fields": {"notes": ["insert 1", "batch 1"]}},
]  # fmt: skip
SHOWN = {
    "layer": [
        {"id": "a", "version": 2, "sample": "s", "position": 1, "notes": "batch 1"},
        {"id": "b", "version": 2, "sample": "s", "position": 2, "notes": "batch 1"},
    ]
}


def story():
    """A ledger, a feed, what who followed live has read, and the record: all as they must be."""
    ledger = Ledger()
    ledger.put(Write("insert", "insert 1", 1, KEPT, 201, records=[("b", None)]))
    ledger.put(Write("batch", "batch 1", 2, KEPT, 200, records=[("a", 2), ("b", 2)]))
    ledger.put(Write("single", "single 1", 1, REFUSED, 422))
    return ledger, copy.deepcopy(FEED), copy.deepcopy(FEED), copy.deepcopy(SHOWN)


def test_a_sound_story_has_no_faults():
    assert check(*story()) == []


def test_an_acknowledged_write_without_its_line_is_found():
    ledger, *rest = story()
    ledger.put(Write("single", "single 2", 1, KEPT, 200, records=[("a", 3)]))
    assert any("single 2 was acknowledged, and 0 of its 1 lines" in fault for fault in check(ledger, *rest))


def test_half_of_a_batch_is_found_whether_it_was_answered_or_not():
    for outcome, words in ((KEPT, "2 of its 3 lines"), (BROKEN, "there by half: 2 of 3")):
        ledger, *rest = story()
        ledger.writes[1].outcome, ledger.writes[1].lines, ledger.writes[1].records = outcome, 3, []
        ledger.restarts.append((0.0, float("inf")))
        assert any(words in fault for fault in check(ledger, *rest))


def test_a_refused_write_that_was_done_is_found():
    ledger, *rest = story()
    ledger.writes[1].outcome, ledger.writes[1].status = REFUSED, 409
    assert any("was answered 409" in fault for fault in check(ledger, *rest))


def test_a_version_that_was_told_for_another_write_is_found():
    ledger, *rest = story()
    ledger.writes[1].records = [("a", 1)]
    assert any("which the history gives to another" in fault for fault in check(ledger, *rest))


def test_a_removal_that_was_acknowledged_and_not_noted_is_found():
    ledger, *rest = story()
    ledger.put(Write("remove", "remove 1", 0, KEPT, 204, removed="a"))
    assert any("not noted as removed" in fault for fault in check(ledger, *rest))


@pytest.mark.parametrize("change", [lambda feed: feed.pop(1), lambda feed: feed.insert(1, feed[0])])
def test_a_reader_who_missed_or_was_told_twice_is_found(change):
    ledger, feed, followed, shown = story()
    change(followed)
    faults = check(ledger, feed, followed, shown)
    assert any(fault.startswith("live: the feed goes from") for fault in faults)
    assert any("who followed live" in fault for fault in faults)


def test_a_feed_that_begins_late_is_found():
    assert contiguous(FEED[1:]) == ["the feed goes from 0 to 2"]


def test_a_record_that_is_not_what_its_history_says_is_found():
    for field, value in (("notes", "somebody else's"), ("version", 3)):
        ledger, feed, followed, shown = story()
        shown["layer"][0][field] = value
        assert any("layer a" in fault for fault in check(ledger, feed, followed, shown))


def test_a_record_that_is_gone_without_a_line_is_found():
    ledger, feed, followed, shown = story()
    shown["layer"].pop()
    assert any("the history has 2, the record 1" in fault for fault in check(ledger, feed, followed, shown))


def test_a_hole_in_a_stack_is_found():
    ledger, feed, followed, shown = story()
    shown["layer"][1]["position"] = 3
    assert any("have positions [1, 3]" in fault for fault in check(ledger, feed, followed, shown))


def test_a_line_that_says_what_was_not_so_is_found():
    feed = copy.deepcopy(FEED)
    feed[3]["fields"]["notes"][0] = "what nobody wrote"
    assert any("says that notes was" in fault for fault in replay(feed)[1])


def test_a_version_that_is_left_out_is_found():
    feed = copy.deepcopy(FEED)
    feed[3]["version"] = 3
    assert any("has version 3 after 1" in fault for fault in replay(feed)[1])


def test_an_answer_of_500_is_a_fault_always_and_one_of_503_or_none_unless_something_was_restarted():
    for outcome, words in ((FAULT, "was answered 500"), (AWAY, "503 while nothing"), (BROKEN, "not answered while nothing")):
        ledger, *rest = story()
        ledger.put(Write("single", "single 9", 1, outcome, 500, at=10.0, seconds=1.0))
        assert any(words in fault for fault in check(ledger, *rest))
        ledger.restarts.append((10.5, 20.0))
        assert (check(ledger, *rest) == []) is (outcome != FAULT)


def test_a_read_that_failed_is_a_fault_unless_something_was_restarted():
    ledger, *rest = story()
    ledger.read_faults.append((10.0, 1.0, "GET layers: 500"))
    assert check(ledger, *rest) == ["a read failed while nothing was restarted: GET layers: 500"]
    ledger.restarts.append((10.5, 20.0))
    assert check(ledger, *rest) == []
