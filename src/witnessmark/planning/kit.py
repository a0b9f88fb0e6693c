"""The kit: everything that must be on the bench before the first spanner turns.

Derived from the openings a plan really makes: parts to renew and why, gaskets and seals
disturbed, single-use fasteners, parts that may be spoilt, fluids, materials, tools,
special tools and torque wrenches; and what the workshop has and lacks of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from witnessmark.machine.model import (
    Circuit,
    FactRef,
    Fastener,
    Joint,
    Machine,
    ObjectKind,
    Part,
    PartLine,
    Renewal,
    Spoil,
)
from witnessmark.machine.workshop import Adapter, Workshop
from witnessmark.machine.wrenching import adapter_of, why_none_serves, wrenches_serving
from witnessmark.procedure.compiled import Compiled
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS
from witnessmark.quantities.reading import Quantity, format_number
from witnessmark.quantities.units import BY_NAME, Dimension

SEALING_KINDS = frozenset({"gasket", "seal", "o-ring", "sealing washer"})


@dataclass(frozen=True, slots=True)
class KitLine:
    """One thing to have: how many, its number and price each, why, and pieces in stock."""

    id: str
    name: str
    pieces: int
    number: str | None
    price: Fraction | None
    why: str
    in_stock: int = 0
    sealing: bool = False

    @property
    def lacking(self) -> int:
        """Pieces to order."""
        return max(0, self.pieces - self.in_stock)


@dataclass(frozen=True, slots=True)
class KitFluid:
    """A fluid by the litre: what goes back in after draining, less what stays behind."""

    id: str
    name: str
    specification: str | None
    litres: Fraction | None
    number: str | None
    price_per_litre: Fraction | None
    source: str | None


@dataclass(frozen=True, slots=True)
class KitMaterial:
    """Sealant, grease, threadlocker: how much in words, and what for."""

    id: str
    name: str
    amount: str | None
    price: Fraction | None
    why: str
    caution: str | None


@dataclass(frozen=True, slots=True)
class KitTool:
    """A tool, whether the workshop has it, and where a special one is ordered."""

    name: str
    owned: bool
    number: str | None = None
    price: Fraction | None = None
    why: str | None = None


@dataclass(frozen=True, slots=True)
class TorqueNeed:
    """A torque that must be set or read, the joints that want it, and what serves it."""

    torque: Quantity
    joints: tuple[str, ...]
    wrenches: tuple[str, ...]
    adapter: str | None = None
    setting: str | None = None
    """What the first wrench is set to, adapter allowed for, in its own unit."""
    why_none: str | None = None
    """Why none serves, when none does."""


@dataclass(frozen=True, slots=True)
class Kit:
    """Everything for the bench."""

    parts: tuple[KitLine, ...]
    fasteners: tuple[KitLine, ...]
    at_hand: tuple[KitLine, ...]
    fluids: tuple[KitFluid, ...]
    materials: tuple[KitMaterial, ...]
    tools: tuple[KitTool, ...]
    special_tools: tuple[KitTool, ...]
    torques: tuple[TorqueNeed, ...]
    candidates: tuple[KitLine, ...]
    currency: str

    @property
    def price(self) -> Fraction:
        """Everything with a price that will certainly be used."""
        certain = (*self.parts, *self.fasteners)
        return (
            sum((line.price * line.pieces for line in certain if line.price), Fraction(0))
            + sum(
                (
                    f.price_per_litre * f.litres
                    for f in self.fluids
                    if f.price_per_litre and f.litres
                ),
                Fraction(0),
            )
            + sum((m.price for m in self.materials if m.price), Fraction(0))
        )


def unserved(kit: Kit) -> tuple[str, ...]:
    """Warn of every torque that no wrench of the workshop's list can set."""
    return tuple(
        f"no wrench here serves {need.torque}"
        + (f" with {need.adapter}" if need.adapter else "")
        + f" ({', '.join(need.joints)})"
        + (f": {need.why_none}" if need.why_none else "")
        for need in kit.torques
        if not need.wrenches
    )


