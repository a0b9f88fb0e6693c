"""A joint of several pieces: one bolt out releases nothing, one end off opens a circuit."""

from __future__ import annotations

from tests.procedure.bench_helpers import machine_of
from witnessmark.machine.derived import Derived
from witnessmark.procedure.book import read_book
from witnessmark.procedure.interpreter import act
from witnessmark.procedure.object_rows import objects_for
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.standing import moved, state_of
from witnessmark.procedure.tables import tables_for
from witnessmark.procedure.way_rows import ways_for

MACHINE = machine_of(
    """
    parts:
      frame: {name: frame, fixed: true}
      cooler:
        name: cooler
        off: {strip: 1 min, refit: 1 min, position: front}
    joints:
      cooler-ends:
        name: hose ends of the cooler
        kind: hose-end
        holds: [cooler]
        to: frame
        opens: [coolant]
        fasteners: [{count: 2, name: clip}]
        tightness: seated
        out: {strip: 1 min, refit: 1 min, position: front}
    circuits:
      coolant:
        name: coolant
        fluid: coolant
        drained: {strip: 1 min, refit: 1 min, position: under}
    """
)
DERIVED = Derived(MACHINE)
BOOK = read_book(
    dict(RULE_BOOK.as_data()),
    dict(tables_for(MACHINE, DERIVED).as_data()) | {"ways": ways_for(DERIVED)},
    dict(objects_for(MACHINE, DERIVED)),
)
AT_REST = {"at": {}, "pieces": {}, "old": {}}


def after(*steps):
    """Do actions one after the other; give the standing and the rules the last one broke."""
    standing, broken = AT_REST, []
    for action, object_, *pieces in steps:
        outcome = act(BOOK, standing, action, object_, {"pieces": pieces} if pieces else {})
        standing, broken = moved(BOOK, standing, outcome["moves"]), outcome["broken"]
    return standing, [each["rule"] for each in broken]


def test_one_hose_end_off_opens_the_circuit():
    assert after(("undo", "cooler-ends", "1"))[1] == ["opens"]
    assert after(("drain", "coolant"), ("undo", "cooler-ends", "1"))[1] == []


def test_the_second_end_opens_nothing_more():
    assert after(("undo", "cooler-ends", "1"), ("undo", "cooler-ends", "2"))[1] == []


def test_one_end_off_of_two_releases_nothing():
    drained = ("drain", "coolant")
    one, both = ("undo", "cooler-ends", "1"), ("undo", "cooler-ends")
    assert after(drained, one, ("take-off", "cooler"))[1] == ["held"]
    assert after(drained, both, ("take-off", "cooler"))[1] == []


def test_the_first_end_on_again_under_a_part_that_is_off_is_named():
    drained, off = ("drain", "coolant"), ("take-off", "cooler")
    assert "held" in after(drained, ("undo", "cooler-ends"), off, ("make", "cooler-ends", "2"))[1]


def test_filling_with_one_of_two_ends_off_is_named():
    drained, off = ("drain", "coolant"), ("undo", "cooler-ends")
    assert after(drained, off, ("fill", "coolant"))[1] == ["opens"]
    assert after(drained, off, ("make", "cooler-ends", "1"), ("fill", "coolant"))[1] == ["opens"]
    assert after(drained, off, ("make", "cooler-ends"), ("fill", "coolant"))[1] == []


def test_pieces_that_differ_leave_the_joint_between():
    standing, _ = after(("undo", "cooler-ends", "1"))
    assert state_of(BOOK, standing, "cooler-ends") == "slack"
    standing, _ = after(("undo", "cooler-ends", "1"), ("lose-count", "cooler-ends", "2"))
    assert state_of(BOOK, standing, "cooler-ends") == "unknown"
