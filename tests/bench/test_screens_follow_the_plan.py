"""What the bench takes for next, and what DONE writes, carries every work to handing back.

The expectations are the ledger's own: nothing outstanding, nothing flagged, no gate in the way,
as `tests/ledger/test_demo_from_start_to_handback.py` holds them for entries written by hand.
"""

from __future__ import annotations

import pytest

from tests.bench.bench_stage import staged
from tests.ledger.packs import DEMO, job_of
from tests.ledger.test_demo_from_start_to_handback import JOBS

RUNNER = "/tests/doing_runner.js"
GENSET = DEMO / "brack-genset-12.yaml"


@pytest.fixture(scope="module")
def stage():
    with staged() as found:
        yield found


def pack_of(path, work):
    return job_of(path, work)[2]


@pytest.mark.parametrize(("path", "work"), JOBS, ids=lambda each: getattr(each, "stem", each))
def test_doing_what_is_next_leaves_nothing_outstanding_and_handing_back_clear(stage, path, work):
    pack = pack_of(path, work)
    got = stage.call(RUNNER, "followed", pack)
    assert got["barred"] == []
    assert got["gated"] == []
    assert got["flags"] == []
    assert got["open"] == []
    assert got["left"] == []
    assert got["clear"]
    assert got["after"] == []
    assert got["flagsAfter"] == []
    numbers = list(dict.fromkeys(got["order"]))
    assert numbers == list(range(1, len(pack["plan"]["steps"]) + 1))
