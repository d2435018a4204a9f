"""Every write of a record. Nothing else in the program inserts, updates or deletes one.

`editing` is the way in for people (create, change, remove, batch), `reshaping` joins and splits generations, `computed` is for results,
`removal.restore` brings back; `identities` says which generation continues which; `members` and `invitations` say who belongs to a
project; `writing` holds the transaction, the lock, the actor's right and the history, `stacks` the order of layers, `rulings` the check
that they agree. `findings` writes interpretations, `states` moves them, `reopening` puts agreed ones back when what they rest on changes.
"""

from surveys.records.computed import Bounds, Found, InputChanged, Placed, store_correlation, store_dating
from surveys.records.editing import (
    MOST,
    Operation,
    Outcome,
    apply,
    batch,
    change,
    change_project,
    create,
    create_project,
    remove,
)
from surveys.records.findings import answer_review, ask_review, standing_of_review, transition
from surveys.records.former import put_back
from surveys.records.invitations import accept, invite, revoke, standing
from surveys.records.members import add_member, change_member, hand_over, leave, own_or_managed, remove_member
from surveys.records.removal import ORDER, restore
from surveys.records.reshaping import join, split
from surveys.records.schedules import Issued, issue, next_revision
from surveys.records.writing import Pen, writing

__all__ = [
    "MOST",
    "ORDER",
    "Bounds",
    "Found",
    "InputChanged",
    "Issued",
    "Operation",
    "Outcome",
    "Pen",
    "Placed",
    "accept",
    "add_member",
    "answer_review",
    "apply",
    "ask_review",
    "batch",
    "change",
    "change_member",
    "change_project",
    "create",
    "create_project",
    "hand_over",
    "invite",
    "issue",
    "join",
    "leave",
    "next_revision",
    "own_or_managed",
    "put_back",
    "remove",
    "remove_member",
    "restore",
    "revoke",
    "split",
    "standing",
    "standing_of_review",
    "store_correlation",
    "store_dating",
    "transition",
    "writing",
]
