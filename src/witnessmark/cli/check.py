"""`witnessmark check`, `witnessmark upgrade` and `witnessmark schema`: files, not jobs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from importlib import resources
from pathlib import Path

import click

from witnessmark.cli.files import (
    fit_for_use,
    kind_of_file,
    load_bytes,
    load_machine,
    load_state,
    load_workshop,
    workshop_beside,
)
from witnessmark.machine.checks import check_wrenches
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import Machine
from witnessmark.machine.workshop import Workshop

SCHEMAS = {
    "machine": "machine-file.schema.json",
    "workshop": "workshop-file.schema.json",
    "state": "state-file.schema.json",
}

_FILES = click.argument(
    "files", metavar="FILE...", nargs=-1, required=True, type=click.Path(exists=True)
)


_CHECK_HELP = """Read files and say everything that is wrong with them.

Machine files (with what they include), workshop files and state files are told apart by
their first key. A state file is checked against its machine when both are given. The
torques of a machine are checked against the wrenches of the workshop files given, or else
of the workshop.yaml beside or above the machine file; without --on none is overdue.

Every line reads FILE:LINE:COLUMN: CODE: what is wrong: what to do. Warnings say so.

\b
Exit code  0  nothing wrong, or warnings only
           1  complaints, or a file that cannot be read
           2  no such file, or a wrong option
"""


@click.command(help=_CHECK_HELP, context_settings={"help_option_names": ["-h", "--help"]})
@_FILES
@click.option(
    "--on",
    "day",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="A day like 2026-03-31: wrenches whose check is overdue on it do not serve.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the complaints as JSON.")
@click.pass_context
def check(ctx: click.Context, files: tuple[str, ...], day: datetime | None, as_json: bool) -> None:
    """Read files and say everything that is wrong with them."""
    complaints = check_files(files, None if day is None else day.date())
    if as_json:
        click.echo(json.dumps(as_data(complaints), ensure_ascii=False, indent=2))
    else:
        for complaint in complaints:
            click.echo(coloured(complaint))
        click.echo(summary(complaints, len(files)), err=True)
    ctx.exit(0 if fit_for_use(complaints) else 1)


def check_files(files: Sequence[str], day: date | None = None) -> list[Complaint]:
    """Check files of any kind, each once, machines before the states that stand on them."""
    kinds = {file: kind_of_file(file) for file in files}
    machines: dict[str, Machine] = {}
    found: dict[str, list[Complaint]] = {}
    workshops: list[Workshop] = []
    for file, kind in kinds.items():
        if kind == "workshop":
            workshop, found[file] = load_workshop(file)
            if workshop is not None and fit_for_use(found[file]):
                workshops.append(workshop)
    for file, kind in kinds.items():
        if kind == "witnessmark":
            machine, found[file] = load_machine(file)
            if machine is not None:
                machines[machine.id] = machine
                garages = workshops if "workshop" in kinds.values() else _beside(file)
                found[file] += _unserved(machine, garages, day)
    for file, kind in kinds.items():
        if kind == "state":
            state, found[file] = load_state(file)
            machine = machines.get(state.machine.id) if state is not None else None
            if machine is not None:
                found[file] = load_state(file, machine)[1]
            elif state is not None:
                click.echo(
                    f"{file}: give the file of machine '{state.machine.id}' as well to check "
                    "what is open against it",
                    err=True,
                )
    return list(dict.fromkeys(complaint for file in kinds for complaint in found[file]))


def _beside(machine_file: str) -> list[Workshop]:
    """Give the workshop that `plan` would use, if there is one without complaints."""
    path = workshop_beside(Path(machine_file))
    if path is None:
        return []
    workshop, complaints = load_workshop(path)
    return [workshop] if workshop is not None and fit_for_use(complaints) else []


def _unserved(machine: Machine, workshops: Sequence[Workshop], day: date | None) -> list[Complaint]:
    """Say which torques no wrench serves; a workshop without any wrench keeps no list."""
    return [
        complaint
        for workshop in workshops
        if workshop.wrenches
        for complaint in check_wrenches(machine, workshop, day)
    ]


def coloured(complaint: Complaint) -> str:
    """Give the line of a complaint, its code in colour (taken out unless on a terminal)."""
    place, code = f"{complaint.place}: ", complaint.code
    rest = str(complaint).removeprefix(place + code)
    colour = "yellow" if complaint.is_warning else "red"
    return place + click.style(code, fg=colour, bold=True) + rest


def summary(complaints: Sequence[Complaint], files: int) -> str:
    """Count up in one line."""
    warnings = sum(complaint.is_warning for complaint in complaints)
    wrong = len(complaints) - warnings
    return f"{_count(files, 'file')}: {_count(wrong, 'complaint')}, {_count(warnings, 'warning')}"


def _count(number: int, noun: str) -> str:
    return f"{number or 'no'} {noun}{'' if number == 1 else 's'}"


def as_data(complaints: Iterable[Complaint]) -> dict[str, object]:
    """Give complaints as plain data for `--json`."""
    return {
        "complaints": [
            {
                "file": complaint.place.file,
                "line": complaint.place.line,
                "column": complaint.place.column,
                "code": complaint.code,
                "severity": complaint.severity,
                "what": complaint.what,
                "to_do": complaint.to_do,
            }
            for complaint in complaints
        ],
    }


@click.command(context_settings={"help_option_names": ["-h", "--help"]})
@click.argument("kind", type=click.Choice(list(SCHEMAS)), default="machine")
def schema(kind: str) -> None:
    """Print the JSON Schema of machine files, for an editor that understands it.

    KIND is machine (when nothing is said), workshop or state.
    """
    text = resources.files("witnessmark.machine").joinpath(SCHEMAS[kind]).read_text("utf-8")
    click.echo(text, nl=False)


@click.command(context_settings={"help_option_names": ["-h", "--help"]})
@_FILES
@click.pass_context
def upgrade(ctx: click.Context, files: tuple[str, ...]) -> None:
    """Bring older machine files to the present version of the format.

    Only the lines that must change are changed; comments stay. A file that is already in
    the present version is left alone.
    """
    from witnessmark.machine.rewriting import RewritingError, upgrade_text

    failed = False
    for file in files:
        path = Path(file)
        try:
            old = load_bytes(file).decode("utf-8")
            new = upgrade_text(old)
            if new != old:
                path.write_bytes(new.encode("utf-8"))
        except (OSError, UnicodeDecodeError, RewritingError) as error:
            click.echo(f"{file}: not upgraded: {error}", err=True)
            failed = True
            continue
        click.echo(f"{file}: {'is up to date' if new == old else 'upgraded'}")
    ctx.exit(1 if failed else 0)
