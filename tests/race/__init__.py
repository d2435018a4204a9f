"""No edit is lost: many clients edit one project at once while the program is restarted, on SQLite and on PostgreSQL.

`python -m tests.race --clients 50 --seconds 120 --restarts 2` is the full race on both; a short one is among the tests.
"""
