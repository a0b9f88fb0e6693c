"""The pages of people: the first day, one tap for who, settings behind a PIN, phones."""

from __future__ import annotations

import re

import pytest
import segno
from argon2 import PasswordHasher
from django.db import connections

from tests.workshop.browsers import ELSEWHERE, Browser, words
from tests.workshop.small_workshop import Phone
from witnessmark.workshop.starting import start

PIN, OTHER = "135790", "864213"


@pytest.fixture
def place(sqlite_place, monkeypatch):
    """Pages do not depend on the database, nor on how costly a guess is."""
    monkeypatch.setattr("witnessmark.workshop.pins.ROUNDS", 1_000)
    cheap = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    monkeypatch.setattr("witnessmark.workshop.pins._HASHER", cheap)
    start(sqlite_place, tables_are_ready=True)
    yield sqlite_place
    connections.close_all()


@pytest.fixture
def owner(workshop):
    """The owner's browser on the machine itself, with the settings open."""
    from witnessmark.workshop.pins import set_pin

    set_pin("ann", PIN)
    return Browser().is_who("ann").with_settings_open(PIN)


def members():
    from witnessmark.workshop import models

    return {each.name: each for each in models.Member.objects.all()}


# The first day


def test_an_empty_workshop_asks_who_owns_it(place):
    browser = Browser()
    assert browser.get("/people/").headers["Location"] == "/first-day/"
    answer = browser.post("/first-day/", name=" Ada  Invented ", pin=PIN, again=PIN)
    assert answer.headers["Location"] == "/people/"
    assert [(m.name, m.role) for m in members().values()] == [("Ada Invented", "owner")]
    assert "Take somebody in" in words(browser.get("/people/"))


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"name": "Ada", "pin": "12345", "again": "12345"}, "six to twelve figures"),
        ({"name": "Ada", "pin": "123456", "again": "123456"}, "in a row"),
        ({"name": "Ada", "pin": "777777", "again": "777777"}, "all alike"),
        ({"name": "Ada", "pin": "12345x", "again": "12345x"}, "six to twelve figures"),
        ({"name": "Ada", "pin": PIN, "again": OTHER}, "differ"),
        ({"name": "  ", "pin": PIN, "again": PIN}, "a name has"),
    ],
)
def test_a_first_day_with_something_wrong_makes_nobody(place, fields, says):
    answer = Browser().post("/first-day/", **fields)
    assert answer.status_code == 422
    assert says in words(answer).lower()
    assert members() == {}


def test_the_first_day_is_over_once_somebody_is_here(workshop):
    answer = Browser().post("/first-day/", page="/who/", name="Eve", pin=PIN, again=PIN)
    assert answer.headers["Location"] == "/who/"
    assert set(members()) == {"Ann", "Ben", "Cal"}


def test_the_first_day_is_not_for_another_machine(place):
    answer = Browser(ELSEWHERE).post("/first-day/", name="Eve", pin=PIN, again=PIN)
    assert answer.status_code == 401
    assert members() == {}


# One tap for who


def test_one_tap_says_who_it_is_and_goes_on(workshop):
    browser = Browser()
    shown = browser.get("/people/?x=1")
    assert shown.headers["Location"] == "/who/?next=/people/%3Fx%3D1"
    answer = browser.post("/who/", member="ben", next="/people/?x=1")
    assert answer.headers["Location"] == "/people/?x=1"
    assert "Ben : somebody else?" in words(browser.get("/people/"))


@pytest.mark.parametrize("after", ["https://elsewhere.example/", "//elsewhere.example", "x:y"])
def test_a_tap_never_leads_to_another_site(workshop, after):
    assert Browser().post("/who/", member="ben", next=after).headers["Location"] == "/"


def test_a_member_who_left_cannot_be_tapped(workshop):
    from witnessmark.workshop import models

    models.Member.objects.filter(id="ben").update(is_active=False)
    browser = Browser()
    assert "Ben" not in words(browser.get("/who/"))
    assert browser.post("/who/", member="ben").status_code == 404


