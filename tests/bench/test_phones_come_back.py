"""Phones that were off the network, or left hanging by the workshop: nothing is lost or doubled."""

from __future__ import annotations

import pytest

from tests.bench.bare import PAGE, all_sent, counts, fetch, load, send_now, waiting, write


@pytest.fixture
def server(shared_server):
    return shared_server


@pytest.fixture
def ready(server, job, phone):
    """Phones with the job on them."""

    def make(profile, *, sending=True, **kinds):
        found = load(phone(profile, path=PAGE, **kinds), sending=sending)
        if not sending:
            found.run("wm.sender = new wm.Sender(wm.store);")
        fetch(found, job)
        return found

    return make


OF_JOB = """
const rows = await wm.store.read(["events"], (table) => table("events").ofJob(args[0]));
return rows.map((row) => row.id).sort();
"""


def until_it_has(phone, job, stored):
    """Press the button until the phone has heard of all; a round may be under way.

    Of this job: the workshop is shared, and phones take other open jobs along.
    """
    for _ in range(20):
        send_now(phone)
        if phone.run(OF_JOB, job) == sorted(stored):
            return
    raise AssertionError(f"it never came to {len(stored)} entries")


def test_two_phones_one_away_for_a_while_end_with_the_same_entries(server, job, ready):
    here, away = ready("here"), ready("away")
    away.offline()
    written = write(here, job, "one", "two") + write(away, job, "three", "four", "five")
    all_sent(here)
    assert counts(away)["waiting"] == 4  # the beginning of its chain, and three
    written += write(here, job, "six")
    all_sent(here)
    away.offline(False)
    all_sent(away)
    stored = server.stored(job)
    for each in (here, away):
        until_it_has(each, job, stored)
    assert sorted(stored) == sorted(set(stored))  # each once
    assert set(written) < set(stored)
    assert len(stored) == len(written) + 2  # each phone began the job once
    assert here.run(OF_JOB, job) == away.run(OF_JOB, job) == sorted(stored)


def test_what_others_wrote_meanwhile_is_followed_and_what_was_not_seen_is_not(server, job, ready):
    here, away = ready("here"), ready("away")
    away.offline()
    first = write(here, job, "here")[0]
    apart = write(away, job, "apart")[0]
    all_sent(here)
    away.offline(False)
    all_sent(away)
    send_now(away)
    after = write(away, job, "after")[0]
    got = away.run(
        """
        const record = await wm.openRecord(wm.store, args[0]);
        const { reaches } = record.graph;
        return [reaches(args[1], args[2]), reaches(args[1], args[3]), record.graph.forks,
          record.graph.gaps];
        """,
        job,
        first,
        apart,
        after,
    )
    assert got == [False, True, [], []]


def test_taps_in_two_tabs_at_once_make_one_chain(server, job, ready):
    phone = ready("phone", sending=False)
    got = phone.run(
        """
        const open = () => wm.openRecord(wm.store, args[0]);
        const tabs = [await open(), await open()];
        const taps = Array.from({ length: 20 }, (_, at) =>
          tabs[at % 2].write("measured", { note: `tap ${at}` }));
        await Promise.all(taps);
        const { graph } = await open();
        return [graph.order.length, graph.forks, graph.gaps, graph.heads().length];
        """,
        job,
    )
    assert got == [21, [], [], 1]
    assert send_now(phone)["waiting"] == 0
    assert len(server.stored(job)) == 21


def test_a_frozen_workshop_keeps_no_tap_waiting(server, job, ready):
    phone = ready("phone")
    server.freeze()
    took = phone.run(
        """
        const record = await wm.openRecord(wm.store, args[0]);
        const took = [];
        for (let tap = 0; tap < 12; tap += 1) {
          const begun = performance.now();
          await record.write("measured", { note: `tap ${tap}` });
          took.push(performance.now() - begun);
          await new Promise((resolve) => setTimeout(resolve, 50));
        }
        return took;
        """,
        job,
    )
    assert max(took) < 1000  # the workshop would be given up on after eight times that
    assert counts(phone)["waiting"] == 13
    server.thaw()
    all_sent(phone)
    assert len(server.stored(job)) == 13


def test_a_killed_workshop_is_tried_again_until_it_is_back(server, job, ready):
    phone = ready("phone")
    server.kill()
    ids = write(phone, job, "while it is gone")
    phone.eventually('return document.documentElement.dataset.reached === "false";')
    server.start()
    all_sent(phone)
    assert server.stored(job)[-1:] == ids


def test_an_acknowledgement_that_was_lost_leaves_one_row(server, job, ready):
    phone = ready("phone", sending=False)
    ids = write(phone, job, "sent twice")
    lost = []

    def swallow(route):
        lost.append(route.fetch().status)  # the workshop has it, and the phone never hears so
        route.abort()

    phone.do(lambda page: page.route("**/api/events", swallow))
    send_now(phone, reaching=False)
    assert lost == [200]
    assert counts(phone)["waiting"] == 2
    assert set(ids) < set(server.stored(job))
    phone.do(lambda page: page.unroute("**/api/events"))
    assert send_now(phone)["waiting"] == 0
    assert len(server.stored(job)) == 2


def test_each_entry_leaves_what_waits_only_by_its_own_acknowledgement(server, job, ready):
    phone = ready("phone", sending=False)
    ids = write(phone, job, "one", "two", "three")
    sent = []

    def but_one(route):
        sent.append(len(route.request.post_data_json["events"]))
        if len(sent) > 1:
            route.abort()
            return
        answer = route.fetch()
        said = answer.json()
        said["answers"] = [each for each in said["answers"] if each["id"] != ids[1]]
        route.fulfill(response=answer, json=said)

    phone.do(lambda page: page.route("**/api/events", but_one))
    send_now(phone, reaching=False)
    assert sent == [4, 1]
    assert waiting(phone) == [["event", ids[1]]]
    phone.do(lambda page: page.unroute("**/api/events"))
    assert send_now(phone)["waiting"] == 0
    assert len(server.stored(job)) == 4


def test_a_page_put_in_the_way_by_some_other_network_acknowledges_nothing(server, job, ready):
    phone = ready("phone", sending=False)
    write(phone, job, "at a hotel")

    def in_the_way(route):
        route.fulfill(status=200, content_type="text/html", body="<h1>Welcome</h1>")

    phone.do(lambda page: page.route("**/api/**", in_the_way))
    send_now(phone, reaching=False)
    assert counts(phone)["waiting"] == 2
    phone.do(lambda page: page.unroute("**/api/**"))
    assert send_now(phone)["waiting"] == 0
