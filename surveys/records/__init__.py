"""Every write of a record. Nothing else in the program inserts, updates or deletes one.

`editing` is the way in for people (create, change, remove, batch), `reshaping` joins and splits generations, `computed` is for results,
`removal.restore` brings back; `identities` says which generation continues which; `members` and `invitations` say who belongs to a
project; `writing` holds the transaction, the lock, the actor's right and the history, `stacks` the order of layers, `rulings` the check
that they agree. `lines` draws lines across sections and keeps what was read along them, `accepting` takes it over into layers,
`registrations` says how pictures lie on each other. `findings` writes interpretations, `states` moves them, `reopening` puts agreed
ones back when what they rest on changes.
"""

from surveys.records.accepting import Accepted, Row
from surveys.records.accepting import accept as accept_layers
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
from surveys.records.lines import store_reading
from surveys.records.members import add_member, change_member, hand_over, leave, own_or_managed, remove_member
from surveys.records.registrations import pair as pictures_of_one_sample
from surveys.records.registrations import store as store_registration
from surveys.records.removal import ORDER, restore
from surveys.records.reshaping import join, split
from surveys.records.schedules import Issued, issue, next_revision
from surveys.records.writing import Pen, writing

__all__ = [
    "MOST",
    "ORDER",
    "Accepted",
    "Bounds",
    "Found",
    "InputChanged",
    "Issued",
    "Operation",
    "Outcome",
    "Pen",
    "Placed",
    "Row",
    "accept",
    "accept_layers",
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
    "pictures_of_one_sample",
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
    "store_reading",
    "store_registration",
    "transition",
    "writing",
]
