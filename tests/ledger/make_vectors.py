"""Make the generated vectors: random jobs, and what the rules answer to them.

Run as `python -m tests.ledger.make_vectors` when the rule book or an answer has changed on
purpose; everything follows from the seed. Most acts are legal as things stand, some are not;
devices hear each other or do not, fork and lose entries; what is said has odd shapes too.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

from tests.ledger.devices import event_of
from tests.ledger.short_words import photo
from tests.ledger.vector_files import Data, answer, labelled, packs, write_file
from witnessmark.ledger.clock import latest_of, tick
from witnessmark.ledger.event_types import EVENT_TYPES
from witnessmark.ledger.events import event_id
from witnessmark.procedure.book import read_book
from witnessmark.procedure.interpreter import act
from witnessmark.procedure.standing import moved, state_of

SEED = 58
COUNT = 2_050
START = 1_700_000_000_000
DEVICES = {"phone-1": "ann", "phone-2": "bob", "tablet": "cas"}
ODD: list[Any] = [None, True, 0, -7, "", "late", [], ["1", 2, None], {"way": "x"}, {"what": []}]
DECIMALS = ["0", "1.5", "-0.25", "3.8", "7.", "12.3456", "1e3", "x", "0.000001", 4]


class _Job:
    """One random job on a pack."""

    def __init__(self, pack: Data, seed: random.Random) -> None:
        self.pack = pack
        self.seed = seed
        self.book = read_book(pack["rules"], pack["tables"], pack["objects"])
        self.standing: Data = {"at": {}, "pieces": {}, "old": {}}
        self.events: dict[str, Data] = {}
        self.last: dict[str, str] = {}
        self.heard: dict[str, dict[str, str]] = {device: {} for device in DEVICES}
        self.objects = list(pack["objects"])
        self.wall = START
        self.photos: list[str] = []

    def run(self, steps: int) -> None:
        """Write events."""
        devices = self.seed.sample(list(DEVICES), self.seed.choice([1, 1, 2, 2, 3]))
        deaf = self.seed.choice([0.0, 0.3, 0.5, 1.0])
        for _ in range(steps):
            device = self.seed.choice(devices)
            if self.seed.random() >= deaf:
                self.heard[device] = {k: v for k, v in self.last.items() if k != device}
            self._write(device, self._said(device))

    def _write(self, device: str, said: Data) -> None:
        prev = self.last.get(device)
        seq = self.events[prev]["seq"] + 1 if prev else 1
        forked = prev is not None and self.seed.random() < 0.015
        if forked and prev:
            seq, prev = self.events[prev]["seq"], self.events[prev]["prev"]
        heard = self.heard[device]
        self.wall += self.seed.choice([1_000, 60_000, 60_000, 3_600_000, -86_400_000])
        known = [tuple(self.events[each]["clock"]) for each in (prev, *heard.values()) if each]
        placed: Data = {
            "device": device,
            "seq": seq,
            "prev": prev,
            "seen": sorted(heard.values()),
            "person": self.seed.choice([DEVICES[device], DEVICES[device], "dee"]),
            "clock": list(tick(latest_of(known), max(self.wall, 0))),  # type: ignore[arg-type]
            "wall": self.wall,
        }
        event = event_of(**placed) | said
        id_ = event_id(event)
        self.events[id_] = event
        if not forked:
            self.last[device] = id_

    # What is said

    def _said(self, device: str) -> Data:
        if device not in self.last:
            return {"type": "begin", "pack": photo("pack")}
        drawn = self.seed.random()
        if drawn < 0.07 and self.objects:
            return self._crossing()
        if drawn < 0.11 and self.objects:
            return self._litres()
        if drawn < 0.66 and self.objects:
            return self._legal()
        if drawn < 0.74:
            return self._any_action()
        makers = [
            self._trouble, self._block, self._stopped, self._returned, self._gate, self._look,
            self._correct, self._settle, self._exception, self._duty, self._noted, self._noted,
            self._put, self._put, self._found, self._look, self._measured, self._renewed,
            self._photo, self._closing, self._strange, self._returned,
        ]  # fmt: skip
        said = self.seed.choice(makers)()
        if self.seed.random() < 0.08 and said["type"] in EVENT_TYPES:
            said["values"] = {**said.get("values", {}), self._word(): self.seed.choice(ODD)}
        return said

    def _word(self) -> str:
        return self.seed.choice(
            ["pieces", "count", "stage", "kind", "what", "how", "looked", "settles", "stands",
             "items", "figure", "reading", "at_most", "part", "corrects", "instead", "evidence",
             "answered", "reason", "purpose", "way", "state", "arrived", "for", "limit"]
        )  # fmt: skip

    def _here(self, object_: str) -> str:
        pieces = self.standing["pieces"].get(object_)
        if pieces and self.seed.random() < 0.7:
            return str(self.seed.choice(list(pieces.values())))
        return state_of(self.book, self.standing, object_)

    def _legal(self) -> Data:
        """Do something that may be done from where an object stands."""
        object_ = self.seed.choice(self.objects)
        if self.seed.random() < 0.5:
            moved_ = [*self.standing["at"], *self.standing["pieces"]]
            object_ = self.seed.choice(moved_) if moved_ else object_
        angled = [o for o in self.objects if self.book["objects"][o]["angled"]]
        if angled and self.seed.random() < 0.12:
            object_ = self.seed.choice(angled)
        row, here = self.book["objects"][object_], self._here(object_)
        fits = [
            a
            for a in self.pack["rules"]["actions"]
            if a["kind"] == row["kind"] and here in a["sources"]
        ]
        return self._done(self.seed.choice(fits), object_)

    def _crossing(self) -> Data:
        """Do one of the acts that rules of their own stand against: start dry, prove blind."""
        named = [
            "start",
            "start",
            "crank",
            "set-to-marks",
            "prove",
            "turn",
            "drain",
            "take-off",
            "put-in",
        ]
        rows = {row["id"]: row for row in self.pack["rules"]["actions"]}
        action = rows[self.seed.choice(named)]
        fits = [o for o in self.objects if self.book["objects"][o]["kind"] == action["kind"]]
        return self._done(action, self.seed.choice(fits) if fits else None)

    def _litres(self) -> Data:
        """Drain a circuit, or fill it again with as much, about as much, or clearly less."""
        circuits = [o for o in self.objects if self.book["objects"][o]["kind"] == "circuit"]
        object_ = self.seed.choice(circuits)
        filling = self.standing["at"].get(object_) == "drained"
        rows = {row["id"]: row for row in self.pack["rules"]["actions"]}
        names = ["fill", "fill-and-bleed"] if filling else ["drain"]
        said = self._done(rows[self.seed.choice(names)], object_)
        amount = self.seed.choice(["4", "4.0", "3.6", "3.599999", "2", "0.5"])
        said["values"]["litres in" if filling else "litres out"] = amount
        return said

    def _any_action(self) -> Data:
        action = self.seed.choice(self.pack["rules"]["actions"])
        fits = [o for o in self.objects if self.book["objects"][o]["kind"] == action["kind"]]
        object_ = self.seed.choice([*fits, *fits, *self.objects[:1], "lost-thing", None])
        return self._done(action, object_ if action["kind"] != "machine" else None)

    def _done(self, action: Data, object_: str | None) -> Data:
        values: Data = {}
        photos = []
        asked = [e for list_ in ("evidence", "critical_evidence", "renewal_evidence",
                                 "setting_evidence") for e in action[list_]]  # fmt: skip
        given = self.seed.choice([0.0, 0.7, 1.0])
        for each in asked:
            if self.seed.random() >= given:
                continue
            if each == "photo of the marks":
                photos.append(self._a_photo())
            elif self.seed.random() < 0.2:
                values.setdefault("evidence", {})[each] = self._told(each)
            else:
                values[each] = self._told(each)
        if self.seed.random() < 0.05:
            values["to_be_seen"] = self.seed.choice([True, True, True, "yes"])
        row = self.book["objects"].get(object_)
        pieces = [piece["id"] for piece in row["pieces"]] if row else []
        if pieces and self.seed.random() < 0.35:
            values["pieces"] = self.seed.sample(pieces, self.seed.randint(1, len(pieces)))
        elif pieces and self.seed.random() < 0.2:
            values["count"] = self.seed.randint(0, len(pieces) + 1)
        if self.seed.random() < 0.04:
            values[self._word()] = self.seed.choice(ODD)
        outcome = act(self.book, self.standing, action["id"], object_, values)
        self.standing = moved(self.book, self.standing, outcome["moves"])
        said = {"type": "done", "action": action["id"], "object": object_, "values": values}
        return {**said, "photos": photos}

    def _told(self, evidence: str) -> Any:
        if evidence.startswith("litres"):
            return self.seed.choice(DECIMALS)
        if evidence == "stage":
            return self.seed.choice(["1", "2", "final", 1])
        return f"{evidence}, as seen"

    def _a_photo(self) -> str:
        self.photos.append(photo(f"photo {len(self.photos)}"))
        return self.photos[-1]

    def _object(self) -> str | None:
        noted = [e["object"] for e in self.events.values() if e["type"] == "noted"]
        return self.seed.choice([*self.objects, *noted, *noted, None, "lost-thing"])

    def _an_event(self, *types: str) -> str:
        fits = [id_ for id_, e in self.events.items() if not types or e["type"] in types]
        return self.seed.choice([*fits[-6:], photo("no event")])

    def _trouble(self) -> Data:
        kind = self.seed.choice(["seized", "sheared", "rounded", "perished", "missing"])
        values = self.seed.choice([{"kind": kind}, {}])
        return {"type": "trouble", "action": kind, "object": self._object(), "values": values}

    def _block(self) -> Data:
        block = self.seed.choice([*self.pack["blocks"], "belt/no-such-step"])
        values = self.seed.choice([{}, {"reading": "1.2", "within": True}, {"within": False}])
        return {"type": "block", "object": block, "values": values}

    def _stopped(self) -> Data:
        return {"type": "stopped"}

    def _returned(self) -> Data:
        steps = [id_ for id_, e in self.events.items() if e["type"] in {"done", "block"}]
        looked = [
            {"event": each, "stands": self.seed.choice(["as recorded", "as recorded", "unknown"]),
             "by": self.seed.choice(["paint marks", None])}
            for each in steps[-self.seed.randint(0, 4):]
        ]  # fmt: skip
        return {"type": "returned", "values": {"looked": looked}}

    def _gate(self) -> Data:
        row = self.seed.choice(self.pack["rules"]["gates"])
        values: Data = {"purpose": self.seed.choice([*row["purposes"], None])}
        if self.seed.random() < 0.6:
            values["answered"] = self.seed.choice([row["asks"], dict.fromkeys(row["asks"], "yes")])
        if self.seed.random() < 0.5:
            values["reason"] = "agreed with the customer"
        gate = self.seed.choice([row["id"]] * 9 + ["no-such-gate"])
        return {"type": "gate", "action": gate, "object": self._of_gate(row), "values": values}

    def _of_gate(self, row: Data) -> str | None:
        kinds = {"turning-by-hand": "shaft", "covering": "part", "opening-pressure": "circuit"}
        kind = kinds.get(row["id"])
        fits = [o for o in self.objects if self.book["objects"][o]["kind"] == kind]
        return self.seed.choice([*fits, *fits, None]) if fits else None

    def _look(self) -> Data:
        named: Any = self.seed.choice(["the marks", "", [self._an_event("done")]])
        marked = [id_ for id_, e in self.events.items() if e["values"].get("to_be_seen") is True]
        if marked and self.seed.random() < 0.6:
            named = marked[-2:]
        photos = [self._a_photo()] if self.seed.random() < 0.5 else []
        values = {"looked_at": named}
        return {"type": "look", "object": self._object(), "values": values, "photos": photos}

    def _correct(self) -> Data:
        fields = [
            None,
            None,
            {"object": self._object()},
            {"values": {"stage": "2"}},
            {"action": "take-out"},
        ]
        values = {
            "corrects": self._an_event("done", "correct", "put"),
            "instead": self.seed.choice(fields),
        }
        return {"type": "correct", "values": values}

    def _settle(self) -> Data:
        object_ = self._object()
        row = self.book["objects"].get(object_)
        states = [s["id"] for k in self.pack["rules"]["kinds"] if row and k["id"] == row["kind"]
                  for s in k["states"]]  # fmt: skip
        values: Data = {"settles": [self._an_event() for _ in range(self.seed.randint(0, 2))]}
        if self.seed.random() < 0.7:
            values["stands"] = self.seed.choice([*states, "half-way"])
        return {"type": "settle", "object": object_, "values": values}

    def _exception(self) -> Data:
        object_ = self._object()
        items = [f"open:{object_}:{state}" for state in ("out", "off", "in", "slack", "drained")]
        values: Data = {"items": self.seed.choice([items, items[:1], "all"])}
        if self.seed.random() < 0.8:
            values["reason"] = "the customer waits"
        return {"type": "exception", "object": object_, "values": values}

    def _duty(self) -> Data:
        duty = self.seed.choice([*self.pack["duties"], None, "look again"])
        values: Data = {"duty": duty, "limit": self.seed.choice(["1 day", None]), "person": "bob",
                        "may_leave": self.seed.random() < 0.5,
                        "done": self.seed.choice([True, False, None])}  # fmt: skip
        circuits = [o for o in self.objects if self.book["objects"][o]["kind"] == "circuit"]
        object_ = self.seed.choice([*circuits, self._object()])
        return {"type": "duty", "object": object_, "values": values}

    def _noted(self) -> Data:
        noted = [e["object"] for e in self.events.values() if e["type"] == "noted"]
        if noted and self.seed.random() < 0.4:
            values = self.seed.choice(
                [{"how": "by feel"}, {"tightness": "9 N·m", "source": "plate"}, {"state": "made"},
                 {"figure": {"from": "size table", "is": "9 N·m"}}, {"state": "off"}, {"how": None}]
            )  # fmt: skip
            return {"type": "noted", "object": self.seed.choice(noted), "values": values}
        kind, state = self.seed.choice(
            [("part", "off"), ("part", "moved"), ("joint", "out"), ("joint", "slack"),
             ("lock", "in"), ("circuit", "drained"), ("temporary", "fitted"),
             ("make-safe", "safe"), ("shaft", "free"), ("engine", "off")]
        )  # fmt: skip
        values = {"kind": kind, "name": f"noted {kind}", "state": state}
        if kind == "joint":
            values |= {"count": self.seed.choice([1, 2, 11, 0, 900]),
                       "lengths": self.seed.choice([["20", "35"], []]),
                       "role": self.seed.choice(["wheel", "cover", None]),
                       "single_use": self.seed.random() < 0.3}  # fmt: skip
        if noted and self.seed.random() < 0.5:
            values["holds"] = [self.seed.choice(noted)]
        return {"type": "noted", "object": f"n-x-{len(self.events)}", "values": values}

    def _put(self) -> Data:
        before = [e["values"] for e in self.events.values() if e["type"] == "put"]
        if before and self.seed.random() < 0.5:
            back = {"in": "out", "dropped": "found", "out": "in", "found": "dropped"}
            last = before[-1]
            return {"type": "put", "values": {**last, "how": back.get(last.get("how"), "in")}}
        values = {
            "what": self.seed.choice(["rag", "lamp", "M6 bolt", "7", None]),
            "how": self.seed.choice(["in", "in", "out", "dropped", "found", "lent"]),
            "kind": self.seed.choice([None, "tool", "rag", "support", "cap", "fastener", "hat"]),
        }
        return {"type": "put", "values": values}

    def _found(self) -> Data:
        values = {"what": self.seed.choice(["missing", "wrong length", "repaired", 3])}
        values |= self.seed.choice([{}, {"pieces": ["1"]}, {"piece": "2"}])
        return {"type": "found", "object": self._object(), "values": values}

    def _measured(self) -> Data:
        limits = {
            "at_most": self.seed.choice([None, *DECIMALS]),
            "at_least": self.seed.choice([None, *DECIMALS]),
        }
        values = {"what": "depth", "reading": self.seed.choice(DECIMALS), "unit": "mm", **limits}
        return {"type": "measured", "object": self._object(), "values": values}

    def _renewed(self) -> Data:
        object_ = self._object() or "lost-thing"
        values = self.seed.choice([{"part": "DU-1"}, {}])
        return {"type": "renewed", "object": object_, "values": values}

    def _photo(self) -> Data:
        arrived = [self.seed.choice(self.photos)] if self.photos else ["x"]
        values: Data = {"arrived": arrived}
        photos = []
        if self.seed.random() < 0.4:
            values |= {
                "for": self._an_event("done"),
                "evidence": self.seed.choice(["stage", "level"]),
            }
            photos = [self._a_photo()]
        return {"type": "photo", "values": values, "photos": photos}

    def _closing(self) -> Data:
        said = self.seed.choice(["closed", "reopened", "rebase"])
        return {"type": said, "pack": photo("pack 2") if said == "rebase" else None,
                "values": {"changed": ["belt"]} if said == "rebase" else {}}  # fmt: skip

    def _strange(self) -> Data:
        if self.seed.random() < 0.7:
            return self._stopped()
        return self.seed.choice([{"type": "hologram"}, {"type": "stopped", "v": 7}])


def _times(job: _Job) -> Iterator[int]:
    """Give times at which to ask: the end of each wait, just before it, and long after all."""
    yield job.wall + 36_000_000
    for event in job.events.values():
        row = job.book["objects"].get(event["object"])
        for wait in row["waits"].values() if row else ():
            until = event["wall"] + max(wait["strip"], wait["refit"]) * 6_000
            yield from (until, until - 1)


def _asks(pack: Data, seed: random.Random, job: _Job) -> Iterator[list[str | None]]:
    for row in seed.sample(pack["rules"]["gates"], 4):
        yield [row["id"], seed.choice([*row["purposes"], None]), job._of_gate(row)]


def vectors(made: dict[str, Data], count: int = COUNT, seed: int = SEED) -> Iterator[Data]:
    """Give random vectors with what is answered, ids written as numbers."""
    for number in range(count):
        drawn = random.Random(f"{seed} {number}")
        name = drawn.choice(["dunlin", "dunlin", "dunlin", "dunlin", "nobody"])
        job = _Job(made[name], drawn)
        job.run(drawn.choice([2, 4, 6, 9, 13]))
        events = list(job.events.values())
        if len(events) > 2 and drawn.random() < 0.06:
            events.remove(drawn.choice(events[:-1]))
        vector = {
            "pack": name,
            "events": events,
            "held": sorted(each for each in job.photos if drawn.random() < 0.5),
            "now": drawn.choice([None, START, *_times(job), *_times(job)]),
            "asks": list(_asks(made[name], drawn, job)),
        }
        yield {**vector, "expected": answer(made[name], vector)}


def main() -> None:
    """Write the file."""
    made = packs()
    write_file({"packs": made, "vectors": [labelled(each) for each in vectors(made)]})


if __name__ == "__main__":
    main()
