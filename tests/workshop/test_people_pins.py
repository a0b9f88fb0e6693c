"""PINs: what is taken, how guessing is slowed and locked, and that it outlives the server."""

from __future__ import annotations

import subprocess
import sys
import threading

import pytest
from argon2 import PasswordHasher, extract_parameters
from click.testing import CliRunner

from tests.workshop.browsers import ELSEWHERE, Browser, words
from witnessmark.cli.root import command
from witnessmark.workshop.places import TABLES
from witnessmark.workshop.starting import start
from witnessmark.workshop.waits import PAIRING_FROM_ADDRESS, PIN_OF_MEMBER, PIN_ON_DEVICE

PIN, OTHER = "135790", "864213"
SECOND, MINUTE, DAY = 1_000, 60_000, 86_400_000


@pytest.fixture
def place(sqlite_place, monkeypatch):
    """Counting does not depend on how costly a guess is; what it costs is tested by itself."""
    monkeypatch.setattr("witnessmark.workshop.pins.ROUNDS", 1_000)
    cheap = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    monkeypatch.setattr("witnessmark.workshop.pins._HASHER", cheap)
    start(sqlite_place, tables_are_ready=True)
    yield sqlite_place
    from django.db import connections

    connections.close_all()


@pytest.fixture
def clock(monkeypatch):
    class Clock:
        at = 1_800_000_000_000

        def __call__(self):
            return self.at

    found = Clock()
    monkeypatch.setattr("witnessmark.workshop.guesses.now", found)
    return found


@pytest.fixture
def tried(workshop, clock):
    """Guess ben's PIN; give whether it was right and how long the next must wait. [s]"""
    from witnessmark.workshop.pins import check_pin, set_pin

    set_pin("ben", PIN)
    set_pin("cal", OTHER)

    def guess(pin, member="ben", device="phone-ben"):
        found = check_pin(member, pin, device)
        wait = None if found.locked_until is None else (found.locked_until - clock.at) // SECOND
        return found.right, wait

    return guess


# What is taken


@pytest.mark.parametrize(
    "pin",
    [
        "",
        "12345",
        "1234567890123",
        "12345a",
        "１３５７９０",
        "111111",
        "234567",
        "987654",
        "890123",
    ],
)
def test_what_is_no_pin_or_the_first_to_be_tried_is_refused(workshop, pin):
    from witnessmark.workshop.pins import PinRefusedError, set_pin

    with pytest.raises(PinRefusedError):
        set_pin("ben", pin)


def test_a_pin_is_kept_only_as_hashes_of_the_costs_that_are_said(workshop, monkeypatch):
    """RFC 9106, section 4, second recommended option: Argon2id, 64 MiB, 3 passes, 4 lanes."""
    monkeypatch.undo()
    from witnessmark.workshop import models
    from witnessmark.workshop.pins import set_pin

    set_pin("ben", PIN)
    ben = models.Member.objects.get(id="ben")
    costs = extract_parameters(ben.pin)
    assert (costs.type.name, costs.memory_cost, costs.time_cost, costs.parallelism) == (
        "ID",
        65_536,
        3,
        4,
    )
    assert (costs.salt_len, costs.hash_len) == (16, 32)
    assert ben.pin_rounds >= 600_000
    assert PIN not in str(models.Member.objects.values())


# Slowed and locked


def test_the_first_wrong_guesses_cost_nothing_then_each_waits_longer_then_it_is_locked(
    tried, clock
):
    waits = []
    for _ in range(8):
        right, wait = tried("000001")
        waits.append(wait)
        assert not right
        clock.at += (wait or 0) * SECOND
    assert waits == [None, None, 5, 10, 20, 900, 900, 900]
    assert tried(PIN) == (True, None)
    assert tried("000001") == (False, None)


def test_while_it_is_locked_even_the_right_one_is_not_looked_at_nor_counted(tried, clock):
    from witnessmark.workshop import models

    for _ in range(3):
        tried("000001")
    before = list(models.Attempt.objects.order_by("id").values())
    assert tried(PIN) == (False, 5)
    assert list(models.Attempt.objects.order_by("id").values()) == before
    clock.at += 5 * SECOND
    assert tried(PIN) == (True, None)


def test_guesses_at_one_member_count_from_every_device(tried):
    for number in range(3):
        tried("000001", device=f"phone-{number}")
    assert tried("000001", device="phone-9") == (False, 5)


def test_guesses_on_one_device_count_over_members_whatever_right_ones_come_between(tried, clock):
    """With a PIN of one's own the way to guess at others' is not cleared."""
    waits = []
    for number in range(12):
        _, wait = tried("000001", member=f"m{number}", device="phone-cal")
        waits.append(wait)
        clock.at += (wait or 0) * SECOND
        assert tried(OTHER, member="cal", device="phone-cal") == (True, None)
    assert waits == [None] * 9 + [5, 10, 20]


def test_a_locked_device_locks_nobody_elsewhere(tried, clock):
    for number in range(10):
        tried("000001", member=f"m{number}", device="phone-cal")
    assert tried(OTHER, member="cal", device="phone-cal")[0] is False
    assert tried(OTHER, member="cal", device="desk") == (True, None)


def test_what_was_wrong_is_forgotten_after_a_day(tried, clock):
    for _ in range(2):
        tried("000001")
    clock.at += DAY + 1
    assert [tried("000001") for _ in range(3)] == [(False, None), (False, None), (False, 5)]


