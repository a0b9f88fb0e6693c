"""For every endpoint: one who may, one on another job, one stranger."""

from __future__ import annotations

import json

import pytest
from django.test import Client

from tests.workshop.small_workshop import named, pack_bytes, picture
from witnessmark.ledger.canonical import canonical_bytes

SALT = bytes(range(16))
PLATE = named(canonical_bytes({"salt": SALT.hex(), "says": "WM 1"}))
PACK, PHOTO = pack_bytes(), picture()
TEXT = {"commitment": PLATE, "kind": "plate", "salt": SALT.hex(), "says": "WM 1"}

# Method, path, body, who may, and what those get who are on another job.
ENDPOINTS = [
    ("get", "/api/jobs/job-1/bench", None, "ben", 404),
    ("get", "/api/jobs/job-1/events", None, "ben", 404),
    ("get", "/api/jobs/job-1/standing", None, "ben", 404),
    ("get", "/api/jobs/job-1/odd", None, "ben", 404),
    ("post", "/api/jobs/job-1/held/{event}/let-in", None, "ben", 404),
    ("put", f"/api/jobs/job-1/packs/{named(PACK)}", PACK, "ben", 404),
    ("get", f"/api/jobs/job-1/packs/{named(PACK)}", None, "ben", 404),
    ("put", f"/api/jobs/job-1/photos/{named(PHOTO)}", PHOTO, "ben", 404),
    ("get", f"/api/jobs/job-1/photos/{named(PHOTO)}", None, "ben", 404),
    ("get", f"/api/jobs/job-1/photos/{named(PHOTO)}/thumbnail", None, "ben", 404),
    ("post", "/api/jobs/job-1/replan", {"proof": False}, "ben", 404),
    ("post", "/api/jobs/job-1/draft", {}, "ben", 404),
    ("post", "/api/jobs/job-1/private", TEXT, "ben", 404),
    ("get", "/api/jobs/job-1/private", None, "ben", 404),
    ("delete", f"/api/jobs/job-1/private/{PLATE}", None, "owner", 403),
    ("post", "/api/jobs", {"id": "job-7", "title": "seven"}, "ben", 409),
    ("get", "/api/devices", None, "owner", 403),
    ("post", "/api/devices/phone-ben/revoke", None, "owner", 403),
    ("delete", "/api/customers/c1", None, "owner", 403),
    ("get", "/api/me", None, "ben", 200),
    ("post", "/api/pin", {"member": "ben", "pin": "135790"}, "ben", 200),
]


def asked(phone, method, path, body):
    if isinstance(body, bytes):
        return phone.put(path, body)
    return phone.post(path, body) if method == "post" else getattr(phone, method)(path)


@pytest.fixture
def furnished(workshop):
    """The workshop with one of everything that an endpoint gives."""
    from witnessmark.workshop import models
    from witnessmark.workshop.private import keep

    keep("plate", "job-1", SALT, "WM 1")
    details = keep("customer", None, SALT, "Dora Invented, 1 Nowhere Lane")
    models.Customer.objects.create(id="c1", details=details)
    workshop.event = workshop.ben.write()
    workshop.ben.send()
    workshop.ben.put(f"/api/jobs/job-1/packs/{named(PACK)}", PACK)
    workshop.ben.put(f"/api/jobs/job-1/photos/{named(PHOTO)}", PHOTO)
    return workshop


@pytest.mark.parametrize(
    ("method", "path", "body", "who", "other"),
    ENDPOINTS,
    ids=[f"{e[0]} {e[1][:34]}" for e in ENDPOINTS],
)
def test_one_may_one_on_another_job_and_a_stranger_may_not(
    furnished, method, path, body, who, other
):
    path = path.format(event=furnished.event)
    assert asked(furnished.stranger, method, path, body).status_code == 401
    if other != 409:
        assert asked(furnished.cal, method, path, body).status_code == other
    assert asked(getattr(furnished, who), method, path, body).status_code == 200
    if other == 409:
        assert asked(furnished.cal, method, path, body).status_code == other


def test_every_endpoint_is_in_the_list(workshop):
    """Those with answers of their own for each job are sent to in other tests."""
    from witnessmark.workshop.api import api

    there = {
        (method, path)
        for path, methods in api.get_openapi_schema()["paths"].items()
        for method in methods
    }
    alike = {"event": "{event}", "pack": named(PACK), "photo": named(PHOTO)}
    alike |= {"job": "job-1", "commitment": PLATE, "device": "phone-ben", "customer": "c1"}
    listed = {(e[0], e[1]) for e in ENDPOINTS}
    assert {(m, p.format(**alike)) for m, p in there} - listed == {
        ("post", "/api/events"),
        ("get", "/api/jobs"),
        ("post", "/api/pair"),
    }


def test_a_list_of_jobs_holds_only_those_one_is_on(workshop):
    def ids(phone):
        return {each["id"] for each in phone.get("/api/jobs").json()}

    assert ids(workshop.ben) == {"job-1"}
    assert ids(workshop.cal) == {"job-2"}
    assert ids(workshop.owner) == {"job-1", "job-2"}
    assert workshop.stranger.get("/api/jobs").status_code == 401
    assert workshop.stranger.post("/api/events", {"events": []}).status_code == 401


def test_a_wrong_secret_is_a_stranger_s(workshop):
    client = Client(headers={"Host": "localhost", "Authorization": "Bearer nonsense"})
    assert client.get("/api/jobs").status_code == 401


def test_secrets_are_kept_hashed(workshop):
    from witnessmark.workshop import models, people

    secret = people.pair("d8", "eight", "ben")
    assert secret not in str(list(models.Device.objects.values()))
    assert models.Device.objects.get(id="d8").secret == named(secret.encode())


def test_a_phone_of_the_owner_pairs_no_other(workshop):
    """Or whoever stole it would have one left after it was shut out; a code needs a PIN."""
    body = {"id": "d7", "name": "seven", "member": "ann"}
    assert workshop.owner.post("/api/devices", body).status_code == 405


def test_a_member_who_left_is_a_stranger(workshop):
    from witnessmark.workshop import models

    models.Member.objects.filter(id="ben").update(is_active=False)
    assert workshop.ben.get("/api/jobs").status_code == 401


def test_a_session_needs_the_token_against_forged_requests(workshop):
    from witnessmark.workshop import models

    client = Client(enforce_csrf_checks=True, headers={"Host": "localhost"})
    client.force_login(models.Member.objects.get(id="ben"))
    assert client.get("/api/jobs").status_code == 200
    body = json.dumps({"id": "job-5", "title": "five"})
    assert client.post("/api/jobs", body, "application/json").status_code == 403
    client.cookies["csrftoken"] = token = "a" * 32
    answer = client.post("/api/jobs", body, "application/json", headers={"X-CSRFToken": token})
    assert answer.status_code == 200


def test_a_host_that_is_not_ours_is_refused(workshop):
    client = Client(headers={"Host": "elsewhere.example"})
    assert client.get("/api/jobs").status_code == 400
