"""`witnessmark papers` and `witnessmark demo`: the job on paper, and the whole of it at once."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from witnessmark.cli.plan import DAY, FILE, MARK, STATE, WORK, WORKSHOP, planned_job, told_for
from witnessmark.cli.session import fail, open_session
from witnessmark.planning.job import Job

OUT = click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("out"),
    metavar="DIR",
    help="Folder for what is written (made when missing; default: out).",
)


def write_papers(job: Job, folder: Path) -> list[Path]:
    """Write the papers of a job into a folder and give their paths."""
    from witnessmark.papers.rendering import PaperError, render_pdf
    from witnessmark.papers.sheaf import papers_of

    name = "-".join([job.machine.id, *(work.id for work in job.works)])[:120]
    written: list[Path] = []
    for paper in papers_of(job):
        path = folder / f"{name}-{paper.name}.pdf"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path.write_bytes(render_pdf(paper.template, paper.content))
        except PaperError as error:
            fail(f"{path.name}: {error}")
        except OSError as error:
            fail(f"{path}: cannot be written: {error.strerror}. Name another folder with --out.", 2)
        written.append(path)
    return written


@click.command()
@FILE
@WORK
@WORKSHOP
@STATE
@DAY
@MARK
@OUT
def papers(
    file: Path,
    works: tuple[str, ...],
    workshop: Path | None,
    state: Path | None,
    day: datetime | None,
    mark: str | None,
    out: Path,
) -> None:
    """Write as PDF the job card, boards, labels, routes, timing and coolant."""
    told = told_for(day, mark)
    session = open_session(file, works, workshop, state)
    for path in write_papers(planned_job(session, told), out):
        click.echo(f"written: {path}")


def demo_folder() -> Path | None:
    """Find the demonstration: in the source tree beside the package, or here."""
    above = [*Path(__file__).resolve().parents, Path.cwd(), *Path.cwd().parents]
    for folder in above:
        if (folder / "demo" / "machines").is_dir() and (
            folder / "demo" / "workshop.yaml"
        ).is_file():
            return folder / "demo"
    return None


@click.command()
@OUT
def demo(out: Path) -> None:
    """Run the main job on the demonstration: check, plan, kit and papers."""
    from witnessmark.cli.files import load_machine
    from witnessmark.cli.screen import kit_lines, plan_lines

    folder = demo_folder()
    if folder is None:
        fail("The demonstration is not here. Run this inside the source tree.", 2)
    machine_files = sorted((folder / "machines").glob("*.yaml"))
    for file in machine_files:
        _, complaints = load_machine(file)
        errors = sum(not complaint.is_warning for complaint in complaints)
        warnings = len(complaints) - errors
        click.echo(f"checked {file.name}: {errors} complaints, {warnings} warnings")
    click.echo("")
    session = open_session(folder / "machines" / "gull-20.yaml", ["timing-belt"])
    job = planned_job(session)
    for line in (*plan_lines(job), "", *kit_lines(job.kit)):
        click.echo(line)
    click.echo("")
    for path in write_papers(job, out):
        click.echo(f"written: {path}")
