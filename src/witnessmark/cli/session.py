"""What several commands do first: read the files, compile, plan, and time each stage."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from typing import NoReturn, TypeVar

import click

from witnessmark.cli.files import load_machine, load_state, load_workshop, workshop_beside
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.workshop import Workshop
from witnessmark.planning.planner import PlanResult, make_plan
from witnessmark.procedure.compile import compile_problem
from witnessmark.procedure.compiled import Compiled, CompileError

Value = TypeVar("Value")


@dataclass(slots=True)
class Clock:
    """Seconds spent reading and solving, and since the command began."""

    started: float
    read: float = 0.0
    solve: float = 0.0

    @classmethod
    def start(cls) -> Clock:
        """Begin counting now."""
        return cls(started=perf_counter())

    def answer(self) -> dict[str, float]:
        """Give the seconds for `--json`."""
        return {
            "read": round(self.read, 4),
            "solve": round(self.solve, 4),
            "total": round(perf_counter() - self.started, 4),
        }


def fail(message: str, code: int = 1) -> NoReturn:
    """Say on the error stream what is wrong and end the command."""
    click.echo(message, err=True)
    sys.exit(code)


def refuse(complaints: Sequence[Complaint]) -> NoReturn:
    """Print complaints as `check` does and end the command with 1."""
    for complaint in complaints:
        click.echo(str(complaint), err=True)
    sys.exit(1)


def read_machine_or_end(path: Path) -> Machine:
    """Read a machine file; on complaints that are not mere warnings print all and end."""
    if not path.is_file():
        fail(f"{path}: there is no such file. Give the path of a machine file.", 2)
    machine, complaints = load_machine(path)
    errors = [c for c in complaints if not c.is_warning]
    if machine is None or errors:
        refuse(errors or complaints)
    return machine


def find_workshop(machine_file: Path, given: Path | None) -> Workshop:
    """Read the workshop file: given, beside or above the machine file, or the built-in one."""
    if given is not None and not given.is_file():
        fail(f"{given}: there is no such workshop file.", 2)
    found = given or workshop_beside(machine_file)
    if found is None:
        return Workshop(name="built-in workshop", file="")
    workshop, complaints = load_workshop(found)
    errors = [c for c in complaints if not c.is_warning]
    if workshop is None or errors:
        refuse(errors or complaints)
    return workshop


def read_state_or_end(path: Path | None, machine: Machine) -> JobState | None:
    """Read a state file when one is given."""
    if path is None:
        return None
    if not path.is_file():
        fail(f"{path}: there is no such state file.", 2)
    state, complaints = load_state(path, machine)
    errors = [c for c in complaints if not c.is_warning]
    if state is None or errors:
        refuse(errors or complaints)
    return state


def check_works(machine: Machine, works: Sequence[str]) -> None:
    """End the command when a work is not in the file, naming the nearest one."""
    from difflib import get_close_matches

    if not works:
        known = ", ".join(machine.works)
        fail(f"Name at least one work with --work. This file has: {known or 'none'}.", 2)
    for work in works:
        if work not in machine.works:
            near = get_close_matches(work, list(machine.works), 1)
            hint = f"Did you mean '{near[0]}'?" if near else f"It has: {', '.join(machine.works)}."
            fail(f"{machine.place.file}: there is no work '{work}'. {hint}", 2)


@dataclass(frozen=True, slots=True)
class Session:
    """A machine, its workshop and the compiled works, with the clock of the command."""

    machine: Machine
    workshop: Workshop
    compiled: Compiled
    clock: Clock

    def plan(self) -> PlanResult:
        """Make the plan, timed."""
        return self.timed(lambda: make_plan(self.compiled.problem))

    def plans(self, count: int, margin: int) -> tuple[PlanResult, ...]:
        """Make several different plans within a margin of tenths, timed."""
        from witnessmark.planning.planner import make_plans

        return self.timed(lambda: make_plans(self.compiled.problem, count=count, margin=margin))

    def timed(self, solve: Callable[[], Value]) -> Value:
        """Run a solve and add its seconds to the clock."""
        before = perf_counter()
        watched = sys.stderr.isatty()
        if watched:
            click.echo("planning ...\r", err=True, nl=False)
        value = solve()
        if watched:
            click.echo("            \r", err=True, nl=False)
        self.clock.solve += perf_counter() - before
        return value


def open_session(
    file: Path,
    works: Sequence[str],
    workshop_file: Path | None = None,
    state_file: Path | None = None,
) -> Session:
    """Read everything a plan needs and compile it; ends the command on bad input."""
    clock = Clock.start()
    machine = read_machine_or_end(file)
    check_works(machine, works)
    workshop = find_workshop(file, workshop_file)
    state = read_state_or_end(state_file, machine)
    try:
        compiled = compile_problem(machine, works, workshop, state)
    except CompileError as error:
        refuse(error.complaints)
    clock.read = perf_counter() - clock.started
    return Session(machine, workshop, compiled, clock)
