"""What a phone asks when it starts on a job, or opens one that it began on its own."""

from __future__ import annotations

from tests.workshop.small_workshop import named, pack_bytes, picture


def test_it_is_given_the_pack_the_number_and_the_photos_that_are_here(workshop):
    pack, photo = pack_bytes(), picture()
    workshop.ben.put(f"/api/jobs/job-1/packs/{named(pack)}", pack)
    workshop.ben.put(f"/api/jobs/job-1/photos/{named(photo)}", photo)
    workshop.ben.write()
    workshop.ben.write()
    workshop.ben.send()
    got = workshop.ben.get("/api/jobs/job-1/bench").json()
    assert got.pop("epoch")
    assert got == {
        "id": "job-1",
        "title": "Job 1",
        "pack": named(pack),
        "number": 2,
        "photos": [named(photo)],
    }


def test_a_job_that_nobody_planned_has_no_pack(workshop):
    got = workshop.ben.get("/api/jobs/job-1/bench").json()
    assert (got["pack"], got["number"], got["photos"]) == (None, 0, [])


def test_of_several_packs_the_last_that_came_is_given(workshop):
    for name in ("first", "second"):
        pack = pack_bytes(name)
        workshop.ben.put(f"/api/jobs/job-1/packs/{named(pack)}", pack)
    assert workshop.ben.get("/api/jobs/job-1/bench").json()["pack"] == named(pack_bytes("second"))


def test_a_job_opened_again_by_a_phone_that_was_not_answered_is_the_same(workshop):
    wanted = {"id": "j-77", "title": "A van that nobody has described"}
    first = workshop.ben.post("/api/jobs", wanted)
    again = workshop.ben.post("/api/jobs", wanted)
    assert first.status_code == again.status_code == 200
    assert first.json() == again.json()
    assert workshop.ben.post("/api/jobs", wanted | {"title": "Another"}).status_code == 409
    assert workshop.cal.post("/api/jobs", wanted).status_code == 409
