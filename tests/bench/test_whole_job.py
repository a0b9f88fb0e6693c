"""A whole job as two people do it: booked at the desk, stripped by one phone that is off the
network, come back with something the other had done meanwhile, put back by both, handed back.
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta

import pytest

from tests.bench.hands import SOON, Hands

MACHINE, WORK = "gull-20", "timing-belt"
TENSIONED = "tensioner-clamp"
DAYS = timedelta(days=3)
"""After these every time before which something may not be done has come."""


@pytest.fixture
def desk(demo_server, phone):
    found = phone("desk", member=None, path="/who/")
    found.page.locator("button[value=ola]").tap()
    found.page.wait_for_selector("nav", timeout=SOON)
    return found


def take_in(desk, title):
    """Book the job at the desk, and take the plan; give the job's id."""
    page = desk.page
    page.goto(f"{desk.server.origin}/jobs/new/")
    page.select_option("#machine", MACHINE)
    page.wait_for_selector(f"#work-{WORK}", timeout=SOON)
    page.check(f"#work-{WORK}")
    page.wait_for_selector("#plans .plan", timeout=60_000)
    page.fill("[name=title]", title)
    page.fill("[name=plate]", "TE57 GUL")
    page.check("[name=member][value=pim]")
    page.locator("button.big").tap()
    page.wait_for_selector("a.big[href*='/bench/']", timeout=60_000)
    return page.url.rstrip("/").rpartition("/")[2]


def standing(server, phone, job):
    status, said = server.ask(f"/api/jobs/{job}/standing", phone.pairing["secret"])
    assert status == 200
    return json.loads(said)


def follows_to(number):
    return lambda step: step != "none" and int(step.split()[0]) >= number


def number_of(step):
    return int(step.split()[0])


GATES_OPEN = {
    "turning-by-hand": {"object": "crankshaft"},
    "cranking": {"purpose": "to start"},
    "covering": {"object": "arch-liner"},
    "first-start": {},
    "lowering": {},
    "closing-up": {},
    "handing-back": {},
    "walking-away": {},
}
"""Gates that have something open in front of them with the belt just tensioned."""


def test_a_timing_belt_from_booking_to_handing_back_by_two_phones(desk, demo_server, phone):
    job = take_in(desk, "Timing belt, whole job")

    # Both have the job; the one at the machine loses the network.
    pim = Hands(phone("pim", member="pim"), job).open()
    ola = Hands(phone("ola", member="ola"), job).open()
    pim.pass_gate("first-spanner")
    pim.follow(lambda step: number_of(step) == 5)
    pim.all_sent()
    ola.phone.page.wait_for_selector("#screen[data-step^='5 ']", timeout=60_000)
    pim.phone.offline()

    # Offline from the strip to the tension; somebody else slackens what is taken out there.
    done = pim.follow(lambda step: step.split()[1] == TENSIONED and number_of(step) > 80)
    assert len(done) > 70
    pim.do_step(pim.step())
    for gate, asks in GATES_OPEN.items():
        named = pim.look_at_gate(gate, **asks)
        assert named, gate
        assert pim.phone.page.locator("[data-tap=pass]").count() == 0
    pim.open()
    ola.open("/act/slacken/mount-nuts")
    ola.do_step(ola.step())
    ola.all_sent()
    before = standing(demo_server, pim.phone, job)["events"]

    # Back: everything is sent once, and what does not agree is settled by a person.
    pim.phone.offline(is_off=False)
    pim.all_sent()
    now = standing(demo_server, pim.phone, job)
    assert now["events"] > before + 75
    assert now["gaps"] == now["forks"] == []
    pim.open("/odd")
    pim.phone.page.wait_for_selector("[data-dispute=mount-nuts]", timeout=60_000)
    pim.tap("[data-dispute=mount-nuts] [data-stands=out]")
    pim.all_sent()

    # On to the crank bolt by one, the rest by the other.
    pim.open().follow(lambda step: step.split()[1] == "crank-bolt")
    pim.all_sent()
    at = pim.step()
    ola.open()
    ola.phone.page.wait_for_selector(f"#screen[data-step='{at}']", timeout=60_000)
    ola.follow(lambda step: step == "none")

    # Once every time has come, what has to be said is said, and the job is handed back.
    later = datetime.now().astimezone() + DAYS
    ola.phone.do(lambda page: page.clock.set_fixed_time(later))
    ola.open("/duties")
    said = "[data-tap=duty]"
    while left := ola.phone.page.locator(said).count():
        ola.tap(said)
        ola.phone.page.wait_for_selector(f":nth-match({said}, {left})", state="detached")
    ola.pass_gate("handing-back")
    ola.tap("[data-tap=hand-back]")
    ola.phone.page.wait_for_selector("text=Handed back", timeout=SOON)
    ola.all_sent()
    assert pim.again + ola.again <= 1  # nearly three hundred taps, under a screen that moves
    end = standing(demo_server, ola.phone, job)
    assert end["closed"]
    assert end["outstanding"] == []
    desk.page.goto(f"{desk.server.origin}/jobs/{job}/")
    assert "handed back" in desk.page.inner_text("main").lower()