# Settings behind a PIN


def test_settings_need_the_owner_and_their_pin(workshop):
    from witnessmark.workshop.pins import set_pin

    set_pin("ann", PIN)
    ben = Browser().is_who("ben")
    assert ben.get("/people/new/").status_code == 403
    ann = Browser().is_who("ann")
    assert ann.get("/people/new/").headers["Location"] == "/settings/open/?next=/people/new/"
    refused = ann.post("/settings/open/", pin=OTHER)
    assert refused.status_code == 403
    assert "not right" in words(refused)
    answer = ann.post("/settings/open/", pin=PIN, next="/people/new/")
    assert answer.headers["Location"] == "/people/new/"
    assert ann.get("/people/new/").status_code == 200


def test_settings_close_after_ten_minutes_and_for_somebody_else(owner, monkeypatch):
    from witnessmark.workshop import sessions

    at = sessions.now()
    monkeypatch.setattr(sessions, "now", lambda: at + 9 * 60_000)
    assert owner.get("/people/new/").status_code == 200
    monkeypatch.setattr(sessions, "now", lambda: at + 11 * 60_000)
    assert owner.get("/people/new/").status_code == 302
    monkeypatch.setattr(sessions, "now", lambda: at)
    owner.is_who("ben").is_who("ann")
    assert owner.get("/people/new/").status_code == 302


def test_an_owner_without_a_pin_is_told_to_set_one_on_the_machine(workshop):
    shown = Browser().is_who("ann").get("/settings/open/")
    assert "witnessmark pin ann" in words(shown)


# Taking people in


def test_the_owner_takes_in_an_apprentice_with_what_they_may_do(owner):
    fields = {"name": "Dee New", "role": "apprentice", "may_do": ["part", "undo", "nonsense"]}
    answer = owner.post("/people/new/", **fields)
    dee = members()["Dee New"]
    assert answer.headers["Location"] == f"/people/{dee.id}/"
    assert (dee.role, dee.may_do) == ("apprentice", "part undo")
    shown = owner.get(f"/people/{dee.id}/").content.decode()
    assert re.findall(r'name="may_do" value="([^"]+)" checked', shown) == ["part", "undo"]


def test_a_role_and_name_are_changed_and_the_may_do_list_goes_with_the_role(owner):
    owner.post("/people/cal/", name="Cal", role="apprentice", may_do=["part"])
    owner.post("/people/cal/", name="Cal Older", role="lead", may_do=["part"])
    cal = members()["Cal Older"]
    assert (cal.role, cal.may_do) == ("lead", "")


@pytest.mark.parametrize(
    ("path", "fields", "says"),
    [
        ("/people/new/", {"name": "", "role": "lead"}, "a name has"),
        ("/people/new/", {"name": "a\x00b", "role": "lead"}, "a name has"),
        ("/people/new/", {"name": "Eve", "role": "king"}, "no role"),
        ("/people/ann/", {"name": "Ann", "role": "lead"}, "needs an owner"),
    ],
)
def test_what_cannot_be_is_said_and_not_kept(owner, path, fields, says):
    before = {name: member.role for name, member in members().items()}
    answer = owner.post(path, **fields)
    assert answer.status_code == 422
    assert says in words(answer).lower()
    assert {name: member.role for name, member in members().items()} == before


def test_the_last_owner_cannot_leave(owner):
    answer = owner.post("/people/ann/leave/", page="/people/ann/")
    assert "needs an owner" in words(answer)
    assert members()["Ann"].is_active


def test_who_leaves_is_out_at_once_with_all_phones(workshop, owner):
    ben = Browser().is_who("ben")
    owner.post("/people/ben/leave/", page="/people/ben/")
    assert ben.get("/people/").headers["Location"].startswith("/who/")
    assert workshop.ben.get("/api/jobs").status_code == 401
    owner.post("/people/ben/leave/", page="/people/ben/")
    assert members()["Ben"].is_active
    assert workshop.ben.get("/api/jobs").status_code == 401  # phones are paired anew


