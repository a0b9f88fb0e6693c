"""Papers over the network: who may have them, what is on them, and how little they disturb."""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path

import pdfplumber
import pytest
from django.db import connections

from tests.workshop.browsers import ELSEWHERE, Browser
from tests.workshop.small_workshop import SmallWorkshop, named, picture
from witnessmark.workshop.job_planning import plan_job
from witnessmark.workshop.one_paper import MEMORY, RANK, NoPaperError
from witnessmark.workshop.press import Press, PressBusyError
from witnessmark.workshop.starting import start

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def pack():
    return plan_job(DEMO, "gull-20", ["aux-belt"])[0].pack


@pytest.fixture
def place(sqlite_place):
    """Papers do not depend on the database."""
    start(sqlite_place, tables_are_ready=True)
    shutil.copytree(DEMO / "machines", sqlite_place.folder / "machines")
    shutil.copy(DEMO / "workshop.yaml", sqlite_place.folder)
    yield sqlite_place
    connections.close_all()


@pytest.fixture
def workshop(place, pack):
    """Ben's job-1 is half done on the demonstration's minibus, with a photo."""
    from witnessmark.ledger.canonical import canonical_bytes, digest
    from witnessmark.workshop import models, private

    small, data, photo = SmallWorkshop(), canonical_bytes(pack), picture()
    details = private.keep_anew("customer", None, "Pia Plover\n8 Nowhere Lane")
    plate = private.keep_anew("plate", None, "DEMO 17")
    customer = models.Customer.objects.create(id="c-pia", details=details)
    vehicle = models.Vehicle.objects.create(
        id="v-1", machine="gull-20", customer=customer, plate=plate
    )
    models.Job.objects.filter(id="job-1").update(vehicle=vehicle, title="Belt for Pia")
    small.ben.put(f"/api/jobs/job-1/packs/{digest(data)}", data)
    small.ben.put(f"/api/jobs/job-1/photos/{named(photo)}", photo)
    small.ben.write(type="begin", pack=digest(data), values={"works": pack["works"]})
    wheel = {"action": "slacken", "object": "wheel-bolts", "values": {"wrench": "long"}}
    small.ben.write(type="done", person="ben", photos=[named(photo)], **wheel)
    small.ben.send()
    return small


def words_of(answer) -> str:
    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        return " ".join("\n".join(page.extract_text() for page in pdf.pages).split())


# Who may


@pytest.mark.parametrize("name", ["handover", "state-card", "record"])
def test_whoever_is_on_the_job_gets_its_papers_and_nobody_else(workshop, name):
    address = f"/jobs/job-1/papers/{name}.pdf"
    assert "Gull 20 community minibus" in words_of(workshop.ben.get(address))
    other = workshop.cal.get(address)
    nowhere = workshop.cal.get(f"/jobs/no-such-job/papers/{name}.pdf")
    assert (other.status_code, other.content) == (404, nowhere.content)
    stranger = Browser(ELSEWHERE)
    unknown = stranger.get("/papers/nothing.pdf")
    for each in (address, "/papers/labels.pdf"):
        answer = stranger.get(each)
        assert (answer.status_code, answer.content) == (401, unknown.content)


def test_a_desk_gets_them_by_its_session_into_no_cache_and_set_elsewhere(workshop, monkeypatch):
    def never(*_args, **_kwargs):
        raise AssertionError("set in the server's own process")

    monkeypatch.setattr("typst.compile", never)
    answer = Browser().is_who("ben").get("/jobs/job-1/papers/state-card.pdf")
    assert "DO NOT START" in words_of(answer)
    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"] == 'inline; filename="job-1-state-card.pdf"'
    assert Browser().is_who("cal").get("/jobs/job-1/papers/state-card.pdf").status_code == 404


def test_a_paper_is_only_read(workshop):
    assert workshop.ben.post("/jobs/job-1/papers/handover.pdf").status_code == 405


# What is on them


def test_the_customer_stands_on_the_record_and_on_no_sheet_unless_asked_for(workshop):
    private = ("Pia Plover", "DEMO 17", "Belt for Pia")
    for name, query, shown in (
        ("handover", "", False),
        ("handover-with-card", "?customer=yes", True),
        ("record", "", True),
        ("record", "?customer=no", False),
    ):
        words = words_of(workshop.ben.get(f"/jobs/job-1/papers/{name}.pdf{query}"))
        assert [each in words for each in private] == [shown] * 3, (name, query)
        assert "8 Nowhere Lane" not in words


def test_the_record_has_photo_wrench_and_the_head_of_the_book(workshop):
    answer = workshop.ben.get("/jobs/job-1/papers/record.pdf")
    head = workshop.ben.get("/api/jobs/job-1/standing").json()["book"]
    words = words_of(answer)
    assert head["digest"] in words.replace(" ", "").replace("\u200b", "")
    assert f"line {head['number']}, head" in words
    assert "long click wrench, checked 2026-10-14; check due 2027-10-14" in words
    assert "Ben, " in words
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert sum(len(page.images) for page in pdf.pages) == 1


