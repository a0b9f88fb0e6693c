"""A PIN on a phone: by the workshop while it answers, alone while it does not, and shut in time."""

from __future__ import annotations

import pytest

PIN, WRONG = "135790", "864213"

CHECK = """
const { openStore } = await import("/static/bench/store.js");
const { checkPin } = await import("/static/bench/pins.js");
const { me } = await import("/static/bench/me.js");
const store = await openStore();
const { about } = await me(store);
const person = about.people.find((each) => each.id === args[0]);
const found = await checkPin(store, person, args[1]);
store.close();
return found;
"""


@pytest.fixture
def few_rounds(monkeypatch):
    """For tests that guess often; the others have as many as the product."""
    monkeypatch.setattr("witnessmark.workshop.pins.ROUNDS", 1_000)


@pytest.fixture
def server(workshop_server):
    with workshop_server.tables():
        from witnessmark.workshop.pins import set_pin

        set_pin("pim", PIN)
        set_pin("ola", WRONG)
    return workshop_server


def by_the_workshop(phone, member, pin):
    """Try a right PIN until the workshop answers in time: this machine may be busy."""
    for _ in range(8):
        found = phone.run(CHECK, member, pin)
        if found["where"] == "checked by the workshop":
            return found
    raise AssertionError(found)


def test_a_pin_is_checked_by_the_workshop_else_on_the_phone_and_the_record_can_say_which(
    server, phone
):
    pim = phone("pim", server=server)

    def tried(pin, member="pim"):
        return pim.run(CHECK, member, pin)

    assert by_the_workshop(pim, "pim", PIN) == {
        "right": True,
        "where": "checked by the workshop",
        "lockedUntil": None,
        "says": "right",
    }
    assert tried(WRONG)["right"] is False
    pim.offline()
    assert tried(PIN) == {
        "right": True,
        "where": "checked on the phone",
        "lockedUntil": None,
        "says": "right",
    }
    assert tried(WRONG, "ola")["where"] == "checked on the phone"
    assert "no PIN on this phone" in tried(PIN, "una")["says"]
    pim.offline(False)
    server.freeze()
    assert tried(PIN)["where"] == "checked on the phone"  # a frozen workshop holds nobody up
    server.thaw()


def test_five_wrong_ones_alone_shut_it_until_the_workshop_finds_it_right(few_rounds, server, phone):
    pim = phone("pim", server=server)
    pim.offline()
    found = [pim.run(CHECK, "pim", WRONG) for _ in range(5)]
    assert [each["right"] for each in found] == [False] * 5
    assert [each["lockedUntil"] for each in found] == [None] * 4 + ["reached"]
    assert pim.run(CHECK, "pim", PIN)["right"] is False
    pim.offline(False)
    pim.open()  # nor does a reload open it
    pim.offline()
    shut = pim.run(CHECK, "pim", PIN)
    assert (shut["right"], shut["lockedUntil"]) == (False, "reached")
    assert "until the workshop is reached" in shut["says"]
    assert pim.run(CHECK, "ola", WRONG)["right"]  # others are not shut
    pim.offline(False)
    assert pim.run(CHECK, "pim", WRONG)["right"] is False  # reached, but not right
    pim.offline()
    assert pim.run(CHECK, "pim", PIN)["lockedUntil"] == "reached"
    pim.offline(False)
    assert by_the_workshop(pim, "pim", PIN)["right"]
    pim.offline()
    assert pim.run(CHECK, "pim", PIN)["where"] == "checked on the phone"


def test_the_workshop_s_own_lock_is_told(few_rounds, server, phone):
    pim = phone("pim", server=server)
    found = [pim.run(CHECK, "pim", WRONG) for _ in range(3)]
    assert not any(each["right"] for each in found)
    told = pim.run(CHECK, "pim", PIN)
    assert isinstance(told["lockedUntil"], int), told
    assert "looked at after" in told["says"]
    assert (told["right"], told["where"]) == (False, None)
