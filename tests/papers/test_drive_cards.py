"""The belt routes and the timing card: what they say, and that it can be read on the page."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pdfplumber
import pytest

from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session
from witnessmark.machine.run_path import lay_run
from witnessmark.papers.drive_cards import UNPROVEN_AGAIN, route_card, timing_card
from witnessmark.papers.rendering import render_pdf

MACHINES = Path(__file__).parents[2] / "demo/machines"


def job_on(machine: str, work: str):
    return planned_job(open_session(MACHINES / machine, [work]))


def words_on(pdf: bytes) -> str:
    pages = pdfplumber.open(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


@pytest.fixture(scope="module")
def routes(gull_job):
    return route_card(gull_job)


@pytest.fixture(scope="module")
def timing(genset_job):
    return timing_card(genset_job)


@pytest.fixture(scope="module")
def timing_words(timing):
    return words_on(render_pdf("timing-card", timing))


def test_every_run_that_is_disturbed_has_its_route(routes):
    assert [run["name"] for run in routes["runs"]] == ["timing belt run", "auxiliary belt run"]


def test_pulleys_stand_in_belt_order_with_the_face_that_touches(routes):
    rows = routes["runs"][0]["pulleys"]
    assert [row["order"] for row in rows] == ["1", "2", "3B", "4", "5", "6"]
    assert [row["name"] for row in rows][:3] == ["crank", "pump", "tensioner"]
    assert rows[2]["face"] == "back of the belt"
    assert {row["turns"] for row in rows if row["face"] == "inside"} == {"clockwise"}
    assert rows[2]["turns"] == "anticlockwise"
    # 22 teeth drive 44: half as many turns.
    assert rows[3]["times"] == "0.5"


def test_the_belt_is_as_long_as_its_teeth_make_it(routes):
    belt = dict(routes["runs"][0]["belt"])
    assert (belt["teeth"], belt["pitch"], belt["length"]) == ("169", "8 mm", "1352 mm")
    assert belt["running direction"] == "clockwise"


def test_a_torque_on_the_tensioner_is_said_as_a_setting_with_its_source(routes):
    lines = dict(routes["runs"][0]["tensioner"])
    assert lines["held at, while its clamp is tightened"] == (
        "8 N·m (invented for the demonstration)"
    )


def test_the_demonstration_runs_close_within_a_tenth_of_a_tooth(gull_job, genset_job):
    for job in (gull_job, genset_job):
        run = job.machine.runs["timing"]
        path = lay_run(run)
        assert path is not None
        assert path.length / float(run.pitch) == pytest.approx(run.teeth, abs=0.1)


def test_the_route_page_carries_viewpoint_order_and_count(routes):
    words = words_on(render_pdf("route", routes))
    assert "standing at the pulley end, looking at the engine" in words
    assert "169" in words
    assert "3B" in words
    assert "new belt measured" in words
    assert "could not be printed" not in words


def test_a_tooth_is_so_many_degrees_of_its_own_shaft_and_of_the_crank(timing):
    rows = {row["name"]: row for row in timing["runs"][0]["shafts"]}
    # By definition 360° / z; over the ratio for degrees of the crank.
    assert rows["crankshaft"]["own_degrees"] == "18°"
    assert rows["camshaft"]["own_degrees"] == "9°"
    assert rows["camshaft"]["crank_degrees"] == "18°"
    assert rows["camshaft"]["held"] == "cam pin"


def test_the_printing_meets_after_as_many_turns_as_turning_tooth_by_tooth(timing):
    # Oracle: turn the crank tooth by tooth until crank, cam and belt are all back at once.
    teeth = 20
    while teeth % 20 or teeth % 40 or teeth % 103:
        teeth += 1
    crank_turns, belt_turns = teeth // 20, teeth // 103
    assert f"{crank_turns} turns ({belt_turns} turns of the belt)" in timing["runs"][0]["meeting"]


def test_slots_are_set_against_half_a_tooth(timing):
    assert timing["runs"][0]["floats"] == [{"name": "pump", "range": "±7°", "needed": "±4.5°"}]


def test_every_pin_the_job_puts_in_is_counted_in_and_out(timing, genset_job):
    put_in = {step.object_id for step in genset_job.steps if step.state == "in"}
    named = {genset_job.machine.locks[id_].name for id_ in put_in}
    assert {row["name"] for row in timing["runs"][0]["locks"]} == named != set()


def test_marks_say_what_hides_them_and_what_carries_them(timing):
    rows = {row["name"]: row for row in timing["runs"][0]["shafts"]}
    assert rows["camshaft"]["seen"] == "only with it fitted: belt cover"
    assert rows["crankshaft"]["seen"].startswith("to see it, away: ")


@pytest.mark.parametrize(
    "caution",
    [
        "Never crank with a pin, lock or holder in",
        "short bar",
        "Stop at the first resistance",
        "running direction only",
        "A pin used to probe is in until it is written down as out",
        "makes the run unproven again",
    ],
)
def test_cautions_stand_on_the_timing_card(timing, timing_words, caution):
    assert caution in timing_words.replace("- ", "")  # words may be broken at a line's end
    assert UNPROVEN_AGAIN in timing["cautions"]


def test_a_job_that_leaves_the_drives_alone_has_neither_card():
    job = job_on("gull-20.yaml", "radiator")
    assert timing_card(job) is None
    assert route_card(job) is None


def test_the_acts_of_tensioning_stand_on_the_timing_card_with_room_for_each_reading(
    timing, timing_words
):
    acts = timing["runs"][0]["acts"]
    assert [words.split(":")[0] for words in acts] == [
        "set",
        "slacken",
        "set again",
        "turn",
        "check",
    ]
    assert "reads 108 Hz to 116 Hz (invented for the demonstration)" in acts[0]
    assert "Every pin out before a turn among these" in timing_words
    assert "belt °C" in timing_words


def test_the_card_says_how_far_the_tensioner_is_from_its_stops(timing):
    travel = dict(timing["runs"][0]["tensioner"])["travel"]
    assert travel == "fits 6.1 mm from the slack stop and 7.9 mm from the other, by the drawing"
