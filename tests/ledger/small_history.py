"""Events of a small job, written by several hands, with who knew of what: for the fold's tests."""

from __future__ import annotations

from typing import Any

MINUTE = 60_000


class SmallHistory:
    """Events as the fold reads them, their causes closed by brute force."""

    def __init__(self) -> None:
        self.order: list[str] = []
        self.events: dict[str, dict[str, Any]] = {}
        self.forks: list[dict[str, Any]] = []
        self.gaps: list[dict[str, Any]] = []
        self.unknown: list[str] = []
        self.known: dict[str, set[str]] = {}
        self.reach = self

    def reaches(self, earlier: str, later: str) -> bool:
        return earlier in self.known.get(later, set())

    def place(self, id_: str) -> tuple[int, int]:
        """Give a chain of its own to every event: nothing is taken to follow from anything."""
        return self.order.index(id_), 0

    def last_known(self, id_: str, chain: int) -> int:
        return 0 if self.order[chain] in self.known[id_] else -1


class Bench:
    """Writes events: each device knows what it wrote and what it was told of."""

    def __init__(self) -> None:
        self.history = SmallHistory()
        self.now = 1_700_000_000_000
        self.told: dict[str, set[str]] = {}
        self.apart = False

    def say(
        self,
        type_: str,
        object_: str | None = None,
        values: dict[str, Any] | None = None,
        *,
        action: str | None = None,
        by: str = "a",
        person: str | None = None,
        photos: tuple[str, ...] = (),
        note: str | None = None,
    ) -> str:
        """Write an event; give its id."""
        history = self.history
        known = self.told.setdefault(by, set())
        if not self.apart:
            known |= set(history.order)
        number = sum(each["device"] == by for each in history.events.values()) + 1
        id_ = f"{by}{number}"
        self.now += 1000
        history.events[id_] = {
            "v": 1,
            "type": type_,
            "job": "job",
            "device": by,
            "seq": number,
            "prev": None,
            "seen": [],
            "person": person or {"a": "ann", "b": "bob", "c": "cy"}.get(by, by),
            "clock": [self.now, 0],
            "wall": self.now,
            "action": action,
            "object": object_,
            "values": values or {},
            "photos": list(photos),
            "note": note,
            "pack": None,
        }
        history.order.append(id_)
        history.known[id_] = set(known)
        known.add(id_)
        return id_

    def do(self, action: str, object_: str | None = None, /, by: str = "a", **values: Any) -> str:
        """Record an action of the rule book; underscores stand for spaces in evidence."""
        said = {key.replace("_", " "): value for key, value in values.items()}
        photos = tuple(said.pop("photos", ()))
        return self.say("done", object_, said, action=action, by=by, photos=photos)

    def whole(self, action: str, object_: str, /, by: str = "a", **values: Any) -> str:
        """Record an action with everything that may be asked of it, its photo at hand."""
        said = {**EVERYTHING, **{k.replace("_", " "): v for k, v in values.items()}}
        id_ = self.say("done", object_, said, action=action, by=by, photos=("marks",))
        self.say("photo", None, {"arrived": ["marks"]}, by=by)
        return id_


EVERYTHING = {
    "stage": "1",
    "wrench": "W3",
    "new fasteners": "MQ-104",
    "litres out": "3.5",
    "litres in": "3.5",
    "level": "on the mark, cold",
    "turns": "2",
    "marks meet": "yes",
    "locks out": "2",
    "who may": "ann",
    "proof of safe": "pressed, nothing happens",
    "setting": "12 N·m held, pointer mid",
    "how": "by feel",
}
