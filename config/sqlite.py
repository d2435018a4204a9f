"""Puts a current SQLite under Django before Django is imported.

SQLite 3.7.0-3.51.2 can corrupt a write-ahead-log database when two connections write and checkpoint at once, which is
just our shape (a web process and workers). Where a wheel of pysqlite3 exists it carries a later SQLite; elsewhere the
system's is used and `config.checks` warns when it is one of the affected releases.
"""

import sys


def use_current_sqlite() -> None:
    """Make `sqlite3` mean pysqlite3's, where that is installed. Call it before the first import of Django."""
    try:
        import pysqlite3
        import pysqlite3.dbapi2
    except ImportError:
        return
    sys.modules["sqlite3"] = pysqlite3
    sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2
