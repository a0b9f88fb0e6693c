"""Remembers what an action came to, so that a long history is read in no time.

What an action does and breaks follows from the action and from how the few objects stand
that the rules look at for it. While those stand the same, the answer is the same: this
changes how fast a fold is, and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from witnessmark.ledger.evidence import owed
from witnessmark.procedure.book import Data, kind_of, piece_ids
from witnessmark.procedure.interpreter import act
from witnessmark.procedure.standing import piece_state


class Remembered:
    """Answers of the interpreter on one book, by action and by how things stand.

    `signs` belong to one job: how each object it has touched stands, in one value.
    """

    def __init__(self, book: Data) -> None:
        self.book = book
        self._looked_at: dict[str, tuple[str, ...]] = {}
        self._answers: dict[Any, Data] = {}
        self._owed: dict[tuple[str, str], list[str]] = {}

    def act(
        self, signs: Data, standing: Data, action_id: str, object_: str | None, values: Data
    ) -> Data:
        """Answer as the interpreter's `act` does; the answer is not to be changed.

        An answer that may be given again has a `plan` beside it, for whoever does the moves
        to keep what they came to.
        """
        chosen = _chosen(values)
        if object_ is None or object_ not in self.book["objects"] or chosen is None:
            return act(self.book, standing, action_id, object_, values)
        looked = self._looked_at.get(object_)
        if looked is None:
            looked = tuple(dict.fromkeys(_looked_at(self.book, object_)))
            self._looked_at[object_] = looked
        key = (action_id, object_, chosen, *map(signs.get, looked))
        answer = self._answers.get(key)
        if answer is None:
            answer = act(self.book, standing, action_id, object_, values)
            answer["plan"] = {}
            self._answers[key] = answer
        return answer

    def owed(self, action: Data, object_: str) -> list[str]:
        """Give the evidence an action on an object must bring; not to be changed."""
        key = (action["id"], object_)
        found = self._owed.get(key)
        if found is None:
            found = owed(self.book, action, self.book["objects"][object_])
            self._owed[key] = found
        return found

    def sign(self, standing: Data, object_: str) -> object:
        """Give in one value how an object stands."""
        if kind_of(self.book, object_) != "joint":
            return standing["at"].get(object_)
        pieces = piece_ids(self.book, object_)
        states = tuple(piece_state(self.book, standing, object_, piece) for piece in pieces)
        return (states, tuple(standing["old"].get(object_, ())))


def _chosen(values: Data) -> tuple[Any, ...] | None:
    """Give which pieces and way are meant; None for what is not worth remembering."""
    pieces, count, way = values.get("pieces"), values.get("count"), values.get("way")
    if not isinstance(way, str):
        way = None
    if isinstance(pieces, list):
        named = all(isinstance(each, str) for each in pieces)
        return ("pieces", tuple(pieces), way) if named else None
    counted = isinstance(count, int) and not isinstance(count, bool)
    return ("count", count if counted else None, way)


def _looked_at(book: Data, object_: str) -> Iterator[str]:
    """Give every object whose state may bear on an action on one."""
    tables, kind = book["tables"], kind_of(book, object_)
    yield object_
    for state in book["states"][kind]:
        opening = f"{object_} {state}"
        rows = list(tables["demands"].get(opening, []))
        for way in tables["ways"].get(opening, {}).values():
            rows += way["strip"] + way["refit"]
        yield from _in_rows(rows)
        yield from tables["disturbs"].get(opening, [])
        for bound, row in book["rests_on"].get(opening, []):
            yield bound.partition(" ")[0]
            yield from _in_rows([row])
    yield from _in_rows(tables["demands"].get(f"pressurise {object_}", []))
    for shaft in tables["turns_with"].get(object_, []):
        yield shaft
        yield from _in_rows(tables["demands"].get(f"turn {shaft}", []))
        for belt in tables["belts"].get(shaft, []):
            yield belt
            yield from (id_ for id_, row in book["objects"].items() if belt in row["parts"])


def _in_rows(rows: list[Data]) -> Iterator[str]:
    for row in rows:
        for object_, _ in row["openings"]:
            yield object_
