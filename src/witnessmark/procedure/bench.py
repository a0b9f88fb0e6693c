"""The machine as it stands while work is done on it, and what the rule book says to each move.

Keeps the state of every object and what must last while something is open. It refuses
nothing: it says which rule is broken, and the move is taken as done, so that one mistake
does not hide the next.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Place
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Event, Half, Wanted
from witnessmark.procedure.step_acts import is_open
from witnessmark.procedure.tables import Demand, MachineTables, Opened


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a move breaks: which, in words, and where it is written."""

    rule: str
    says: str
    place: Place


class Bench:
    """States of all objects by id (those not listed are at rest), and what must last."""

    def __init__(self, tables: MachineTables, derived: Derived) -> None:
        self.tables = tables
        self.derived = derived
        self.at: dict[str, str] = {}
        self.renewed: set[str] = set()
        """Single-use joints that have been out since they were slackened."""
        self._lasting: dict[Opened, tuple[Demand, ...]] = {}
        self._said: set[tuple[Opened, Demand]] = set()

    # Looking

    def state(self, object_: str) -> str:
        """Give the state of an object."""
        return self.at.get(object_, RULE_BOOK.rest(self.tables.kinds[object_]))

    def says(self, object_: str) -> str:
        """Give the state of an object in words."""
        return RULE_BOOK.state(self.tables.kinds[object_], self.state(object_)).says

    def name(self, object_: str) -> str:
        """Give an object's name."""
        return self.tables.names.get(object_, object_)

    def is_open(self, opened: Opened) -> bool:
        """Tell whether an object stands at least as deep as a state."""
        return is_open(self.tables, self.at, opened)

    def open_now(self) -> tuple[str, ...]:
        """Name everything that is not at rest."""
        return tuple(
            f"{object_} {state}"
            for object_, state in sorted(self.at.items())
            if not RULE_BOOK.is_rest(self.tables.kinds[object_], state)
        )

    def belts_off(self) -> frozenset[str]:
        """Give the belts of timing runs that are off, or moved, or carried off."""
        belts = {belt for belts in self.tables.belts.values() for belt in belts}
        return frozenset(
            belt
            for belt in belts
            if any(self.is_open((each, "moved")) for each in (belt, *self.derived.carriers(belt)))
        )

    def words_for(self, object_: str, source: str, target: str, half: Half) -> str:
        """Say in words what taking an object from one state to another is."""
        action = RULE_BOOK.transition(self.tables.kinds[object_], source, target, half)
        assert action is not None, "every opening has an action either way"
        return action.says.format(self.name(object_))

    # Checking

    def against(
        self, bound: Opened, rows: Iterable[Demand], event: Event, doing: str
    ) -> Iterator[Broken]:
        """Give the demands that are not met as things stand."""
        for row in rows:
            check = RULE_BOOK.checks[row.check]
            if event not in check.events or (bound, row) in self._said:
                continue
            standing = [opened for opened in row.openings if self.is_open(opened)]
            if bool(standing) is (row.wanted is Wanted.OPEN):
                continue
            says = check.says.format(**self._shown(row, standing), by=self.name(row.by))
            why = f" ({row.why})" if row.why else ""
            yield Broken(row.check, f"{doing}: {says}{why}", row.place)

    def _shown(self, row: Demand, standing: list[Opened]) -> dict[str, str]:
        """Name the other object of a demand, how it should stand and how it does."""
        if standing or len(row.openings) == 1:
            object_, state = (standing or list(row.openings))[0]
            wanted = RULE_BOOK.state(self.tables.kinds[object_], state).says
            return {"other": self.name(object_), "wanted": wanted, "state": self.says(object_)}
        known = row.of in self.tables.kinds
        state = self.says(row.of) if known else "nothing that can be opened"
        return {"other": self.name(row.of), "wanted": "out of the way", "state": state}

    # Moving

    def open_up(self, object_: str, states: tuple[str, ...], typed: Iterable[Demand]) -> None:
        """Take an object through states, the last one reached, and remember what must last."""
        self.at[object_] = states[-1]
        for state in states:
            rows = (*self.tables.of((object_, state)), *(typed if state == states[-1] else ()))
            self._lasting[(object_, state)] = tuple(
                row for row in rows if RULE_BOOK.checks[row.check].lasting
            )
        if states[-1] == "out" and object_ in self.tables.single_use:
            self.renewed.add(object_)

    def close_up(
        self,
        object_: str,
        states: tuple[str, ...],
        under: str,
        doing: str,
        coming: Collection[Opened] = (),
    ) -> Iterator[Broken]:
        """Take an object back through states; give what is open still and rests on them.

        `coming` are openings still to come: where one of several will do, another may
        take over before it is wanted.
        """
        self.at[object_] = under
        for state in states:
            self._lasting.pop((object_, state), None)
        shut = {(object_, state) for state in states}
        for bound, rows in self._lasting.items():
            for row in rows:
                if not shut.intersection(row.openings) or (bound, row) in self._said:
                    continue
                if any(self.is_open(o) or o in coming for o in row.openings):
                    continue
                self._said.add((bound, row))
                still = f"{self.name(bound[0])} is still {self.says(bound[0])}"
                yield Broken(row.check, f"{doing}: {still}", row.place)

    def made_with_old(self, object_: str) -> bool:
        """Tell whether a single-use joint is made again without having been out."""
        return object_ in self.tables.single_use and object_ not in self.renewed

    def disturbed_by(self, object_: str, states: tuple[str, ...]) -> Iterator[str]:
        """Give the shafts that lose their proof when an object is taken through states."""
        for state in states:
            for shaft in self.tables.disturbs.get((object_, state), ()):
                if self.lose_proof(shaft):
                    yield shaft

    def lose_proof(self, shaft: str) -> bool:
        """Make a proven shaft unproven; tells whether it was proven."""
        if shaft not in self.tables.proved or self.is_open((shaft, "unproven")):
            return False
        self.at[shaft] = "unproven"
        return True
