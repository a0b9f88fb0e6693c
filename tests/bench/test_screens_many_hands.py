"""What comes in from another phone while this one is at work: said, and settled by a person."""

from __future__ import annotations

import pytest

from tests.bench.bench_stage import staged
from tests.bench.invented import cover_pack

JOB = "#/job/job-1"
DONE = "[data-tap=done]"
BOLTS = "case-cover-bolts"


@pytest.fixture(scope="module")
def stage():
    with staged() as found:
        yield found


@pytest.fixture
def phone(stage):
    found = stage.phone(cover_pack())
    found.go(JOB)
    yield found
    found.close()


def test_what_others_did_meanwhile_is_said_until_it_is_seen(phone):
    phone.tap(DONE)
    phone.come_in({"type": "done", "action": "take-off", "object": "case-cover"})
    assert "Meanwhile, by others: 1" in phone.words()
    assert "Ben: Take off case cover" in phone.words()
    assert "Take off cover gasket" in phone.shows("h1")
    phone.tap("[data-tap=meanwhile]")
    assert "Meanwhile" not in phone.words()


def test_two_who_did_not_know_of_each_other_are_settled_by_a_person(phone):
    phone.tap(DONE)
    other = {"type": "done", "action": "slacken", "object": BOLTS, "values": {"count": 16}}
    phone.come_in(other, up_to=1)
    phone.go(f"{JOB}/odd")
    assert phone.count(f"[data-dispute={BOLTS}]") == 1
    assert {"slack", "out"} == {
        phone.stage.do(phone.page.locator("[data-stands]").nth(at).get_attribute, "data-stands")
        for at in range(2)
    }
    phone.tap("[data-stands=out]")
    settled = phone.events()[-1]
    assert settled["type"] == "settle"
    assert settled["values"]["stands"] == "out"
    assert len(settled["values"]["settles"]) == 2
    assert "case cover bolts: 16 of 16 out" in phone.shows(".open")
    phone.go(f"{JOB}/odd")
    assert phone.count("[data-dispute]") == 0


def test_a_job_of_a_newer_edition_is_read_and_not_written(phone):
    phone.tap(DONE)
    phone.come_in({"type": "done", "action": "take-off", "object": "case-cover", "v": 99})
    assert "newer edition" in phone.words()
    assert phone.count(DONE) == 0
    phone.go(f"{JOB}/gate/covering")
    assert phone.count("[data-tap=pass], [data-tap=pass-by-name]") == 0


def test_what_comes_in_does_not_draw_over_what_somebody_types(phone):
    phone.go(f"{JOB}/reading")
    phone.type("[data-field=what]", "out of flat")
    phone.stage.do(phone.page.locator("[data-field=what]").focus)
    phone.come_in({"type": "done", "action": "undo", "object": BOLTS, "values": {"count": 16}})
    assert "16 of 16 out" in phone.shows(".open")
    typed = phone.stage.do(phone.page.input_value, "[data-field=what]")
    assert typed == "out of flat"


def test_a_gate_passed_before_something_came_in_is_open_again(phone):
    phone.go(f"{JOB}/gate/covering?object=case-cover")
    for at in range(2):
        phone.tap("[data-tap=answer]", at=at)
    phone.tap("[data-tap=pass]")
    phone.come_in({"type": "done", "action": "undo", "object": BOLTS, "values": {}}, up_to=1)
    phone.go(f"{JOB}/open")
    assert phone.count("[data-kind=gate]") == 1
