"""A phone on its own: jobs begun without a network, refusals, revoking, and what is said of it."""

from __future__ import annotations

import base64

import pytest

from tests.bench.bare import PAGE, counts, fetch, load, send_now, waiting, write
from tests.workshop.small_workshop import named, picture
from witnessmark.ledger.commitments import commitment

BEGIN = """
const bytes = Uint8Array.from(atob(args[0]), (each) => each.charCodeAt(0));
const photo = new Blob([bytes], { type: "image/jpeg" });
const record = await wm.newRecord(wm.store, { title: "A van, grey", photo });
await record.write("noted", { object: "t-1", values: { kind: "part", name: "air filter lid" } });
record.close();
return record.job;
"""


@pytest.fixture
def server(shared_server):
    return shared_server


@pytest.fixture
def by_hand(server, phone):
    """A phone that sends only when told to."""

    def make(profile="phone", **kinds):
        found = load(phone(profile, path=PAGE, **kinds), sending=False)
        found.run("wm.sender = new wm.Sender(wm.store);")
        return found

    return make


def begun_alone(phone, photo):
    return phone.run(BEGIN, base64.b64encode(photo).decode())


def test_a_job_begun_without_a_network_comes_in_whole(server, by_hand):
    phone, photo = by_hand(), picture()
    phone.offline()
    job = begun_alone(phone, photo)
    assert [kind for kind, _ in waiting(phone)] == ["job", "pack", "event", "event", "photo"]
    phone.offline(False)
    assert send_now(phone)["waiting"] == 0
    with server.tables() as models:
        found = models.Job.objects.get(id=job)
        assert found.title == "A van, grey"
        assert models.PackOfJob.objects.filter(job=found).count() == 1
        assert models.PhotoOfJob.objects.get(job=found).photo_id == named(photo)
    assert len(server.stored(job)) == 2


def test_what_a_restored_workshop_has_forgotten_is_sent_again(server, by_hand):
    phone, photo = by_hand(), picture()
    job = begun_alone(phone, photo)
    assert send_now(phone)["waiting"] == 0
    stored = server.stored(job)
    with server.tables() as models:  # as an older backup has it
        for table in (models.Arrival, models.Event, models.PackOfJob, models.PhotoOfJob):
            table.objects.filter(job_id=job).delete()
        models.OnJob.objects.filter(job_id=job).delete()
        models.View.objects.all().delete()
        models.Job.objects.filter(id=job).delete()
        models.Workshop.objects.update(epoch="0123456789abcdef0123456789abcdef")
    assert send_now(phone)["waiting"] == 0
    assert sorted(server.stored(job)) == sorted(stored)
    with server.tables() as models:
        assert models.PhotoOfJob.objects.get(job_id=job).photo_id == named(photo)
        assert models.PackOfJob.objects.filter(job_id=job).count() == 1
    assert counts(phone)["refused"] == []


def test_another_phone_has_the_photos_that_are_there_and_shows_them(server, by_hand):
    one, other, photo = by_hand("one"), by_hand("other"), picture()
    job = begun_alone(one, photo)
    send_now(one)
    send_now(other)
    got = other.run(
        """
        const record = await wm.openRecord(wm.store, args[0]);
        const blob = await wm.sender.photo(args[0], args[1]);
        const kinds = record.outstanding().map(({ kind }) => kind);
        return [blob.size, kinds, record.title];
        """,
        job,
        named(photo),
    )
    assert got == [len(photo), [], "A van, grey"]


def test_a_photo_is_missing_where_only_its_entry_came_in(server, by_hand):
    one, other, photo = by_hand("one"), by_hand("other"), picture()
    one.do(lambda page: page.route("**/photos/*", lambda route: route.abort()))
    job = begun_alone(one, photo)
    send_now(one, reaching=False)
    send_now(other)
    kinds = """
        const record = await wm.openRecord(wm.store, args[0]);
        return record.outstanding().map(({ kind }) => kind);
    """
    assert other.run(kinds, job) == ["missing photo"]
    one.do(lambda page: page.unroute("**/photos/*"))
    send_now(one)
    fetch(other, job)
    assert other.run(kinds, job) == []


def test_a_job_on_which_nothing_came_in_is_not_fetched_again(server, job, by_hand):
    phone, other = by_hand(), by_hand("other")
    for each in (phone, other):
        fetch(each, job)
    write(phone, job, "one")
    send_now(phone)
    send_now(phone)  # the workshop has counted it now
    asked = []
    phone.do(lambda page: page.on("request", lambda each: asked.append(each.url)))
    send_now(phone)
    assert [each.partition("/api/")[2] for each in asked] == ["me", "jobs"]
    write(other, job, "two")
    send_now(other)
    asked.clear()
    send_now(phone)
    assert any(f"/jobs/{job}/events" in each for each in asked)
    assert set(server.stored(job)) <= set(counts(phone)["events"])


