"""What a machine is: plain data, read from machine files, with places kept.

Every thing that a complaint may point at carries its `Place` (file, line, column).
Lengths are exact metres, masses kilograms, times whole tenths of a minute, angles
degrees, pressures pascals, volumes cubic metres. References between things are ids as
written; `witnessmark.machine.checks` makes sure that they name something.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.threads import Thread
from witnessmark.quantities.tightness import Tightness


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something stands in a file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        """Print as `file:line:column`."""
        return f"{self.file}:{self.line}:{self.column}"


class ObjectKind(StrEnum):
    """The kinds of object that have states in the rule book."""

    PART = "part"
    ASSEMBLY = "assembly"
    JOINT = "joint"
    CIRCUIT = "circuit"
    SHAFT = "shaft"
    LOCK = "lock"
    TEMPORARY = "temporary"
    MAKE_SAFE = "make-safe"


@dataclass(frozen=True, slots=True)
class FactRef:
    """A fact as written: `upper-cover`, `crank-bolt slack`, `coolant drained`.

    Without a state, a part means "out of the way" (off, or carried off); anything else
    means its deepest opening.
    """

    object: str
    state: str | None
    place: Place

    def __str__(self) -> str:
        """Print as written."""
        return self.object if self.state is None else f"{self.object} {self.state}"


@dataclass(frozen=True, slots=True)
class IdRef:
    """An id that refers to something else, and where it was written."""

    id: str
    place: Place


@dataclass(frozen=True, slots=True)
class Sourced:
    """A quantity with where the figure comes from (None: nobody said)."""

    quantity: Quantity
    source: str | None
    place: Place


class Spoil(StrEnum):
    """Whether a way destroys a part."""

    MAYBE = "maybe"
    ALWAYS = "always"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to take an opening (semantics S4). `strip`, `refit`, `wait` in tenths.

    `wait_refit` is the wait before or after the closing (sealant curing, cooling down).
    `rule` words (`caution`, `why`) are printed at the step.
    """

    id: str
    place: Place
    strip: int
    refit: int
    needs: tuple[FactRef, ...] = ()
    while_fitted: tuple[FactRef, ...] = ()
    strip_needs: tuple[FactRef, ...] = ()
    refit_needs: tuple[FactRef, ...] = ()
    position: IdRef | None = None
    tool: str | None = None
    aids: tuple[str, ...] = ()
    skill: str | None = None
    people: int = 1
    wait_strip: int = 0
    wait_refit: int = 0
    spoils: Mapping[str, Spoil] = field(default_factory=dict)
    risk: str | None = None
    text: str | None = None
    refit_text: str | None = None
    why: str | None = None
    caution: str | None = None


@dataclass(frozen=True, slots=True)
class OpeningSpec:
    """A state an object can be taken to, and its ways."""

    state: str
    place: Place
    ways: tuple[Way, ...]
    how: str | None = None
    """For a part moved: `aside` (tied to what) or `part-way` (how far), in words."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What an inspection may find, and what each finding leads to."""

    id: str
    text: str
    parts: tuple[IdRef, ...]
    works: tuple[IdRef, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Inspection:
    """What to look for or measure on a part, and the limit."""

    id: str
    place: Place
    look_for: str | None = None
    measure: str | None = None
    at_least: Sourced | None = None
    at_most: Sourced | None = None
    findings: tuple[Finding, ...] = ()


class Renewal(StrEnum):
    """When a part is renewed."""

    NEVER = "never"
    WHEN_DISTURBED = "when disturbed"
    ON_INSPECTION = "on inspection"
    WITH_WORK = "with its work"


@dataclass(frozen=True, slots=True)
class PartLine:
    """What is ordered: number, maker, price in the workshop's currency."""

    number: str | None
    price: Fraction | None
    place: Place
    pack: int = 1


@dataclass(frozen=True, slots=True)
class Part:
    """A part: where it sits, how it comes off, how it lies in store, when it is renewed."""

    id: str
    name: str
    place: Place
    openings: tuple[OpeningSpec, ...] = ()
    where: str | None = None
    lifts: str | None = None
    mass: Sourced | None = None
    store: str | None = None
    renew: Renewal = Renewal.NEVER
    line: PartLine | None = None
    bound: str | None = None
    trapped_by: tuple[IdRef, ...] = ()
    fitted_with: tuple[IdRef, ...] = ()
    """Parts that go on together with this one (S9)."""
    inspections: tuple[Inspection, ...] = ()
    fixed: bool = False
    """The frame everything hangs on: never comes off, needs nothing to hold it."""
    kind: str | None = None
    """`gasket`, `seal`, `o-ring`, `belt`, `cover` ... free words; gaskets and seals are
    listed apart in the kit."""


@dataclass(frozen=True, slots=True)
class Assembly:
    """Parts that come off together; joints wholly inside stay made (S2)."""

    id: str
    name: str
    place: Place
    parts: tuple[IdRef, ...]
    openings: tuple[OpeningSpec, ...] = ()
    lifts: str | None = None
    store: str | None = None


class JointKind(StrEnum):
    """How a joint holds."""

    BOLTS = "bolts"
    CLIPS = "clips"
    HOSE_END = "hose-end"
    CONNECTOR = "connector"
    PRESS_FIT = "press-fit"
    SCREW_ON = "screw-on"
    ADHESIVE = "adhesive"


@dataclass(frozen=True, slots=True)
class Fastener:
    """One fastener, or `count` alike ones; lengths in metres.

    `hole` is its number on the drawing, `at` its position (x, y) seen from the
    joint's viewpoint. `engaged` is the usable thread length in the hole, `clamped` the
    thickness of what it clamps, `clamps` the parts (default: all the joint holds).
    """

    place: Place
    count: int = 1
    hole: str | None = None
    at: tuple[Fraction, Fraction] | None = None
    thread: Thread | None = None
    strength: str | None = None
    head: str | None = None
    hole_thread: Thread | None = None
    hole_depth: Fraction | None = None
    blind: bool = False
    clamped: Fraction | None = None
    clamps: tuple[IdRef, ...] = ()
    washer: str | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True)
