"""The first draft of a machine file: what was seen, and a complaint for what nobody said."""

from __future__ import annotations

from dataclasses import replace

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.packs import nobody
from tests.ledger.small_history import Bench
from tests.machine.written import loader
from witnessmark.ledger.drafting import LONGEST, record_of
from witnessmark.ledger.fold import fold
from witnessmark.machine.checks import check_machine
from witnessmark.machine.drafting import Record, Seen, SeenGroup, draft
from witnessmark.machine.reading import read_machine
from witnessmark.machine.workshop import Workshop
from witnessmark.planning.planner import make_plan
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.compile import compile_problem
from witnessmark.procedure.replay import replay

BOLTS = Seen("n-1", "joint", "cover bolts", "out", holds=("n-2",), count=6, thread="M6",
             groups=(SeenGroup(4, "M6", "20"), SeenGroup(2, "M6", "35")), head="10 mm",
             fastener="bolt", role="cover", strip=32, refit=40, stored="tray 2")  # fmt: skip
COVER = Seen("n-2", "part", "belt cover", "off", strip=5, refit=7, stored="shelf",
             line="belt cover, shelf")  # fmt: skip
NUTS = Seen("n-3", "joint", "pump nuts", "out", holds=("n-4",), count=3, thread="M8",
            fastener="nut", strip=20, refit=31)  # fmt: skip
PUMP = Seen("n-4", "part", "pump", "off", strip=10, refit=12)
RECORD = Record("draft-1", "Plate photo, 14:32", "as-done", (BOLTS, COVER, NUTS, PUMP),
                "record of job j-1, not the maker's")  # fmt: skip


def checked(text: str):
    read = read_machine(loader({"d.yaml": text}), "d.yaml")
    return read.value, check_machine(read)


def codes(text: str) -> list[tuple[str, str]]:
    return [(each.code, each.what) for each in checked(text)[1]]


def with_figures(record: Record) -> Record:
    seen = [
        replace(each, tightness="9 N·m", source="maker's manual p. 41")
        if each.kind == "joint"
        else each
        for each in record.seen
    ]
    return replace(record, seen=tuple(seen))


def planned(text: str):
    machine, complaints = checked(text)
    assert [str(each) for each in complaints if not each.is_warning] == []
    compiled = compile_problem(machine, ("as-done",), Workshop(name="bench", file=""))
    result = make_plan(compiled.problem)
    assert result.plan is not None
    assert check_plan(compiled.problem, result.plan) == ()
    assert replay(compiled, result.plan) == ()
    return machine, result


def test_what_was_seen_stands_in_the_file():
    read = yaml.safe_load(draft(RECORD))
    joint = read["joints"]["cover-bolts"]
    assert joint["holds"] == ["belt-cover"]
    assert [row["thread"] for row in joint["fasteners"]] == ["M6 x 20", "M6 x 35"]
    assert [row["count"] for row in joint["fasteners"]] == [4, 2]
    assert read["parts"]["belt-cover"]["store"] == "shelf"
    assert read["works"]["as-done"]["goals"] == ["pump off"]


def test_the_order_seen_is_kept():
    read = yaml.safe_load(draft(RECORD))
    assert "needs" not in read["joints"]["cover-bolts"]["out"]
    assert read["joints"]["pump-nuts"]["out"]["needs"] == ["belt-cover off"]
    text = draft(RECORD)
    assert "cover-bolts, belt-cover, pump-nuts, pump" in text


def test_the_only_complaints_are_the_figures_nobody_gave():
    assert codes(draft(RECORD)) == [
        ("no-tightness", "'cover-bolts' does not say how tight it ends"),
        ("no-tightness", "'pump-nuts' does not say how tight it ends"),
    ]


def test_no_figure_is_made_up():
    text = draft(replace(RECORD, seen=tuple(replace(e, how="by feel") for e in RECORD.seen)))
    assert "tightness:" not in text
    assert "nobody's figure; it was tightened: by feel" in text


def test_minutes_that_nobody_measured_are_asked_for():
    text = draft(replace(RECORD, seen=(replace(PUMP, strip=None, refit=None),)))
    missing = [what for code, what in codes(text) if code == "missing-quantity"]
    assert missing == ["'refit' is missing", "'strip' is missing"]
    assert ("part-not-held", "nothing holds 'pump'") in codes(text)


def test_with_its_figures_it_plans_and_passes_check():
    machine, result = planned(draft(with_figures(RECORD)))
    assert machine.name == "Plate photo, 14:32"
    assert result.access_proven


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        (replace(BOLTS, holds=()), "missing-key"),
        (replace(BOLTS, fastener=None, thread=None, groups=(), head=None), "missing-key"),
        (replace(BOLTS, single_use=True), "no-part-line"),
        (Seen("n-9", "circuit", "coolant", "drained", litres="5.5", strip=1, refit=1), "no-drain"),
        (Seen("n-9", "lock", "drill shank", "in", strip=1, refit=1), "missing-key"),
    ],
)
def test_each_thing_that_nobody_said_is_a_complaint_of_its_own(seen, code):
    others = tuple(each for each in RECORD.seen if each.id != seen.id)
    text = draft(replace(RECORD, seen=(seen, *others)))
    assert code in [each for each, _ in codes(text)]


