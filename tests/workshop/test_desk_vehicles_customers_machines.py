"""The desk's pages of vehicles, customers and machine files."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.workshop.desk_visitor import BOOKED, CHOSEN, Desk


def test_what_concerns_the_customer_stands_in_private_texts_alone(desk, place):
    from witnessmark.workshop import models, private

    desk.post("/jobs/new/", desk.form() | CHOSEN)
    kept = [bytes(row.data) for row in models.Event.objects.all()]
    kept += [bytes(row.data) for row in models.Pack.objects.all()]
    rows = str([*models.Job.objects.values(), *models.Vehicle.objects.values()])
    for said in ("WM 1 ABC", "XX123", "Dora", "hot on hills"):
        assert said not in rows
        assert not any(said.encode() in data for data in kept)
    customer = models.Customer.objects.get()
    private.delete_customer(customer.id)
    assert models.Private.objects.exclude(says=None).count() == 0
    for page in ("/", f"/jobs/{models.Job.objects.get(complaint__isnull=False).id}/", "/vehicles/"):
        assert "WM 1 ABC" not in desk.get(page)
    assert "Dora" not in desk.get("/customers/")


def test_a_plate_that_is_here_is_that_vehicle(desk):
    from witnessmark.workshop import models

    desk.post("/jobs/new/", desk.form() | CHOSEN)
    second = desk.form() | CHOSEN | {"plate": "WM1abc", "customer": ""}
    desk.post("/jobs/new/", second)
    assert models.Vehicle.objects.count() == 1
    assert models.Vehicle.objects.get().job_set.count() == 2
    assert "WM 1 ABC" in desk.get("/?q=wm1a")
    assert "WM 1 ABC" in desk.get("/vehicles/?q=Dora")
    assert 'class="row"' not in desk.get("/vehicles/?q=elsewhere")


def test_vehicles_and_customers_change_and_bad_input_stays_typed(desk):
    from witnessmark.workshop import models, private

    _, page = desk.post("/vehicles/new/", BOOKED | {"plate": "", "machine": "gull-20"}, 422)
    assert "give a plate" in page
    assert "xx123" in page
    where, _ = desk.post("/vehicles/new/", BOOKED | {"machine": "gull-20"})
    row = models.Vehicle.objects.get()
    before = row.plate
    desk.post(where, BOOKED | {"plate": "wm 2", "machine": "", "customer": ""})
    row.refresh_from_db()
    assert private.texts_of([row.plate]) == {row.plate: "WM 2"}
    assert private.texts_of([before]) == {before: None}
    customer = models.Customer.objects.get().id
    desk.post(f"/customers/{customer}/", {"name": "Dora I", "rest": "1 Nowhere Lane"})
    assert "1 Nowhere Lane" in desk.get("/customers/?q=nowhere")
    _, page = desk.post("/customers/new/", {"name": "", "rest": "typed before"}, 422)
    assert "typed before" in page


def test_deleting_a_customer_is_for_the_owner_and_says_what_goes(desk):
    from witnessmark.workshop import models

    desk.post("/jobs/new/", desk.form() | CHOSEN)
    path = f"/customers/{models.Customer.objects.get().id}/delete/"
    assert Desk("ben").client.get(path).status_code == 403
    assert desk.client.get(path).status_code == 302  # the PIN is asked first
    unlocked(desk)
    page = desk.get(path)
    assert "2 texts said on 1 job" in page
    assert "Backups made before still hold it all" in page
    desk.post(path, {"sure": "yes"}, 422)
    assert models.Private.objects.exclude(says=None).exists()
    desk.post(path, {"sure": "delete"})
    assert not models.Private.objects.exclude(says=None).exists()


def unlocked(desk):
    from witnessmark.workshop.sessions import _UNLOCKED
    from witnessmark.workshop.writing import now

    session = desk.client.session
    session[_UNLOCKED] = ["ann", now() + 60_000]
    session.save()


def test_the_library_takes_a_file_says_what_is_wrong_and_gives_it_out(desk, place):
    bad = b"witnessmark: 1\nmachine: hut\n# mine\nworks: {w: {name: W, goals: [nothing off]}}\n"

    def brought(data, more=(), name="hut.yaml", who=desk, status=303):
        body = {"file": SimpleUploadedFile(name, data), "name": "", **dict(more)}
        return who.post("/library/", body, status)

    where, _ = brought(bad)
    assert "hut.yaml:4:" in desk.get(where)
    assert "1 complaint: no job can be planned on it" in desk.get("/library/")
    assert "Not on offer" in desk.get("/jobs/new/")
    _, page = brought(bad + b"\n", status=422)
    assert "Tick “replace”" in page
    _, page = brought(bad + b"\n", {"replace": "yes"}, who=Desk("ben"), status=422)
    assert "only the owner or a lead" in page
    brought(bad + b"# more\n", {"replace": "yes"})
    answer = desk.client.get("/library/file/hut")
    assert answer.content == bad + b"# more\n"
    assert "attachment" in answer["Content-Disposition"]
    _, page = brought(b"x", name="../up.yaml".replace("../", "%2e"), status=422)
    assert "Not kept" in page
    desk.get("/library/file/../workshop", 404)
    assert desk.client.get("/library/workshop.yaml").content.startswith(b"# The demonstration")
    body = {"file": SimpleUploadedFile("w.yaml", b"workshop: 1\nname: W\nrate: much\n")}
    _, page = desk.post("/library/workshop/", body, 422)
    assert "not taken" in page


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_an_upload_that_is_far_too_long_is_not_even_read(desk):
    long = SimpleUploadedFile("long.yaml", b"#" * (17 * 1024 * 1024))
    assert desk.client.post("/library/", {"file": long}).status_code == 400
    too_long = SimpleUploadedFile("long.yaml", b"#" * (13 * 1024 * 1024))
    _, page = desk.post("/library/", {"file": too_long}, 422)
    assert "at most 12,000,000 bytes" in page
