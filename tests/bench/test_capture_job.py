"""A whole small job on a machine nobody has described: from the photo of its plate to handback."""

from __future__ import annotations

import json
import time

import pytest

from tests.bench.capturing import Hands

SHELF = "left bracket, two bolts 13 mm head, shelf"


@pytest.fixture
def hands(phone):
    return Hands(phone("bench"))


def close_first(hands: Hands, how: str = "by feel") -> None:
    """Put the next thing of the refit list back."""
    before = int(hands.phone.page.locator("[data-open]").get_attribute("data-open"))
    hands.tap(".refit li.next [data-tap='close']")
    page = hands.phone.page
    page.locator(f"[data-choice='{how}'], [data-open='{before - 1}']").first.wait_for()
    if page.locator(f"[data-choice='{how}']").count():
        hands.tap(f"[data-choice='{how}']")
    page.locator(f"[data-open='{before - 1}']").wait_for()


def pass_gate(hands: Hands, job: str) -> None:
    hands.to(f"#/job/{job}/gate/handing-back")
    page = hands.phone.page
    page.locator("[data-tap='answer']").first.wait_for()
    for each in range(page.locator("[data-tap='answer']").count()):
        page.locator("[data-tap='answer']").nth(each).tap()
    hands.tap("[data-tap='pass']")
    page.locator("[data-tap='hand-back']").wait_for()


def test_from_the_plate_to_handback_with_the_network_gone_in_the_middle(hands, workshop_server):
    phone = hands.phone
    phone.page.locator("[data-tap='take']").wait_for()
    job = hands.begin()
    hands.off(1, "bolts")
    hands.say("cover bolts, six M6x20, tray two")
    phone.offline()
    hands.off(2, "cover")
    hands.say("belt cover, bench")
    hands.off(3, "bracket")
    hands.say(SHELF)
    hands.to(f"#/take/{job}/other/cap")
    phone.page.locator("[data-key='said']").wait_for()
    hands.fill("said", "cap on the top hose")
    hands.tap("[data-tap='write']")
    phone.page.locator("[data-things='3']").wait_for()

    stripped = hands.standing(job)
    assert stripped["flags"] == []
    assert stripped["waiting"] > 0
    assert [says for kind, says in stripped["outstanding"] if kind == "open"] == [
        "cover bolts: 6 of 6 out",
        "belt cover: off",
        "left bracket: off",
        "bolts of left bracket: 2 of 2 out",
    ]
    assert stripped["registers"]["parts off"] == [
        "belt cover: off, bench",
        "left bracket: off, shelf",
    ]
    assert stripped["registers"]["tools"] == ["cap on the top hose: in"]
    assert stripped["registers"]["counts"] == ["cover bolts: 6 of 6 out",
                                               "bolts of left bracket: 2 of 2 out"]  # fmt: skip
    holds = {each["name"]: each["holds"] for each in stripped["things"] if each["kind"] == "joint"}
    ids = {each["name"]: each["id"] for each in stripped["things"]}
    assert holds == {"cover bolts": [ids["belt cover"]],
                     "bolts of left bracket": [ids["left bracket"]]}  # fmt: skip
    assert "belt cover: off" in stripped["handing"]

    hands.tap("[data-tap='list']")
    phone.page.locator("[data-open='4']").wait_for()
    names = phone.page.locator(".refit .what b").all_text_contents()
    assert [each.partition(":")[0] for each in names] == [
        "left bracket", "bolts of left bracket", "belt cover", "cover bolts",
    ]  # fmt: skip
    for _ in range(4):
        close_first(hands)
    hands.tap("[data-tap='out']")
    phone.page.locator(".put").wait_for(state="detached")

    back = hands.standing(job)
    assert back["outstanding"] == []
    assert back["flags"] == []
    assert [says for says, _ in back["figures"]] == [
        "bolts of left bracket: no maker's figure", "cover bolts: no maker's figure",
    ]  # fmt: skip
    assert back["handing"] == []

    phone.offline(False)
    phone.eventually("return document.querySelector('#bench').dataset.waiting === '0'")
    hands.tap("[data-tap='draft']")
    phone.page.locator(".draft [data-answered]").wait_for()
    drafted = workshop_server.place.folder / "machines" / "drafts"
    assert [each.suffix for each in drafted.iterdir()] == [".yaml"]

    pass_gate(hands, job)
    hands.tap("[data-tap='hand-back']")
    phone.eventually("return document.querySelector('#screen').textContent.includes('Handed back')")
    assert hands.standing(job)["closings"] == ["closed"]
    phone.eventually("return document.querySelector('#bench').dataset.waiting === '0'")
    token = (phone.pairing or {})["secret"]
    status, said = workshop_server.ask(f"/api/jobs/{job}/standing", token)
    assert status == 200
    assert json.loads(said)["outstanding"] == []


def test_the_first_thing_is_recorded_within_ten_seconds_of_a_cold_page(phone):
    found = phone("cold")
    hands = Hands(found)
    started = time.monotonic()
    found.page.reload()
    found.page.locator("[data-tap='take']").wait_for()
    hands.begin()
    taken = time.monotonic() - started
    assert (hands.taps, hands.photos) == (2, 1)
    assert taken < 10
