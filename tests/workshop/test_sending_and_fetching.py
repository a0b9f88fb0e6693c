"""Events are sent in batches, answered one by one, and fetched by those who lack them."""

from __future__ import annotations

import json

import pytest


def fetched(phone, job="job-1", **query):
    answer = phone.get(f"/api/jobs/{job}/events", **query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_batch_is_answered_event_by_event(workshop):
    ben = workshop.ben
    ids = [ben.write() for _ in range(3)]
    assert [(a["id"], a["answer"]) for a in ben.send()] == [(i, "new") for i in ids]
    assert [a["answer"] for a in ben.send()] == ["again"] * 3
    assert [e["id"] for e in fetched(ben)["events"]] == ids


def test_bytes_come_back_as_they_were_sent(workshop):
    workshop.ben.write(note="M8×1.25, 22 N·m \u0000 \U0001f527")
    workshop.ben.send()
    assert fetched(workshop.ben)["events"] == workshop.ben.sent()


def test_an_event_twice_in_one_batch_is_taken_once(workshop):
    id_ = workshop.ben.write()
    assert [a["answer"] for a in workshop.ben.send([id_, id_])] == ["new", "again"]


def test_one_bad_event_does_not_hold_up_the_others(workshop):
    ben = workshop.ben
    ben.write()
    batch = ben.sent()
    bad = {"id": "0" * 64, "event": batch[0]["event"]}
    answers = ben.post("/api/events", {"events": [bad, *batch]}).json()["answers"]
    assert [a["answer"] for a in answers] == ["refused", "new"]
    assert "not those" in answers[0]["says"]


@pytest.mark.parametrize("fields", [{"job": "job-9"}, {"job": "job-2"}, {"device": "phone-y"}])
def test_an_unknown_job_or_device_is_refused(workshop, fields):
    workshop.ben.write(**fields)
    answer = workshop.ben.send()[0]
    assert answer["answer"] == "refused"
    assert "there is no job" in answer["says"] or "no device" in answer["says"]


def test_a_job_one_is_not_on_and_no_job_get_the_same_words(workshop):
    workshop.ben.write(job="job-2")
    workshop.ben.write(job="job-3")
    says = [a["says"] for a in workshop.ben.send()]
    assert says[0].replace("job-2", "job-3") == says[1]


def test_facts_that_break_every_rule_are_taken(workshop):
    ben = workshop.ben
    ben.write(type="done", action="fly", object="moon")
    ben.write(type="a type of next year")
    assert [a["answer"] for a in ben.send()] == ["new", "new"]
    assert ben.get("/api/jobs/job-1/standing").json()["unknown"] == [list(ben.writes.holds)[1]]


def test_a_device_fetches_what_lies_beyond_its_heads(workshop):
    ben, ann = workshop.ben, workshop.owner
    first = ben.write()
    ben.send()
    ann.writes.hear(ben.writes)
    second = ann.write()
    ann.send([second])
    beyond = fetched(ben, have=[first])["events"]
    assert [e["id"] for e in beyond] == [second]
    assert fetched(ben, have=[second])["events"] == []


def test_a_device_fetches_on_from_a_line_of_the_arrival_book(workshop):
    ben = workshop.ben
    ids = [ben.write() for _ in range(4)]
    ben.send(ids[:2])
    now = fetched(ben)
    ben.send(ids[2:])
    later = fetched(ben, after=now["number"], epoch=now["epoch"])
    assert [e["id"] for e in later["events"]] == ids[2:]
    other_epoch = fetched(ben, after=now["number"], epoch="before-the-restore")
    assert [e["id"] for e in other_epoch["events"]] == ids


def test_a_long_history_comes_in_pieces(workshop, monkeypatch):
    monkeypatch.setattr("witnessmark.workshop.api_ledger.MOST_EVENTS", 3)
    ids = [workshop.ben.write() for _ in range(7)]
    for start in (0, 3, 6):
        workshop.ben.send(ids[start : start + 3])
    got, after, more = [], 0, True
    while more:
        piece = fetched(workshop.ben, after=after)
        got += [e["id"] for e in piece["events"]]
        after, more = piece["number"], piece["more"]
    assert got == ids


def test_forks_and_gaps_are_kept_and_shown(workshop):
    ben = workshop.ben
    first = ben.write()
    second = ben.write()
    lost = dict(ben.writes.holds)
    ben.writes.lose_last()
    again = ben.write(note="another second")
    third = ben.write()
    ben.send([first, third])
    odd = ben.get("/api/jobs/job-1/odd").json()
    assert odd["gaps"] == [{"device": "phone-ben", "seq": 3, "event": again}]
    ben.writes.holds |= lost
    ben.send([again, second])
    odd = ben.get("/api/jobs/job-1/odd").json()
    assert odd["gaps"] == []
    forked = {"device": "phone-ben", "seq": 2, "events": sorted([again, second])}
    assert odd["forks"] == [forked]
    assert len(fetched(ben)["events"]) == 4


def test_what_others_brought_is_said(workshop):
    id_ = workshop.ben.write()
    workshop.owner.writes.hear(workshop.ben.writes)
    workshop.owner.send()
    odd = workshop.ben.get("/api/jobs/job-1/odd").json()
    assert odd["brought"] == [{"event": id_, "brought_by": "desk-ann"}]


def test_a_revoked_device_s_late_entries_are_kept_apart_until_a_person_lets_them_in(workshop):
    ben, ann = workshop.ben, workshop.owner
    early = ben.write()
    ben.send()
    assert ann.post("/api/devices/phone-ben/revoke").status_code == 200
    late = ben.write()
    answer = ben.send()
    assert [a["answer"] for a in answer] == ["again", "new"]
    assert "kept apart" in answer[1]["says"]
    assert ben.get("/api/jobs/job-1/events").status_code == 401
    assert [e["id"] for e in fetched(ann)["events"]] == [early]
    assert [e["id"] for e in ann.get("/api/jobs/job-1/odd").json()["held"]] == [late]
    assert ann.post(f"/api/jobs/job-1/held/{late}/let-in").json() == {"id": late, "new": True}
    assert [e["id"] for e in fetched(ann)["events"]] == [early, late]


def test_a_revoked_device_s_entries_are_kept_apart_whoever_brings_them(workshop):
    workshop.owner.post("/api/devices/phone-ben/revoke")
    workshop.ben.write()
    workshop.owner.writes.hear(workshop.ben.writes)
    workshop.owner.send()
    assert fetched(workshop.owner)["events"] == []


def test_a_job_s_standing_is_folded_again_only_when_something_came(workshop, monkeypatch):
    ben = workshop.ben
    ben.write(type="put", values={"what": "rag", "how": "in"})
    ben.send()
    before = ben.get("/api/jobs/job-1/standing").json()
    assert before["outstanding"]
    monkeypatch.setattr("witnessmark.ledger.fold.fold", None)
    assert ben.get("/api/jobs/job-1/standing").json() == before
    monkeypatch.undo()
    ben.write(type="put", values={"what": "rag", "how": "out"})
    ben.send()
    after = ben.get("/api/jobs/job-1/standing").json()
    assert after["outstanding"] == []
    assert after["book"]["number"] == 2


@pytest.mark.parametrize(
    "event",
    [
        "",
        "null",
        "[]",
        "{}",
        '{"v":1}',
        '{"v":NaN}',
        "{" * 5_000,
        "\ufeff{}",
        "9" * 5_000,
    ],
)
def test_bytes_that_are_no_event_are_refused_with_words(workshop, event):
    from witnessmark.ledger.canonical import digest

    id_ = digest(event.encode())
    answer = workshop.ben.post("/api/events", {"events": [{"id": id_, "event": event}]})
    assert answer.status_code == 200
    assert answer.json()["answers"][0]["answer"] == "refused"


def test_a_note_of_ten_megabytes_is_refused_and_a_longer_body_not_read(workshop):
    note = "x" * 10_000_000
    body = {"events": [{"id": "0" * 64, "event": json.dumps({"note": note})}]}
    assert workshop.ben.post("/api/events", body).json()["answers"][0]["answer"] == "refused"
    body["events"] *= 2
    assert workshop.ben.post("/api/events", body).status_code == 413


@pytest.mark.parametrize(
    "body", [b"", b"\xff\xfe", b'{"events":', b'{"events":[{"id":"\\ud800"}]}']
)
def test_a_body_that_cannot_be_read_is_answered_4xx(workshop, body):
    answer = workshop.ben.client.post("/api/events", body, "application/json")
    assert 400 <= answer.status_code < 500
