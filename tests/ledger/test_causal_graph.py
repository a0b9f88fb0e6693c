"""Merge, order and causes: what depends on the events alone, whatever way they came."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.devices import Device
from witnessmark.ledger.chains import chain_faults
from witnessmark.ledger.clock import latest_of, tick
from witnessmark.ledger.graph import Graph, merged

DAY = 86_400_000

moves = st.lists(
    st.one_of(
        st.tuples(st.just("write"), st.integers(0, 3)),
        st.tuples(st.just("write"), st.integers(0, 3)),
        st.tuples(st.just("hear"), st.integers(0, 3), st.integers(0, 3)),
        st.tuples(st.just("lose"), st.integers(0, 3)),
    ),
    max_size=25,
)
wrong_clocks = st.lists(st.integers(-9 * DAY, 9 * DAY), min_size=4, max_size=4)


def lived(moves, wrong_clocks):
    """Let four devices write, hear each other and lose their last event."""
    devices = [Device(f"phone-{n}", wrong) for n, wrong in enumerate(wrong_clocks)]
    written = []
    for move, one, *other in moves:
        if move == "write":
            written.append(devices[one].write())
        elif move == "hear":
            devices[one].hear(devices[other[0]])
        else:
            devices[one].lose_last()
    return devices, written


def causes_of(events, id_):
    """Give everything an event knew, by walking; shares nothing with the graph."""
    left, found = [id_], set()
    while left:
        event = events[left.pop()]
        new = {c for c in (event["prev"], *event["seen"]) if c in events} - found
        found |= new
        left.extend(new)
    return found


def as_seen(events):
    graph = Graph(events)
    return graph.order, graph.forks, graph.gaps, graph.heads()


@settings(deadline=None)
@given(moves, wrong_clocks)
def test_merging_is_commutative_associative_and_idempotent(moves, wrong_clocks):
    (a, b, c, d), _ = lived(moves, wrong_clocks)
    one = merged(a.holds, merged(b.holds, merged(c.holds, d.holds)))
    other = merged(merged(merged(d.holds, c.holds), a.holds), b.holds)
    assert as_seen(one) == as_seen(other) == as_seen(merged(one, other, one))


@settings(deadline=None)
@given(moves, wrong_clocks, st.randoms(use_true_random=False))
def test_the_order_does_not_depend_on_arrival(moves, wrong_clocks, random):
    devices, _ = lived(moves, wrong_clocks)
    events = merged(*(d.holds for d in devices))
    shuffled = list(events)
    random.shuffle(shuffled)
    assert as_seen({id_: events[id_] for id_ in shuffled}) == as_seen(events)


@settings(deadline=None)
@given(moves, wrong_clocks, st.randoms(use_true_random=False))
def test_causes_come_first_and_nothing_is_dropped_though_some_is_missing(
    moves, wrong_clocks, random
):
    devices, _ = lived(moves, wrong_clocks)
    events = merged(*(d.holds for d in devices))
    events = {id_: event for id_, event in events.items() if random.random() < 0.8}
    graph = Graph(events)
    assert sorted(graph.order) == sorted(events)
    place = {id_: number for number, id_ in enumerate(graph.order)}
    for id_ in events:
        assert all(place[cause] < place[id_] for cause in causes_of(events, id_))


@settings(deadline=None)
@given(moves, wrong_clocks, st.randoms(use_true_random=False))
def test_who_knew_of_what_is_what_walking_finds(moves, wrong_clocks, random):
    devices, _ = lived(moves, wrong_clocks)
    events = merged(*(d.holds for d in devices))
    events = {id_: event for id_, event in events.items() if random.random() < 0.9}
    graph = Graph(events)
    known = {id_: causes_of(events, id_) for id_ in events}
    for one in events:
        for other in events:
            assert graph.reaches(one, other) == (one in known[other])
    for one, other in combinations(events, 2):
        apart = one not in known[other] and other not in known[one]
        assert graph.concurrent(one, other) == graph.concurrent(other, one) == apart


@settings(deadline=None)
@given(moves, wrong_clocks)
def test_forks_and_gaps_are_said(moves, wrong_clocks):
    devices, written = lived(moves, wrong_clocks)
    events = merged(*(d.holds for d in devices))
    numbers = {}
    for id_, event in events.items():
        numbers.setdefault((event["device"], event["seq"]), set()).add(id_)
    graph = Graph(events)
    named = {c for e in events.values() for c in (e["prev"], *e["seen"])} - {None}
    assert {g["event"] for g in graph.gaps} == named - events.keys()
    assert {(f["device"], f["seq"], tuple(f["events"])) for f in graph.forks} == {
        (*key, tuple(sorted(ids))) for key, ids in numbers.items() if len(ids) > 1
    }
    for lost in written[:3]:
        without = {id_: event for id_, event in events.items() if id_ != lost}
        named = {c for e in without.values() for c in (e["prev"], *e["seen"])}
        assert (lost in {g["event"] for g in Graph(without).gaps}) == (lost in named)


@settings(deadline=None)
@given(moves, wrong_clocks, st.integers(0, 3))
def test_sending_what_a_device_lacks_is_enough(moves, wrong_clocks, who):
    devices, _ = lived(moves, wrong_clocks)
    everything = merged(*(d.holds for d in devices))
    graph = Graph(everything)
    frontier = Graph(devices[who].holds).heads()
    sent = graph.since(frontier)
    assert set(sent) == everything.keys() - devices[who].holds.keys()
    assert [id_ for id_ in graph.order if id_ in set(sent)] == sent
    assert graph.since(["f" * 64]) == graph.order


@settings(deadline=None)
@given(moves, wrong_clocks)
def test_no_device_writes_a_faulty_chain(moves, wrong_clocks):
    devices, _ = lived(moves, wrong_clocks)
    assert not chain_faults(merged(*(d.holds for d in devices)))


@settings(max_examples=30, deadline=None)
@given(wrong_clocks)
def test_a_fork_and_a_far_off_clock_do_come_up(wrong_clocks):
    # The generator reaches what the properties above are about.
    moves = [("write", 0), ("write", 0), ("hear", 1, 0), ("lose", 0), ("write", 0)]
    moves += [("hear", 1, 0), ("write", 1)]
    devices, _ = lived(moves, wrong_clocks)
    graph = Graph(merged(*(d.holds for d in devices)))
    assert len(graph.forks) == 1
    first, second = graph.forks[0]["events"]
    assert graph.concurrent(first, second)
    assert graph.reaches(first, devices[1].last)
    assert graph.reaches(second, devices[1].last)


def test_clocks_never_go_back():
    assert tick((5, 0), 9) == (9, 0)
    assert tick((9, 0), 9) == (9, 1)
    assert tick((9, 1), 3) == (9, 2)
    assert latest_of([(1, 2), (3, 0), (2, 9)]) == (3, 0)
    assert latest_of([]) == (0, 0)


def test_clock_then_device_then_number_settle_what_nobody_knew():
    a, b = Device("phone-b"), Device("phone-a")
    first, second = a.write(clock=[5, 0]), b.write(clock=[5, 0])
    third = b.write(clock=[4, 0])
    assert Graph(merged(a.holds, b.holds)).order == [second, third, first]
