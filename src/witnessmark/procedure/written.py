"""Facts as written, turned into the openings that make them true, each looked up once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from witnessmark.machine.derived import Derived, Unresolved
from witnessmark.machine.model import FactRef, Way
from witnessmark.procedure.rules.shapes import Event, Wanted
from witnessmark.procedure.tables import Demand, Opened


class Written:
    """Looks up written facts on one machine.

    `unresolved` collects those that refer to nothing, with the reason.
    """

    def __init__(self, derived: Derived) -> None:
        self._derived = derived
        self._known: dict[tuple[str, str | None], tuple[Opened, ...] | None] = {}
        self.unresolved: dict[FactRef, str] = {}

    def openings(self, ref: FactRef) -> tuple[Opened, ...]:
        """Give the openings of which any one makes a fact true; none if it names nothing."""
        key = (ref.object, ref.state)
        if key not in self._known:
            self._known[key] = self._look_up(ref)
        found = self._known[key]
        if found is None:
            self.unresolved.setdefault(ref, self._why(ref))
        return found or ()

    def _look_up(self, ref: FactRef) -> tuple[Opened, ...] | None:
        try:
            fact = self._derived.resolve(ref)
        except Unresolved:
            return None
        return tuple((each.object, each.state) for each in self._derived.supporters(fact))

    def _why(self, ref: FactRef) -> str:
        try:
            self._derived.resolve(ref)
        except Unresolved as fault:
            return fault.fault.value
        return ""

    def demands(self, check: str, wanted: Wanted, refs: Iterable[FactRef]) -> Iterator[Demand]:
        """Turn written facts into rows, with the place each is written at."""
        for ref in refs:
            openings = self.openings(ref)
            yield Demand(check, wanted, str(ref), openings, ref.object, ref.place)

    def of_way(self, way: Way, event: Event) -> Iterator[Demand]:
        """Give what a way itself asks for on one half."""
        yield from self.demands("way needs", Wanted.OPEN, way.needs)
        if event is Event.STRIP:
            yield from self.demands("way needs to strip", Wanted.OPEN, way.strip_needs)
        else:
            yield from self.demands("way needs to refit", Wanted.OPEN, way.refit_needs)
        yield from self.demands("way while fitted", Wanted.SHUT, way.while_fitted)

    def of_every_way(self, ways: Iterable[Way], event: Event) -> tuple[Demand, ...]:
        """Give what all the ways ask for alike: due whichever of them is gone."""
        rows: dict[tuple[str, tuple[Opened, ...]], Demand] | None = None
        for way in ways:
            own = {(row.check, row.openings): row for row in self.of_way(way, event)}
            rows = own if rows is None else {k: row for k, row in rows.items() if k in own}
        return tuple((rows or {}).values())
