"""What a job pack tells the bench at a step is what the card prints there."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session
from witnessmark.engineering.fastening.witness_marks import witness_mark
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.ledger.pack import job_pack
from witnessmark.papers.bag_labels import bagged_joints
from witnessmark.papers.bench_texts import bench_texts
from witnessmark.papers.sheaf import paper_named

MINIBUS = Path(__file__).parents[2] / "demo" / "machines" / "gull-20.yaml"


@pytest.fixture(scope="module")
def pack():
    session = open_session(MINIBUS, ["timing-belt"])
    job = planned_job(session, {"day": date(2026, 6, 1), "mark": witness_mark("yellow")})
    return job_pack(session.compiled, job.result.plan, bench_texts(job))


def rows_of(pack):
    return [
        row
        for phase in pack["texts"]["job_card"]["phases"]
        for row in phase["rows"]
        if row["kind"] == "step"
    ]


def test_the_rows_are_the_steps_of_the_plan_in_their_order(pack):
    rows, steps = rows_of(pack), pack["plan"]["steps"]
    assert [row["number"] for row in rows] == list(range(1, len(steps) + 1))
    for row, step in zip(rows, steps, strict=True):
        name = pack["objects"].get(step["object"], {}).get("name")
        assert name is None or name.lower() in row["line"].lower()


def test_the_crank_bolt_says_all_that_its_tightening_needs(pack):
    (row,) = [r for r in rows_of(pack) if r["tightness"] and "110 N" in r["tightness"]["text"]]
    told = row["tightness"]
    assert told["text"] == "110 N·m + 60°"
    assert "81.1 lbf·ft" in told["second"]
    assert told["source"] == "invented for the demonstration"
    for words in (
        "oiled",
        "of proof load",
        "set 110 N·m",
        "check due",
        "clockwise",
        "crank holder",
    ):
        assert words in told["detail"]
    assert any("new ones" in mark for mark in row["marks"])
    assert "impact tool" in row["caution"]


def test_the_colour_of_the_witness_mark_goes_with_it(pack):
    mark = pack["texts"]["job_card"]["mark"]
    assert mark["colour"] == "yellow"
    assert mark["shape"]


def test_all_of_it_has_a_canonical_form(pack):
    assert canonical_bytes(pack)


def test_the_papers_that_apply_are_named_and_none_that_does_not(gull_job, genset_job):
    for job in (gull_job, genset_job):
        named = [each["name"] for each in bench_texts(job)["papers"]]
        assert ("bag-labels" in named) == bool(bagged_joints(job))
        for name in set(named) - {"bag-labels"}:
            assert paper_named(job, name).name == name
        for name in {"route", "timing-card", "coolant-card", "sums"} - set(named):
            assert paper_named(job, name) is None
    titles = {each["name"]: each["title"] for each in bench_texts(gull_job)["papers"]}
    assert titles["bolt-board-upper-cover-bolts"] == "Bolt board: upper cover bolts"
    assert titles["timing-card"] == "Timing card"
    assert paper_named(gull_job, "bolt-board-nothing") is None
