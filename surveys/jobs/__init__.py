"""The life of a job: asked for, claimed, under way, done, failed or cancelled; and brought back when a worker died.

The Job row is the truth. The broker only rings a bell: a message carries a job's id and nothing else, a lost one is sent again by the
sweeper, a second one finds the job claimed.
"""

from surveys.jobs.asking import ask, ask_or_find
from surveys.jobs.bell import ring
from surveys.jobs.doing import LEASE, LeaseLost, Progress, claim, conclude, fail, finish, no_room, run
from surveys.jobs.files import keep_file, keep_stream, upload
from surveys.jobs.inputs import input_digest, picture_named, space_named, upload_named
from surveys.jobs.stopping import cancel, release, sweep, wish_to_stop

__all__ = [
    "LEASE",
    "LeaseLost",
    "Progress",
    "ask",
    "ask_or_find",
    "cancel",
    "claim",
    "conclude",
    "fail",
    "finish",
    "input_digest",
    "keep_file",
    "keep_stream",
    "no_room",
    "picture_named",
    "release",
    "ring",
    "run",
    "space_named",
    "sweep",
    "upload",
    "upload_named",
    "wish_to_stop",
]