def kit_for(compiled: Compiled, plan: Plan, workshop: Workshop, day: date | None = None) -> Kit:
    """Work out the kit of a plan; `day` tells which wrenches are overdue for their check."""
    machine = compiled.machine
    opened = _opened(compiled, plan)
    spoilt = _spoilt(compiled, plan)
    parts = _parts_to_renew(compiled, opened, spoilt, workshop)
    renewed = {line.id for line in parts}
    return Kit(
        parts=parts,
        fasteners=tuple(_single_use(machine, opened, workshop)),
        at_hand=tuple(_at_hand(machine, opened, spoilt, renewed, workshop)),
        fluids=tuple(_fluids(machine, opened)),
        materials=tuple(_materials(machine, opened)),
        tools=_hand_tools(compiled, plan, workshop),
        special_tools=_special_tools(compiled, plan, workshop),
        torques=_torques(machine, opened, workshop, _adapters(compiled, plan, workshop), day),
        candidates=tuple(_candidates(compiled, workshop)),
        currency=workshop.currency,
    )


def _opened(compiled: Compiled, plan: Plan) -> dict[str, set[str]]:
    """Map each disturbed object to the states it is taken to."""
    opened: dict[str, set[str]] = {}
    for index in plan.ways:
        info = compiled.openings[index]
        opened.setdefault(info.object_id, set()).update(info.states)
    machine = compiled.machine
    for assembly in machine.assemblies.values():
        if "off" in opened.get(assembly.id, ()):
            for part in assembly.parts:
                opened.setdefault(part.id, set())
    return opened


def _is_open(opened: Mapping[str, set[str]], ref: FactRef) -> bool:
    states = opened.get(ref.object)
    return states is not None and (ref.state is None or ref.state in states)


def _spoilt(compiled: Compiled, plan: Plan) -> dict[str, Spoil]:
    spoilt: dict[str, Spoil] = {}
    for index, choice in plan.ways.items():
        for part, spoil in compiled.openings[index].ways[choice].spoils.items():
            if spoilt.get(part) is not Spoil.ALWAYS:
                spoilt[part] = spoil
    return spoilt


def _line(
    workshop: Workshop,
    thing: str,
    name: str,
    line: PartLine | None,
    why: str,
    *,
    pieces: int = 1,
    sealing: bool = False,
) -> KitLine:
    number = line.number if line else None
    return KitLine(
        id=thing,
        name=name,
        pieces=pieces,
        number=number,
        price=line.price if line else None,
        why=why,
        in_stock=workshop.stock.get(number, 0) if number else 0,
        sealing=sealing,
    )


def _comes_apart(part: Part, opened: Mapping[str, set[str]]) -> bool:
    """Whether a part is taken off, or comes loose because what traps it is off."""
    if "off" in opened.get(part.id, ()):
        return True
    return (
        bool(part.trapped_by)
        and not part.openings
        and all("off" in opened.get(trap.id, ()) for trap in part.trapped_by)
    )


def _parts_to_renew(
    compiled: Compiled,
    opened: Mapping[str, set[str]],
    spoilt: Mapping[str, Spoil],
    workshop: Workshop,
) -> tuple[KitLine, ...]:
    machine = compiled.machine
    asked: dict[str, str] = {}
    for work in compiled.works:
        for part_ref in work.renews:
            asked.setdefault(part_ref.id, f"renewed by '{work.name}'")
    lines = []
    for part in machine.parts.values():
        why = asked.get(part.id)
        if why is None and spoilt.get(part.id) is Spoil.ALWAYS:
            why = "destroyed when it comes off"
        if why is None and part.renew is Renewal.WHEN_DISTURBED and _comes_apart(part, opened):
            why = "renewed whenever it is disturbed"
        if why is not None:
            sealing = part.kind in SEALING_KINDS
            lines.append(_line(workshop, part.id, part.name, part.line, why, sealing=sealing))
    return tuple(lines)


def fastener_size(fastener: Fastener) -> str:
    """Say what a fastener is in the words one orders it by."""
    words = [fastener.name or ("bolt" if fastener.thread else "fastener")]
    if fastener.thread is not None:
        words.append(str(fastener.thread))
    if fastener.strength:
        words.append(f"class {fastener.strength}")
    return " ".join(words)


