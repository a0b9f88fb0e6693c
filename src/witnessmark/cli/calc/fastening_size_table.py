"""`witnessmark calc size-table`: a torque by size alone, for a bracket or a cover."""

from __future__ import annotations

import click

from witnessmark.cli.calc.answers import Answer, Refused, refusals, rounded, shown
from witnessmark.cli.calc.fastening_options import class_option, json_option, thread_option
from witnessmark.engineering.fastening.cautions import MAKER_PREVAILS, SIZE_TABLE
from witnessmark.engineering.fastening.size_tables import (
    ALLOWED_JOINTS,
    REFUSED_JOINTS,
    SizeFigure,
    size_figures,
    size_table_allowed,
)
from witnessmark.quantities.threads import Thread


@click.command("size-table")
@thread_option
@class_option
@click.option("--joint", required=True, help="What kind of joint it is: bracket or cover.")
@click.option("--by", required=True, metavar="NAME", help="Who takes the figure.")
@json_option
def size_table(
    thread: Thread, strength_class: str | None, joint: str, by: str, as_json: bool
) -> None:
    """Give a size-table torque for a bracket or a cover; never the maker's.

    For when no maker's figure can be had, on the word of a named person.
    """
    role, person = joint.strip().lower(), by.strip()
    _refuse_joint(role)
    if not person:
        raise Refused("nobody takes the figure: give the name of the person with --by")
    name = None if strength_class is None else strength_class.lower().removeprefix("grade").strip()
    with refusals():
        figures = size_figures(thread, name)
    answer = Answer(f"Size table, not the maker's: {thread} on a {role}, taken by {person}")
    answer.data = {
        "thread": thread.designation,
        "class": strength_class,
        "joint": role,
        "taken_by": person,
        "figures": [_figure(figure) for figure in figures],
    }
    for figure in figures:
        answer.line(_torque(figure), figure.condition)
    low = shown(figures[0].low, "N·m", 3)
    answer.line("in the file", f"{{is: {low}, source: size table, by: {person}}}")
    answer.sources = list(dict.fromkeys(figure.source for figure in figures))
    answer.cautions = [SIZE_TABLE, MAKER_PREVAILS]
    answer.give(as_json)


def _refuse_joint(role: str) -> None:
    if size_table_allowed(role):
        return
    allowed = " or a ".join(ALLOWED_JOINTS)
    if role in REFUSED_JOINTS:
        raise Refused(
            f"no size-table figure for a {role} joint: an engine, a brake or a person depends on "
            "it; find the maker's figure"
        )
    raise Refused(f"'{role}' is not on the list: a size table serves a {allowed} only")


def _figure(figure: SizeFigure) -> dict[str, object]:
    return {
        "low_Nm": rounded(figure.low),
        "high_Nm": rounded(figure.high),
        "condition": figure.condition,
        "source": figure.source,
    }


def _torque(figure: SizeFigure) -> str:
    low, high = shown(figure.low, digits=3), shown(figure.high, digits=3)
    return f"{low} N·m" if low == high else f"{low} to {high} N·m"