def test_a_refusal_is_no_success_is_kept_with_its_reason_and_can_be_sent_again(
    server, job, by_hand
):
    phone = by_hand()
    fetch(phone, job)
    phone.run(
        """
        await wm.store.change(["jobs"], async (table) => {
          await table("jobs").put({ ...(await table("jobs").get(args[0])), id: "job-unknown" });
        });
        """,
        job,
    )
    ids = write(phone, "job-unknown", "on a job that the workshop does not know")
    found = send_now(phone)
    assert (found["waiting"], found["refused"]) == (0, 2)
    refused = counts(phone)["refused"]
    assert {each["says"] for each in refused} == {"there is no job job-unknown"}
    assert set(ids) <= {each["id"] for each in refused}
    assert set(ids) <= set(counts(phone)["events"])
    server.open_job("job-unknown", "Known now")
    found = phone.run("return await wm.sender.sendRefusedAgain();")
    assert (found["waiting"], found["refused"]) == (0, 0)
    assert set(ids) <= set(server.stored("job-unknown"))


def test_a_revoked_phone_still_sends_what_it_holds_and_says_so(server, job, by_hand):
    phone = by_hand()
    fetch(phone, job)
    before = write(phone, job, "before")
    send_now(phone)
    server.revoke(phone.pairing["device"]["id"])
    after = write(phone, job, "after")
    found = send_now(phone)
    assert (found["waiting"], found["standing"]) == (0, "revoked")
    assert set(before) <= set(server.stored(job))
    assert server.stored(job, held=True) == after
    more = write(phone, job, "and more")
    assert send_now(phone)["waiting"] == 0
    assert server.stored(job, held=True) == [*after, *more]


def test_a_phone_whose_pairing_is_gone_keeps_what_it_holds(server, job, by_hand):
    phone = by_hand()
    fetch(phone, job)
    write(phone, job, "one")
    phone.run('await wm.pairedAs(wm.store, { ...args[0], secret: "of no device" });', phone.pairing)
    found = send_now(phone)
    assert (found["waiting"], found["refused"], found["standing"]) == (2, 0, "unknown")
    phone.run("await wm.pairedAs(wm.store, args[0]);", phone.pairing)
    assert send_now(phone)["waiting"] == 0


def test_a_private_text_is_sent_beside_the_entry_that_holds_its_seal(server, by_hand):
    phone = by_hand()
    job, seal = phone.run(
        """
        const record = await wm.newRecord(wm.store, { title: "A van, grey" });
        const seal = await wm.keepPrivate(wm.store, record.job, "plate", "WM 1 CAFE\u0301");
        await record.write("noted", { object: "vehicle", values: { plate: seal } });
        return [record.job, seal];
        """
    )
    assert send_now(phone)["waiting"] == 0
    with server.tables() as models:
        kept = models.Private.objects.get(commitment=seal)
        assert (kept.kind, kept.job) == ("plate", job)
        assert bytes(kept.says).decode() == "WM 1 CAF\u00c9"
        assert commitment(bytes(kept.salt), "WM 1 CAF\u00c9") == seal
        noted = [bytes(each.data) for each in models.Event.objects.filter(job_id=job)]
    assert any(seal.encode() in each for each in noted)
    assert not any(b"WM 1" in each for each in noted)
    assert phone.run("return await wm.privateHere(wm.store, args[0]);", seal) == "WM 1 CAF\u00c9"


def test_nothing_is_written_for_nobody(server, phone):
    found = load(phone("stranger", member=None, path=PAGE), sending=False)
    with pytest.raises(AssertionError, match="reach the workshop once first"):
        found.run('await wm.newRecord(wm.store, { title: "A van" });')


@pytest.mark.parametrize("granted", [False, True])
def test_whether_the_browser_promised_to_keep_it_all_is_told(server, phone, granted):
    found = phone("phone", path=PAGE)
    found.run(
        "navigator.storage.persist = async () => args[0];"
        "navigator.storage.persisted = async () => false;",
        granted,
    )
    load(found)
    assert found.run("return await wm.askToKeep(wm.store);") is granted
    said = "true" if granted else "false"
    assert found.eventually("return document.documentElement.dataset.kept;") == said