class SourcedTightness:
    """A final tightness with its source (None: nobody said)."""

    tightness: Tightness
    source: str | None
    place: Place


@dataclass(frozen=True, slots=True)
class Joint:
    """What holds parts: fasteners, clips, hose ends, connectors, press fits, threads."""

    id: str
    name: str
    place: Place
    kind: JointKind
    holds: tuple[IdRef, ...]
    to: IdRef | None = None
    openings: tuple[OpeningSpec, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    tightness: SourcedTightness | None = None
    stages: tuple[SourcedTightness, ...] = ()
    order: tuple[str, ...] | str | None = None
    """Tightening order: hole numbers, or `cross` or `spiral`."""
    slackening: tuple[str, ...] | str | None = None
    surface: str | None = None
    single_use: bool = False
    critical: bool = False
    line: PartLine | None = None
    """What is ordered when the joint's fasteners are renewed."""
    hand: str | None = None
    """`right` or `left`, for screw-on joints; viewpoint is `viewpoint`."""
    viewpoint: str | None = None
    opens: tuple[IdRef, ...] = ()
    """Circuits that opening this joint opens."""
    where: str | None = None
    role: str | None = None
    """`head`, `crank`, `wheel`, `bracket`, `cover` ...: what kind of joint it is."""
    least_clamp: Sourced | None = None
    """The least clamp force one of its fasteners must hold [N]."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """A fluid or air circuit. Volumes in m³, heights in m above the drain."""

    id: str
    name: str
    place: Place
    fluid: str
    openings: tuple[OpeningSpec, ...] = ()
    """`relieved` (1), `drained` (2)."""
    specification: str | None = None
    capacity: Sourced | None = None
    stays_behind: Sourced | None = None
    refilled: bool = True
    """Whether new fluid is bought after draining (a compressor's air is not)."""
    level: Sourced | None = None
    """Height above the drain that the fluid falls to when the circuit is only relieved: a
    joint at or above it may be opened without draining."""
    heights: Mapping[str, Sourced] = field(default_factory=dict)
    """Height above the drain of its joints, by joint id."""
    comes_out: Mapping[str, Sourced] = field(default_factory=dict)
    """What comes out when it is drained to below a joint only, by joint id."""
    drain: str | None = None
    cap: str | None = None
    fill: str | None = None
    bleed: str | None = None
    prime: str | None = None
    check: str | None = None
    caution: str | None = None
    line: PartLine | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A timing mark: where, and what must be off or on to read it."""

    text: str
    place: Place
    seen_with: tuple[FactRef, ...] = ()
    seen_only_before: tuple[FactRef, ...] = ()
    """Openings that must be closed again to read it: a mark on a cover or pulley."""


@dataclass(frozen=True, slots=True)
class Shaft:
    """A shaft of a timing run; `unproven` is its opening, whose closing is the proof."""

    id: str
    name: str
    place: Place
    openings: tuple[OpeningSpec, ...] = ()
    run: IdRef | None = None
    mark: Mark | None = None
    disturbed_by: tuple[FactRef, ...] = ()
    """Openings during which the shaft may turn or lose its timing."""
    turned_by: IdRef | None = None
    """The joint whose bolt is used to turn it."""
    direction: str | None = None
    ratio: Fraction | None = None
    """Turns per turn of the run's first shaft."""
    proof: str | None = None
    turns: Fraction | None = None
    """Turns of the first shaft that the proof takes."""


@dataclass(frozen=True, slots=True)
class Pulley:
    """A pulley of a belt or chain run; position and diameter in metres."""

    id: str
    place: Place
    at: tuple[Fraction, Fraction] | None = None
    diameter: Fraction | None = None
    teeth: int | None = None
    face: str = "inside"
    shaft: IdRef | None = None
    part: IdRef | None = None
    floating: Fraction | None = None
    """Range of a floating sprocket, degrees either way of the middle of its slots."""


@dataclass(frozen=True, slots=True)
class ArmTravel:
    """How a swing arm or an eccentric travels: its pivot [m], and the arm's angle at its stops.

    Degrees anticlockwise from the x axis, from the slack stop `start` to the stop `end`.
    """

    place: Place
    pivot: tuple[Fraction, Fraction] | None
    start: Fraction
    end: Fraction


@dataclass(frozen=True, slots=True)
class SlotTravel:
    """How a slider travels: its heading [degrees], and how far either way to its stops [m].

    Zero is where the file draws the pulley; `start` is the slack stop.
    """

    place: Place
    heading: Fraction
    start: Fraction
    end: Fraction


@dataclass(frozen=True, slots=True)
class TensionAct:
    """One act of tensioning a belt: set, turn, slacken or check, in the maker's order.

    `stand` in tenths of a minute before it is read; `coldest` and `warmest` are the
    belt's temperature.
    """

    place: Place
    act: str
    at_least: Sourced | None = None
    at_most: Sourced | None = None
    coldest: Sourced | None = None
    warmest: Sourced | None = None
    pointer: str | None = None
    direction: str | None = None
    turns: Fraction | None = None
    stand: int = 0


@dataclass(frozen=True, slots=True)
class Tensioner:
    """How a run is tensioned. A torque here is a setting, never a tightness."""

    place: Place
    kind: str
    pulley: IdRef | None = None
    clamp: IdRef | None = None
    setting: SourcedTightness | None = None
    text: str | None = None
    pointer: str | None = None
    arm: ArmTravel | None = None
    slot: SlotTravel | None = None
    acts: tuple[TensionAct, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """A belt or chain run: pulleys in order, the belt and how it is tensioned."""

    id: str
    name: str
    place: Place
    belt: IdRef | None = None
    drive: str = "belt"
    pulleys: tuple[Pulley, ...] = ()
    tensioner: Tensioner | None = None
    viewpoint: str | None = None
    direction: str | None = None
    pitch: Fraction | None = None
    teeth: int | None = None
    length: Fraction | None = None
    width: Fraction | None = None
    mass: Sourced | None = None
    timing: bool = False


@dataclass(frozen=True, slots=True)
class Lock:
    """A pin or lock by the hole it occupies; it holds shafts while it is in."""

    id: str
    name: str
    place: Place
    hole: str
    holds: tuple[IdRef, ...]
    openings: tuple[OpeningSpec, ...] = ()
    special_tool: str | None = None


@dataclass(frozen=True, slots=True)
class Temporary:
    """A holder, puller, support or workshop bolt, by the place it occupies."""

    id: str
    name: str
    place: Place
    kind: str
    """`holder`, `puller`, `support` or `workshop bolt`."""
    at: str | None = None
    holds: tuple[IdRef, ...] = ()
    openings: tuple[OpeningSpec, ...] = ()
    special_tool: str | None = None
    caution: str | None = None


@dataclass(frozen=True, slots=True)
class MakeSafe:
    """Cold, battery off, pressure relieved, restraint system asleep ..."""

    id: str
    name: str
    place: Place
    openings: tuple[OpeningSpec, ...] = ()
    permit: str | None = None
    proof: str | None = None
    lapses: bool = False
    caution: str | None = None


@dataclass(frozen=True, slots=True)
class RoomSaving:
    """One removal that makes the room, and what it saves on either side."""

    fact: FactRef
    strip: int
    refit: int
    place: Place


@dataclass(frozen=True, slots=True)
class RoomSpec:
    """Removals that are not needed but make room for another opening (S6)."""

    id: str
    name: str
    place: Place
    opening: FactRef
    way: str | None
    made_by: tuple[RoomSaving, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """What may never happen in which state, and for which purpose.

    `never` is an opening (`crank-bolt slack`) or an act (`turn crankshaft`, `crank`,
    `start`, `lower`, `pressurise CIRCUIT`). `while_` lists states that forbid it,
    `unless` states without which it is forbidden. `evidence` or `permit` make it a
    matter of the ledger.
    """

    id: str
    place: Place
    never: str
    while_: tuple[FactRef, ...] = ()
    unless: tuple[FactRef, ...] = ()
    purpose: str | None = None
    evidence: str | None = None
    permit: str | None = None
    why: str | None = None
    never_place: Place | None = None
    """Where `never` is written."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """A reading taken in a step: its limit, and the part it may choose."""

    what: str
    place: Place
    at_least: Sourced | None = None
    at_most: Sourced | None = None
    chooses: IdRef | None = None
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkStep:
    """A work's own step (semantics S7). `acts` toggle objects and are undone within it."""

    id: str
    text: str
    place: Place
    time: int
    needs: tuple[FactRef, ...] = ()
    before: tuple[FactRef, ...] = ()
    after: tuple[IdRef, ...] = ()
    position: IdRef | None = None
    tool: str | None = None
    aids: tuple[str, ...] = ()
    people: int = 1
    wait: int = 0
    acts: tuple[str, ...] = ()
    """In order: `crank-bolt in to turn`, `turn crankshaft 2`, `crank-pin out` ..."""
    act_places: tuple[Place, ...] = ()
    """Where each of `acts` is written."""
    effect: str | None = None
    measure: Measurement | None = None
    why: str | None = None
    caution: str | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """A named job: goals, own steps, called works; what it renews and offers."""

    id: str
    name: str
    place: Place
    goals: tuple[FactRef, ...] = ()
    steps: tuple[WorkStep, ...] = ()
    calls: tuple[IdRef, ...] = ()
    renews: tuple[IdRef, ...] = ()
    offers: tuple[IdRef, ...] = ()
    duties: tuple[IdRef, ...] = ()


@dataclass(frozen=True, slots=True)
class Duty:
    """What may outlive the visit (S11): its limit, person, whether the machine may leave."""

    id: str
    text: str
    place: Place
    opened_by: tuple[FactRef, ...] = ()
    after: str | None = None
    limit: str | None = None
    person: str | None = None
    may_leave: bool = True


@dataclass(frozen=True, slots=True)
class Material:
    """Sealant, grease, threadlocker, cleaner: how much, and for which openings."""

    id: str
    name: str
    place: Place
    amount: Sourced | None = None
    used_by: tuple[FactRef, ...] = ()
    line: PartLine | None = None
    caution: str | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution printed first; `when` limits it to jobs that open one of these."""

    text: str
    place: Place
    when: tuple[FactRef, ...] = ()


@dataclass(frozen=True, slots=True)
class Machine:
    """A whole machine, its includes merged. Maps keep the order of the files."""

    id: str
    name: str
    place: Place
    source: str | None = None
    maker: str | None = None
    viewpoint: str | None = None
    positions: Mapping[str, str] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    assemblies: Mapping[str, Assembly] = field(default_factory=dict)
    joints: Mapping[str, Joint] = field(default_factory=dict)
    circuits: Mapping[str, Circuit] = field(default_factory=dict)
    shafts: Mapping[str, Shaft] = field(default_factory=dict)
    runs: Mapping[str, Run] = field(default_factory=dict)
    locks: Mapping[str, Lock] = field(default_factory=dict)
    temporaries: Mapping[str, Temporary] = field(default_factory=dict)
    make_safes: Mapping[str, MakeSafe] = field(default_factory=dict)
    rooms: Mapping[str, RoomSpec] = field(default_factory=dict)
    bars: Mapping[str, Bar] = field(default_factory=dict)
    works: Mapping[str, Work] = field(default_factory=dict)
    duties: Mapping[str, Duty] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    cautions: tuple[Caution, ...] = ()
    special_tools: Mapping[str, PartLine | None] = field(default_factory=dict)
    """Tools not on every wall, by name, with what is ordered when that is known."""
    files: tuple[str, ...] = ()
    """Every file read, the machine file first, then its includes in order."""


@dataclass(frozen=True, slots=True)
class JobState:
    """Where a job stands: what is open, by which way, what is done, which ways are struck out.

    `open` lists facts as written. `by` pairs a fact that is open with the way it was
    opened by, where that matters; `struck` pairs an opening with a way that cannot be
    got at on this machine. `been` was open on this job and is shut again, so that no goal
    asks for it any more; `done` names own steps of works that are done, as `work/step`.
    """

    machine: IdRef
    place: Place
    open: tuple[FactRef, ...] = ()
    by: tuple[tuple[FactRef, IdRef], ...] = ()
    struck: tuple[tuple[FactRef, IdRef], ...] = ()
    been: tuple[FactRef, ...] = ()
    done: tuple[IdRef, ...] = ()
