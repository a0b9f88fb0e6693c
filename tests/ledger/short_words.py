"""Vectors written by hand: a few short words for what was done, and for what must follow.

A line under `do` is `DEVICE WHAT OBJECT {values}`. WHAT is an action of the rule book or a
type of event. `+all` at its end gives all evidence the action asks for. `@name` before a line
names its event, `$name` in values means that event. `apart` lets devices write without
hearing each other, `meet` ends that, `wait 3 days` moves the clocks, and `fork @name` before
a line writes it under the number of that event again. Photos are named by words. A case's
`now` is what the clock says when it is asked: `name + 44 min` after a named event.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Any

import yaml

from tests.ledger.devices import event_of
from tests.ledger.vector_files import HERE, answer
from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.ledger.clock import latest_of, tick
from witnessmark.ledger.event_types import EVENT_TYPES
from witnessmark.ledger.events import event_id

Data = dict[str, Any]

BY_HAND = HERE / "by_hand"
START = 1_700_000_000_000
PEOPLE = {"a": "ann", "b": "bob", "c": "cas"}
_MINUTES = {"min": 1, "h": 60, "day": 1440, "days": 1440}
_LINE = re.compile(
    r"(?:fork @(?P<fork>\w+) )?(?:@(?P<name>\w+) )?(?P<device>[abc]) (?P<what>[a-z-]+)"
    r"(?: (?P<words>[^{+]*?))?(?: (?P<values>\{.*\}))?(?P<all> \+all)?"
)


class _Words(yaml.SafeLoader):
    """YAML in which `on` and `off` are words, as they are in a workshop."""


_Words.yaml_implicit_resolvers = {
    first: [(tag, rule) for tag, rule in rules if tag != "tag:yaml.org,2002:bool" or first in "tf"]
    for first, rules in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def cases() -> list[Data]:
    """Read every case written by hand."""
    found: list[Data] = []
    for path in sorted(BY_HAND.glob("*.yaml")):
        found += [{"file": path.name, **case} for case in _read(path)]
    return found


def _read(path: Path) -> list[Data]:
    return list(yaml.load(path.read_text(encoding="utf-8"), _Words))  # noqa: S506 - a safe loader


def photo(name: str) -> str:
    """Give the digest that stands for a photo."""
    return hashlib.sha256(name.encode()).hexdigest()


def vector_of(case: Data, packs: dict[str, Data]) -> tuple[Data, dict[str, str]]:
    """Give a case as a vector, and the ids of the events it names."""
    job = _Job(packs[case.get("pack", "dunlin")])
    for line in case["do"].splitlines():
        job.read(line.strip())
    dropped = {job.named[name] for name in case.get("drop", ())}
    events = [event for id_, event in job.events.items() if id_ not in dropped]
    vector = {
        "pack": case.get("pack", "dunlin"),
        "events": events * 2 if case.get("twice") else events,
        "held": sorted(job.held),
        "now": job.time(case.get("now")),
        "asks": [_asked(name, job.pack) for name in gates_named(case["then"])],
    }
    return vector, job.named


def gates_named(then: Data) -> list[str]:
    """Give the gates that the expectations speak of, each once."""
    named: list[str] = []
    for key in ("gate", "not gate", "passes", "impassable", "passable", "shut", "asks"):
        named += [name for name in then.get(key, ()) if name not in named]
    return named


def _asked(name: str, pack: Data) -> list[str | None]:
    gate, _, object_ = name.partition(" of ")
    row = next((r for r in pack["rules"]["gates"] if gate.startswith(r["id"])), None)
    assert row is not None, f"no gate is called '{gate}'"
    purpose = gate.removeprefix(row["id"]).strip()
    return [row["id"], purpose or None, object_ or None]


class _Job:
    """A job being written down by up to three devices."""

    def __init__(self, pack: Data) -> None:
        self.pack = pack
        self.pack_digest = digest(canonical_bytes(pack))
        self.actions = {row["id"]: row for row in pack["rules"]["actions"]}
        self.events: dict[str, Data] = {}
        self.named: dict[str, str] = {}
        self.held: set[str] = set()
        self.last: dict[str, str] = {}
        self.heard: dict[str, dict[str, str]] = {device: {} for device in PEOPLE}
        self.apart = False
        self.wall = START

    def read(self, line: str) -> None:
        """Take one line."""
        if line in {"", "apart", "meet"}:
            self.apart = line == "apart" or (self.apart and line == "")
            self._hear(line)
            return
        if line.startswith("wait "):
            _, number, unit = line.split()
            self.wall += int(number) * _MINUTES[unit] * 60_000
            return
        found = _LINE.fullmatch(line)
        assert found is not None, f"cannot read '{line}'"
        self._write(found)

    def time(self, text: str | None) -> int | None:
        """Give the time that `name + 44 min` says: so long after the event of that name."""
        if text is None:
            return None
        name, _, number, unit = text.split()
        wall: int = self.events[self.named[name]]["wall"]
        return wall + int(number) * _MINUTES[unit] * 60_000

    def _hear(self, line: str) -> None:
        if line == "apart":
            for device in PEOPLE:
                self.heard[device] = {k: v for k, v in self.last.items() if k != device}

    def _write(self, found: re.Match[str]) -> None:
        device, what = found["device"], found["what"]
        words = (found["words"] or "").strip()
        version = 1
        if words.endswith(" v99"):
            words, version = words.removesuffix(" v99"), 99
        forked = self.events[self.named[found["fork"]]] if found["fork"] else None
        event = self._frame(device, forked) | {"v": version}
        values = self._values(found["values"])
        event |= self._said(what, words, values)
        if found["all"]:
            self._everything(event, self.actions[event["action"]])
        id_ = event_id(event)
        self.events[id_] = event
        if forked is None:
            self.last[device] = id_
        if found["name"]:
            self.named[found["name"]] = id_

    def _frame(self, device: str, forked: Data | None) -> Data:
        """Give the fields that place an event among others."""
        prev = self.last.get(device)
        seq = self.events[prev]["seq"] + 1 if prev else 1
        if forked is not None:
            prev, seq = forked["prev"], forked["seq"]
        others = {k: v for k, v in self.last.items() if k != device}
        seen = self.heard[device] if self.apart else others
        self.wall += 60_000
        known = [tuple(self.events[each]["clock"]) for each in (prev, *seen.values()) if each]
        clock = tick(latest_of(known), self.wall)  # type: ignore[arg-type]
        return event_of(
            device=device,
            seq=seq,
            prev=prev,
            seen=sorted(seen.values()),
            person=PEOPLE[device],
            clock=list(clock),
            wall=self.wall,
            pack=self.pack_digest if prev is None else None,
        )

    def _values(self, text: str | None) -> Data:
        values: Data = yaml.load(text, _Words) if text else {}  # noqa: S506
        for key, value in values.items():
            values[key] = self._resolved(value)
        return values

    def _resolved(self, value: Any) -> Any:
        if isinstance(value, str) and value.startswith("$"):
            return self.named[value[1:]]
        if isinstance(value, list):
            return [self._resolved(each) for each in value]
        if isinstance(value, dict):
            return {key: self._resolved(each) for key, each in value.items()}
        return value

    def _said(self, what: str, words: str, values: Data) -> Data:
        """Give the fields that say what was done."""
        photos = [photo(name) for name in values.pop("photos", [])]
        note = values.pop("note", None)
        object_ = words or None
        said = {"type": what, "object": object_, "values": values, "photos": photos, "note": note}
        if what == "except":
            said |= {"type": "exception", "object": None, "values": self._excepted(words, values)}
        elif what == "gate":
            gate, _, of = words.partition(" of ")
            row = next(r for r in self.pack["rules"]["gates"] if gate.startswith(r["id"]))
            purpose = gate.removeprefix(row["id"]).strip() or None
            heads = [*self.last.values()] if values.pop("seen", None) == "all" else []
            values |= {"answered": row["asks"], "purpose": purpose, "had_seen": sorted(heads)}
            said |= {"action": row["id"], "object": of or None}
        elif what == "trouble":
            said["action"] = values["kind"]
        elif what == "photo":
            values["arrived"] = [photo(name) for name in values["arrived"]]
        elif what not in EVENT_TYPES and what != "hologram":
            said |= {"type": "done", "action": what}
        return said

    def _excepted(self, words: str, values: Data) -> Data:
        kind, _, object_ = words.rpartition(" ")
        asked = {"events": [*self.events.values()], "held": self.held, "now": None, "asks": []}
        found = answer(self.pack, asked)["outstanding"]
        items = [i["id"] for i in found if i["kind"] == kind and i["object"] == object_]
        assert items, f"nothing like '{words}' is outstanding"
        return {**values, "items": items}

    def _everything(self, event: Data, action: Data) -> None:
        """Say all the evidence that an action may ask for."""
        asked = ("evidence", "critical_evidence", "renewal_evidence", "setting_evidence")
        for each in [e for list_ in asked for e in action[list_]]:
            if each == "photo of the marks":
                name = photo(f"marks of {event['object']}")
                event["photos"] = [*event["photos"], name]
                self.held.add(name)
            else:
                event["values"].setdefault(each, f"said: {each}")


# What must follow


def faults(then: Data, got: Data, named: dict[str, str], pack: Data, asks: list[Any]) -> list[str]:
    """Give every expectation that an answer does not keep, in words."""
    return list(_Look(then, got, named, pack, asks).faults())


class _Look:
    def __init__(
        self, then: Data, got: Data, named: dict[str, str], pack: Data, asks: list[Any]
    ) -> None:
        self.then = then
        self.got = got
        self.named = named
        self.kinds = {kind["id"]: kind["states"] for kind in pack["rules"]["kinds"]}
        self.objects = pack["objects"]
        names = gates_named(then)
        self.gates = dict(zip(names, got["gates"], strict=True))
        assert len(asks) == len(names)

    def faults(self) -> list[str]:
        """Look at each expectation."""
        found: list[str] = []
        for key, wanted in self.then.items():
            look = getattr(self, f"_{key.replace(' ', '_')}")
            found += [f"{key}: {each}" for each in look(wanted)]
        return found

    def _state(self, wanted: Data) -> list[str]:
        return [f"{o} is {self._at(o)}" for o, state in wanted.items() if self._at(o) != state]

    def _at(self, name: str) -> str:
        object_, _, piece = name.partition("/")
        row = self.got["state"]["objects"].get(object_)
        kind = self.objects[object_]["kind"] if object_ in self.objects else "joint"
        if row is None or (piece and piece not in row["cells"]):
            return str(self.kinds[kind][0]["id"])
        if not piece:
            return str(row["state"])
        depth = {state["id"]: state["depth"] for state in self.kinds["joint"]}
        return str(max((e["state"] for e in row["cells"][piece]), key=lambda state: depth[state]))

    def _matching(self, words: str) -> list[Data]:
        """Give the outstanding items that a few words mean: a kind, an object, or both."""
        items = self.got["outstanding"]
        kinds = [i for i in items if words == i["kind"] or words.startswith(f"{i['kind']} ")]
        object_ = words.rpartition(" ")[2]
        rest = [i for i in kinds if words in {i["kind"], f"{i['kind']} {i['object']}"}]
        return rest or ([i for i in items if i["object"] == object_] if " " not in words else [])

    def _outstanding(self, wanted: list[str]) -> list[str]:
        return [f"no '{each}'" for each in wanted if not self._matching(each)]

    def _settled(self, wanted: list[str]) -> list[str]:
        return [f"{self._matching(each)}" for each in wanted if self._matching(each)]

    def _clear(self, _: bool) -> list[str]:
        return [item["says"] for item in self.got["outstanding"]]

    def _conflict(self, wanted: list[str]) -> list[str]:
        standing = {object_ for object_, _ in self.got["state"]["conflicts"]}
        return [each for each in wanted if each not in standing]

    def _no_conflict(self, wanted: list[str]) -> list[str]:
        standing = {object_ for object_, _ in self.got["state"]["conflicts"]}
        return [each for each in wanted if each in standing]

    def _flags(self, name: str) -> list[str]:
        id_ = self.named[name]
        return [row["says"] for row in self.got["state"]["flags"] if row["event"] == id_]

    def _flagged(self, wanted: list[str]) -> list[str]:
        return [f"{each} is not flagged" for each in wanted if not self._flags(each)]

    def _unflagged(self, wanted: list[str]) -> list[str]:
        return [says for each in wanted for says in self._flags(each)]

    def _in_register(self, name: str, words: str) -> bool:
        return any(
            words == row["object"] or any(words in str(value) for value in row.values())
            for row in self.got["registers"].get(name, [])
        )

    def _register(self, wanted: Data) -> list[str]:
        return [
            f"'{words}' is not in '{name}'"
            for name, list_ in wanted.items()
            for words in list_
            if not self._in_register(name, words)
        ]

    def _not_register(self, wanted: Data) -> list[str]:
        return [
            f"'{words}' is in '{name}'"
            for name, list_ in wanted.items()
            for words in list_
            if self._in_register(name, words)
        ]

    def _names(self, gate: str, words: str) -> bool:
        return any(
            words == row["object"] or words in row["says"] for row in self.gates[gate]["open"]
        )

    def _gate(self, wanted: Data) -> list[str]:
        return [
            f"{gate} does not name {words}"
            for gate, list_ in wanted.items()
            for words in list_
            if not self._names(gate, words)
        ]

    def _not_gate(self, wanted: Data) -> list[str]:
        return [
            f"{gate} names {words}"
            for gate, list_ in wanted.items()
            for words in list_
            if self._names(gate, words)
        ]

    def _passes(self, wanted: list[str]) -> list[str]:
        return [f"{g}: {row['says']}" for g in wanted for row in self.gates[g]["open"]]

    def _shut(self, wanted: list[str]) -> list[str]:
        return [each for each in wanted if self.gates[each]["clear"]]

    def _impassable(self, wanted: list[str]) -> list[str]:
        return [each for each in wanted if self.gates[each]["passable"]]

    def _passable(self, wanted: list[str]) -> list[str]:
        return [each for each in wanted if not self.gates[each]["passable"]]

    def _asks(self, wanted: Data) -> list[str]:
        return [gate for gate, asks in wanted.items() if self.gates[gate]["asks"] != asks]

    def _gaps(self, wanted: bool) -> list[str]:
        return [f"{self.got['gaps']}"] if bool(self.got["gaps"]) != wanted else []

    def _forks(self, wanted: bool) -> list[str]:
        return [f"{self.got['forks']}"] if bool(self.got["forks"]) != wanted else []

    def _read_only(self, wanted: bool) -> list[str]:
        return [f"{self.got['unknown']}"] if bool(self.got["unknown"]) != wanted else []

    def _reopened(self, wanted: list[str]) -> list[str]:
        late = {item["since"] for item in self.got["outstanding"] if item["kind"] == "gate"}
        meant = {self.named[each] for each in wanted}
        return [] if late == meant else [f"{len(late)} reopened, {len(meant)} meant"]
