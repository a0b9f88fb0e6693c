"""A stranger on the network gets the pairing pages, the bench's shell and static files; no more."""

from __future__ import annotations

import json
import re

import pytest

from tests.workshop.browsers import ELSEWHERE, HERE, Browser, SafeClient
from tests.workshop.small_workshop import Phone
from witnessmark.workshop.headers import CONTENT_POLICY
from witnessmark.workshop.starting import start

HOST = "bay-1.local"


@pytest.fixture
def place(sqlite_place):
    """The workshop as `--lan` serves it; it does not depend on the database."""
    start(sqlite_place, hosts=(HOST,), on_the_network=True, tables_are_ready=True)
    yield sqlite_place
    from django.db import connections

    connections.close_all()


def on_the_network(address=ELSEWHERE):
    return Browser(address, HOST, secure=True)


def paired(member):
    """Pair a browser of the network with a member, as its pairing page does."""
    from witnessmark.workshop.pairing import new_code

    browser = on_the_network()
    body = json.dumps({"code": new_code(member), "name": f"{member}'s phone"})
    headers = {"Origin": browser.origin}
    answer = browser.client.post("/api/pair", body, "application/json", headers=headers)
    assert answer.status_code == 200
    browser.device, browser.secret = answer.json()["device"], answer.json()["secret"]
    return browser


def bearing(secret):
    phone = Phone("phone-x", None)
    head = {"Host": HOST, "Authorization": f"Bearer {secret}"}
    phone.client = SafeClient(headers=head, REMOTE_ADDR=ELSEWHERE)
    return phone


def every_address():
    """Give each address that is there, with something put in for what it asks."""
    from django.urls import get_resolver

    from witnessmark.workshop.api import api
    from witnessmark.workshop.pages import addresses

    found = [
        "/" + re.sub(r"<[^>]+>", "ben", str(each.pattern))
        for each in (*get_resolver().url_patterns, *addresses.urlpatterns)
        if not hasattr(each, "url_patterns") and "^" not in str(each.pattern)
    ]
    return found + [re.sub(r"{[^}]+}", "x1", path) for path in api.get_openapi_schema()["paths"]]


def whole(answer):
    return answer.status_code, sorted(answer.headers.items()), answer.content


def test_every_other_address_there_or_not_is_answered_alike(workshop):
    browser = on_the_network()
    open_to_all = ("/pair/", "/bench/", "/api/pair")
    closed = [path for path in every_address() if not path.startswith(open_to_all)]
    assert len(closed) > 25
    there_or_not = [*closed, "/nothing", "/nothing/", "/api/nothing", "/people", "/api/docs"]
    there_or_not += [
        "/static/no.js",
        "/bench/no.js",
        "/pair/no/no/",
        "/pair/ABC",
        "/api/openapi.json",
    ]
    alike = whole(browser.get("/nothing"))
    assert alike[0] == 401
    assert b"/pair/" in alike[2]
    for path in there_or_not:
        for method in ("get", "post", "put", "delete", "options", "patch"):
            answer = getattr(browser.client, method)(path)
            assert whole(answer) == alike, (method, path)
        assert whole(browser.client.head(path))[:2] == alike[:2]


@pytest.mark.parametrize(
    "headers",
    [
        {"Cookie": "__Host-witnessmark=made-up; csrftoken=made-up"},
        {"Authorization": "Bearer made-up"},
        {"Authorization": "Basic YTpi"},
        {"Accept": "application/json", "HX-Request": "true"},
        {"X-Forwarded-For": "127.0.0.1", "X-Real-Ip": "127.0.0.1"},
    ],
    ids=["cookies", "secret", "password", "json", "forwarded"],
)
def test_nothing_that_is_made_up_changes_the_answer(workshop, headers):
    alike = whole(on_the_network().get("/nothing"))
    for path in ("/", "/people/", "/api/jobs", "/nothing"):
        assert whole(on_the_network().get(path, **headers)) == alike


def test_what_is_open_to_strangers_holds_nothing_of_the_workshop(workshop):
    """With names in it that could leak: they do to whoever is paired."""
    from django.db.models import F, Value
    from django.db.models.functions import Concat

    from witnessmark.workshop import models

    models.Member.objects.update(name=Concat(Value("Quill "), F("name")))
    browser = on_the_network()
    shown = b"".join(
        browser.get(path).content
        for path in ("/pair/", "/pair/abcd2345/", "/pair/trust/", "/bench/", "/bench/worker.js")
    )
    inside = paired("ben").get("/people/").content
    assert b"Quill" not in shown
    assert b"job-1" not in shown
    assert b"Quill Ann" in inside


