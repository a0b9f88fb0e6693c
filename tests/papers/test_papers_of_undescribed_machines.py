"""Papers of a job on a machine nobody has described: from what was noted alone."""

from __future__ import annotations

from tests.ledger.small_history import Bench
from tests.papers.job_papers import BLANK, folded, printing
from witnessmark.papers.handover_sheet import handover_sheet
from witnessmark.papers.job_record import job_record


def taken_off() -> Bench:
    bench = Bench()
    bench.say("noted", "n-a-1", {"kind": "joint", "name": "cover bolts", "state": "out",
                                 "count": 6, "holds": ["n-a-2"], "line": "six bolts, tray two",
                                 "where it lies": "tray 2"})  # fmt: skip
    bench.say("noted", "n-a-2", {"kind": "part", "name": "belt cover", "state": "off",
                                 "where it lies": "shelf"})  # fmt: skip
    bench.say("put", None, {"what": "cap on the top hose", "kind": "cap", "how": "in"})
    return bench


def test_the_handover_sheet_names_what_is_off_where_it_lies_and_what_is_in():
    bench = taken_off()
    sheet = handover_sheet(folded(bench, BLANK), printing(bench))
    says = str(sheet["registers"])
    assert "belt cover" in says
    assert "shelf" in says
    assert "cap on the top hose" in says
    assert {each["what"] for each in sheet["last"]} == {"belt cover: off", "cover bolts: out"}


def test_the_record_lists_what_came_off_as_it_was_said_and_how_it_was_tightened():
    bench = taken_off()
    bench.do("refit", "n-a-2")
    bench.do("make", "n-a-1", how="by feel")
    content = str(job_record(folded(bench, BLANK), printing(bench)))
    assert "line: six bolts, tray two" in content
    assert "where it lies: tray 2" in content
    assert "no maker's figure" in content
    assert "n-a-2" not in content
