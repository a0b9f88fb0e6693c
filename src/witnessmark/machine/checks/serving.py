"""Rules on a machine file together with a workshop file: can the wrenches serve its joints."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Joint, Machine, Place
from witnessmark.machine.workshop import Adapter, Workshop
from witnessmark.machine.wrenching import adapter_of, why_none_serves, wrenches_serving
from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.units import Dimension


def wrenches_serve(
    machine: Machine, workshop: Workshop, on: date | None = None
) -> Iterator[Complaint]:
    """Every torque of a machine can be set on a wrench of the list, on a day if one is given.

    What is held on a tensioner wants a wrench that shows its value.
    """
    for joint in machine.joints.values():
        adapter = _adapter(joint, workshop)
        for torque, place in dict(_torques(joint)).items():
            yield from _served(workshop, on, joint.id, torque, place, adapter=adapter)
    for run in machine.runs.values():
        setting = run.tensioner.setting if run.tensioner is not None else None
        if setting is not None and setting.tightness.torque is not None:
            torque, place = setting.tightness.torque, setting.place
            yield from _served(workshop, on, run.id, torque, place, must_show_value=True)


def _torques(joint: Joint) -> Iterator[tuple[Quantity, Place]]:
    for given in (*joint.stages, joint.tightness):
        if given is not None:
            for stage in given.tightness.stages:
                if stage.dimension is Dimension.TORQUE:
                    yield stage, given.place


def _adapter(joint: Joint, workshop: Workshop) -> Adapter | None:
    ways = (way for opening in joint.openings for way in opening.ways)
    return next((found for way in ways if (found := adapter_of(way, workshop))), None)


def _served(
    workshop: Workshop,
    on: date | None,
    id_: str,
    torque: Quantity,
    place: Place,
    *,
    adapter: Adapter | None = None,
    must_show_value: bool = False,
) -> Iterator[Complaint]:
    if torque.si <= 0 or wrenches_serving(
        torque, workshop, on=on, adapter=adapter, must_show_value=must_show_value
    ):
        return
    yield complaint(
        "no-wrench",
        place,
        torque=torque,
        joint=id_,
        with_adapter=f" with {adapter.name}" if adapter is not None else "",
        why=why_none_serves(
            torque, workshop, on=on, adapter=adapter, must_show_value=must_show_value
        ),
    )
