"""A write asks the same of the tables however much is in them: counted, not timed."""

from __future__ import annotations

import pytest

from tests.workshop.small_workshop import SmallWorkshop
from witnessmark.workshop.starting import start


@pytest.fixture
def small(sqlite_place):
    start(sqlite_place, tables_are_ready=True)
    yield SmallWorkshop()
    from django.db import connections

    connections.close_all()


def asked_by(act) -> list[str]:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as seen:
        act()
    return [each["sql"] for each in seen]


def more_jobs(count: int) -> None:
    from witnessmark.workshop import models

    ids = [f"more-{n}" for n in range(count)]
    models.Job.objects.bulk_create(models.Job(id=id_, title=id_, opened=1) for id_ in ids)
    models.OnJob.objects.bulk_create(models.OnJob(job_id=id_, member_id="ben") for id_ in ids)


def test_a_write_takes_as_many_queries_with_many_jobs_and_events_as_with_few(small):
    def write_one():
        id_ = small.ben.write()
        assert small.ben.send([id_])[0]["answer"] == "new"

    write_one()  # the first of all begins the epoch
    few = asked_by(write_one)
    more_jobs(1_000)
    for _ in range(3):
        small.ben.send([small.ben.write() for _ in range(100)])
    many = asked_by(write_one)
    assert len(many) == len(few) <= 12
    # A batch takes no more than one event does.
    batch = [small.ben.write() for _ in range(100)]
    assert len(asked_by(lambda: small.ben.send(batch))) == len(few)


@pytest.mark.parametrize("what", ["write", "bench"])
def test_nothing_is_searched_for_by_going_through_a_whole_table(small, what):
    """SQLite says of each query how it would find its rows: by an index, never by a scan."""
    from django.db import connection

    more_jobs(200)
    small.ben.send([small.ben.write() for _ in range(200)])
    acts = {
        "write": lambda: small.ben.send([small.ben.write()]),
        "bench": lambda: small.ben.get("/api/jobs/job-1/bench"),
    }
    asked = [sql for sql in asked_by(acts[what]) if sql.startswith(("SELECT", "UPDATE"))]
    assert len(asked) >= 4
    for sql in asked:
        with connection.cursor() as cursor:
            cursor.execute(f"EXPLAIN QUERY PLAN {sql.replace('%', '%%')}")
            plan = [row[3] for row in cursor.fetchall()]
        assert not [step for step in plan if step.startswith("SCAN")], (sql, plan)