# PINs


def test_the_owner_sets_a_pin_and_its_owner_changes_it(owner):
    from witnessmark.workshop.pins import check_pin

    assert owner.post("/people/ben/pin/", pin=OTHER, again=OTHER).status_code == 302
    assert check_pin("ben", OTHER, "desk").right
    ben = Browser().is_who("ben")
    wrong = ben.post("/people/ben/pin/", old=PIN, pin=PIN, again=PIN)
    assert wrong.status_code == 422
    assert check_pin("ben", OTHER, "desk").right
    assert ben.post("/people/ben/pin/", old=OTHER, pin=PIN, again=PIN).status_code == 302
    assert check_pin("ben", PIN, "desk").right
    assert ben.get("/people/ann/pin/").status_code == 403


def test_a_first_pin_is_not_set_by_whoever_taps_the_name(workshop):
    ben = Browser().is_who("ben")
    assert ben.get("/people/ben/pin/").status_code == 403
    assert members()["Ben"].pin == ""


# Phones


def test_a_phone_is_paired_by_what_the_page_shows(owner, workshop):
    answer = owner.post("/people/ben/pair/", page="/people/ben/")
    shown = answer.content.decode()
    code = re.search('data-code="([^"]+)"', shown)[1]
    address = f"http://localhost/pair/{code.replace(' ', '')}/"
    drawn = segno.make(address, error="m").svg_inline(scale=8, border=4)
    assert re.search(r' d="([^"]+)"', drawn)[1] in shown
    paired = workshop.stranger.post("/api/pair", {"code": code, "name": "Ben's second"})
    assert paired.status_code == 200
    assert "Ben's second" in words(owner.get("/people/ben/"))


def test_a_phone_that_was_lost_is_shut_out_at_once(owner, workshop):
    assert workshop.ben.get("/api/jobs").status_code == 200
    owner.post("/phones/phone-ben/revoke/", page="/people/ben/")
    assert workshop.ben.get("/api/jobs").status_code == 401
    assert "shut out" in words(owner.get("/people/ben/"))


PAGES = [
    "/people/new/",
    "/people/ben/",
    "/people/ben/pair/",
    "/people/ben/leave/",
    "/phones/phone-ben/revoke/",
]


@pytest.mark.parametrize("path", PAGES)
def test_pages_of_the_owner_are_for_no_technician_and_no_stranger(owner, workshop, path):
    ben = Browser().is_who("ben")
    assert ben.get(path).status_code == 403
    assert ben.post(path, page="/who/").status_code == 403
    assert Browser(ELSEWHERE).get(path).status_code == 401
    assert workshop.ben.get(path).status_code in {302, 403, 405}
    assert owner.get(path).status_code in {200, 405}


def test_a_phone_paired_with_an_owner_opens_no_settings_by_its_secret(workshop):
    """A secret alone is no person at a desk: a PIN was never asked."""
    phone = Phone("desk-ann", None)
    phone.client = workshop.owner.client
    assert phone.get("/people/new/").status_code == 403


def test_pages_take_as_many_queries_for_many_people_and_phones(owner):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from witnessmark.workshop import models

    def asked():
        counts = []
        for path in ("/people/", "/who/", "/people/ben/"):
            with CaptureQueriesContext(connection) as queries:
                assert owner.get(path).status_code == 200
            counts.append(len(queries))
        return counts

    few = asked()
    models.Member.objects.bulk_create(
        models.Member(id=f"m{n}", name=f"M {n}", role="technician") for n in range(100)
    )
    models.Device.objects.bulk_create(
        models.Device(id=f"d{n}", name="d", member_id="ben", secret=str(n), paired=1)
        for n in range(100)
    )
    assert asked() == few
