"""What one machine adds to the rule book: which openings each rule lists, as plain rows.

`tables_for(machine)` works the rows out once. A row (`Demand`) binds an opening
(`crank-bolt slack`) or an act (`turn crankshaft`) to openings that must be open, or must
be shut, when it is done. The compiler turns these rows into needs, while_fitted and
before; the replay looks at the same rows with the state of every object at hand. The
rows are plain data and can be written as JSON beside the rule book.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from witnessmark.machine.acts import ActError, Verb, read_act
from witnessmark.machine.derived import Because, Derived, Fact, Reasoned, fact_for
from witnessmark.machine.model import Bar, Machine, ObjectKind, Place, Run
from witnessmark.procedure.rulebook import Plain, plain
from witnessmark.procedure.rules.shapes import Wanted

Opened = tuple[str, str]
"""An object and the state it is opened to, by the rule book's word."""

CRANK: Opened = ("crank", "")
START: Opened = ("start", "")
LOWER: Opened = ("lower", "")
"""Acts on the whole machine, in place of an opening."""


def turning(shaft: str) -> Opened:
    """Name the act of turning a shaft."""
    return ("turn", shaft)


def pressurising(circuit: str) -> Opened:
    """Name the act of putting a circuit under pressure."""
    return ("pressurise", circuit)


@dataclass(frozen=True, slots=True)
class Demand:
    """One check of the rule book on one opening or act of this machine.

    `openings` are alternatives where the check wants one open, and all forbidden where it
    wants them shut. `of` is what they make true together, as people name it. `by` is the
    joint, lock, shaft or bar that brings the demand; `place` is where that is written,
    `why` what a bar gives as its reason.
    """

    check: str
    wanted: Wanted
    of: str
    openings: tuple[Opened, ...]
    by: str
    place: Place
    why: str = ""


@dataclass(frozen=True, slots=True)
class MachineTables:
    """The rows of one machine.

    `demands` are keyed by what they bind. `turns_with` gives the shafts that a shaft
    turns with while the belt of its run is on, itself first; `belts` the belt parts of
    their runs; `proved` the shafts that have a proof, `proof_turns` those of them whose
    proof turns them. `disturbs` gives the shafts that lose their proof when something is
    opened. `single_use` joints come out once slackened; `asks` are pairs of openings of
    which the first brings the second.
    """

    kinds: Mapping[str, str]
    names: Mapping[str, str]
    demands: Mapping[Opened, tuple[Demand, ...]]
    turns_with: Mapping[str, tuple[str, ...]]
    belts: Mapping[str, tuple[str, ...]]
    proved: frozenset[str]
    proof_turns: frozenset[str]
    disturbs: Mapping[Opened, tuple[str, ...]]
    single_use: frozenset[str]
    asks: tuple[tuple[Opened, Opened], ...]

    def of(self, bound: Opened) -> tuple[Demand, ...]:
        """Give what is demanded of an opening or act."""
        return self.demands.get(bound, ())

    def as_data(self) -> dict[str, Plain]:
        """Write the rows as plain data; openings and acts as `object state`."""
        return {
            "kinds": plain(self.kinds),
            "names": plain(self.names),
            "demands": {
                " ".join(bound).strip(): [_row(demand) for demand in demands]
                for bound, demands in self.demands.items()
            },
            "turns_with": plain(self.turns_with),
            "belts": plain(self.belts),
            "proved": plain(sorted(self.proved)),
            "proof_turns": plain(sorted(self.proof_turns)),
            "disturbs": {" ".join(b): plain(shafts) for b, shafts in self.disturbs.items()},
            "single_use": plain(sorted(self.single_use)),
            "asks": plain(self.asks),
        }


def _row(demand: Demand) -> Plain:
    row = plain(demand)
    assert isinstance(row, dict)
    return {**row, "place": str(demand.place)}


def tables_for(machine: Machine, derived: Derived | None = None) -> MachineTables:
    """Work out the rows of a machine."""
    return _Maker(machine, derived or Derived(machine)).tables()


