"""A half-done job planned again: from any of its states, with ways struck out, works added.

What the planner makes is laid before the plan checker and replayed by the rule book, neither
of which shares code with it; and what was recorded must read by the new pack as by the old.
"""

from __future__ import annotations

import pytest

from tests.ledger.devices import Device
from tests.workshop.half_way import DEMO, PHOTO, WORKS, follow, half_way, pack_of, standing
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.ledger.fold import fold
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.pack import empty_pack, pack_digest
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.replay import replay
from witnessmark.workshop.job_planning import CannotPlanError
from witnessmark.workshop.replanning import Replanned, Wanted, replan

JOBS = [(machine, work) for machine, works in WORKS.items() for work in works]
SMALL = [
    ("brack-genset-12", "timing-belt"),
    ("brack-genset-12", "glow-plugs"),
    ("gull-20", "clutch"),
    ("gull-20", "alternator"),
    ("tarn-two-stage", "valve-plates"),
    ("tarn-two-stage", "shaft-seal"),
]


def assert_sound(found: Replanned) -> None:
    assert found.result.plan is not None
    assert check_plan(found.compiled.problem, found.result.plan) == ()
    assert [str(each) for each in replay(found.compiled, found.result.plan)] == []
    canonical_bytes(found.pack)


def assert_reads_the_same(found: Replanned, state) -> None:
    """What was recorded comes to the same by the new pack."""
    again = fold(found.pack, state.history, (PHOTO,))
    assert again.as_data() == state.as_data()


