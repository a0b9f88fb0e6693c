"""The one rule book, for planner, replay and ledger alike.

The book is data (`rules/`): kinds and states, actions, checks, evidence, gates. This
module looks things up in it and writes it out as plain JSON-able data, so that a second
interpreter in another language can run the very same rows. What one machine adds (which
joint holds which part) is in `witnessmark.procedure.tables`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import TypeAlias

from witnessmark.procedure.rules.actions import ACTIONS, EVIDENCE
from witnessmark.procedure.rules.checks import CHECKS
from witnessmark.procedure.rules.gates import GATES
from witnessmark.procedure.rules.objects import CRITICAL_ROLES, KINDS, SIZE_TABLE_ROLES
from witnessmark.procedure.rules.shapes import Action, Check, Evidence, Gate, Half, Kind, State

VERSION = 1
"""Raised whenever a row changes its meaning."""

LITRES = {"back": 9, "of": 10}
"""Litres in are clearly short of litres out below so many parts of so many: what two readings
off a jug may be wrong together, and on the safe side (our figure)."""

Plain: TypeAlias = "bool | int | str | list[Plain] | dict[str, Plain] | None"


class UnknownToTheBookError(LookupError):
    """Something was asked of the rule book that it has no row for."""


@dataclass(frozen=True, slots=True)
class RuleBook:
    """The tables, with the look-ups that need no machine."""

    kinds: Mapping[str, Kind]
    states: Mapping[tuple[str, str], State]
    actions: Mapping[str, Action]
    checks: Mapping[str, Check]
    evidence: Mapping[str, Evidence]
    gates: Mapping[str, Gate]
    transitions: Mapping[tuple[str, str, str, Half], Action]

    def state(self, kind: str, state: str) -> State:
        """Give the row of a state.

        Raises
        ------
        UnknownToTheBookError
            If that kind of object has no such state.
        """
        found = self.states.get((kind, state))
        if found is None:
            raise UnknownToTheBookError(f"a {kind} has no state '{state}'")
        return found

    def depth(self, kind: str, state: str) -> int:
        """Tell how far from rest a state is."""
        return self.state(kind, state).depth

    def rest(self, kind: str) -> str:
        """Name the state of rest of a kind of object."""
        return self.kinds[kind].states[0].id

    def is_rest(self, kind: str, state: str) -> bool:
        """Tell whether nothing is outstanding in this state."""
        return self.depth(kind, state) == 0

    def transition(self, kind: str, source: str, target: str, half: Half) -> Action | None:
        """Give the action that takes an object of a kind from one state to another.

        Of several, the one whose target and source are named exactly; None if the book
        knows no such step.
        """
        return self.transitions.get((kind, source, target, half))

    def together(self, kind: str, states: Iterable[str]) -> str:
        """Give the state of a joint from the states of its pieces.

        Pieces that agree give their state. Otherwise the joint is neither made nor out:
        `unknown` if any piece is, else the first state between.

        Raises
        ------
        UnknownToTheBookError
            If a state is not one of the kind's.
        ValueError
            If there are no pieces.
        """
        kept = {self.state(kind, state).id for state in states}
        if not kept:
            raise ValueError("no pieces, no state")
        if len(kept) == 1:
            return kept.pop()
        if "unknown" in kept:
            return "unknown"
        return next(state.id for state in self.kinds[kind].states if state.opening)

    def as_data(self) -> dict[str, Plain]:
        """Write the whole book as plain data: what JSON holds and nothing else."""
        return {
            "version": VERSION,
            "kinds": [plain(kind) for kind in self.kinds.values()],
            "actions": [plain(action) for action in self.actions.values()],
            "checks": [plain(check) for check in self.checks.values()],
            "evidence": [plain(evidence) for evidence in self.evidence.values()],
            "gates": [plain(gate) for gate in self.gates.values()],
            "litres": plain(LITRES),
            "roles": {"size_table": plain(SIZE_TABLE_ROLES), "critical": plain(CRITICAL_ROLES)},
        }


def plain(value: object) -> Plain:
    """Turn a row into plain data.

    Raises
    ------
    TypeError
        If the row holds anything a rule table may not hold.
    """
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    raise TypeError(f"{value!r} cannot stand in a rule table")


def _assembled() -> RuleBook:
    transitions: dict[tuple[str, str, str, Half], Action] = {}
    for action in ACTIONS:
        for source in action.sources:
            transitions.setdefault((action.kind, source, action.target, action.half), action)
    return RuleBook(
        kinds={kind.id: kind for kind in KINDS},
        states={(kind.id, state.id): state for kind in KINDS for state in kind.states},
        actions={action.id: action for action in ACTIONS},
        checks={check.id: check for check in CHECKS},
        evidence={evidence.id: evidence for evidence in EVIDENCE},
        gates={gate.id: gate for gate in GATES},
        transitions=transitions,
    )


RULE_BOOK = _assembled()
