"""Workshops that are served, and phones to open them on.

- `workshop_server`: a workshop with people and no job; `demo_server`: the demonstration. Each
  is a process of its own on a folder of its own: `origin`, `place`, `pair(member)` gives a
  pairing code, `kill()`, `freeze()`, `thaw()`, `restart()`.
- `serve(demo=...)`: the same made as a test asks for it.
- `shared_server`: an empty one for all tests that leave it running, which takes less time;
  `job` opens a job of its own there for each test.
- `phone(profile, server=..., member=..., lasting=...)`: a phone, open at the bench and paired;
  `phone.page` is the page, `phone.run(body, *args)` runs JavaScript on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.bench.phones import Phone, Phones
from tests.bench.servers import WorkshopServer, copied, demo_workshop, empty_workshop
from tests.workshop.small_workshop import pack_bytes

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep these tests in one process, however many there are: one browser is enough."""
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.xdist_group("bench"))


@pytest.fixture(scope="session")
def empty_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("empty") / "workshop"
    empty_workshop(folder)
    return folder


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "workshop"
    demo_workshop(folder)
    return folder


@pytest.fixture
def serve(
    request: pytest.FixtureRequest, tmp_path: Path
) -> Iterator[Callable[..., WorkshopServer]]:
    started: list[WorkshopServer] = []

    def make(*, demo: bool = False) -> WorkshopServer:
        template = request.getfixturevalue("demo_folder" if demo else "empty_folder")
        server = WorkshopServer(copied(template, tmp_path / f"workshop-{len(started)}"))
        started.append(server)
        return server.start()

    yield make
    for each in started:
        each.stop()


@pytest.fixture(scope="session")
def shared_server(
    empty_folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[WorkshopServer]:
    server = WorkshopServer(copied(empty_folder, tmp_path_factory.mktemp("shared") / "workshop"))
    yield server.start()
    server.stop()


@pytest.fixture
def job(shared_server: WorkshopServer) -> str:
    shared_server.jobs += 1
    id_ = f"job-{shared_server.jobs}"
    shared_server.open_job(id_, f"Small job {shared_server.jobs}", pack_bytes())
    return id_


@pytest.fixture
def workshop_server(serve: Callable[..., WorkshopServer]) -> WorkshopServer:
    return serve()


@pytest.fixture
def demo_server(serve: Callable[..., WorkshopServer]) -> WorkshopServer:
    return serve(demo=True)


@pytest.fixture(scope="session")
def phones(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phones]:
    found = Phones(tmp_path_factory.mktemp("profiles"))
    yield found
    found.stop()


@pytest.fixture
def phone(phones: Phones, request: pytest.FixtureRequest) -> Iterator[Callable[..., Phone]]:
    def make(
        profile: str = "phone",
        *,
        server: WorkshopServer | None = None,
        member: str | None = "pim",
        path: str = "/bench/",
        **kinds: Any,
    ) -> Phone:
        if server is None:
            known = ("shared_server", "demo_server", "workshop_server")
            asked = [each for each in known if each in request.fixturenames] or ["workshop_server"]
            server = request.getfixturevalue(asked[0])
        name = f"{request.node.nodeid.rpartition('::')[2]}-{profile}"
        name = "".join(each if each.isalnum() else "-" for each in name)
        found = phones.phone(name, server, **kinds).open(path)
        return found if member is None else found.pair(member)

    yield make
    phones.close_all()
