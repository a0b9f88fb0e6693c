"""`witnessmark works`, `plan`, `kit` and `explain`."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypedDict

import click

from witnessmark.cli.answers import job_answer, kit_answer, minutes, result_answer
from witnessmark.cli.session import Session, fail, open_session, read_machine_or_end
from witnessmark.engineering.fastening.witness_marks import WitnessMark, witness_mark
from witnessmark.engineering.refusal import RefusalError
from witnessmark.planning.explaining import cause_lines, explain_object
from witnessmark.planning.job import Job, job_from
from witnessmark.planning.planner import PlanResult
from witnessmark.quantities.duration import read_tenths
from witnessmark.quantities.reading import QuantityError

FILE = click.argument("file", type=click.Path(path_type=Path))
WORK = click.option(
    "--work", "works", multiple=True, metavar="ID", help="A work to do; may be given again."
)
WORKSHOP = click.option(
    "--workshop",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The workshop file; else workshop.yaml beside or above the machine file.",
)
STATE = click.option(
    "--from",
    "state",
    type=click.Path(path_type=Path),
    metavar="STATE",
    help="A state file: what is open already, which ways are struck out.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")


DAY = click.option(
    "--on",
    "day",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="The day of the work, like 2026-03-31: overdue wrenches do not serve. Else today.",
)
MARK = click.option(
    "--mark",
    metavar="COLOUR",
    help="The witness mark of this job: white, yellow, orange, red, green, blue or pink.",
)


def echo_json(answer: Any) -> None:  # noqa: ANN401 - JSON data
    """Print plain data as JSON."""
    click.echo(json.dumps(answer, ensure_ascii=False, indent=2))


@click.command()
@FILE
@JSON
def works(file: Path, as_json: bool) -> None:
    """List the works a machine file knows."""
    machine = read_machine_or_end(file)
    if as_json:
        echo_json([{"id": work.id, "name": work.name} for work in machine.works.values()])
        return
    for work in machine.works.values():
        click.echo(f"{work.id:<24}{work.name}")


@click.command()
@FILE
@WORK
@WORKSHOP
@STATE
@click.option(
    "--plans",
    "count",
    type=click.IntRange(1, 9),
    default=1,
    metavar="N",
    help="Up to N different plans.",
)
@click.option(
    "--margin",
    default="10 min",
    metavar="TIME",
    help="How much longer another plan may be (default 10 min).",
)
@DAY
@MARK
@JSON
def plan(
    file: Path,
    works: tuple[str, ...],
    workshop: Path | None,
    state: Path | None,
    count: int,
    margin: str,
    day: datetime | None,
    mark: str | None,
    as_json: bool,
) -> None:
    """Plan the least strip-down that reaches the works, and prove it."""
    tenths = _margin(margin)
    told = told_for(day, mark)
    session = open_session(file, works, workshop, state)
    results = session.plans(count, tenths) if count > 1 else (session.plan(),)
    if results[0].plan is None:
        _say_why_not(session, results[0], as_json=as_json)
    jobs = [job_from(session.compiled, result, session.workshop, **told) for result in results]
    if as_json:
        answer = {**job_answer(jobs[0]), "seconds": session.clock.answer()}
        if count > 1:
            answer["plans"] = [job_answer(job) for job in jobs]
        echo_json(answer)
        return
    _print_jobs(session, jobs)


def _print_jobs(session: Session, jobs: list[Job]) -> None:
    from witnessmark.cli.screen import plan_lines

    if not session.workshop.file:
        click.echo("No workshop file found: built-in figures are used for change-overs.")
    for number, job in enumerate(jobs, 1):
        if len(jobs) > 1:
            click.echo(click.style(f"Plan {number} of {len(jobs)}", bold=True))
        for line in plan_lines(job):
            click.echo(line)
        if number < len(jobs):
            click.echo("")


def _margin(text: str) -> int:
    try:
        return read_tenths(text)
    except QuantityError as error:
        fail(f"--margin: {error.what}: {error.hint}", 2)


def _say_why_not(session: Session, result: PlanResult, *, as_json: bool) -> None:
    causes = cause_lines(session.compiled, result.causes)
    if as_json:
        echo_json(
            {
                "machine": session.machine.id,
                "works": [work.id for work in session.compiled.works],
                **result_answer(result),
                "causes": list(causes),
                "seconds": session.clock.answer(),
            }
        )
    else:
        click.echo(f"No plan: {result.outcome.value}.")
        for cause in causes:
            click.echo(f"  {cause}")
    raise SystemExit(1)


class Told(TypedDict):
    """What is said of a job beside its works: its day and its witness mark."""

    day: date
    mark: WitnessMark | None


def told_for(day: datetime | None, mark: str | None = None) -> Told:
    """Read the options of a job; today when no day is given."""
    try:
        chosen = None if mark is None else witness_mark(mark)
    except RefusalError as error:
        fail(f"--mark: {error}", 2)
    return {"day": (day or datetime.now().astimezone()).date(), "mark": chosen}


def planned_job(session: Session, told: Told | None = None) -> Job:
    """Plan one job; ends the command, saying why, when there is no plan."""
    result = session.plan()
    if result.plan is None:
        _say_why_not(session, result, as_json=False)
    return job_from(session.compiled, result, session.workshop, **(told or told_for(None)))


@click.command()
@FILE
@WORK
@WORKSHOP
@STATE
@DAY
@JSON
def kit(
    file: Path,
    works: tuple[str, ...],
    workshop: Path | None,
    state: Path | None,
    day: datetime | None,
    as_json: bool,
) -> None:
    """List what must be on the bench before the first spanner turns."""
    from witnessmark.cli.screen import kit_lines

    session = open_session(file, works, workshop, state)
    job = planned_job(session, told_for(day))
    if as_json:
        echo_json(
            {
                "machine": session.machine.id,
                "works": [work.id for work in job.works],
                "kit": kit_answer(job.kit),
                "seconds": session.clock.answer(),
            }
        )
        return
    for line in kit_lines(job.kit):
        click.echo(line)


@click.command()
@FILE
@click.argument("object_id", metavar="OBJECT")
@WORK
@WORKSHOP
@STATE
@JSON
def explain(
    file: Path,
    object_id: str,
    works: tuple[str, ...],
    workshop: Path | None,
    state: Path | None,
    as_json: bool,
) -> None:
    """Say why OBJECT is or is not in the plan, and what it buys."""
    session = open_session(file, works, workshop, state)
    result = session.plan()
    if result.plan is None:
        _say_why_not(session, result, as_json=as_json)
    known = session.compiled.machine
    explanation = session.timed(lambda: explain_object(session.compiled, result, object_id))
    if explanation is None:
        from difflib import get_close_matches

        near = get_close_matches(object_id, list(session.compiled.tables.names), 1)
        hint = f" Did you mean '{near[0]}'?" if near else ""
        fail(f"{file}: there is no '{object_id}' in this machine.{hint}", 2)
    if as_json:
        echo_json(
            {
                "machine": known.id,
                "object": object_id,
                "in_plan": explanation.in_plan,
                "lines": list(explanation.lines),
                "without_minutes": minutes(explanation.saves),
                "seconds": session.clock.answer(),
            }
        )
        return
    for line in explanation.lines:
        click.echo(line)
