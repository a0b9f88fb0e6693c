"""`witnessmark calc fill`: the order of emptying, filling and proving a machine's circuit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from witnessmark.cli.calc.answers import Answer, never, refusals, rounded, shown
from witnessmark.cli.calc.measured_litres import MeasuredLitres, litres_options
from witnessmark.cli.session import read_machine_or_end
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.circuit_filling import comes_out_below, filling_order, litres_due
from witnessmark.machine.model import Circuit, Machine, Sourced
from witnessmark.quantities.duration import minutes_text

MAKER = "The maker's filling procedure rules; local law says where old fluid goes."


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--circuit", "circuit_id", metavar="ID", help="Which circuit; else the only one.")
@click.option("--opened", multiple=True, metavar="JOINT", help="A joint opened on it; again.")
@litres_options
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def fill(
    file: Path,
    circuit_id: str | None,
    opened: tuple[str, ...],
    as_json: bool,
    **measured: Any,  # noqa: ANN401 - the litres, typed in `MeasuredLitres`
) -> None:
    """Drain, cap, fill, bleed, prime, run up, cold re-check: a circuit of a machine file."""
    machine = read_machine_or_end(file)
    answer = Answer("Filling")
    with refusals():
        circuit = _chosen(machine, circuit_id)
        _require_joints(machine, circuit, opened)
        _tell_order(answer, circuit, opened)
        litres = MeasuredLitres(**measured)
        if litres.given:
            if not circuit.refilled:
                never(f"{circuit.name} is not refilled: there are no litres to compare")
            litres.tell_balance(answer)
    answer.give(as_json)


def _chosen(machine: Machine, circuit_id: str | None) -> Circuit:
    names = ", ".join(machine.circuits) or "none"
    if circuit_id is None:
        if len(machine.circuits) == 1:
            return next(iter(machine.circuits.values()))
        never(f"say which circuit with --circuit; the file has: {names}")
    if circuit_id not in machine.circuits:
        raise RefusalError(f"there is no circuit '{circuit_id}'", f"the file has: {names}")
    return machine.circuits[circuit_id]


def _require_joints(machine: Machine, circuit: Circuit, opened: tuple[str, ...]) -> None:
    known = [j.id for j in machine.joints.values() if any(r.id == circuit.id for r in j.opens)]
    for joint in opened:
        if joint not in known:
            raise RefusalError(
                f"'{joint}' is no joint that opens {circuit.name}",
                f"joints that do: {', '.join(known) or 'none'}",
            )


def _only_high(circuit: Circuit, opened: tuple[str, ...]) -> bool:
    """Whether every joint opened lies at or above the level once the pressure is out."""
    level = circuit.level
    return (
        bool(opened)
        and level is not None
        and all(
            joint in circuit.heights and circuit.heights[joint].quantity.si >= level.quantity.si
            for joint in opened
        )
    )


def _tell_order(answer: Answer, circuit: Circuit, opened: tuple[str, ...]) -> None:
    states = {spec.state: spec for spec in circuit.openings}
    high = _only_high(circuit, opened) and "relieved" in states
    state = "drained" if "drained" in states and not high else "relieved"
    ways = states[state].ways if state in states else ()
    strip = max((way.wait_strip for way in ways), default=0)
    refit = max((way.wait_refit for way in ways), default=0)
    steps = filling_order(
        circuit,
        drained=state == "drained",
        opened=opened,
        wait_strip=strip,
        wait_refit=refit,
    )
    due = litres_due(circuit) if state == "drained" else None
    words = "not given" if due is None else shown(float(due), "L")
    partly = comes_out_below(circuit, opened) if state == "drained" else None
    answer.data |= {
        "circuit": circuit.id,
        "fluid": circuit.fluid,
        "state": state,
        "capacity_L": _litres(circuit.capacity),
        "stays_behind_L": _litres(circuit.stays_behind),
        "due_L": None if due is None else rounded(float(due)),
        "drained_below": None if partly is None else partly[0],
        "due_below_L": None if partly is None else _litres(partly[1]),
        "steps": [
            {
                "id": step.id,
                "what": step.what,
                "not_before": step.not_before,
                "wait_minutes": step.wait / 10,
                "caution": step.caution,
            }
            for step in steps
        ],
    }
    answer.title = f"Filling: {circuit.name} ({circuit.fluid})"
    answer.line("", f"{state}; out and in again, drained wholly: {words}")
    if partly is not None:
        answer.line("", f"drained to below {partly[0]} only: {partly[1].quantity}")
    for number, step in enumerate(steps, 1):
        answer.line(str(number), step.what)
        wait = f" [{minutes_text(step.wait)}]" if step.wait else ""
        if step.not_before:
            answer.line("", f"  when: {step.not_before}{wait}")
    own = [circuit.caution] if circuit.caution else []
    answer.cautions = list(dict.fromkeys([*own, *(s.caution for s in steps if s.caution), MAKER]))
    figures = [circuit.capacity, circuit.stays_behind, *([partly[1]] if partly else [])]
    answer.sources = list(dict.fromkeys(f.source for f in figures if f and f.source))


def _litres(figure: Sourced | None) -> float | None:
    return None if figure is None else rounded(float(figure.quantity.si) * 1000)
