"""`witnessmark handover`, `record` and `labels`: papers of the workshop without a browser."""

from __future__ import annotations

from pathlib import Path

import click

from witnessmark.cli.session import fail
from witnessmark.cli.workshop_data import DATA, open_workshop

OUT = click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("out"),
    metavar="DIR",
    help="Folder for what is written (made when missing; default: out).",
)
CUSTOMER = click.option(
    "--customer/--no-customer",
    "named",
    default=None,
    help="Whether customer, plate and title stand on it (default: on the record only).",
)


@click.command()
@click.argument("job")
@CUSTOMER
@OUT
@DATA
def handover(job: str, named: bool | None, out: Path, folder: Path | None) -> None:
    """Write the handover sheet and the state card of JOB as it stands."""
    _write(job, ("handover", "state-card"), out, folder, named=named)


@click.command()
@click.argument("job")
@CUSTOMER
@OUT
@DATA
def record(job: str, named: bool | None, out: Path, folder: Path | None) -> None:
    """Write the record of JOB: what was done, by whom, with which evidence."""
    _write(job, ("record",), out, folder, named=named)


def _write(
    job: str, names: tuple[str, ...], out: Path, folder: Path | None, *, named: bool | None
) -> None:
    open_workshop(folder)
    from witnessmark.workshop import models
    from witnessmark.workshop.job_papers import print_paper
    from witnessmark.workshop.one_paper import NoPaperError

    row = models.Job.objects.select_related("vehicle__customer").filter(id=job).first()
    if row is None:
        fail(f"there is no job {job}. Give the id of a job.", 2)
    for name in names:
        try:
            _keep(out / f"{job}-{name}.pdf", print_paper(row, name, named=named))
        except NoPaperError as error:
            fail(f"{job}-{name}.pdf: {error}")


@click.command()
@click.option("--from", "first", type=int, default=1, metavar="N", help="The first number.")
@click.option("--count", type=int, default=24, metavar="N", help="How many (default 24).")
@click.option(
    "--kind",
    type=click.Choice(["roll", "sheet"]),
    default="sheet",
    help="A roll 62 mm wide, or sheets of A4 (default).",
)
@OUT
def labels(first: int, count: int, kind: str, out: Path) -> None:
    """Write bag labels numbered beforehand."""
    from witnessmark.papers.label_roll import LabelError, label_roll
    from witnessmark.papers.rendering import PaperError, render_pdf

    try:
        pdf = render_pdf("true-size", label_roll(first, count, kind))
    except (LabelError, PaperError) as error:
        fail(f"{error}.", 2)
    _keep(out / f"bag-labels-{first}-to-{first + count - 1}.pdf", pdf)


def _keep(path: Path, pdf: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(pdf)
    except OSError as error:
        fail(f"{path}: cannot be written: {error.strerror}. Name another folder with --out.", 2)
    click.echo(f"written: {path}")