def _single_use(
    machine: Machine, opened: Mapping[str, set[str]], workshop: Workshop
) -> Iterable[KitLine]:
    for joint in machine.joints.values():
        if not joint.single_use or joint.id not in opened:
            continue
        sizes: dict[str, int] = {}
        for fastener in joint.fasteners:
            size = fastener_size(fastener)
            sizes[size] = sizes.get(size, 0) + fastener.count
        for size, pieces in sizes.items():
            yield _line(
                workshop, joint.id, f"{joint.name}: {size}", joint.line, "single use", pieces=pieces
            )


def _at_hand(
    machine: Machine,
    opened: Mapping[str, set[str]],
    spoilt: Mapping[str, Spoil],
    renewed: set[str],
    workshop: Workshop,
) -> Iterable[KitLine]:
    """List what may turn out to be needed: spoilt-maybe parts and what findings lead to."""
    wanted: dict[str, str] = {
        part: "may be spoilt when it comes off"
        for part, spoil in spoilt.items()
        if spoil is Spoil.MAYBE
    }
    for part in machine.parts.values():
        if not _comes_apart(part, opened):
            continue
        for inspection in part.inspections:
            for finding in inspection.findings:
                for ref in finding.parts:
                    wanted.setdefault(ref.id, f"if found: {finding.text}")
    for part_id, why in wanted.items():
        if part_id in renewed:
            continue
        known = machine.parts.get(part_id)
        name = known.name if known else part_id.replace("-", " ")
        yield _line(workshop, part_id, name, known.line if known else None, why)


def _fluids(machine: Machine, opened: Mapping[str, set[str]]) -> Iterable[KitFluid]:
    for circuit in machine.circuits.values():
        if circuit.refilled and "drained" in opened.get(circuit.id, ()):
            yield KitFluid(
                id=circuit.id,
                name=circuit.fluid,
                specification=circuit.specification,
                litres=_litres_drained(circuit),
                number=circuit.line.number if circuit.line else None,
                price_per_litre=circuit.line.price if circuit.line else None,
                source=circuit.capacity.source if circuit.capacity else None,
            )


def _litres_drained(circuit: Circuit) -> Fraction | None:
    if circuit.capacity is None:
        return None
    litres = circuit.capacity.quantity.in_unit("L")
    if circuit.stays_behind is not None:
        litres -= circuit.stays_behind.quantity.in_unit("L")
    return litres


def _materials(machine: Machine, opened: Mapping[str, set[str]]) -> Iterable[KitMaterial]:
    for material in machine.materials.values():
        users = [ref for ref in material.used_by if _is_open(opened, ref)]
        if users:
            yield KitMaterial(
                id=material.id,
                name=material.name,
                amount=str(material.amount.quantity) if material.amount else None,
                price=material.line.price if material.line else None,
                why="for " + ", ".join(_object_name(machine, ref.object) for ref in users),
                caution=material.caution,
            )


def _object_name(machine: Machine, object_id: str) -> str:
    for table in (machine.parts, machine.joints, machine.circuits, machine.assemblies):
        if object_id in table:
            return table[object_id].name
    return object_id


def _tools_in_plan(compiled: Compiled, plan: Plan) -> list[str]:
    """Every tool in hand and every aid, in the order of first use."""
    tools: dict[str, None] = {}
    names = compiled.problem.changeovers.tools
    for index, choice in plan.ways.items():
        tool = compiled.problem.openings[index].ways[choice].tool
        if tool not in (ANYWHERE, BARE_HANDS):
            tools.setdefault(names[tool])
        for aid in compiled.openings[index].ways[choice].aids:
            tools.setdefault(aid)
    for number, block in enumerate(compiled.problem.blocks):
        if block.tool not in (ANYWHERE, BARE_HANDS):
            tools.setdefault(names[block.tool])
        for aid in compiled.blocks[number].step.aids:
            tools.setdefault(aid)
    return list(tools)


def _hand_tools(compiled: Compiled, plan: Plan, workshop: Workshop) -> tuple[KitTool, ...]:
    special = compiled.machine.special_tools
    adapters = {adapter.name.lower() for adapter in workshop.adapters}
    return tuple(
        KitTool(name=tool, owned=tool in workshop.tools or tool.lower() in adapters)
        for tool in sorted(_tools_in_plan(compiled, plan), key=_natural)
        if tool not in special
    )


def _natural(text: str) -> tuple[tuple[int, int | str], ...]:
    """Sort `socket 8 mm` before `socket 10 mm`."""
    return tuple((0, int(word)) if word.isdigit() else (1, word) for word in text.split())


