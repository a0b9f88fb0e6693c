"""Lists of jobs: right, and the same number of queries however many there are."""

from __future__ import annotations

import pytest

from tests.workshop.small_workshop import named, pack_bytes


def kept_at_once(kind, texts):
    """Keep private texts in one go, as one by one takes a while for a thousand."""
    from witnessmark.ledger.commitments import commitment
    from witnessmark.workshop import models

    rows = [
        models.Private(
            commitment=commitment(bytes(16), t), kind=kind, salt=bytes(16), says=t.encode()
        )
        for t in texts
    ]
    models.Private.objects.bulk_create(rows)
    return [row.commitment for row in rows]


def opened(first, last, *, folded=False):
    """Open jobs, each with a vehicle, a plate and somebody on it, folded already or not yet."""
    from witnessmark.workshop import models

    cars, jobs, on = [], [], []
    plates = kept_at_once("plate", [f"WM {number}" for number in range(first, last)])
    for number, plate in enumerate(plates, first):
        cars.append(models.Vehicle(id=f"v-{number}", machine="gull-20", plate=plate))
        jobs.append(
            models.Job(id=f"n-{number}", title=f"N {number}", vehicle=cars[-1], opened=number)
        )
        on.append(models.OnJob(job=jobs[-1], member_id="ben"))
    models.Vehicle.objects.bulk_create(cars)
    models.Job.objects.bulk_create(jobs)
    models.OnJob.objects.bulk_create(on)
    if folded:
        models.View.objects.bulk_create(
            models.View(
                job=job,
                moved=0,
                outstanding=number % 3,
                closed=number % 2 == 0,
                events=2,
                data=b'{"outstanding": [{"kind": "open", "says": "a cover: off"}]}',
            )
            for number, job in enumerate(jobs)
        )


def test_a_list_says_where_each_job_stands(workshop):
    pack = pack_bytes()
    workshop.ben.put(f"/api/jobs/job-1/packs/{named(pack)}", pack)
    workshop.ben.write(type="begin", pack=named(pack))
    workshop.ben.write(type="put", values={"kind": "tool", "what": "rag", "count": 1})
    workshop.ben.send()
    [row] = workshop.ben.get("/api/jobs").json()
    standing = workshop.ben.get("/api/jobs/job-1/standing").json()
    assert row["outstanding"] == len(standing["outstanding"])
    assert (row["events"], row["closed"]) == (2, False)
    workshop.ben.write(type="closed")
    workshop.ben.send()
    assert workshop.ben.get("/api/jobs").json()[0]["closed"] is True


def test_whatever_moves_a_job_shows_in_the_list(workshop):
    """A late entry that is let in, a photo, a pack: each is read from the tables again."""
    from tests.workshop.small_workshop import picture
    from witnessmark.workshop import models

    ben, photo, pack = workshop.ben, picture(), pack_bytes()

    def row():
        return next(e for e in workshop.owner.get("/api/jobs").json() if e["id"] == "job-1")

    ben.write(type="begin", pack=named(pack))
    ben.write(type="photo", photos=[named(photo)])
    ben.send()
    before = row()["outstanding"]
    ben.put(f"/api/jobs/job-1/photos/{named(photo)}", photo)
    assert row()["outstanding"] == before - 1
    assert models.View.objects.get(job="job-1").pack is None
    ben.put(f"/api/jobs/job-1/packs/{named(pack)}", pack)
    row()
    assert models.View.objects.get(job="job-1").pack == named(pack)
    workshop.owner.post("/api/devices/phone-ben/revoke")
    late = ben.write()
    ben.send()
    assert row()["events"] == 2
    workshop.owner.post(f"/api/jobs/job-1/held/{late}/let-in")
    assert row()["events"] == 3


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
@pytest.mark.parametrize("folded", [True, False], ids=["folded", "moved since"])
def test_the_list_for_phones_takes_as_many_queries_for_a_thousand_jobs(workshop, counted, folded):
    from witnessmark.workshop.job_lists import MOST_FOR_A_PHONE

    workshop.ben.get("/api/jobs")
    opened(0, 10, folded=folded)
    few, answer = counted(lambda: workshop.ben.get("/api/jobs"))
    assert len(answer.json()) == 11
    opened(10, 1000, folded=folded)
    many, answer = counted(lambda: workshop.ben.get("/api/jobs"))
    rows = {each["plate"]: each for each in answer.json()}
    assert rows.keys() >= {"WM 1", "WM 998"}
    assert many == few <= 20
    if not folded:  # few are counted at each look, so that looking often costs little
        counts = [each["outstanding"] is not None for each in rows.values()]
        assert sum(counts) == 2 * MOST_FOR_A_PHONE


def test_a_job_is_opened_once_however_often_it_is_sent(workshop):
    from witnessmark.workshop import models

    models.Vehicle.objects.create(id="v9", machine="gull-20")
    body = {"id": "job-9", "title": "nine", "vehicle": "v9"}
    first = workshop.ben.post("/api/jobs", body)
    again = workshop.ben.post("/api/jobs", body)
    assert (first.status_code, first.json()) == (again.status_code, again.json())
    assert models.Job.objects.get(id="job-9").vehicle_id == "v9"
    assert workshop.cal.post("/api/jobs", body).status_code == 409
    unknown = {"id": "job-8", "title": "eight", "vehicle": "v8"}
    assert workshop.ben.post("/api/jobs", unknown).status_code == 422
