"""Why nothing will do: an irreducible set of causes (P7)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.procedure.problem import Problem


class CauseKind(StrEnum):
    """What stands in the way."""

    WANTED = "wanted"
    DEAD_WAY = "dead way"
    CYCLE = "waits in a circle"
    TROUBLE = "trouble mark"
    STARTED = "open already"
    ASK = "ask"
    BLOCK = "block"


@dataclass(frozen=True, slots=True)
class Cause:
    """One member of the set: what it is about, by index; fields that do not apply are None."""

    kind: CauseKind
    opening: int | None = None
    way: int | None = None
    fact: int | None = None
    block: int | None = None


def irreducible_causes(
    problem: Problem, bans: frozenset[tuple[int, int]] = frozenset()
) -> tuple[Cause, ...]:
    """Give the causes."""
    marks = [Cause(CauseKind.TROUBLE, opening=a, way=w) for a, w in sorted(bans)]
    return (*(Cause(CauseKind.WANTED, fact=goal) for goal in problem.goals), *marks)