def test_threads_and_lengths_that_no_file_takes_stay_as_words():
    odd = replace(BOLTS, groups=(SeenGroup(2, None, "20"), SeenGroup(1, "M11", "8")), thread=None)
    rows = yaml.safe_load(draft(replace(RECORD, seen=(odd, COVER))))["joints"]["cover-bolts"]
    assert [row.get("name") for row in rows["fasteners"]] == ["20 mm long", "M11 8 mm long"]


def test_nothing_seen_gives_a_file_that_can_be_read():
    machine, complaints = checked(draft(replace(RECORD, seen=())))
    assert machine is not None
    assert complaints == []


ODD = st.text(max_size=40)
SEEN = st.builds(
    Seen,
    id=st.sampled_from(["n-1", "n-2", "n-3"]),
    kind=st.sampled_from(["part", "joint", "circuit", "lock", "temporary", "make-safe"]),
    name=ODD,
    state=st.sampled_from(["off", "moved", "out", "slack", "drained", "in", "fitted", "safe"]),
    where=ODD, stored=ODD, line=ODD, thread=ODD, how=ODD, tightness=ODD, source=ODD, hole=ODD,
    head=st.one_of(st.none(), ODD), litres=ODD,
    groups=st.lists(
        st.builds(SeenGroup, st.one_of(st.none(), st.integers(1, 400)), ODD,
                  st.sampled_from([None, "20", "7.5"]), st.one_of(st.none(), ODD)), max_size=2,
    ).map(tuple),
    holds=st.lists(st.sampled_from(["n-1", "n-2", "n-9"]), max_size=2).map(tuple),
    strip=st.one_of(st.none(), st.integers(1, 300)),
)  # fmt: skip

SYNTAX = {"not-yaml", "duplicate-key", "wrong-shape", "bad-id", "comma-in-text", "duplicate-id",
          "odd-character", "unreadable-quantity", "yaml-tag"}  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(SEEN, max_size=4, unique_by=lambda each: each.id), ODD, st.lists(ODD, max_size=2))
def test_whatever_was_said_the_file_can_be_read(seen, name, beside):
    record = Record("draft-1", name, "as-done", tuple(seen), "a record", tuple(beside))
    text = draft(record)
    assert yaml.safe_load(text)["machine"] == "draft-1"
    wrong = [str(each) for each in checked(text)[1] if each.code in SYNTAX]
    assert wrong == []


# From the record


def worked() -> Bench:
    bench = Bench()
    bench.say("begin")
    bolts = {"kind": "joint", "name": "cover bolts", "state": "out", "count": 6, "thread": "M6",
             "fastener": "bolt", "holds": ["n-a-2"], "head": "10 mm",
             "groups": [{"count": 6, "thread": "M6", "length": "20"}]}  # fmt: skip
    bench.now += 3 * 60_000
    bench.say("noted", "n-a-1", bolts)
    bench.now += 60_000
    bench.say("noted", "n-a-2", {"kind": "part", "name": "belt cover", "state": "off",
                                 "where it lies": "shelf"})  # fmt: skip
    bench.now += 2 * 60_000
    bench.do("refit", "n-a-2")
    bench.now += 5 * 60_000
    bench.do("make", "n-a-1", how="by feel")
    return bench


def record(bench: Bench) -> Record:
    return record_of(fold(nobody(), bench.history), "draft-1", "Plate photo")


def test_the_record_gives_things_order_minutes_and_how_it_was_tightened():
    bolts, cover = record(worked()).seen
    assert (bolts.id, bolts.count, bolts.holds) == ("n-a-1", 6, ("n-a-2",))
    assert (bolts.strip, bolts.refit) == (31, 51)
    assert (cover.stored, cover.strip, cover.refit) == ("shelf", 11, 21)
    assert bolts.how == "by feel"


def test_from_record_to_draft_to_check_to_plan():
    bench = worked()
    text = draft(record(bench))
    assert [code for code, _ in codes(text)] == ["no-tightness"]
    bench.say("noted", "n-a-1", {"tightness": "9 N·m", "source": "plate on the cover"})
    machine, _ = planned(draft(record(bench)))
    given = machine.joints["cover-bolts"].tightness
    assert given is not None
    assert given.source == "plate on the cover"


def test_a_stop_or_a_long_silence_leaves_the_minutes_open():
    for between in ("stopped", "silence"):
        bench = Bench()
        bench.say("begin")
        if between == "stopped":
            bench.say("stopped")
            bench.say("exception")
        else:
            bench.now += LONGEST + 1
        bench.say("noted", "n-a-1", {"kind": "part", "name": "cover", "state": "off"})
        assert record(bench).seen[0].strip is None, between


def test_a_thing_taken_back_is_not_drafted():
    bench = worked()
    slip = bench.say("noted", "n-a-3", {"kind": "part", "name": "slip", "state": "off"})
    bench.say("correct", None, {"corrects": slip})
    assert [each.id for each in record(bench).seen] == ["n-a-1", "n-a-2"]


def test_what_was_drained_says_how_much_came_out_and_asks_the_rest():
    bench = worked()
    bench.say("noted", "n-a-3", {"kind": "circuit", "name": "coolant"})
    bench.do("drain", "n-a-3", litres_out="5.5")
    text = draft(record(bench))
    assert "# 5.5 L came out when it was drained" in text
    assert {"no-drain", "no-fill"} <= {code for code, _ in codes(text)}
    assert yaml.safe_load(text)["works"]["as-done"]["goals"] == [
        "belt-cover off",
        "coolant drained",
    ]