def test_a_photo_that_a_person_deleted_is_not_printed(workshop):
    from witnessmark.workshop.photos import remove_photo

    remove_photo(named(picture()))
    answer = workshop.ben.get("/jobs/job-1/papers/record.pdf")
    assert "not here" in words_of(answer)
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert sum(len(page.images) for page in pdf.pages) == 0


def test_the_job_card_is_that_of_the_jobs_own_pack(workshop, pack):
    words = words_of(workshop.ben.get("/jobs/job-1/papers/job-card.pdf"))
    assert "Renew the auxiliary belt" in words
    assert f"{len(pack['plan']['steps'])} " in words


def test_papers_of_the_plan_come_from_the_library(workshop):
    words = words_of(workshop.ben.get("/jobs/job-1/papers/route.pdf"))
    assert "auxiliary belt" in words
    answer = workshop.ben.get("/jobs/job-1/papers/timing-card.pdf")
    assert answer.status_code == 409
    assert "this job has no paper 'timing-card'; it has: job-card" in answer.content.decode()


def test_a_machine_file_that_changed_since_is_not_printed_from(workshop, place):
    file = place.folder / "machines" / "gull-20.yaml"
    text = file.read_text("utf-8")
    assert "90 N·m" in text
    file.write_text(text.replace("90 N·m", "91 N·m"), "utf-8")
    answer = workshop.ben.get("/jobs/job-1/papers/route.pdf")
    assert answer.status_code == 409
    assert "has changed since this job was planned" in answer.content.decode()


def test_a_job_without_a_plan_says_so(workshop):
    for name in ("job-card", "route"):
        answer = workshop.cal.get(f"/jobs/job-2/papers/{name}.pdf")
        assert answer.status_code == 409
        assert "this job has no plan" in answer.content.decode()


def test_labels_are_numbered_from_the_number_asked_for(workshop):
    answer = workshop.cal.get("/papers/labels.pdf", **{"from": "41", "count": "2", "kind": "roll"})
    words = words_of(answer)
    assert "41" in words
    assert "42" in words
    for query, says in (
        ({"count": "x"}, "'x' is no number"),
        ({"count": "9999"}, "print between 1 and"),
        ({"kind": "wall"}, "not on a 'wall'"),
    ):
        refused = workshop.cal.get("/papers/labels.pdf", **query)
        assert refused.status_code == 400
        assert says in refused.content.decode()


# The press


class SlowPress(Press):
    """Counts how many papers are being made at once."""

    def __init__(self, **more):
        super().__init__(**more)
        self.now = self.most = 0
        self.go = threading.Event()

    def _made(self, _wanted: bytes) -> bytes:
        self.now += 1
        self.most = max(self.most, self.now)
        self.go.wait(10.0)
        self.now -= 1
        return b"%PDF-"


def test_one_paper_is_made_at_a_time_and_two_wait_and_the_next_is_sent_away():
    press = SlowPress()
    got: list[bytes] = []
    threads = [
        threading.Thread(target=lambda: got.append(press.template("x", {}))) for _ in range(3)
    ]
    for thread in threads:
        thread.start()
    until = time.monotonic() + 10.0
    while press._inside._value and time.monotonic() < until:
        time.sleep(0.01)
    with pytest.raises(PressBusyError, match="try again in a moment"):
        press.template("x", {})
    press.go.set()
    for thread in threads:
        thread.join()
    assert got == [b"%PDF-"] * 3
    assert press.most == 1
    assert press.template("x", {}) == b"%PDF-"


def test_who_is_sent_away_is_told_when_to_come_again(workshop, monkeypatch):
    full = SlowPress(waiting=0)
    full._inside.acquire()
    monkeypatch.setattr("witnessmark.workshop.pages.papers.PRESS", full)
    answer = workshop.cal.get("/papers/labels.pdf")
    assert (answer.status_code, answer["Retry-After"]) == (503, "3")
    assert b"try again" in answer.content


def test_a_paper_that_takes_too_long_is_given_up_in_words():
    with pytest.raises(NoPaperError, match="was not ready within 0 seconds"):
        Press(patience=0.01).template("state-card", {})


def test_a_paper_that_cannot_be_set_says_which():
    with pytest.raises(NoPaperError, match="the paper 'state-card' could not be set"):
        Press().template("state-card", {})


def test_the_press_stands_back_and_is_bounded_in_memory():
    told = (
        "import os\n"
        "from witnessmark.workshop.one_paper import bound_myself\n"
        "before = os.nice(0)\n"
        "bound_myself()\n"
        "print(os.nice(0) - before)\n"
        "try:\n"
        f"    bytearray({MEMORY} + 1)\n"
        "except MemoryError:\n"
        "    print('bounded')\n"
    )
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    back, bounded = done.stdout.split()
    assert int(back) == min(RANK, 19) or int(back) > 0
    assert bounded == "bounded"
