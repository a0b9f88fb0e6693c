"""What every rule is handed: the machine, what follows from it, what its files mention."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from witnessmark.machine.complaints import Complaint, Names
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Machine, OpeningSpec, Work, WorkStep
from witnessmark.machine.node_texts import Mention
from witnessmark.machine.waiting import Waiting


@dataclass(frozen=True)
class Context:
    """One machine under check. What is worked out once is shared by all rules."""

    machine: Machine
    mentions: tuple[Mention, ...] = ()
    _names: dict[tuple[str, ...], Names] = field(default_factory=dict)

    @cached_property
    def derived(self) -> Derived:
        """What follows from the machine file."""
        return Derived(self.machine)

    @cached_property
    def waiting(self) -> Waiting:
        """What waits for what."""
        return Waiting(self.derived)

    @cached_property
    def known(self) -> dict[str, dict[str, object]]:
        """Every name by the kind of thing it names."""
        machine = self.machine
        found: dict[str, dict[str, object]] = {
            "position": dict(machine.positions),
            "run": dict(machine.runs),
            "work": dict(machine.works),
            "duty": dict(machine.duties),
            "bar": dict(machine.bars),
            "material": dict(machine.materials),
        }
        for id_, (kind, thing) in self.derived.things.items():
            found.setdefault(kind.value, {})[id_] = thing
        return found

    def names_of(self, kinds: tuple[str, ...]) -> Names:
        """Give every name of some kinds of thing."""
        known = self._names.get(kinds)
        if known is None:
            known = Names(name for kind in kinds for name in self.known.get(kind, ()))
            self._names[kinds] = known
        return known

    def kind_word(self, id_: str) -> str | None:
        """Say what an id names, whatever kind it is; None when nothing."""
        return next((kind for kind, names in self.known.items() if id_ in names), None)

    def steps(self) -> Iterator[tuple[Work, WorkStep]]:
        """Give every work's own steps."""
        for work in self.machine.works.values():
            for step in work.steps:
                yield work, step

    def specs(self) -> Iterator[tuple[str, OpeningSpec]]:
        """Give every opening described, with the id of its object."""
        for id_, (_, thing) in self.derived.things.items():
            for spec in thing.openings:
                yield id_, spec


Rule = Callable[[Context], Iterator[Complaint]]
"""One rule: gives a complaint for every place that breaks it."""


def a_or_an(kind: str) -> str:
    """Put the article before a kind of thing."""
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"
