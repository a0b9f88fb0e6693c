"""Workshops to test on: every test runs on SQLite, in a named file, and on PostgreSQL."""

from __future__ import annotations

import shutil

import pytest

from tests.workshop.desk_visitor import ROOT, Desk
from tests.workshop.postgres_server import PostgresServer
from tests.workshop.small_workshop import SmallWorkshop
from witnessmark.workshop.library_taking import copy_library
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start


@pytest.fixture(scope="session")
def postgres():
    server = PostgresServer()
    yield server
    server.stop()


@pytest.fixture(scope="session")
def ready_sqlite(tmp_path_factory):
    """A folder with empty tables, to copy."""
    place = Place(tmp_path_factory.mktemp("ready"))
    start(place)
    _hang_up()
    return place


@pytest.fixture(scope="session")
def ready_postgres(postgres, tmp_path_factory):
    name = postgres.database()
    start(Place(tmp_path_factory.mktemp("ready-postgres"), postgres.address(name)))
    _hang_up()
    return name


def _hang_up():
    from django.db import connections

    connections.close_all()


@pytest.fixture
def sqlite_place(ready_sqlite, tmp_path):
    folder = tmp_path / "sqlite"
    folder.mkdir()
    shutil.copy(ready_sqlite.sqlite, folder)
    return Place(folder)


@pytest.fixture
def postgres_place(request, tmp_path):
    ready = request.getfixturevalue("ready_postgres")
    server = request.getfixturevalue("postgres")
    server.empty(ready)
    return Place(tmp_path / "postgres", server.address(ready))


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request):
    name = "sqlite_place" if request.param == "sqlite" else "postgres_place"
    found = request.getfixturevalue(name)
    start(found, tables_are_ready=True)
    yield found
    _hang_up()


@pytest.fixture
def workshop(place):
    return SmallWorkshop()


@pytest.fixture
def desk(workshop, place):
    """The owner at the desk of a small workshop with the demonstration's machines."""
    copy_library(ROOT / "demo", place.folder)
    return Desk("ann")


@pytest.fixture
def counted():
    """Ask something; give how many queries it took, and the answer."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def count(ask):
        with CaptureQueriesContext(connection) as queries:
            answer = ask()
        return len(queries), answer

    return count