@pytest.mark.parametrize("number", range(len(JOBS)), ids=lambda n: "-".join(JOBS[n]))
def test_nothing_changed_the_rest_is_the_rest(number):
    """After some twelfths of the steps, others for each job: the very steps that were left."""
    machine, work = JOBS[number]
    for twelfths in (1 + number % 6, 6 + number % 6):
        pack, phone = half_way(machine, work, twelfths)
        state = standing(pack, phone)
        found = replan(DEMO, machine, state, Wanted())
        assert_sound(found)
        assert_reads_the_same(found, state)
        steps = pack["plan"]["steps"]
        left = steps[len(steps) * twelfths // 12 :]
        said = [(step["kind"], step["object"], step["says"]) for step in left]
        again = [(s["kind"], s["object"], s["says"]) for s in found.pack["plan"]["steps"]]
        assert sorted(again) == sorted(said)
        assert (found.new, found.gone, found.assumed, found.beside) == ((), (), (), ())


def ways_to_strike(pack, after: int):
    """Give objects still to be opened for which the plan takes one of several ways."""
    rows = pack["tables"]["ways"]
    several = {
        opening.split(" ")[0]
        for opening, ways in rows.items()
        if len(ways) > 1 and any(way["planned"] for way in ways.values())
    }
    steps = pack["plan"]["steps"][after:]
    return [s["object"] for s in steps if s["kind"] == "strip" and s["object"] in several]


@pytest.mark.parametrize(("machine", "work"), SMALL)
def test_after_each_twelfth_a_struck_way_is_gone_round_or_named_as_the_cause(machine, work):
    for twelfths in range(12):
        pack, phone = half_way(machine, work, twelfths)
        state = standing(pack, phone)
        steps = pack["plan"]["steps"]
        at = len(steps) * twelfths // 12
        for object_ in [*ways_to_strike(pack, at), steps[at]["object"]][:1]:
            struck(machine, state, object_)


def struck(machine, state, object_) -> None:
    try:
        found = replan(DEMO, machine, state, Wanted(struck=((object_, None),)))
    except CannotPlanError as error:
        # No way that was there is left, and the file and line of it is named.
        assert error.lines or "there is no way" in str(error)  # noqa: PT017
        return
    assert_sound(found)
    assert_reads_the_same(found, state)
    (strike,) = found.pack["plan"]["struck"]
    assert strike[0] == object_
    assert found.result.plan is not None
    for opening, way in found.result.plan.ways.items():
        info = found.compiled.openings[opening]
        assert info.object_id != object_ or strike[2] not in info.ways[way].id.split("+")


def test_a_way_round_costs_what_it_costs_and_stays_struck_out_in_the_next_plan():
    """The compressor's check valve comes out by two ways; the plan's is not to be had."""
    found = None
    for machine, work in JOBS:
        pack, phone = half_way(machine, work, 1)
        state = standing(pack, phone)
        for object_ in ways_to_strike(pack, 0)[-1:]:
            try:
                found = replan(DEMO, machine, state, Wanted(struck=((object_, None),)))
            except CannotPlanError:
                continue
            break
        if found is not None:
            break
    assert found is not None
    assert found.before is not None
    assert found.after > found.before
    assert found.new or found.gone or found.changed
    phone.write(type="rebase", pack=pack_digest(found.pack), values={"changed": found.changed})
    again = replan(DEMO, machine, standing(found.pack, phone), Wanted())
    assert again.pack["plan"]["struck"] == found.pack["plan"]["struck"]
    assert again.after == found.after


@pytest.mark.parametrize(
    ("machine", "work", "twelfths", "wanted"),
    [
        ("brack-genset-12", "injection-pump", 11, Wanted(added=("crank-seal",))),
        ("brack-genset-12", "crank-seal", 9, Wanted(struck=(("air-baffle", None),))),
        ("gull-20", "alternator", 6, Wanted(struck=(("alternator", None),))),
    ],
)
def test_what_goes_another_way_now_is_still_read_by_the_way_it_went(
    machine, work, twelfths, wanted
):
    """Shut again and opened anew, or open and closed by another way: no flag comes of it."""
    pack, phone = half_way(machine, work, twelfths)
    state = standing(pack, phone)
    found = replan(DEMO, machine, state, wanted)
    assert_sound(found)
    assert_reads_the_same(found, state)


@pytest.mark.parametrize("twelfths", [0, 5, 11])
def test_a_work_that_came_up_is_planned_with_what_is_left(twelfths):
    pack, phone = half_way("gull-20", "alternator", twelfths)
    state = standing(pack, phone)
    found = replan(DEMO, "gull-20", state, Wanted(added=("thermostat",)))
    assert_sound(found)
    assert_reads_the_same(found, state)
    assert [row["id"] for row in found.pack["works"]] == ["alternator", "thermostat"]
    assert found.before is not None
    assert found.after > found.before
    assert found.new
    assert {"part": "works", "id": None, "how": "changed"} in found.changed


def test_the_new_plan_goes_on_to_handing_back_by_the_ledger():
    """Half of one plan, a rebase, and the whole of the next: nothing is outstanding."""
    pack, phone = half_way("tarn-two-stage", "shaft-seal", 6)
    found = replan(DEMO, "tarn-two-stage", standing(pack, phone), Wanted(added=("cooler-clean",)))
    phone.write(type="rebase", pack=pack_digest(found.pack), values={"changed": found.changed})
    follow(phone, found.pack, len(found.pack["plan"]["steps"]))
    state = standing(found.pack, phone)
    assert outstanding(state) == []
    assert state.rows["flags"] == []


def test_a_rebase_keeps_what_stands_and_lists_what_changed():
    pack, phone = half_way("gull-20", "thermostat", 7)
    before = standing(pack, phone)
    found = replan(DEMO, "gull-20", before, Wanted(added=("radiator",)))
    phone.write(type="rebase", pack=pack_digest(found.pack), values={"changed": found.changed})
    after = standing(found.pack, phone)
    one, other = before.as_data(), after.as_data()
    (moved,) = other.pop("rebased")
    one.pop("rebased")
    assert one == other
    assert moved["changed"] == found.changed
    parts = {row["part"] for row in found.changed}
    assert {"plan", "works", "texts"} <= parts
    # What nobody touched is the same in both packs, and not listed.
    assert not parts & {"rules", "machine", "objects", "duties"}
    same = [id_ for id_ in pack["blocks"] if pack["blocks"][id_] == found.pack["blocks"][id_]]
    assert same == list(pack["blocks"])


def test_what_was_shut_too_early_is_taken_as_open_and_said():
    """The guard went back on over the belt that is off: flagged, and planned as if it were off."""
    pack, phone = half_way("tarn-two-stage", "shaft-seal", 6)
    last = [step for step in pack["plan"]["steps"] if step["kind"] == "refit"][-6:]
    for step in last:
        phone.write(type="done", action=step["action"], object=step["object"])
    state = standing(pack, phone)
    assert state.rows["flags"]
    found = replan(DEMO, "tarn-two-stage", state, Wanted())
    assert_sound(found)
    assert found.assumed
    assert all(" is open: " in each for each in found.assumed)


def test_trouble_says_what_the_file_says_of_it_and_makes_nothing_up():
    pack, phone = half_way("brack-genset-12", "glow-plugs", 3)
    told = replan(DEMO, "brack-genset-12", standing(pack, phone), Wanted())
    assert told.more == ()
    for object_ in ("shield-bolts", "glow-plug-threads", "battery"):
        phone.write(type="trouble", action="seized", object=object_)
    told = replan(DEMO, "brack-genset-12", standing(pack, phone), Wanted())
    # By the machine file: `spoils: {shield-bolt: maybe}` and `risk: may shear` of one, the risk
    # alone of the other, nothing of the battery; 6 min for that risk in the workshop file.
    assert told.more == (
        {
            "object": "shield-bolts",
            "trouble": "seized",
            "parts": [{"id": "shield-bolt", "name": "heat shield bolt"}],
            "minutes": 6.0,
        },
        {"object": "glow-plug-threads", "trouble": "seized", "parts": [], "minutes": 6.0},
    )


def test_a_machine_nobody_has_described_gives_nothing_to_plan_from():
    phone = Device("a")
    phone.write(type="stopped")
    state = fold(empty_pack("unknown", "unknown"), Graph(phone.holds))
    with pytest.raises(CannotPlanError, match="nothing to plan from"):
        replan(DEMO, "gull-20", state, Wanted())


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        (Wanted(struck=(("nothing", None),)), "there is no way '' to 'nothing'"),
        (Wanted(struck=(("alternator off", "by magic"),)), "there is no way 'by magic'"),
        (Wanted(added=("paint-it",)), "has no work 'paint-it'"),
    ],
)
def test_what_is_not_there_is_refused_with_words(wanted, says):
    state = standing(pack_of("gull-20", "alternator"), Device("a"))
    with pytest.raises(CannotPlanError, match=says):
        replan(DEMO, "gull-20", state, wanted)


def test_so_much_changed_that_an_event_could_not_hold_it_is_named_by_parts():
    """The machine file was written anew meanwhile, with hundreds of other objects."""
    pack, phone = half_way("tarn-two-stage", "drive-belt", 5)
    other = {f"part-{n}": {"kind": "part", "name": "a part"} for n in range(500)}
    state = standing(pack, phone)
    state.pack = {**pack, "objects": {**pack["objects"], **other}}
    found = replan(DEMO, "tarn-two-stage", state, Wanted())
    assert {"part": "objects", "id": None, "how": "changed"} in found.changed
    assert len(found.changed) < 20
    phone.write(type="rebase", pack=pack_digest(found.pack), values={"changed": found.changed})
