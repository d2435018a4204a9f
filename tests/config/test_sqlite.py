"""SQLite is told how much its tables hold: without that it goes through a whole project for a handful of ids."""

import pytest
from django.db import connection

from config.sqlite import take_stock
from surveys import records
from surveys.models import Space

only_sqlite = pytest.mark.skipif("connection.vendor != 'sqlite'", reason="other databases do it themselves")


def plan(query):
    with connection.cursor() as cursor:
        sql, values = query.query.sql_with_params()
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}", values)
        return " ".join(row[-1] for row in cursor.fetchall())


@only_sqlite
def test_a_few_ids_are_looked_up_by_themselves_once_stock_is_taken(cast, project):
    rows = [{"number": f"S{number}"} for number in range(200)]
    made = records.batch(cast.conservator, project, Space, [records.Operation("create", values, None, None) for values in rows])
    assert len(made) == 200
    ids = list(Space.objects.values_list("pk", flat=True)[:20])
    wanted = Space.objects.filter(project=project, pk__in=ids)
    assert "(project_id=?" in plan(wanted)
    take_stock(connection, of_all=True)
    assert "(id=?)" in plan(wanted)


def test_other_databases_are_left_to_themselves():
    class Other:
        vendor = "postgresql"

        def cursor(self):
            raise AssertionError("not asked")

    take_stock(Other(), of_all=True)


def test_a_connection_outlives_the_request_that_opened_it():
    """On every database: to open one anew takes longer than most of what is asked of it."""
    assert connection.settings_dict["CONN_MAX_AGE"] >= 60
