"""Remembers what an action came to, so that a long history is read in no time.

What an action does and breaks follows from the action and from how the few objects stand
that the rules look at for it. While those stand the same, the answer is the same: this
changes how fast a fold is, and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from witnessmark.ledger.evidence import owed
from witnessmark.procedure.book import Data, kind_of, piece_ids
from witnessmark.procedure.interpreter import act
from witnessmark.procedure.standing import piece_state

Step = tuple[str, str, tuple[str, ...], bool]
"""An object, the state it comes to, the keys of its cells, whether that brings something."""

After = tuple[str, int, Any, Any, Any]
"""An object, its sign, and how it then stands: itself, its pieces, its old ones."""


@dataclass(slots=True)
class Plan:
    """What the moves of an answer came to."""

    steps: list[Step]
    after: list[After]


@dataclass(slots=True)
class Answer:
    """What an action does and breaks where things stand so; not to be changed.

    Attributes
    ----------
    moves, broken : list
        As the interpreter gives them.
    action, row : dict or None
        The action and its object, where there is such an action on such an object.
    asked : list of str
        The evidence it must bring.
    again : bool
        Whether the answer is kept to be given again.
    plan : Plan or None
        What the moves came to, once that is known.
    """

    moves: list[Any]
    broken: list[Data]
    action: Data | None
    row: Data | None
    asked: list[str]
    again: bool
    plan: Plan | None = None


class Remembered:
    """Answers of the interpreter on one book, by action and by how things stand.

    `signs` belong to one job: how each object it has touched stands, in one value.
    """

    def __init__(self, book: Data) -> None:
        self.book = book
        self._looked_at: dict[str | None, tuple[str, ...]] = {}
        self._answers: dict[Any, Answer] = {}
        self._signs: dict[tuple[Any, ...], int] = {}

    def act(
        self, signs: Data, standing: Data, action_id: str, object_: str | None, values: Data
    ) -> Answer:
        """Answer as the interpreter's `act` does, from memory where it can be."""
        chosen = _chosen(values) if values else _NO_CHOICE
        looked = self._looked_at.get(object_)
        if looked is None:
            looked = self._look(object_)
        if chosen is None or not looked:
            return self.work_out(standing, action_id, object_, values)
        key = (action_id, object_, chosen, *map(signs.get, looked))
        answer = self._answers.get(key)
        if answer is None:
            answer = self._answers[key] = self.work_out(standing, action_id, object_, values)
            answer.again = True
        return answer

    def work_out(self, standing: Data, action_id: str, object_: str | None, values: Data) -> Answer:
        """Answer as the interpreter's `act` does, without remembering."""
        outcome = act(self.book, standing, action_id, object_, values)
        action, row = self.book["actions"].get(action_id), self.book["objects"].get(object_)
        if action is None or row is None or row["kind"] != action["kind"]:
            return Answer(outcome["moves"], outcome["broken"], None, None, [], again=False)
        asked = owed(self.book, action, row)
        return Answer(outcome["moves"], outcome["broken"], action, row, asked, again=False)

    def _look(self, object_: str | None) -> tuple[str, ...]:
        """Find what bears on actions on an object; nothing where nobody described it."""
        if object_ is None or object_ not in self.book["objects"]:
            return ()
        found = tuple(dict.fromkeys(_looked_at(self.book, object_)))
        self._looked_at[object_] = found
        return found

    def sign(self, standing: Data, object_: str) -> int:
        """Give in one number how an object stands."""
        stands: tuple[Any, ...] = (standing["at"].get(object_),)
        if kind_of(self.book, object_) == "joint":
            pieces = piece_ids(self.book, object_)
            stands = tuple(piece_state(self.book, standing, object_, piece) for piece in pieces)
        stands = (stands, tuple(standing["old"].get(object_, ())))
        return self._signs.setdefault(stands, len(self._signs))


_NO_CHOICE = ("count", None, None)
"""What nothing said of pieces and ways comes to: all of them, by the planned way."""


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
