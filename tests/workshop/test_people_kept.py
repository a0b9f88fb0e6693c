"""What a backup keeps of people and phones, and what it leaves behind."""

from __future__ import annotations

from zipfile import ZipFile

import pytest

from tests.workshop.browsers import Browser
from tests.workshop.small_workshop import Phone
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start

PIN = "135790"


@pytest.fixture
def backup(workshop, tmp_path, monkeypatch):
    monkeypatch.setattr("witnessmark.workshop.pins.ROUNDS", 1_000)
    from witnessmark.workshop import archive, models
    from witnessmark.workshop.pairing import new_code
    from witnessmark.workshop.pins import check_pin, set_pin
    from witnessmark.workshop.taking_in import change

    set_pin("ann", PIN)
    change("cal", "Cal", "apprentice", ["part", "undo"])
    Browser().is_who("ann")  # leaves a session, and when it was
    new_code("ben")
    check_pin("ann", "864213", "desk")
    assert models.Attempt.objects.exists()
    file = tmp_path / "backup.zip"
    archive.back_up(file)
    return file


def test_people_pins_and_phones_come_back(backup, workshop, tmp_path):
    verifier = pin_of_ann(workshop.ben)
    start(Place(tmp_path / "restored"))
    from witnessmark.workshop import archive, models
    from witnessmark.workshop.pins import check_pin

    archive.restore(backup)
    cal = models.Member.objects.get(id="cal")
    assert (cal.role, cal.may_do) == ("apprentice", "part undo")
    assert models.Member.objects.get(id="ann").last_login is not None
    assert check_pin("ann", PIN, "desk").right
    # The phone's own secret and verifier still fit.
    assert pin_of_ann(workshop.ben) == verifier


def pin_of_ann(phone: Phone):
    return next(
        each["pin"] for each in phone.get("/api/me").json()["people"] if each["id"] == "ann"
    )


def test_codes_guesses_and_sessions_are_left_behind(backup):
    with ZipFile(backup) as archive:
        names = {name for name in archive.namelist() if name.startswith("tables/")}
    assert "tables/member.jsonl" in names
    assert "tables/device.jsonl" in names
    assert not names & {f"tables/{name}.jsonl" for name in ("pairingcode", "attempt", "session")}


def test_a_backup_goes_over_no_workshop_that_has_people(backup, tmp_path):
    """Also where only the first day is over: two owners would be there, one of them unknown."""
    start(Place(tmp_path / "begun"))
    from witnessmark.workshop import archive, models
    from witnessmark.workshop.taking_in import first_owner

    first_owner("Eve", PIN)
    with pytest.raises(archive.ArchiveError, match="there is a workshop here already"):
        archive.restore(backup)
    assert [each.name for each in models.Member.objects.all()] == ["Eve"]
