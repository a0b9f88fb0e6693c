"""Legal work on a machine, at random, and its undoing.

A walk does only what breaks no rule, with everything said that may be asked. Undoing takes
every object back to rest, by whatever action leads there and breaks no rule.
"""

from __future__ import annotations

from random import Random
from typing import Any

from tests.ledger.small_history import EVERYTHING, Bench
from witnessmark.procedure.book import depth_of, kind_of, piece_ids, read_book, rest_of
from witnessmark.procedure.interpreter import STILL, act
from witnessmark.procedure.standing import moved, piece_state, state_of


class Walk:
    """A machine being worked on, each action written down as an event."""

    def __init__(self, pack: dict[str, Any], random: Random) -> None:
        self.book = read_book(pack["rules"], pack["tables"], pack["objects"])
        self.standing: dict[str, Any] = {"at": {}, "pieces": {}, "old": {}}
        self.bench = Bench()
        self.random = random
        self.touched: list[str] = []
        self.reached: set[tuple[str, str]] = set()
        self.actions = [row for row in pack["rules"]["actions"] if row["kind"] != "machine"]
        self.objects: dict[str, list[str]] = {}
        for id_ in self.book["objects"]:
            self.objects.setdefault(kind_of(self.book, id_), []).append(id_)

    # One action

    def legal(self, action: str, object_: str, values: dict[str, Any]) -> bool:
        return not act(self.book, self.standing, action, object_, values)["broken"]

    def do(self, action: str, object_: str, values: dict[str, Any]) -> str:
        """Record an action with everything that may be asked of it."""
        outcome = act(self.book, self.standing, action, object_, values)
        self.standing = moved(self.book, self.standing, outcome["moves"])
        for moved_, piece, _ in outcome["moves"]:
            state = (
                state_of(self.book, self.standing, moved_)
                if piece is None
                else piece_state(self.book, self.standing, moved_, piece)
            )
            self.reached.add((kind_of(self.book, moved_), state))
            if moved_ in self.touched:
                self.touched.remove(moved_)
            self.touched.append(moved_)
        said = {**EVERYTHING, **values}
        by = self.random.choice("ab")
        return self.bench.say("done", object_, said, action=action, by=by, photos=("marks",))

    # Out

    def step(self) -> str | None:
        """Do something legal that changes something; None if none of some tries was."""
        for _ in range(60):
            kind = self.random.choice(list(self.objects))
            begun = [each for each in self.not_at_rest() if kind_of(self.book, each) == kind]
            go_on = begun and self.random.random() < 0.6
            object_ = self.random.choice(begun if go_on else self.objects[kind])
            here = state_of(self.book, self.standing, object_)
            fitting = [r for r in self.actions if r["kind"] == kind and here in r["sources"]]
            action = self.random.choice(fitting)
            pieces = piece_ids(self.book, object_)
            values: dict[str, Any] = {}
            if len(pieces) > 1 and self.random.random() < 0.2:
                values = {"pieces": self.random.sample(pieces, self.random.randint(1, len(pieces)))}
            changes = act(self.book, self.standing, action["id"], object_, values)["moves"]
            if changes and self.legal(action["id"], object_, values):
                return self.do(action["id"], object_, values)
        return None

    # Back

    def not_at_rest(self) -> list[str]:
        return [
            each
            for each in reversed(self.touched)
            if state_of(self.book, self.standing, each)
            != rest_of(self.book, kind_of(self.book, each))
        ]

    def undo(self) -> None:
        """Take everything back to rest, the last disturbed first where the rules let it."""
        for _ in range(400):
            left = self.not_at_rest()
            if not left:
                return
            if not any(self._back(each) for each in left):
                helped = any(self._back(each, helped=True) for each in left)
                assert helped, ("stuck with", left, self.standing)
        raise AssertionError(("never at rest", self.not_at_rest()))

    def _back(self, object_: str, *, helped: bool = False) -> bool:
        for action, pieces in self._ways_back(object_):
            if helped:
                self._open_what_it_needs(object_, action, pieces)
            if self._try(object_, action, pieces):
                return True
        return False

    def _open_what_it_needs(
        self, object_: str, action: str, pieces: list[str], deep: int = 0
    ) -> None:
        """Open again what must be open for an action: a plug to read a mark, a fan on a nut."""
        for _ in range(6):
            values = {"pieces": pieces} if pieces else {}
            broken = act(self.book, self.standing, action, object_, values)["broken"]
            needed = [each["object"] for each in broken if each["object"] not in {None, object_}]
            if not needed or deep > 6:
                return
            opened = [
                row["id"]
                for row in self.actions
                if row["half"] == "strip"
                and row["kind"] == kind_of(self.book, needed[0])
                and state_of(self.book, self.standing, needed[0]) in row["sources"]
            ]
            for each in opened[::-1]:
                self._open_what_it_needs(needed[0], each, [], deep + 1)
                if self._try(needed[0], each, []):
                    break

    def _try(self, object_: str, action: str, pieces: list[str]) -> bool:
        values = {"pieces": pieces} if pieces else {}
        if not self.legal(action, object_, values):
            return False
        self.do(action, object_, values)
        return True

    def _ways_back(self, object_: str) -> list[tuple[str, list[str]]]:
        kind = kind_of(self.book, object_)
        by_state: dict[str, list[str]] = {}
        for piece in piece_ids(self.book, object_):
            by_state.setdefault(piece_state(self.book, self.standing, object_, piece), []).append(
                piece
            )
        if not by_state:
            by_state = {state_of(self.book, self.standing, object_): []}
        found = []
        for state, pieces in by_state.items():
            if state != rest_of(self.book, kind):
                found += [
                    (a, self._which(object_, a, pieces)) for a in self._out_of(object_, state)
                ]
        return found

    def _which(self, object_: str, action: str, pieces: list[str]) -> list[str]:
        if action != "take-out" or not self.book["objects"][object_]["single_use"]:
            return pieces
        return [each for each in pieces if each in self.standing["old"].get(object_, pieces)]

    def _out_of(self, object_: str, state: str) -> list[str]:
        kind = kind_of(self.book, object_)
        old = bool(self.standing["old"].get(object_)) and depth_of(self.book, kind, state) == 1
        if kind == "joint" and (state == "unknown" or old) and state != "in to turn":
            return (
                ["take-out"]
                if old or self.book["objects"][object_]["single_use"]
                else ["begin-again"]
            )
        here = depth_of(self.book, kind, state)
        rows = [
            row
            for row in self.actions
            if row["kind"] == kind
            and state in row["sources"]
            and (depth_of(self.book, kind, row["target"]) < here or state == "in to turn")
            and row["target"] not in {state, "in to turn"}
            and row["id"] not in STILL
        ]
        rows.sort(key=lambda row: depth_of(self.book, kind, row["target"]))
        return [row["id"] for row in rows]