def _special_tools(compiled: Compiled, plan: Plan, workshop: Workshop) -> tuple[KitTool, ...]:
    machine = compiled.machine
    wanted: dict[str, str] = {}
    for index in plan.ways:
        info = compiled.openings[index]
        if info.kind is ObjectKind.LOCK:
            lock = machine.locks[info.object_id]
            if lock.special_tool:
                wanted.setdefault(lock.special_tool, lock.name)
        elif info.kind is ObjectKind.TEMPORARY:
            aid = machine.temporaries[info.object_id]
            if aid.special_tool:
                wanted.setdefault(aid.special_tool, aid.name)
    for tool in _tools_in_plan(compiled, plan):
        if tool in machine.special_tools:
            wanted.setdefault(tool, "in hand at a step")
    lines = {tool: machine.special_tools.get(tool) for tool in wanted}
    return tuple(
        KitTool(
            name=tool,
            owned=tool in workshop.special_tools,
            number=line.number if line else None,
            price=line.price if line else None,
            why=wanted[tool],
        )
        for tool, line in lines.items()
    )


def torques_of(joint: Joint) -> tuple[Quantity, ...]:
    """Every torque that is set on a joint, stages included."""
    tightnesses = [*joint.stages, *([joint.tightness] if joint.tightness else [])]
    return tuple(
        stage
        for tightness in tightnesses
        for stage in tightness.tightness.stages
        if stage.dimension is Dimension.TORQUE
    )


def _adapters(compiled: Compiled, plan: Plan, workshop: Workshop) -> dict[str, Adapter]:
    """Give the adapter that each joint is tightened with, where its way asks for one."""
    found: dict[str, Adapter] = {}
    for index, choice in plan.ways.items():
        info = compiled.openings[index]
        adapter = adapter_of(info.ways[choice], workshop)
        if info.kind is ObjectKind.JOINT and adapter is not None:
            found.setdefault(info.object_id, adapter)
    return found


def _torques(
    machine: Machine,
    opened: Mapping[str, set[str]],
    workshop: Workshop,
    adapters: Mapping[str, Adapter],
    day: date | None,
) -> tuple[TorqueNeed, ...]:
    joints: dict[tuple[Fraction, str], dict[str, None]] = {}
    by_id = {adapter.id: adapter for adapter in adapters.values()}
    for joint in machine.joints.values():
        if joint.id in opened:
            adapter = adapters.get(joint.id)
            for torque in torques_of(joint):
                key = (torque.si, adapter.id if adapter is not None else "")
                joints.setdefault(key, {}).setdefault(joint.name)
    return tuple(
        _torque_need(value, tuple(names), by_id.get(adapter_id), workshop, day)
        for (value, adapter_id), names in sorted(joints.items())
    )


def _torque_need(
    value: Fraction,
    names: tuple[str, ...],
    adapter: Adapter | None,
    workshop: Workshop,
    day: date | None,
) -> TorqueNeed:
    torque = Quantity(value, BY_NAME["N·m"])
    uses = wrenches_serving(torque, workshop, on=day, adapter=adapter)
    why = None
    if not uses and workshop.wrenches:
        why = why_none_serves(torque, workshop, on=day, adapter=adapter)
    return TorqueNeed(
        torque=torque,
        joints=names,
        wrenches=tuple(use.wrench.name for use in uses),
        adapter=adapter.name if adapter is not None else None,
        setting=uses[0].setting_text if uses else None,
        why_none=why,
    )


def _candidates(compiled: Compiled, workshop: Workshop) -> Iterable[KitLine]:
    """List the sizes a part may be chosen from after measuring."""
    for block in compiled.blocks:
        measure = block.step.measure
        if measure is None or measure.chooses is None:
            continue
        part = compiled.machine.parts.get(measure.chooses.id)
        name = part.name if part else measure.chooses.id
        for size in measure.candidates:
            yield _line(
                workshop, measure.chooses.id, f"{name}, {size}", None, f"chosen by {measure.what}"
            )


def money_text(amount: Fraction, currency: str) -> str:
    """Print an amount with its currency, always two decimals."""
    whole, decimals = f"{format_number(amount, 2)}.".split(".")[:2]
    return f"{whole}.{decimals:0<2} {currency}".strip()
