"""Pairing a phone by a code, and what it is told of the workshop's people."""

from __future__ import annotations

import hashlib
import hmac

import pytest

from tests.workshop.small_workshop import Phone
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.workshop.edition import edition

PIN = "135790"


@pytest.fixture
def clock(monkeypatch):
    """The server's clock, to be set forward."""

    class Clock:
        at = 1_800_000_000_000

        def __call__(self):
            return self.at

    found = Clock()
    for module in ("pairing", "guesses", "people"):
        monkeypatch.setattr(f"witnessmark.workshop.{module}.now", found)
    return found


def paired(phone, code, name="Ben's new phone"):
    return phone.post("/api/pair", {"code": code, "name": name})


def test_a_phone_is_paired_by_a_code_once(workshop, clock):
    from witnessmark.workshop.pairing import new_code

    code = new_code("ben")
    answer = paired(workshop.stranger, code)
    assert answer.status_code == 200
    phone = Phone(answer.json()["device"], answer.json()["secret"])
    me = phone.get("/api/me").json()
    assert me["device"] == {"id": answer.json()["device"], "name": "Ben's new phone"}
    assert me["member"] == {"id": "ben", "name": "Ben", "role": "technician"}
    phone.write()
    assert [each["answer"] for each in phone.send()] == ["new"]
    again = paired(workshop.stranger, code)
    assert again.status_code == 422
    assert "ask for a new one" in again.json()["detail"]


def test_a_code_is_read_as_people_type_it(workshop, clock):
    from witnessmark.workshop.pairing import new_code

    code = new_code("ben")
    assert paired(workshop.stranger, f" {code[:4].upper()}-{code[4:]} ").status_code == 200


def test_a_code_is_good_for_ten_minutes_and_kept_hashed(workshop, clock):
    from witnessmark.workshop import models
    from witnessmark.workshop.pairing import new_code

    late, in_time = new_code("ben"), new_code("ben")
    assert late not in str(list(models.PairingCode.objects.values()))
    assert hashlib.sha256(late.encode()).hexdigest() not in str(models.PairingCode.objects.values())
    clock.at += 10 * 60_000
    assert paired(workshop.stranger, in_time).status_code == 200
    clock.at += 1
    assert paired(workshop.stranger, late).status_code == 422


def test_a_code_of_a_member_who_left_is_no_good(workshop, clock):
    from witnessmark.workshop import models
    from witnessmark.workshop.pairing import new_code

    code = new_code("ben")
    models.Member.objects.filter(id="ben").update(is_active=False)
    assert paired(workshop.stranger, code).status_code == 422


def test_guessing_codes_is_slowed_then_locked_for_that_address_alone(workshop, clock):
    from witnessmark.workshop.pairing import new_code

    code = new_code("ben")
    statuses = [paired(workshop.stranger, "22222222").status_code for _ in range(6)]
    assert statuses == [422] * 4 + [429] * 2
    assert paired(workshop.stranger, code).status_code == 429
    for _ in range(5):
        clock.at += 61_000
        paired(workshop.stranger, "22222222")
    clock.at += 14 * 60_000
    code = new_code("ben")
    assert paired(workshop.stranger, code).status_code == 429
    elsewhere = workshop.stranger.post(
        "/api/pair", {"code": code, "name": "x"}, REMOTE_ADDR="192.168.7.9"
    )
    assert elsewhere.status_code == 200
    clock.at += 60_001
    assert paired(workshop.stranger, new_code("ben")).status_code == 200


def test_a_phone_is_told_who_works_here_the_edition_and_the_blank_pack(workshop):
    from witnessmark.workshop import models
    from witnessmark.workshop.pins import set_pin

    set_pin("cal", PIN)
    models.Member.objects.filter(id="cal").update(role="apprentice", may_do="remove hose-end")
    me = workshop.ben.get("/api/me").json()
    said = {each["id"]: (each["role"], each["may_do"]) for each in me["people"]}
    assert said == {
        "ann": ("owner", None),
        "ben": ("technician", None),
        "cal": ("apprentice", ["remove", "hose-end"]),
    }
    assert [each["pin"] for each in me["people"]][:2] == [None, None]
    assert me["edition"] == edition()
    assert me["epoch"] == workshop.cal.get("/api/me").json()["epoch"]
    assert me["blank"]["objects"] == {}
    assert me["blank"]["rules"]["actions"]
    canonical_bytes(me["blank"])  # a digest of it can be taken: events name it


def test_a_phone_s_verifier_fits_the_pin_and_no_other_phone(workshop):
    """Worked out here step by step, as the phone does."""
    from witnessmark.workshop.pins import set_pin

    set_pin("cal", PIN)
    pins = {
        phone.writes.name: next(p["pin"] for p in phone.get("/api/me").json()["people"] if p["pin"])
        for phone in (workshop.ben, workshop.cal)
    }
    for pin in pins.values():
        assert pin["rounds"] >= 600_000
        salt, device_salt = (bytes.fromhex(pin[name]) for name in ("salt", "device_salt"))
        assert len(salt) == len(device_salt) == 16
        stretched = hashlib.pbkdf2_hmac("sha256", PIN.encode(), salt, pin["rounds"])
        assert hmac.new(stretched, device_salt, "sha256").hexdigest() == pin["verifier"]
    first, second = pins.values()
    assert first["device_salt"] != second["device_salt"]
    assert first["verifier"] != second["verifier"]


def test_the_edition_changes_with_any_file_of_the_pages(tmp_path, monkeypatch):
    from witnessmark.workshop import edition as module

    (tmp_path / "static").mkdir()
    (tmp_path / "templates" / "pages").mkdir(parents=True)
    monkeypatch.setattr(module, "_HERE", tmp_path)

    def now():
        edition.cache_clear()
        return edition()

    seen = [now()]
    for name, text in (("static/a.js", "1"), ("static/a.js", "2"), ("templates/pages/b.html", "")):
        (tmp_path / name).write_text(text)
        seen.append(now())
    (tmp_path / "static/a.js").rename(tmp_path / "static/c.js")
    seen.append(now())
    assert len(set(seen)) == len(seen)
    assert now() == seen[-1]
    edition.cache_clear()


@pytest.mark.parametrize(
    ("role", "sees"),
    [
        ("owner", {"job-1", "job-2"}),
        ("lead", {"job-1", "job-2"}),
        ("technician", {"job-2"}),
        ("apprentice", {"job-2"}),
    ],
)
def test_who_leads_sees_every_job_and_others_those_they_are_on(workshop, role, sees):
    from witnessmark.workshop import models

    models.Member.objects.filter(id="cal").update(role=role)
    assert {each["id"] for each in workshop.cal.get("/api/jobs").json()} == sees


def test_what_a_phone_is_told_takes_as_many_queries_for_many_people(workshop):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from witnessmark.workshop import models

    def asked():
        with CaptureQueriesContext(connection) as queries:
            assert workshop.ben.get("/api/me").status_code == 200
        return len(queries)

    asked()  # begins the epoch
    few = asked()
    models.Member.objects.bulk_create(
        models.Member(id=f"m{n}", name=f"M {n}", role="technician") for n in range(300)
    )
    assert asked() == few == 3
