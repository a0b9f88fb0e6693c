"""One planned job of the demonstration for every test of its papers."""

from pathlib import Path

import pytest

from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session

MACHINES = Path(__file__).parents[2] / "demo/machines"


@pytest.fixture(scope="session")
def gull_job():
    return planned_job(open_session(MACHINES / "gull-20.yaml", ["timing-belt"]))


@pytest.fixture(scope="session")
def genset_job():
    return planned_job(open_session(MACHINES / "brack-genset-12.yaml", ["timing-belt"]))
