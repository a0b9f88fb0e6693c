"""Several devices, clocks wrong by days, anything at all written: the fold stays itself."""

from __future__ import annotations

import json
from copy import deepcopy
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.devices import Device
from tests.ledger.packs import DEMO, dunlin, job_of, nobody
from tests.ledger.small_history import EVERYTHING, Bench
from witnessmark.ledger.event_types import EVENT_TYPES
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import registers
from witnessmark.ledger.remembered import Remembered
from witnessmark.ledger.state import prepared

PACK = dunlin()
ACTIONS = [row for row in PACK["rules"]["actions"] if row["kind"] != "machine"]
OBJECTS = {
    kind: [id_ for id_, row in PACK["objects"].items() if row["kind"] == kind]
    for kind in {row["kind"] for row in PACK["objects"].values()}
}
DAY = 24 * 3_600_000


def work_apart(seed: int, steps: int) -> list[Device]:
    """Let three devices write, now and then hearing of each other."""
    random = Random(seed)
    devices = [Device(name, wrong_by=random.randint(-4, 4) * DAY) for name in "abc"]
    few = random.sample(list(PACK["objects"]), 6)
    for _ in range(steps):
        device = random.choice(devices)
        if random.random() < 0.3:
            device.hear(random.choice(devices))
        object_ = random.choice(few)
        kind = PACK["objects"][object_]["kind"]
        action = random.choice([row for row in ACTIONS if row["kind"] == kind])
        values = dict(EVERYTHING)
        if kind == "joint" and random.random() < 0.3:
            values["pieces"] = ["1"]
        device.write(type="done", action=action["id"], object=object_, values=values)
    return devices


def everything(devices: list[Device]):
    return {id_: event for device in devices for id_, event in device.holds.items()}


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.integers(2, 25), st.randoms(use_true_random=False))
def test_the_state_is_the_same_in_whatever_order_events_arrive(seed, steps, random):
    events = everything(work_apart(seed, steps))
    arrived = list(events.items())
    random.shuffle(arrived)
    first, again = fold(PACK, Graph(events)), fold(PACK, Graph(dict(arrived)))
    assert first.as_data() == again.as_data()
    assert outstanding(first) == outstanding(again)
    assert registers(first) == registers(again)


class OtherOrder:
    """The same events and causes in another order that respects the causes."""

    def __init__(self, graph: Graph, random: Random) -> None:
        self.events, self.reach, self.reaches = graph.events, graph.reach, graph.reaches
        self.forks, self.gaps, self.unknown = graph.forks, graph.gaps, graph.unknown
        left, self.order = list(graph.order), []
        while left:
            free = [e for e in left if not any(graph.reaches(o, e) for o in left)]
            self.order.append(random.choice(free))
            left.remove(self.order[-1])


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32), st.integers(2, 18), st.integers(0, 2**32))
def test_who_is_in_conflict_depends_on_who_knew_of_what_and_on_no_clock(seed, steps, other):
    graph = Graph(everything(work_apart(seed, steps)))
    by_clock = fold(PACK, graph)
    otherwise = fold(PACK, OtherOrder(graph, Random(other)))
    assert sorted(by_clock.conflicts()) == sorted(otherwise.conflicts())
    for object_ in by_clock.cells:
        assert by_clock.state(object_) == otherwise.state(object_), object_


def test_merging_three_devices_is_the_same_whoever_hears_whom_first():
    devices = work_apart(7, 30)
    orders = [(0, 1, 2), (2, 1, 0), (1, 2, 0)]
    states = []
    for order in orders:
        listener = Device("z")
        for number in order:
            listener.hear(devices[number])
            listener.hear(devices[number])
        states.append(fold(PACK, Graph(listener.holds)).as_data())
    assert states[0] == states[1] == states[2]


def plainly(monkeypatch, pack, graph):
    """Fold with every answer worked out anew, and nobody taken to have known of all."""

    def answer(self, _, standing, action, object_, said):
        return self.work_out(standing, action, object_, said)

    with monkeypatch.context() as patched:
        patched.setattr(Remembered, "act", answer)
        patched.setattr("witnessmark.ledger.fold.knew_all", lambda *_: False)
        return fold(pack, graph).as_data()


def test_remembering_answers_changes_nothing_but_the_time(monkeypatch):
    for seed in range(12):
        graph = Graph(everything(work_apart(seed, 40)))
        assert fold(PACK, graph).as_data() == plainly(monkeypatch, PACK, graph)


def test_remembering_a_job_done_over_and_over_changes_nothing_but_the_time(monkeypatch):
    _, _, pack = job_of(DEMO / "brack-genset-12.yaml", "timing-belt")
    phone, other = Device("a"), Device("b")
    ready = prepared(pack)
    steps = [step for step in pack["plan"]["steps"] if step["kind"] != "block"]
    for turn in range(4):
        for number, step in enumerate(steps):
            values = {} if (turn + number) % 9 == 0 else dict(EVERYTHING)
            phone.write(type="done", action=step["action"], object=step["object"], values=values)
        other.hear(phone)
        other.write(type="done", action="lose-count", object="front-cover-bolts")
        phone.hear(other)
    graph = Graph(phone.holds)
    assert fold(pack, graph, ready=ready).as_data() == plainly(monkeypatch, pack, graph)
    assert fold(pack, graph, ready=ready).as_data() == fold(pack, graph).as_data()


# Anything at all

plain = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.sampled_from(["", "in", "out", "made", "cover", "1", "a1", "dropped", "size table", "2.5"])
    | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=6,
)
KEYS = [
    "pieces", "count", "stage", "way", "how", "what", "kind", "figure", "looked", "looked_at",
    "settles", "stands", "items", "reason", "limit", "person", "may_leave", "duty", "corrects",
    "instead", "answered", "purpose", "reading", "at_most", "at_least", "within", "arrived", "for",
    "evidence", "part", "name", "role", "holds", "lengths", "state", "source", "tightness",
    "litres in", "litres out", "setting", "piece", "changed", "done", "mark",
]  # fmt: skip
values = st.dictionaries(st.sampled_from(KEYS), plain, max_size=5)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(sorted(EVENT_TYPES)),
            st.sampled_from(
                [None, "cover", "crank-bolt", "crankshaft", "coolant", "n-a-1", "belt/trial-turn"]
            ),
            st.sampled_from(
                [None, "undo", "make", "turn", "drain", "crank", "lowering", "cranking", "x"]
            ),
            values,
        ),
        max_size=8,
    ),
    st.booleans(),
)
def test_whatever_is_written_is_taken_and_answered_in_plain_data(written, described):
    bench = Bench()
    for type_, object_, action, said in written:
        bench.say(type_, object_, said, action=action)
    pack = PACK if described else nobody()
    before = deepcopy(pack)
    state = fold(pack, bench.history)
    answers = [state.as_data(), outstanding(state), registers(state)]
    answers += [gate(state, each, "to start", "cover", 0) for each in state.book["gates"]]
    assert_plain(answers)
    assert pack == before


def assert_plain(value) -> None:
    assert json.loads(json.dumps(value)) == value

    def floats(each) -> bool:
        if isinstance(each, dict):
            return any(floats(v) for v in each.values())
        if isinstance(each, list):
            return any(floats(v) for v in each)
        return isinstance(each, float)

    assert not floats(value)