def test_static_files_are_open_to_all(workshop):
    answer = on_the_network().get("/static/look/base.css")
    answer.close()
    assert answer.status_code == 200


def test_the_machine_itself_must_be_paired_on_the_network_and_need_not_without(workshop, place):
    assert on_the_network(HERE).get("/who/").status_code == 401
    start(place, tables_are_ready=True)
    assert Browser(HERE).get("/who/").status_code == 200
    assert Browser(ELSEWHERE).get("/who/").status_code == 401


def test_a_pairing_gives_the_browser_a_session_and_the_phone_a_secret(workshop):
    browser = paired("ben")
    assert browser.get("/people/").status_code == 200
    assert browser.get("/api/me").json()["device"]["id"] == browser.device
    assert bearing(browser.secret).get("/api/me").json()["member"]["id"] == "ben"


# Revocation


def test_a_revoked_device_is_a_stranger_at_once_by_session_and_by_secret(workshop):
    from witnessmark.workshop import people

    browser = paired("ben")
    people.revoke(browser.device)
    alike = whole(on_the_network().get("/nothing"))
    assert whole(browser.get("/people/")) == alike
    assert whole(browser.get("/api/me")) == alike
    assert whole(bearing(browser.secret).get("/api/me")) == alike
    assert whole(bearing(browser.secret).get("/nothing")) == alike


def test_a_revoked_phone_may_still_bring_what_it_holds(workshop):
    from witnessmark.workshop import models, people

    browser = paired("ben")
    phone = bearing(browser.secret)
    phone.writes.name = browser.device
    people.revoke(browser.device)
    phone.write()
    assert [each["answer"] for each in phone.send()] == ["new"]
    assert models.Event.objects.get().held


def test_a_member_who_left_is_a_stranger_at_once(workshop):
    from witnessmark.workshop.taking_in import let_go, take_back

    browser = paired("ben")
    let_go("ben")
    assert browser.get("/people/").status_code == 401
    take_back("ben")
    assert browser.get("/people/").status_code == 401
    assert bearing(browser.secret).get("/api/me").status_code == 401


def test_a_session_of_another_device_s_secret_is_none(workshop):
    """A device paired anew under the same id does not bring old sessions back."""
    from witnessmark.workshop import models

    browser = paired("ben")
    models.Device.objects.filter(id=browser.device).update(secret="f" * 64)
    assert browser.get("/people/").status_code == 401


def test_who_logs_in_without_a_paired_device_stays_a_stranger(workshop):
    from witnessmark.workshop import models

    browser = on_the_network()
    browser.client.force_login(models.Member.objects.get(id="ann"))
    assert browser.get("/people/").status_code == 401


# Forged requests


