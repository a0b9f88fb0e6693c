"""A machine file, read: every key lands where it belongs, exact, with its place."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

from fractions import Fraction

from tests.machine.written import machine_from, read_text
from witnessmark.machine.model import (
    FactRef,
    IdRef,
    JointKind,
    PartLine,
    Place,
    Renewal,
    Spoil,
)

WHOLE = """
witnessmark: 1
machine: gull-20
name: Gull 20
maker: Harrow & Pike (invented)
source: invented for this test
viewpoint: at the pulley end
positions: {front: at the front, bench: at the bench}
parts:
  engine: {fixed: true}
  cover:
    name: upper cover
    where: pulley end
    lifts: straight up
    mass: {is: 0.8 kg, source: weighed}
    store: flat
    renew: on inspection
    number: C-1
    price: 21.50
    pack: 2
    bound: to its engine
    kind: cover
    fitted_with: [seal]
    off:
      ways:
        up: {strip: 1 min, refit: 1.5 min, position: front, needs: [hose slack], people: 2}
        down:
          strip: 1 h 20
          refit: 90 min
          while_fitted: [bolts out]
          strip_needs: [engine moved]
          refit_needs: [hose out]
          tool: pliers
          aids: [lamp, mirror]
          skill: apprentice
          wait_strip: 5 min
          wait_refit: 1 h
          spoils: {seal: always, engine: maybe}
          risk: may crack
          text: down and out
          refit_text: up and in
          why: it is shorter
          caution: sharp edges
    inspect:
      rim: {look_for: cracks, findings: {split: {text: split, parts: [cover], works: [job]}}}
      lip: {measure: height, at_least: 2 mm, at_most: 0.3 in}
  seal: {trapped_by: [cover], renew: when disturbed}
assemblies:
  front: {parts: [cover, seal], lifts: forwards, store: on blocks, moved: {how: aside, strip: 1 min, refit: 1 min}}
joints:
  bolts:
    name: cover bolts
    kind: bolts
    holds: [cover]
    to: engine
    where: around
    role: cover
    fasteners:
      - {hole: 1, at: [0 mm, -12.5 mm], thread: M6x1 x 25, class: 8.8, head: hex 10 mm, hole_thread: M6, hole_depth: 18 mm, clamped: 12 mm, clamps: [cover], washer: plain, name: short}
      - {count: 3, name: stud}
    tightness: {is: 9 N·m, source: works card, by: J. Moss}
    stages: [5 N·m, 9 N·m]
    least_clamp: 2.5 kN
    order: [1]
    slackening: reverse
    surface: dry
    single_use: true
    number: B-1
    critical: true
    out: {strip: 1 min, refit: 1 min}
  hose: {kind: hose-end, holds: [cover], tightness: clicked, opens: [coolant], hand: left, viewpoint: from above, slack: {strip: 0.5 min, refit: 0.5 min}, out: {strip: 1 min, refit: 1 min}}
circuits:
  coolant:
    fluid: coolant
    specification: C4
    capacity: 7.5 L
    stays_behind: 500 mL
    level: 700 mm
    heights: {hose: 710 mm}
    comes_out: {hose: {is: 300 mL, source: measured}}
    drain: tap
    cap: caps
    fill: slowly
    bleed: screw
    prime: none
    check: level cold
    caution: hot
    number: F-1
    price: 6
    relieved: {strip: 1 min, refit: 1 min}
    drained: {strip: 4 min, refit: 9 min}
shafts:
  crank:
    name: crankshaft
    run: timing
    mark: {text: notch on 0, seen_with: [cover], seen_only_before: [bolts out]}
    disturbed_by: [hose slack]
    turned_by: bolts
    direction: clockwise
    ratio: 1/2
    proof: two turns
    turns: 2
    unproven: {strip: 2 min, refit: 6 min}
runs:
  timing:
    belt: seal
    drive: chain
    viewpoint: at the back
    direction: anticlockwise
    pitch: 8 mm
    teeth: 120
    length: 960 mm
    width: 1 in
    mass: 120 g/m
    pulleys:
      a: {at: [0 mm, 0 mm], diameter: 60 mm, face: back, shaft: crank, part: cover, floating: 6°}
      b: {teeth: 20}
    tensioner:
      {kind: eccentric, pulley: b, clamp: bolts, setting: 8 N·m, text: turn, pointer: middle,
       arm: {pivot: [1 mm, 2 mm], from: -30°, to: 60°}, slot: {heading: 90°, from: -5 mm, to: 15 mm},
       acts: [{act: set, at_least: 90 Hz, at_most: 100 Hz, coldest: 10 °C, warmest: 30 °C, pointer: middle, direction: clockwise, turns: 2, stand: 5 min}]}
