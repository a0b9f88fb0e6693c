"""Verify says intact, withheld or broken; backups go back into either database."""

from __future__ import annotations

import json
from hashlib import sha256
from zipfile import ZipFile

import pytest
from click.testing import CliRunner

from tests.workshop.small_workshop import Phone, SmallWorkshop, named, pack_bytes, picture
from witnessmark.cli.root import command
from witnessmark.workshop.places import TABLES, Place
from witnessmark.workshop.starting import start

PHOTO = picture()
SALT = bytes(16)


@pytest.fixture
def kept(workshop):
    """A workshop with a job, its pack, a photo, a customer and what was said of them."""
    from witnessmark.workshop import models, private

    details = private.keep("customer", None, SALT, "Dora Invented")
    plate = private.keep("plate", None, SALT, "WM 1")
    models.Customer.objects.create(id="dora", details=details)
    models.Vehicle.objects.create(id="v1", machine="gull-20", customer_id="dora", plate=plate)
    models.Job.objects.filter(id="job-1").update(vehicle="v1")
    said = private.keep("note", "job-1", SALT, "key under the mat")
    pack = pack_bytes("gull")
    workshop.ben.put(f"/api/jobs/job-1/packs/{named(pack)}", pack)
    workshop.ben.write(type="begin", pack=named(pack))
    workshop.ben.write(type="photo", photos=[named(PHOTO)], values={"private": said})
    workshop.ben.send()
    workshop.ben.put(f"/api/jobs/job-1/photos/{named(PHOTO)}", PHOTO)
    return workshop


def run(place, *arguments):
    from django.db import connections

    environment = {TABLES: place.tables}
    found = CliRunner().invoke(
        command, [*map(str, arguments), "--data", str(place.folder)], env=environment
    )
    assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
    connections.close_all()
    return found


def changed(model, id_, **fields):
    assert model.objects.filter(pk=id_).update(**fields) == 1


def test_a_whole_workshop_is_intact(kept, place):
    found = run(place, "verify")
    assert (found.exit_code, found.output) == (0, "intact: 2 jobs, 2 events, 1 photos\n")


def test_deleting_a_customer_leaves_it_withheld_and_nothing_to_find(kept, place):
    assert kept.owner.delete("/api/customers/dora").json() == {"deleted": 4}
    assert kept.owner.delete("/api/customers/dora").json() == {"deleted": 0}
    found = run(place, "verify")
    assert found.exit_code == 0
    assert found.output.splitlines()[-1].startswith("withheld:")
    assert "broken" not in found.output
    start(place)
    assert kept.ben.get(f"/api/jobs/job-1/photos/{named(PHOTO)}").status_code == 410
    assert kept.ben.put(f"/api/jobs/job-1/photos/{named(PHOTO)}", PHOTO).status_code == 422
    assert list(place.photos.rglob(named(PHOTO))) == []
    assert [row["says"] for row in kept.ben.get("/api/jobs/job-1/private").json()] == [None]


def test_whatever_was_changed_is_broken(kept, place):
    from witnessmark.workshop import models

    first, second = kept.ben.writes.holds
    data = bytes(models.Event.objects.get(id=first).data)
    said = models.Private.objects.get(job="job-1").commitment
    line = models.Arrival.objects.get(number=1)
    pack = models.Pack.objects.get()
    breaks = [
        (models.Event, first, {"data": data.replace(b"ada", b"bob")}, {"data": data}),
        (models.Event, first, {"job_id": "job-2"}, {"job_id": "job-1"}),
        (models.Arrival, line.pk, {"at": line.at - 1}, {"at": line.at}),
        (models.Arrival, line.pk, {"number": 7}, {"number": 1}),
        (models.Pack, pack.id, {"data": b"{}"}, {"data": pack.data}),
        (models.Private, said, {"says": b"nothing"}, {"says": b"key under the mat"}),
        (models.Private, said, {"salt": None}, {"salt": SALT}),
    ]
    for model, id_, wrong, right in breaks:
        changed(model, id_, **wrong)
        assert run(place, "verify").exit_code == 1, (model, wrong)
        start(place, tables_are_ready=True)
        changed(model, id_, **right)
    models.Arrival.objects.filter(event_id=second).delete()
    assert "is in no arrival book" in run(place, "verify").output
    assert second


@pytest.mark.parametrize("how", ["gone", "changed"])
def test_a_photo_that_is_gone_or_changed_is_broken(kept, place, how):
    path = next(each for each in place.photos.rglob("*") if each.is_file())
    if how == "gone":
        path.unlink()
    else:
        path.write_bytes(PHOTO + b"\x00")
    assert run(place, "verify").exit_code == 1


def elsewhere(tmp_path, postgres, kind):
    folder = tmp_path / "restored"
    return Place(folder, postgres.address(postgres.database()) if kind == "postgresql" else None)


def everything(place):
    """All rows but the epoch, as plain values in one order."""
    from witnessmark.workshop.models import KEPT

    start(place, tables_are_ready=True)
    rows = {}
    for model in KEPT[1:]:
        names = [
            f.attname
            for f in model._meta.concrete_fields
            if f.attname != "id"
            or model.__name__ not in {"OnJob", "Arrival", "PackOfJob", "PhotoOfJob"}
        ]
        found = model.objects.values_list(*names)
        rows[model.__name__] = (
            sorted(
                [bytes(v) if isinstance(v, memoryview) else v for v in row]
                for row in map(list, found)
            )
            if model.__name__ != "Device"
            else found.count()
        )
    return rows


