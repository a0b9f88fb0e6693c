"""One planned job of the demonstration for every test of its papers."""

from datetime import datetime
from pathlib import Path

import pytest

from witnessmark.cli.plan import planned_job, told_for
from witnessmark.cli.session import open_session

MACHINES = Path(__file__).parents[2] / "demo/machines"
TOLD = told_for(datetime(2026, 6, 1))  # noqa: DTZ001 - a day, not a moment


@pytest.fixture(scope="session")
def gull_job():
    return planned_job(open_session(MACHINES / "gull-20.yaml", ["timing-belt"]), TOLD)


@pytest.fixture(scope="session")
def genset_job():
    return planned_job(open_session(MACHINES / "brack-genset-12.yaml", ["timing-belt"]), TOLD)