locks: {pin: {hole: block, holds: [crank], special_tool: pin T-1, in: {strip: 1 min, refit: 1 min}}}
temporary: {beam: {kind: support, at: wings, holds: [engine], special_tool: beam, caution: mind, fitted: {strip: 1 min, refit: 1 min}}}
make_safe: {battery: {permit: anyone, proof: lamp off, lapses: true, caution: code, safe: {strip: 1 min, refit: 1 min}}}
rooms: {more: {name: more room, for: bolts out, way: only, made_by: {front moved: {strip: 0.5 min, refit: 0.2 min}}}}
bars: {b: {never: turn crank, while: [pin in], unless: [battery safe], purpose: to look, evidence: a photo, permit: foreman, why: it breaks}}
works:
  job:
    name: The job
    goals: [cover off]
    renews: [cover, bolts]
    offers: [job]
    duties: [label]
    steps:
      first: {text: look, time: 1 min}
      second:
        text: turn it
        needs: [crank unproven]
        before: [hose slack]
        after: [first]
        time: 2 min
        position: bench
        tool: bar
        aids: [chalk]
        people: 2
        wait: 3 min
        acts: [bolts in to turn, turn crank 2]
        effect: turned
        measure: {what: gap, at_least: 1 mm, at_most: 2 mm, chooses: seal, candidates: [thin, thick]}
        why: to see
        caution: fingers