_CHECK_OF = {
    Because.HELD: "held",
    Because.CROSSES: "crosses",
    Because.TRAPPED: "trapped",
    Because.OPENS: "opens",
    Because.DISTURBS: "disturbs",
    Because.PINS: "pins",
}


class _Maker:
    """Collects rows, each once, in the order of the file."""

    def __init__(self, machine: Machine, derived: Derived) -> None:
        self.machine = machine
        self.derived = derived
        self.demands: dict[Opened, dict[tuple[str, tuple[Opened, ...]], Demand]] = defaultdict(dict)
        self.disturbs: dict[Opened, list[str]] = defaultdict(list)
        self.turns_with = self._runs()

    def tables(self) -> MachineTables:
        """Collect everything."""
        self._from_derived()
        self._more_that_disturbs()
        self._pairs_of_disturbed_and_shaft()
        self._turning()
        self._bars_on_acts()
        self._running()
        things = self.derived.things
        return MachineTables(
            kinds={id_: kind.value for id_, (kind, _) in things.items()},
            names={id_: thing.name for id_, (_, thing) in things.items()},
            demands={bound: tuple(rows.values()) for bound, rows in self.demands.items()},
            turns_with=self.turns_with,
            belts={shaft: tuple(belts) for shaft, belts in self._belts().items()},
            proved=frozenset(s for s in self.machine.shafts if self.derived.unproven(s)),
            proof_turns=frozenset(self._turned_by_their_proof()),
            disturbs={bound: tuple(dict.fromkeys(s)) for bound, s in self.disturbs.items()},
            single_use=frozenset(j.id for j in self.machine.joints.values() if j.single_use),
            asks=tuple(self._asks()),
        )

    def _add(
        self, bound: Opened, check: str, wanted: Wanted, of: str, found: Iterable[Fact], by: str
    ) -> None:
        openings = tuple((fact.object, fact.state) for fact in found)
        bar = self.machine.bars.get(by) if check in _BAR_CHECKS else None
        why = bar.why or "" if bar is not None else ""
        place = bar.place if bar is not None else self._place(check, by)
        demand = Demand(check, wanted, of, openings, by, place, why)
        self.demands[bound].setdefault((check, openings), demand)

    def _place(self, check: str, by: str) -> Place:
        shaft = self.machine.shafts.get(by)
        if shaft is not None and shaft.mark is not None and check in _MARK_CHECKS:
            return shaft.mark.place
        return self.derived.things[by][1].place

    # What the derived needs say

    def _from_derived(self) -> None:
        for fact in self.derived.all_openings():
            bound = (fact.object, fact.state)
            for need in self.derived.needs(fact):
                check = self._check_of_need(need)
                found = self._alternatives(fact, need)
                self._add(bound, check, Wanted.OPEN, str(need.fact), found, need.by)
            for other in self.derived.while_fitted(fact):
                check = "barred while" if other.because is Because.BAR else "mark seen before"
                self._add(bound, check, Wanted.SHUT, str(other.fact), (other.fact,), other.by)

    @staticmethod
    def _check_of_need(need: Reasoned) -> str:
        if need.because is Because.MARK:
            return "mark seen with"
        return _CHECK_OF.get(need.because, "barred unless")

    def _alternatives(self, fact: Fact, need: Reasoned) -> tuple[Fact, ...]:
        """Give the openings that meet a need.

        An assembly that carries off a part together with what traps it frees nothing.
        """
        if not need.fact.clear and self.derived.opening(need.fact) is None:
            return ()
        found = self.derived.supporters(need.fact)
        if need.because is not Because.TRAPPED or fact.kind is not ObjectKind.PART:
            return found
        together = set(self.derived.carriers(fact.object))
        return tuple(
            each
            for each in found
            if each.kind is not ObjectKind.ASSEMBLY or each.object not in together
        )

    # Shafts

    def _timing_runs(self) -> Iterator[tuple[Run, tuple[str, ...]]]:
        """Give each timing run with the shafts it drives that have a proof."""
        for run in self.machine.runs.values():
            if not run.timing:
                continue
            shafts = [s.id for s in self.machine.shafts.values() if s.run and s.run.id == run.id]
            shafts += [p.shaft.id for p in run.pulleys if p.shaft is not None]
            proved = [s for s in dict.fromkeys(shafts) if self.derived.unproven(s) is not None]
            yield run, tuple(proved)

    def _runs(self) -> dict[str, tuple[str, ...]]:
        with_: dict[str, dict[str, None]] = {s: {s: None} for s in self.machine.shafts}
        for _, shafts in self._timing_runs():
            for shaft in shafts:
                with_[shaft].update(dict.fromkeys(shafts))
        return {shaft: tuple(others) for shaft, others in with_.items()}

    def _belts(self) -> dict[str, list[str]]:
        belts: dict[str, list[str]] = defaultdict(list)
        for run, shafts in self._timing_runs():
            for shaft in shafts:
                if run.belt is not None and run.belt.id in self.machine.parts:
                    belts[shaft].append(run.belt.id)
        return belts

    def _unproven(self, shaft: str) -> Fact:
        return fact_for(ObjectKind.SHAFT, shaft, "unproven")

    def _turned_by_their_proof(self) -> Iterator[str]:
        for shaft in self.machine.shafts.values():
            if shaft.turns is not None and self.derived.unproven(shaft.id) is not None:
                yield shaft.id

    def _more_that_disturbs(self) -> None:
        """Let the belt, its tensioner's clamp and the turning bolt disturb their shafts.

        Nobody has to type these: a shaft whose belt is off, or whose bolt is undone, has
        lost its proof.
        """
        for run, shafts in self._timing_runs():
            tensioner = run.tensioner
            for shaft in shafts:
                if run.belt is not None:
                    self._disturb(run.belt.id, shaft)
                    for assembly in self.derived.carriers(run.belt.id):
                        self._disturb(assembly, shaft)
                if tensioner is not None and tensioner.clamp is not None:
                    self._disturb(tensioner.clamp.id, shaft)
        for each in self.machine.shafts.values():
            if each.turned_by is not None and self.derived.unproven(each.id) is not None:
                self._disturb(each.turned_by.id, each.id)

    def _disturb(self, object_: str, shaft: str) -> None:
        first = self.derived.first_opening(object_)
        if first is not None:
            bound = (first.object, first.state)
            unproven = self._unproven(shaft)
            self._add(bound, "disturbs", Wanted.OPEN, str(unproven), (unproven,), shaft)

    def _pairs_of_disturbed_and_shaft(self) -> None:
        for bound, rows in self.demands.items():
            for demand in rows.values():
                if demand.check == "disturbs":
                    self.disturbs[bound] += [shaft for shaft, _ in demand.openings]

    # Turning

    def _turning(self) -> None:
        """Say what may not be so while a shaft is turned, by hand or by its proof."""
        for shaft in self.machine.shafts:
            for check, fact in self._what_stops(shaft):
                self._add(turning(shaft), check, Wanted.SHUT, str(fact), (fact,), fact.object)
        for bar in self.machine.bars.values():
            shaft_barred = self._turned(bar)
            if shaft_barred is not None:
                self._bar_rows(turning(shaft_barred), bar)
        for shaft in self._turned_by_their_proof():
            for other in self.turns_with[shaft]:
                self._bind_proof(shaft, other)

    def _what_stops(self, shaft: str) -> Iterator[tuple[str, Fact]]:
        for lock in self.machine.locks.values():
            first = self.derived.first_opening(lock.id)
            if first is not None and any(ref.id == shaft for ref in lock.holds):
                yield "turning locked", first
        for thing in self.machine.temporaries.values():
            first = self.derived.first_opening(thing.id)
            if first is not None and any(ref.id == shaft for ref in thing.holds):
                yield "turning locked", first
        bolt = self.machine.shafts[shaft].turned_by
        if bolt is not None:
            out = fact_for(ObjectKind.JOINT, bolt.id, "out")
            if bolt.id in self.machine.joints and self.derived.opening(out) is not None:
                yield NO_BOLT, out

    def _turned(self, bar: Bar) -> str | None:
        """Give the shaft that a bar forbids to turn."""
        never = self.never(bar)
        return never[1] if never is not None and never[0] == Verb.TURN else None

    def never(self, bar: Bar) -> Opened | None:
        """Give the act that a bar forbids; None where it forbids an opening."""
        try:
            act = read_act(bar.never)
        except ActError:
            return None
        return None if act.verb in _ON_OPENINGS else (act.verb.value, act.object or "")

    def _bind_proof(self, shaft: str, other: str) -> None:
        """Let a proof that turns `other` too be done only when `other` may turn."""
        bound = (shaft, "unproven")
        for demand in tuple(self.demands.get(turning(other), {}).values()):
            follows = demand.wanted is Wanted.SHUT and any(
                self._opens_only_in(opening, bound) for opening in demand.openings
            )
            itself = any(object_ == shaft for object_, _ in demand.openings)
            if not follows and not itself and demand.check != NO_BOLT:
                self.demands[bound].setdefault((demand.check, demand.openings), demand)

    def _opens_only_in(self, opening: Opened, bound: Opened) -> bool:
        """Tell whether an opening needs `bound` open anyway, so that no more need be said."""
        rows = self.demands.get(opening, {}).values()
        return any(row.wanted is Wanted.OPEN and row.openings == (bound,) for row in rows)

    # Bars and running

    def _bars_on_acts(self) -> None:
        for bar in self.machine.bars.values():
            never = self.never(bar)
            if never is not None and never[0] != Verb.TURN:
                self._bar_rows(never, bar)

    def _bar_rows(self, bound: Opened, bar: Bar) -> None:
        for fact in self.derived.each_supporter(bar.while_):
            self._add(bound, "barred while", Wanted.SHUT, str(fact), (fact,), bar.id)
        for fact in self.derived.each_found(bar.unless):
            found = self.derived.supporters(fact)
            self._add(bound, "barred unless", Wanted.OPEN, str(fact), found, bar.id)

    def _running(self) -> None:
        """Say what may not be so when the machine is cranked or started (gates)."""
        for check, fact in self._what_stops_running():
            for act in (CRANK, START):
                if act is START or check != "running dry":
                    self._add(act, check, Wanted.SHUT, str(fact), (fact,), fact.object)

    def _what_stops_running(self) -> Iterator[tuple[str, Fact]]:
        for fact in self.derived.all_openings():
            if fact.kind is ObjectKind.LOCK or (
                fact.kind is ObjectKind.TEMPORARY
                and self.machine.temporaries[fact.object].kind in {"holder", "puller"}
            ):
                yield "running locked", fact
            elif fact.kind is ObjectKind.SHAFT and fact.state == "unproven":
                yield "running unproven", fact
            elif fact.kind is ObjectKind.CIRCUIT and fact.state == "drained":
                yield "running dry", fact

    # Asks

    def _asks(self) -> Iterator[tuple[Opened, Opened]]:
        for first, then in self.derived.asks():
            yield (first.object, first.state), (then.object, then.state)
        for part in self.machine.parts.values():
            for ref in part.fitted_with:
                if self._comes_off(part.id) and self._comes_off(ref.id):
                    yield (part.id, "off"), (ref.id, "off")
                    yield (ref.id, "off"), (part.id, "off")

    def _comes_off(self, part: str) -> bool:
        return self.derived.opening(fact_for(ObjectKind.PART, part, "off")) is not None


_BAR_CHECKS = ("barred while", "barred unless")
_MARK_CHECKS = ("mark seen with", "mark seen before")

NO_BOLT = "turning without bolt"
"""The check that binds only the shaft that is turned, not those that turn with it."""

_ON_OPENINGS = (Verb.SET, Verb.IN_TO_TURN)
"""What stands where an opening is meant."""
