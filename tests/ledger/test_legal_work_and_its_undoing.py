"""Double entry: what is disturbed is outstanding until it is back at rest and proved."""

from __future__ import annotations

from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.legal_walks import Walk
from tests.ledger.packs import DEMO, dunlin, job_of
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate
from witnessmark.ledger.outstanding import outstanding
from witnessmark.procedure.book import kind_of, rest_of
from witnessmark.procedure.standing import state_of

MARKS = ("marks",)

MACHINES = {
    "small engine": dunlin(),
    "compressor": job_of(DEMO / "tarn-two-stage.yaml", "valve-plates")[2],
    "generator set": job_of(DEMO / "brack-genset-12.yaml", "injection-pump")[2],
}


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(MACHINES)), st.integers(0, 2**32), st.integers(1, 40))
def test_any_legal_sequence_followed_by_its_undoing_leaves_nothing_outstanding(
    machine, seed, steps
):
    pack = MACHINES[machine]
    walk = Walk(pack, Random(seed))
    for _ in range(steps):
        walk.step()
    walk.undo()
    state = fold(pack, walk.bench.history, MARKS)
    assert outstanding(state) == [item for item in outstanding(state) if item["kind"] == "renew"], (
        "only a crushed gasket may be wanted still"
    )
    for item in outstanding(state):
        walk.bench.say("renewed", item["object"], {"part": "new"})
    state = fold(pack, walk.bench.history, MARKS)
    assert outstanding(state) == []
    assert gate(state, "cranking", "to start")["clear"]


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(MACHINES)), st.integers(0, 2**32), st.integers(1, 30))
def test_what_is_outstanding_in_legal_work_is_what_is_not_at_rest(machine, seed, steps):
    pack = MACHINES[machine]
    walk = Walk(pack, Random(seed))
    for _ in range(steps):
        walk.step()
    state = fold(pack, walk.bench.history, MARKS)
    assert state.rows["flags"] == []
    items = [item for item in outstanding(state) if item["kind"] != "renew"]
    assert {item["kind"] for item in items} <= {"open"}
    assert {item["object"] for item in items} == set(walk.not_at_rest())


def test_walks_reach_every_state_of_the_semantics():
    pack = dunlin()
    reached = set()
    for seed in range(40):
        walk = Walk(pack, Random(seed))
        for _ in range(45):
            walk.step()
        walk.undo()
        reached |= walk.reached
    assert reached == {
        (kind["id"], state["id"]) for kind in pack["rules"]["kinds"] for state in kind["states"]
    }


# A tally kept by hand of everything else on the list, beside the state of every object.