duties: {label: {text: label, opened_by: [cover off], after: 1 day, limit: 1 week, person: owner, may_leave: false}}
materials: {glue: {name: sealant, amount: 3 mL, used_by: [cover off], number: S-1, caution: gloves}}
cautions: [{text: take care, when: [coolant drained]}, {text: always}]
special_tools: {pin T-1: {number: T-1, price: 12}, beam: {}, lamp: }
"""


def machine():
    return machine_from(WHOLE)


def place(line: int, column: int) -> Place:
    return Place("m.yaml", line, column)


def where(words: str) -> Place:
    """Where words stand in the file, found by searching its text."""
    before = WHOLE[: WHOLE.index(words)]
    return place(before.count("\n") + 1, len(before) - before.rfind("\n"))


def test_the_top_of_the_file():
    found = machine()
    assert (found.id, found.name, found.maker) == ("gull-20", "Gull 20", "Harrow & Pike (invented)")
    assert (found.viewpoint, found.source) == ("at the pulley end", "invented for this test")
    assert found.positions == {"front": "at the front", "bench": "at the bench"}
    assert found.files == ("m.yaml",)
    assert found.special_tools == {
        "pin T-1": PartLine("T-1", Fraction(12), where("pin T-1: {number")),
        "beam": None,
        "lamp": None,
    }


def test_a_part():
    cover = machine().parts["cover"]
    assert cover.name == "upper cover"
    assert cover.place == where("cover:\n    name")
    assert (cover.where, cover.lifts, cover.store) == ("pulley end", "straight up", "flat")
    assert (cover.bound, cover.kind, cover.fixed) == ("to its engine", "cover", False)
    assert cover.renew is Renewal.ON_INSPECTION
    assert cover.line == PartLine("C-1", Fraction(43, 2), cover.place, pack=2)
    assert cover.mass is not None
    assert (cover.mass.quantity.si, cover.mass.source) == (Fraction(4, 5), "weighed")
    assert cover.mass.place == where("0.8 kg")
    assert cover.fitted_with == (IdRef("seal", where("seal]\n    off")),)


def test_a_part_without_a_name_is_called_by_its_id_in_plain_words():
    assert machine_from("parts: {upper-cover: {fixed: true}}").parts["upper-cover"].name == (
        "upper cover"
    )


def test_several_ways():
    (off,) = machine().parts["cover"].openings
    up, down = off.ways
    assert (off.state, off.how, up.id, down.id) == ("off", None, "up", "down")
    assert (up.strip, up.refit, up.people) == (10, 15, 2)
    assert up.needs == (FactRef("hose", "slack", where("hose slack], people")),)
    assert up.position == IdRef("front", where("front, needs: [hose slack]"))
    assert (down.strip, down.refit, down.wait_strip, down.wait_refit) == (800, 900, 50, 600)
    assert str(down.while_fitted[0]) == "bolts out"
    assert str(down.strip_needs[0]) == "engine moved"
    assert str(down.refit_needs[0]) == "hose out"
    assert (down.tool, down.aids, down.skill) == ("pliers", ("lamp", "mirror"), "apprentice")
    assert down.spoils == {"seal": Spoil.ALWAYS, "engine": Spoil.MAYBE}
    assert (down.risk, down.text, down.refit_text) == ("may crack", "down and out", "up and in")
    assert (down.why, down.caution) == ("it is shorter", "sharp edges")


def test_a_single_way_and_how_far_it_is_moved():
    (moved,) = machine().assemblies["front"].openings
    assert (moved.state, moved.how, [way.id for way in moved.ways]) == ("moved", "aside", ["only"])


def test_an_inspection():
    rim, lip = machine().parts["cover"].inspections
    assert (rim.id, rim.look_for, lip.measure) == ("rim", "cracks", "height")
    (split,) = rim.findings
    assert (split.text, split.parts[0].id, split.works[0].id) == ("split", "cover", "job")
    assert lip.at_most is not None
    assert lip.at_most.quantity.si == Fraction(762, 100_000)
    assert str(lip.at_most.quantity) == "0.3 in"


def test_a_joint():
    bolts = machine().joints["bolts"]
    assert bolts.kind is JointKind.BOLTS
    assert (bolts.holds[0].id, bolts.to.id, bolts.role) == ("cover", "engine", "cover")
    assert (bolts.order, bolts.slackening, bolts.surface) == (("1",), "reverse", "dry")
    assert (bolts.single_use, bolts.critical) == (True, True)
    assert bolts.line == PartLine("B-1", None, bolts.place)
    assert bolts.tightness is not None
    assert str(bolts.tightness.tightness) == "9 N·m"
    assert bolts.tightness.source == "works card; taken by J. Moss"
    assert bolts.stages[0].source == "invented for this test"
    assert str(bolts.least_clamp.quantity) == "2.5 kN"
    assert [str(stage.tightness) for stage in bolts.stages] == ["5 N·m", "9 N·m"]
    hose = machine().joints["hose"]
    assert (hose.hand, hose.viewpoint, hose.opens[0].id) == ("left", "from above", "coolant")


def test_fasteners():
    one, studs = machine().joints["bolts"].fasteners
    assert (one.hole, one.at) == ("1", (Fraction(0), Fraction(-1, 80)))
    assert one.thread is not None
    assert (one.thread.designation, one.thread.length) == ("M6x1", Fraction(25, 1000))
    assert (one.strength, one.head, one.washer, one.name) == ("8.8", "hex 10 mm", "plain", "short")
    assert (one.hole_depth, one.clamped) == (Fraction(18, 1000), Fraction(12, 1000))
    assert one.blind  # a depth is given
    assert [ref.id for ref in one.clamps] == ["cover"]
    assert (studs.count, studs.blind, studs.thread) == (3, False, None)


def test_a_circuit():
    coolant = machine().circuits["coolant"]
    assert coolant.capacity is not None
    assert coolant.capacity.quantity.si == Fraction(75, 10_000)
    assert coolant.level is not None
    assert coolant.level.quantity.si == Fraction(7, 10)
    assert coolant.heights["hose"].quantity.si == Fraction(71, 100)
    assert coolant.comes_out["hose"].quantity.si == Fraction(3, 10_000)
    assert coolant.comes_out["hose"].source == "measured"
    assert [spec.state for spec in coolant.openings] == ["relieved", "drained"]
    assert (coolant.drain, coolant.fill, coolant.bleed) == ("tap", "slowly", "screw")
    assert (coolant.cap, coolant.prime, coolant.check) == ("caps", "none", "level cold")
    assert coolant.line == PartLine("F-1", Fraction(6), coolant.place)
    assert coolant.refilled


def test_a_shaft_and_its_run():
    found = machine()
    crank, run = found.shafts["crank"], found.runs["timing"]
    assert (crank.ratio, crank.turns, crank.proof) == (Fraction(1, 2), Fraction(2), "two turns")
    assert crank.mark is not None
    assert (str(crank.mark.seen_with[0]), str(crank.mark.seen_only_before[0])) == (
        "cover",
        "bolts out",
    )
    assert (run.drive, run.direction, run.teeth) == ("chain", "anticlockwise", 120)
    assert (run.pitch, run.length, run.width) == (
        Fraction(8, 1000),
        Fraction(960, 1000),
        Fraction(254, 10_000),
    )
    a, b = run.pulleys
    assert (a.face, a.floating, a.diameter, b.teeth) == ("back", Fraction(6), Fraction(6, 100), 20)
    assert run.tensioner is not None
    assert str(run.tensioner.setting.tightness) == "8 N·m"
    assert (run.tensioner.arm.start, run.tensioner.arm.end) == (-30, 60)
    assert run.tensioner.arm.pivot == (Fraction(1, 1000), Fraction(2, 1000))
    assert (run.tensioner.slot.heading, run.tensioner.slot.end) == (90, Fraction(15, 1000))
    (act,) = run.tensioner.acts
    assert (act.act, act.direction, act.pointer, act.turns, act.stand) == (
        "set",
        "clockwise",
        "middle",
        2,
        50,
    )
    assert [str(f.quantity) for f in (act.at_least, act.at_most, act.coldest, act.warmest)] == [
        "90 Hz",
        "100 Hz",
        "10 °C",
        "30 °C",
    ]
    assert (run.tensioner.pulley.id, run.tensioner.clamp.id) == ("b", "bolts")


def test_temporary_things():
    found = machine()
    assert found.locks["pin"].hole == "block"
    assert found.locks["pin"].special_tool == "pin T-1"
    assert (found.temporaries["beam"].kind, found.temporaries["beam"].at) == ("support", "wings")
    battery = found.make_safes["battery"]
    assert (battery.permit, battery.proof, battery.lapses) == ("anyone", "lamp off", True)


def test_a_room_and_a_bar():
    found = machine()
    room = found.rooms["more"]
    assert (str(room.opening), room.way, room.name) == ("bolts out", "only", "more room")
    assert [(str(s.fact), s.strip, s.refit) for s in room.made_by] == [("front moved", 5, 2)]
    bar = found.bars["b"]
    assert (bar.never, str(bar.while_[0]), str(bar.unless[0])) == (
        "turn crank",
        "pin in",
        "battery safe",
    )
    assert (bar.purpose, bar.evidence, bar.permit, bar.why) == (
        "to look",
        "a photo",
        "foreman",
        "it breaks",
    )


def test_a_work_and_its_steps():
    job = machine().works["job"]
    assert [ref.id for ref in job.renews] == ["cover", "bolts"]
    first, second = job.steps
    assert (first.id, first.time, second.time, second.wait) == ("first", 10, 20, 30)
    assert (second.after[0].id, str(second.before[0]), second.people) == ("first", "hose slack", 2)
    assert second.acts == ("bolts in to turn", "turn crank 2")
    assert second.act_places == (where("bolts in to turn"), where("turn crank 2"))
    assert second.measure is not None
    assert (second.measure.what, second.measure.chooses.id) == ("gap", "seal")
    assert second.measure.candidates == ("thin", "thick")


def test_what_outlives_the_visit():
    found = machine()
    label = found.duties["label"]
    assert (label.after, label.limit, label.person, label.may_leave) == (
        "1 day",
        "1 week",
        "owner",
        False,
    )
    glue = found.materials["glue"]
    assert glue.amount is not None
    assert (glue.name, glue.amount.quantity.si) == ("sealant", Fraction(3, 1_000_000))
    assert [caution.text for caution in found.cautions] == ["take care", "always"]
    assert str(found.cautions[0].when[0]) == "coolant drained"


def test_a_file_with_mistakes_still_gives_a_machine():
    read = read_text("parts: {a: {mass: heavy}, b: {fixed: true}}\njoints: [x]\n")
    assert read.value is not None
    assert list(read.value.parts) == ["a", "b"]
    assert not read.clean


def test_places_count_columns_in_characters_not_bytes():
    read = read_text('parts: {"ä": {}}\n')
    assert [found.place for found in read.complaints] == [place(1, 9)]


def test_a_file_with_windows_line_ends_and_a_mark_at_its_start_reads_alike():
    text = "\ufeff" + "witnessmark: 1\nmachine: x\nparts: {a: {fixed: true}}\n".replace(
        "\n", "\r\n"
    )
    read = read_text(text)
    assert read.complaints == ()
    assert read.value is not None
    assert read.value.parts["a"].place == place(3, 9)


def test_an_alias_stands_for_what_it_marks():
    found = machine_from(
        "parts:\n  a: {trapped_by: [b], off: &quick {strip: 1 min, refit: 2 min}}\n"
        "  b: {trapped_by: [a], off: *quick}\n"
    )
    assert found.parts["b"].openings[0].ways[0].refit == 20
