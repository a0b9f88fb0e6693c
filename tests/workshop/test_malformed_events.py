"""A frozen corpus of bodies that are no events: each refused with words, none a 5xx, none kept."""

from __future__ import annotations

import base64
import json
from pathlib import Path

import pytest

from tests.ledger.test_refused_events import CORPUS as NO_EVENTS

CORPUS = json.loads((Path(__file__).parent / "corpus" / "events.json").read_bytes())


def body_of(row) -> bytes:
    if "base64" in row:
        return base64.b64decode(row["base64"])
    text: str = row["text"]
    if grow := row.get("grow"):
        text = text.replace(grow["mark"], grow["piece"] * grow["count"])
    return text.encode()


def assert_refused_with_words(answer) -> None:
    assert answer.status_code < 500, answer.content[:300]
    said = answer.json()
    if answer.status_code == 200:
        assert said["answers"]
        assert all(each["answer"] == "refused" and each["says"] for each in said["answers"])
    else:
        assert answer.status_code in {400, 413, 422}
        assert said["detail"]


def stored() -> int:
    from witnessmark.workshop import models

    return models.Event.objects.count() + models.Arrival.objects.count()


def posted(phone, body: bytes):
    return phone.client.post("/api/events", body, "application/json")


def test_each_body_of_the_corpus_is_refused_with_words_and_nothing_is_kept(workshop):
    assert len({row["name"] for row in CORPUS}) == len(CORPUS) > 80
    for row in CORPUS:
        answer = posted(workshop.ben, body_of(row))
        try:
            assert_refused_with_words(answer)
        except AssertionError as error:
            raise AssertionError(row["name"]) from error
    assert stored() == 0


def test_what_the_ledger_refuses_is_refused_over_the_network_too(workshop):
    """The ledger's own corpus, each among two good ones: those are taken."""
    told = 0
    for row in NO_EVENTS:
        data = base64.b64decode(row["base64"])
        try:
            text = data.decode()
        except UnicodeDecodeError:
            answer = posted(workshop.ben, b'{"events":[{"id":"%s","event":"' % b"0" * 64 + data)
            assert_refused_with_words(answer)
            continue
        good = workshop.ben.sent([workshop.ben.write(), workshop.ben.write()])
        bad = {"id": row["id"] or "0" * 64, "event": text}
        answer = workshop.ben.post("/api/events", {"events": [good[0], bad, good[1]]})
        if answer.status_code != 200:
            assert_refused_with_words(answer)
            workshop.ben.send([each["id"] for each in good])
            continue
        answers = answer.json()["answers"]
        assert [each["answer"] for each in answers] == ["new", "refused", "new"], row["name"]
        assert answers[1]["says"]
        told += 1
    assert told > len(NO_EVENTS) / 2


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_a_body_of_another_kind_is_no_fault_of_the_server(workshop, kind):
    answer = workshop.ben.client.post("/api/events", b"events=all", kind)
    assert 400 <= answer.status_code < 500