OTHERS = [
    {"Origin": "https://elsewhere.example"},
    {"Origin": "null"},
    {"Origin": f"https://{HOST}:3000"},
    {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"},
    {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "cors"},
]


@pytest.mark.parametrize("headers", OTHERS, ids=[" ".join(each.values()) for each in OTHERS])
def test_a_page_from_elsewhere_is_a_stranger_in_a_paired_browser(workshop, headers):
    browser = paired("ben")
    assert browser.get("/api/jobs").status_code == 200
    assert browser.get("/api/jobs", **headers).status_code == 401
    token = {"X-CSRFToken": "a" * 32}
    browser.client.cookies["csrftoken"] = "a" * 32
    body = json.dumps({"id": "job-5", "title": "five"})
    sent = browser.client.post("/api/jobs", body, "application/json", headers=headers | token)
    assert sent.status_code == 401
    pairing = json.dumps({"code": "abcd2345", "name": "x"})
    sent = browser.client.post("/api/pair", pairing, "application/json", headers=headers)
    assert sent.status_code == 401


def test_a_link_from_elsewhere_may_be_followed(workshop):
    followed = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    assert paired("ben").get("/people/", **followed).status_code == 200


def test_posts_of_a_session_need_the_token_on_pages_and_in_the_api(workshop):
    browser = paired("ben")
    body = json.dumps({"id": "job-5", "title": "five"})
    origin = {"Origin": browser.origin}

    def sent(**headers):
        return browser.client.post(
            "/api/jobs", body, "application/json", headers=origin | headers
        ).status_code

    browser.client.get("/who/")
    token = browser.client.cookies["csrftoken"].value
    assert sent() == 403
    assert sent(**{"X-CSRFToken": "b" * 32}) == 403
    assert sent(**{"X-CSRFToken": token}) == 200
    assert browser.client.post("/who/", {"member": "ann"}, headers=origin).status_code == 403


def test_a_secret_needs_no_token_as_no_browser_sends_it_by_itself(workshop):
    phone = bearing(paired("ben").secret)
    assert phone.post("/api/jobs", {"id": "job-5", "title": "five"}).status_code == 200


# Headers and cookies


@pytest.mark.parametrize(
    "path", ["/nothing", "/pair/", "/bench/", "/static/look/base.css", "/api/me"]
)
def test_every_answer_carries_the_headers(workshop, path):
    answer = paired("ben").get(path)
    answer.close()
    head = answer.headers
    assert head["Content-Security-Policy"] == CONTENT_POLICY
    assert head["X-Content-Type-Options"] == "nosniff"
    assert head["X-Frame-Options"] == "DENY"
    assert head["Referrer-Policy"] == "same-origin"
    assert head["Cross-Origin-Opener-Policy"] == "same-origin"
    assert head["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "geolocation=()" in head["Permissions-Policy"]
    assert "Access-Control-Allow-Origin" not in head


def test_the_policy_allows_no_inline_script_nor_evaluation():
    parts = dict(part.split(" ", 1) for part in CONTENT_POLICY.split("; "))
    assert parts["default-src"] == "'none'"
    assert parts["script-src"] == parts["style-src"] == "'self'"
    assert "unsafe" not in CONTENT_POLICY
    assert "*" not in CONTENT_POLICY
    assert (parts["base-uri"], parts["frame-ancestors"]) == ("'none'", "'none'")


def test_pages_with_data_are_kept_by_no_cache(workshop):
    assert paired("ben").get("/people/").headers["Cache-Control"] == "no-store"


def test_cookies_are_kept_from_scripts_other_sites_and_plain_addresses(workshop):
    browser = paired("ben")
    browser.get("/who/")
    session, token = (browser.client.cookies[name] for name in ("__Host-witnessmark", "csrftoken"))
    for cookie in (session, token):
        assert cookie["secure"]
        assert cookie["samesite"] == "Strict"
        assert cookie["path"] == "/"
        assert not cookie["domain"]
    assert session["httponly"]


def test_a_session_gets_a_new_key_when_it_is_paired_and_when_settings_open(workshop):
    from witnessmark.workshop.pins import set_pin

    set_pin("ann", "135790")
    browser = paired("ann")
    key = browser.client.cookies["__Host-witnessmark"].value
    browser.with_settings_open("135790")
    assert browser.client.cookies["__Host-witnessmark"].value != key
    assert browser.get("/people/new/").status_code == 200


@pytest.mark.parametrize(
    "host", ["elsewhere.example", "bay-1.local.elsewhere.example", "127.0.0.1"]
)
def test_a_host_that_is_not_ours_is_refused_whatever_the_address(workshop, host):
    """A name that was bound anew to this machine's address is not one of ours."""
    browser = Browser(ELSEWHERE, host, secure=True)
    assert {browser.get(path).status_code for path in ("/", "/pair/", "/nothing", "/api/me")} == {
        400
    }


# Django's own check


def test_the_deploy_check_is_clean_but_for_what_is_silenced_with_a_reason(place):
    from django.conf import settings
    from django.core.checks import run_checks

    found = run_checks(include_deployment_checks=True)
    assert [each.id for each in found if not each.is_silenced()] == []
    assert settings.SILENCED_SYSTEM_CHECKS == ["security.W004"]
    assert [each.id for each in found] == ["security.W004"]


def test_the_deploy_check_finds_what_is_missing_without_the_network_s_settings(sqlite_place):
    """The control: the same check complains about the settings of the machine alone."""
    from django.core.checks import run_checks

    start(sqlite_place, tables_are_ready=True)
    found = {each.id for each in run_checks(include_deployment_checks=True)}
    assert {"security.W008", "security.W012", "security.W016"} <= found