class Tally:
    """What a person with paper and pencil would still have open."""

    def __init__(self, pack, seed: int) -> None:
        self.walk = Walk(pack, Random(seed))
        self.random = Random(seed + 1)
        self.put: dict[str, int] = {}
        self.dropped: dict[str, int] = {}
        self.troubles: list[str] = []
        self.readings: list[str] = []
        self.photos: list[str] = []
        self.flags: list[str] = []
        self.stopped: list[str] | None = None
        self.steps: list[str] = []

    def turn(self) -> None:
        choices = [self.work, self.work, self.work, self.tool, self.drop, self.trouble, self.read,
                   self.photograph, self.slip, self.stop]  # fmt: skip
        self.random.choice(choices)()

    def say(self, type_, object_=None, values=None, **more) -> str:
        return self.walk.bench.say(type_, object_, values, **more)

    def work(self) -> None:
        if self.stopped is None:
            done = self.walk.step()
            if done is not None:
                self.steps.append(done)

    def tool(self) -> None:
        what = self.random.choice(["rag", "mirror"])
        back = self.put.get(what, 0) > 0 and self.random.random() < 0.6
        self.put[what] = self.put.get(what, 0) + (-1 if back else 1)
        self.say("put", None, {"what": what, "how": "out" if back else "in"})

    def drop(self) -> None:
        found = self.dropped.get("clip", 0) > 0 and self.random.random() < 0.6
        self.dropped["clip"] = self.dropped.get("clip", 0) + (-1 if found else 1)
        self.say("put", None, {"what": "clip", "how": "found" if found else "dropped"})

    def _or_settle(self, list_: list[str]) -> bool:
        if list_ and self.random.random() < 0.6:
            self.say("settle", None, {"settles": [list_.pop()]})
            return True
        return False

    def trouble(self) -> None:
        if not self._or_settle(self.troubles):
            self.troubles.append(self.say("trouble", "cover", {"kind": "seized"}))

    def read(self) -> None:
        if not self._or_settle(self.readings):
            high = self.random.random() < 0.5
            reading = "2.5" if high else "1.5"
            values = {"what": "run-out", "reading": reading, "at_most": "1.59"}
            id_ = self.say("measured", "crank-pulley", values)
            self.readings += [id_] if high else []

    def photograph(self) -> None:
        if self.photos and self.random.random() < 0.6:
            self.say("photo", None, {"arrived": [self.photos.pop()]})
        else:
            name = f"photo{len(self.walk.bench.history.order)}"
            self.say("photo", None, {}, photos=(name,))
            self.photos.append(name)

    def slip(self) -> None:
        """Record something the book does not know."""
        if not self._or_settle(self.flags):
            self.flags.append(self.say("gate", None, {}, action="no such gate"))

    def stop(self) -> None:
        if self.stopped is None:
            self.say("stopped")
            self.stopped = self.steps[-3:]
        else:
            looked = [
                {"event": e, "stands": "as recorded", "by": "paint marks"} for e in self.stopped
            ]
            self.say("returned", None, {"looked": looked})
            self.stopped = None

    def is_clear(self) -> bool:
        counts = [*self.put.values(), *self.dropped.values()]
        lists = [self.troubles, self.readings, self.photos, self.flags, self.walk.not_at_rest()]
        return not any(counts) and not any(lists) and self.stopped is None


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32), st.integers(0, 25), st.booleans())
def test_nothing_is_outstanding_exactly_when_a_tally_by_hand_has_nothing_open(seed, turns, tidy):
    pack = dunlin()
    tally = Tally(pack, seed)
    for _ in range(turns):
        tally.turn()
    if tidy:
        while tally.stopped is not None:
            tally.stop()
        tally.walk.undo()
        for what, count in tally.put.items():
            for _ in range(count):
                tally.say("put", None, {"what": what, "how": "out"})
            tally.put[what] = 0
        for what, count in tally.dropped.items():
            for _ in range(count):
                tally.say("put", None, {"what": what, "how": "found"})
            tally.dropped[what] = 0
    state = fold(pack, tally.walk.bench.history, MARKS)
    items = [item for item in outstanding(state) if item["kind"] != "renew"]
    assert (items == []) == tally.is_clear(), items


def test_a_filled_circuit_in_a_duty_is_no_more_outstanding_and_a_drained_one_is():
    pack = dunlin()
    walk = Walk(pack, Random(0))
    walk.do("drain", "fuel", {})
    duty = {"limit": "1 day", "person": "bob", "may_leave": True}
    walk.bench.say("duty", "fuel", duty)
    state = fold(pack, walk.bench.history, MARKS)
    assert [item["kind"] for item in outstanding(state)] == ["open", "flag"]
    walk.do("fill", "fuel", {})
    walk.bench.say("duty", "fuel", duty)
    state = fold(pack, walk.bench.history, MARKS)
    assert [item["kind"] for item in outstanding(state)] == ["flag"]
    walk.do("drain", "fuel", {})
    state = fold(pack, walk.bench.history, MARKS)
    assert [item["kind"] for item in outstanding(state)] == ["open", "flag"]


def test_every_object_of_the_small_engine_starts_at_rest():
    pack = dunlin()
    walk = Walk(pack, Random(0))
    for each in walk.book["objects"]:
        kind = kind_of(walk.book, each)
        assert state_of(walk.book, walk.standing, each) == rest_of(walk.book, kind)