def test_a_new_pin_opens_the_lock(tried):
    from witnessmark.workshop.pins import set_pin

    for _ in range(3):
        tried("000001")
    set_pin("ben", OTHER)
    assert tried(OTHER) == (True, None)


def test_many_guesses_at_once_get_no_more_than_one_after_another(tried, clock):
    from witnessmark.workshop import models

    looked_at = []

    def guess():
        from django.db import connection

        from witnessmark.workshop import pins

        pins.check_pin("ben", "000001", "phone-ben")
        connection.close()

    def looked(hashed, pin):
        looked_at.append(pin)
        return False

    from witnessmark.workshop import pins

    before, pins._is_right = pins._is_right, looked
    try:
        threads = [threading.Thread(target=guess) for _ in range(12)]
        for each in threads:
            each.start()
        for each in threads:
            each.join()
    finally:
        pins._is_right = before
    assert len(looked_at) == 3
    assert models.Attempt.objects.get(id="pin of ben").wrong == 3


def test_a_guess_counts_also_when_the_server_is_killed_while_it_is_looked_at(tried):
    from witnessmark.workshop import guesses, models

    class Killed(BaseException):
        pass

    def check():
        raise Killed

    with pytest.raises(Killed):
        guesses.guess({"pin of ben": PIN_OF_MEMBER}, check)
    assert models.Attempt.objects.get(id="pin of ben").wrong == 1


def test_a_lock_outlives_the_server(tried, place):
    """Asked by another process, which knows nothing but the folder."""
    from witnessmark.workshop import models

    for _ in range(3):
        tried("000001")
    models.Attempt.objects.filter(until__gt=0).update(until=9_000_000_000_000)
    asked = (
        "from pathlib import Path; from witnessmark.workshop.places import Place;"
        "from witnessmark.workshop.starting import start;"
        f"start(Place(Path({str(place.folder)!r})), tables_are_ready=True);"
        "from witnessmark.workshop.pins import check_pin;"
        f"print(check_pin('ben', '{PIN}', 'another'))"
    )
    run = subprocess.run(
        [sys.executable, "-c", asked], capture_output=True, text=True, check=True, timeout=60
    )
    assert run.stdout == "Guess(right=False, locked_until=9000000000000)\n"


@pytest.mark.parametrize(
    ("waits", "most_a_day"),
    [(PIN_OF_MEMBER, 110), (PIN_ON_DEVICE, 120), (PAIRING_FROM_ADDRESS, 120)],
)
def test_a_day_s_guessing_gets_next_to_nothing(waits, most_a_day):
    """A member's PIN of six figures: one in nine thousand a day, in the sight of all."""
    guesses, passed = 0, 0
    while passed < DAY:
        guesses += 1
        passed += waits.after(guesses)
    assert guesses <= most_a_day


# Over the API and the pages


def test_the_api_checks_a_pin_and_says_until_when_it_is_locked(tried, workshop, clock):
    def asked(pin, member="ben"):
        return workshop.ben.post("/api/pin", {"member": member, "pin": pin}).json()

    assert asked(PIN) == {"right": True, "locked_until": None}
    assert [asked("000001") for _ in range(2)] == [{"right": False, "locked_until": None}] * 2
    assert asked("000001") == {"right": False, "locked_until": clock.at + 5 * SECOND}
    assert asked(PIN) == {"right": False, "locked_until": clock.at + 5 * SECOND}


def test_somebody_without_a_pin_or_who_is_not_here_is_never_right(tried, workshop):
    for member in ("ann", "nobody"):
        for pin in ("", PIN, "000001"):
            answer = workshop.ben.post("/api/pin", {"member": member, "pin": pin})
            assert answer.json()["right"] is False


def test_a_stranger_cannot_guess_at_all(tried, workshop):
    from witnessmark.workshop import models

    assert workshop.stranger.post("/api/pin", {"member": "ben", "pin": PIN}).status_code == 401
    far = Browser(ELSEWHERE)
    assert far.client.post("/api/pin", {"member": "ben", "pin": PIN}).status_code == 401
    assert not models.Attempt.objects.exists()


def test_the_page_says_when_the_next_guess_is_looked_at(tried, workshop):
    from witnessmark.workshop.pins import set_pin

    set_pin("ann", PIN)
    browser = Browser().is_who("ann")
    shown = [words(browser.post("/settings/open/", pin="000001")) for _ in range(3)]
    assert "not right" in shown[0]
    assert "looked at after" in shown[2]
    assert browser.post("/settings/open/", pin=PIN).status_code == 403


# The command, for who forgot it


def test_the_command_sets_a_forgotten_pin(workshop, place):
    from witnessmark.workshop.pins import check_pin

    def run(member, typed):
        return CliRunner().invoke(
            command,
            ["pin", member, "--data", str(place.folder)],
            input=typed,
            env={TABLES: None},
        )

    done = run("ann", f"{PIN}\n{PIN}\n")
    assert (done.exit_code, done.output.splitlines()[-1]) == (0, "Ann has a new PIN.")
    assert PIN not in done.output
    assert check_pin("ann", PIN, "desk").right
    assert "six to twelve figures" in run("ann", "1\n1\n").stderr
    assert "ann, ben, cal" in run("eve", "").stderr
