"""`witnessmark swaps`: which bolts of a joint must not change holes, and where to mark."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from witnessmark.cli.session import fail, read_machine_or_end
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.complaints import nearest
from witnessmark.machine.model import Joint, Machine
from witnessmark.machine.swapping import GroupSwaps, group_swaps, is_mixed, mixed_groups


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("joint", metavar="[JOINT]", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def swaps(file: Path, joint: str | None, as_json: bool) -> None:
    """Say which bolts of a mixed group must not change holes, why, and which to mark first.

    Without JOINT every joint with bolts of several lengths or threads is gone through.
    """
    machine = read_machine_or_end(file)
    groups = [_judged(file, each) for each in _chosen(file, machine, joint)]
    if as_json:
        answer = {"machine": machine.id, "groups": [group_answer(group) for group in groups]}
        click.echo(json.dumps(answer, ensure_ascii=False, indent=2))
        return
    if not groups:
        click.echo("No joint here has bolts of several lengths or threads.")
    for group in groups:
        for line in group_lines(group):
            click.echo(line)


def _chosen(file: Path, machine: Machine, joint: str | None) -> list[Joint]:
    if joint is None:
        return list(mixed_groups(machine))
    if joint not in machine.joints:
        hint = nearest(joint, machine.joints, "joints")
        fail(f"{file}: there is no joint '{joint}': {hint}", 2)
    return [machine.joints[joint]]


def _judged(file: Path, joint: Joint) -> GroupSwaps:
    try:
        return group_swaps(joint)
    except RefusalError as error:
        fail(f"{file}: '{joint.id}': {error}")


def group_answer(group: GroupSwaps) -> dict[str, Any]:
    """Give the swaps of a joint as plain data."""
    report = group.report
    return {
        "joint": group.joint.id,
        "name": group.joint.name,
        "mixed": is_mixed(group.joint),
        "bolts": [{"hole": hole, "bolt": size} for hole, size in group.sizes.items()],
        "dangerous_swaps": [
            {"holes": list(pair), "why": list(group.why(*pair))} for pair in report.dangerous_swaps
        ],
        "harmless_swaps": [list(pair) for pair in report.harmless_swaps],
        "wrong_at_home": [{"hole": f.hole, "why": f.words} for f in report.wrong_at_home],
        "mark_first": [
            {"hole": hole, "dangerous_left": left}
            for hole, left in zip(report.mark_first, report.left_after, strict=True)
        ],
        "not_judged": list(group.left_out),
    }


def group_lines(group: GroupSwaps) -> Iterator[str]:
    """Print the swaps of a joint."""
    report = group.report
    dangerous, harmless = len(report.dangerous_swaps), len(report.harmless_swaps)
    yield click.style(f"{group.joint.name} ({group.joint.id})", bold=True)
    if not is_mixed(group.joint):
        yield "  all bolts are alike: no swap among them matters"
    elif dangerous + harmless:
        yield f"  {_count(dangerous, 'dangerous swap')}, {harmless} harmless"
    for size, holes, what in group.dangers():
        yield from _wrapped(f"{size} in {_holes(holes)}: {what}")
    for fit in report.wrong_at_home:
        yield from _wrapped(f"in its own hole {fit.hole}, by this file: {fit.words}")
    if report.mark_first:
        marks = ", ".join(
            f"{hole} ({left} left)"
            for hole, left in zip(report.mark_first, report.left_after, strict=True)
        )
        yield from _wrapped(f"mark first, with the dangerous swaps then left: {marks}")
    if report.harmless_swaps and dangerous:
        pairs = "; ".join(f"{one} and {other}" for one, other in report.harmless_swaps)
        yield from _wrapped(f"harmless: {pairs}")
    if group.left_out:
        yield from _wrapped(f"not judged: {'; '.join(group.left_out)}")


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _holes(holes: tuple[str, ...]) -> str:
    return f"hole{'' if len(holes) == 1 else 's'} {', '.join(holes)}"


def _wrapped(words: str) -> list[str]:
    return textwrap.wrap(words, 100, initial_indent="  ", subsequent_indent="    ")
