"""The drawing of a belt's route: for the route card, and for the bench at the belt's own step."""

from __future__ import annotations

from dataclasses import replace

from witnessmark.engineering.belts.path import BeltPath
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import Machine, Run
from witnessmark.machine.run_path import lay_run


def route_path(run: Run) -> BeltPath | None:
    """Lay a run by its drawing's positions; None where the file does not place it soundly."""
    try:
        return lay_run(run)
    except RefusalError:
        return None  # `check` says why; a wrong drawing would be worse than none


def route_svg(machine: Machine, run: Run, path: BeltPath) -> str:
    """Draw the route of a run: faces, order, arrows and the viewpoint it is seen from."""
    from witnessmark.engineering.belts.drawing import draw_route

    named = replace(
        path,
        contacts=tuple(
            replace(contact, pulley=replace(contact.pulley, name=plain_name(contact.pulley.name)))
            for contact in path.contacts
        ),
    )
    tensioner = run.tensioner.pulley.id if run.tensioner and run.tensioner.pulley else None
    which = next((i for i, p in enumerate(run.pulleys) if p.id == tensioner), None)
    if tensioner == "tensioner":
        which = None  # its name says so already
    viewpoint = run.viewpoint or machine.viewpoint
    return draw_route(named, title=run.name, viewpoint=viewpoint, tensioner=which)


def plain_name(id_: str) -> str:
    """Give an id of the file as words."""
    return id_.replace("-", " ")
