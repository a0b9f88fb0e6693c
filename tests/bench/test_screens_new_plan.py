"""Trouble at the machine, and the workshop's new plan: shown first, taken by a person."""

from __future__ import annotations

from tests.bench.invented import demo_pack
from witnessmark.ledger.canonical import canonical_bytes

JOB = "no-way-up"
SOON = 60_000
"""How long the workshop may take on a busy machine. [ms]"""

GO = "window.location.hash = args[0];"


def test_what_cannot_be_got_at_is_planned_round_and_the_person_takes_the_plan(demo_server, phone):
    pack = demo_pack("brack-genset-12", "timing-belt")
    demo_server.open_job(JOB, "Timing belt, no way upwards", canonical_bytes(pack))
    with demo_server.tables() as models:
        models.Job.objects.filter(id=JOB).update(machine="brack-genset-12")
    pim = phone("pim", member="pim")
    page = pim.page

    pim.run(GO, f"#/job/{JOB}/act/take-off/air-baffle")
    page.locator("[data-tap=trouble]").tap()
    page.locator("[data-trouble='cannot get at it from here']").tap()
    page.wait_for_selector("[data-plan=offered]", timeout=SOON)
    offered = page.inner_text("[data-plan]")
    assert "A new plan" in offered
    assert "new: take off roof panel" in offered
    assert "86.8 min before, 92.8 min now" in offered

    page.locator("[data-tap=rebase]").tap()
    page.wait_for_selector("[data-tap=done]", timeout=SOON)
    pim.run(GO, f"#/job/{JOB}/all")
    page.wait_for_selector("[data-object='roof-screws']", timeout=SOON)
    pim.run(GO, f"#/job/{JOB}/log")
    page.wait_for_selector("[data-event]", timeout=SOON)
    said = page.inner_text("#screen")
    assert "A new plan was taken" in said
    assert "Trouble, cannot get at it from here" in said
