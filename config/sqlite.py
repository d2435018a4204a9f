"""Puts a current SQLite under Django before Django is imported.

SQLite 3.7.0-3.51.2 can corrupt a write-ahead-log database when two connections write and checkpoint at once, which is
just our shape (a web process and workers). Where a wheel of pysqlite3 exists it carries a later SQLite; elsewhere the
system's is used and `config.checks` warns when it is one of the affected releases.
"""

import sys
from typing import Any

# Rows of each index that are looked at when stock is taken: enough to know one from another, quick in a large table.
LOOKED_AT = 400


def use_current_sqlite() -> None:
    """Make `sqlite3` mean pysqlite3's, where that is installed. Call it before the first import of Django."""
    try:
        import pysqlite3
        import pysqlite3.dbapi2
    except ImportError:
        return
    sys.modules["sqlite3"] = pysqlite3
    sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2


def take_stock(connection: Any, *, of_all: bool = False) -> None:
    """Let SQLite count what its tables hold, so that it takes the right index: without, it thinks a project holds ten layers.

    As https://sqlite.org/pragma.html#pragma_optimize advises for programs that run long: of all tables at the start, then now and then
    of those that have changed much. A second or two at a million layers. Other databases do it themselves.
    """
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA analysis_limit={LOOKED_AT}")
        cursor.execute("PRAGMA optimize=0x10002" if of_all else "PRAGMA optimize")