@pytest.mark.parametrize("target", ["sqlite", "postgresql"])
def test_a_backup_goes_back_into_either_database(kept, place, postgres, tmp_path, target):
    file = tmp_path / "all.backup"
    assert run(place, "backup", file).exit_code == 0
    new = elsewhere(tmp_path, postgres, target)
    found = run(new, "restore", file)
    assert found.exit_code == 0, found.output
    assert run(new, "verify").output == "intact: 2 jobs, 2 events, 1 photos\n"
    assert everything(new) == everything(place)
    start(new, tables_are_ready=True)
    assert kept.ben.get(f"/api/jobs/job-1/photos/{named(PHOTO)}").content == PHOTO


def test_after_an_older_backup_two_devices_bring_back_all_that_was_acknowledged(
    kept, place, tmp_path
):
    """A new epoch tells phones to send again; each holds what the other is to get."""
    ben, ann = kept.ben, kept.owner
    before = ben.get("/api/jobs/job-1/events").json()["epoch"]
    run(place, "backup", tmp_path / "older")
    start(place, tables_are_ready=True)
    later = [ben.write(), ben.write()]
    ben.send(later)
    ann.writes.hear(ben.writes)
    hers = ann.write(job="job-1")
    ann.send([hers])
    acknowledged = {e["id"] for e in ann.get("/api/jobs/job-1/events").json()["events"]}
    new = Place(tmp_path / "restored")
    run(new, "restore", tmp_path / "older")
    start(new, tables_are_ready=True)
    answer = ben.get("/api/jobs/job-1/events", after=5, epoch=before).json()
    assert answer["epoch"] != before
    assert len(answer["events"]) == 2
    assert [a["answer"] for a in ben.send()] == ["again", "again", "new", "new"]
    assert [a["answer"] for a in ann.send([hers])] == ["new"]
    now = {e["id"] for e in ann.get("/api/jobs/job-1/events").json()["events"]}
    assert now == acknowledged
    assert run(new, "verify").exit_code == 0


def test_a_damaged_backup_restores_nothing(kept, place, tmp_path):
    file = tmp_path / "all.backup"
    run(place, "backup", file)
    whole = file.read_bytes()
    for number, data in enumerate((whole[:-200], whole[:1_000], b"", b"no zip")):
        file.write_bytes(data)
        new = Place(tmp_path / f"n{number}")
        assert run(new, "restore", file).exit_code == 1
        start(new, tables_are_ready=True)
        from witnessmark.workshop.models import Job

        assert Job.objects.count() == 0


def test_restoring_over_a_workshop_is_refused(kept, place, tmp_path):
    run(place, "backup", tmp_path / "b")
    found = run(place, "restore", tmp_path / "b")
    assert found.exit_code == 1
    assert "empty folder" in found.output


def test_a_stranger_can_read_an_export_without_us(kept, place, tmp_path):
    """Checked with the standard library alone, by what the README inside says."""
    file = tmp_path / "job.zip"
    assert run(place, "export", "job-1", "--out", file).exit_code == 0
    with ZipFile(file) as archive:
        assert "SHA-256" in archive.read("README.txt").decode()
        lines = archive.read("events.jsonl").decode().splitlines()
        events = [json.loads(line) for line in lines]
        book = [json.loads(line) for line in archive.read("arrivals.jsonl").splitlines()]
        private = [json.loads(line) for line in archive.read("private.jsonl").splitlines()]
        photos = [n for n in archive.namelist() if n.startswith("photos/")]
        assert [archive.read(name) for name in photos] == [PHOTO]
        packs = [n for n in archive.namelist() if n.startswith("packs/")]
        assert all(sha256(archive.read(n)).hexdigest() == n[6:-5] for n in packs)
    assert packs
    for each in events:
        assert sha256(each["event"].encode()).hexdigest() == each["id"]
    before = "0" * 64
    for line in book:
        said = {key: line[key] for key in ("at", "brought_by", "event", "number")}
        said |= {"before": before, "job": "job-1"}
        written = json.dumps(said, sort_keys=True, separators=(",", ":"))
        before = sha256(written.encode()).hexdigest()
        assert before == line["digest"]
    assert {row["says"] for row in private} == {"Dora Invented", "WM 1", "key under the mat"}


def test_commands_without_a_workshop_say_so(tmp_path):
    place = Place(tmp_path / "none")
    for words in (["verify"], ["export", "job-1"], ["backup", str(tmp_path / "b")]):
        found = run(place, *words)
        assert found.exit_code == 2
        assert "no workshop here" in found.output
    assert not place.folder.exists()


def test_a_phone_of_the_restored_workshop_needs_no_new_secret(kept, place, tmp_path):
    run(place, "backup", tmp_path / "b")
    new = Place(tmp_path / "restored")
    run(new, "restore", tmp_path / "b")
    start(new, tables_are_ready=True)
    assert isinstance(kept, SmallWorkshop)
    assert isinstance(kept.ben, Phone)
    assert kept.ben.get("/api/jobs").status_code == 200
