"""A job's record kept as the first draft of a machine file, and a plan from it next time."""

from __future__ import annotations

import json

import pytest

from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.ledger.pack import empty_pack
from witnessmark.workshop.drafting import is_untouched
from witnessmark.workshop.job_planning import plan_job
from witnessmark.workshop.library import Library
from witnessmark.workshop.starting import here

BLANK = canonical_bytes(empty_pack("undescribed", "a machine nobody has described"))

BOLTS = {"kind": "joint", "name": "cover bolts", "state": "out", "count": 6, "thread": "M6",
         "fastener": "bolt", "holds": ["n-1-2"], "head": "10 mm"}  # fmt: skip
COVER = {"kind": "part", "name": "belt cover", "state": "off", "where it lies": "shelf"}


@pytest.fixture
def ben(workshop):
    from tests.workshop.small_workshop import named

    phone = workshop.ben
    assert phone.put(f"/api/jobs/job-1/packs/{named(BLANK)}", BLANK).status_code == 200
    phone.write(type="begin", pack=named(BLANK))
    return phone


def draft(phone):
    answer = phone.post("/api/jobs/job-1/draft", {})
    assert answer.status_code == 200
    return json.loads(answer.content)


def small_job(phone):
    phone.write(type="noted", object="n-1-1", values=BOLTS)
    phone.write(type="noted", object="n-1-2", values=COVER)
    phone.write(type="done", object="n-1-2", action="refit")
    phone.write(type="done", object="n-1-1", action="make", values={"how": "by feel"})
    phone.send()


def test_with_nothing_noted_it_says_so(ben):
    ben.send()
    said = draft(ben)
    assert said["file"] is None
    assert "nothing was noted" in said["none"]


def test_a_small_job_is_drafted_and_the_missing_figure_is_asked_for(ben):
    small_job(ben)
    said = draft(ben)
    assert said["file"] == "drafts/draft-job-1.yaml"
    assert [each["code"] for each in said["complaints"]] == ["no-tightness"]
    assert said["why_no_plan"].startswith("drafts/draft-job-1.yaml has 1 complaint")
    assert Library(here().folder).load(said["file"]).decode() == said["text"]


def test_the_figure_filled_in_the_next_job_is_planned_from_it(ben):
    small_job(ben)
    said = draft(ben)
    path = Library(here().folder).machines / said["file"]
    figure = 'tightness: {is: 9 N·m, source: "maker\'s manual p. 41"}'
    path.write_text(said["text"].replace("kind: bolts", f"kind: bolts\n    {figure}"))
    job = plan_job(here().folder, "drafts/draft-job-1", said["works"])[0]
    assert [step["object"] for step in job.pack["plan"]["steps"]][:2] == [
        "cover-bolts",
        "belt-cover",
    ]


def test_a_figure_with_its_source_given_at_the_bench_is_enough_for_a_plan(ben):
    small_job(ben)
    ben.write(type="noted", object="n-1-1", values={"tightness": "9 N·m", "source": "plate"})
    ben.send()
    said = draft(ben)
    assert said["complaints"] == []
    assert said["why_no_plan"] == ""


def test_a_draft_somebody_wrote_on_is_never_overwritten(ben):
    small_job(ben)
    first = draft(ben)
    assert is_untouched(first["text"])
    path = Library(here().folder).machines / first["file"]
    path.write_text(first["text"] + "# checked by hand\n")
    second = draft(ben)
    assert second["file"] == "drafts/draft-job-1-2.yaml"
    assert path.read_text().endswith("# checked by hand\n")
    assert draft(ben)["file"] == second["file"]
