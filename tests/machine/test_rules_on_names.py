"""Everything that is referred to is there, and is what is wanted."""

from __future__ import annotations

import pytest

from tests.machine.written import check_text


def test_an_unknown_part_names_the_nearest_known_one(said):
    """
    parts:
      frame: {fixed: true}
      thermostat-housing: {trapped_by: [thermostat-housin]}
    """
    assert said == [
        (
            "m.yaml:3:37: unknown-id: there is no part 'thermostat-housin': "
            "did you mean 'thermostat-housing'?"
        )
    ]


def test_an_unknown_name_that_is_near_nothing_lists_what_is_known(said):
    """
    parts:
      frame: {fixed: true}
    cautions:
      - {text: careful, when: [gearbox off]}
    """
    assert said == ["m.yaml:4:28: unknown-id: there is no thing 'gearbox': known things: frame"]


def test_an_unknown_position_is_found_in_a_way(said):
    """
    positions: {front: at the front}
    parts:
      frame: {fixed: true, moved: {strip: 1 min, refit: 1 min, position: fornt}}
    """
    assert said == ["m.yaml:3:70: unknown-id: there is no position 'fornt': did you mean 'front'?"]


def test_names_may_be_used_before_they_are_given(said):
    """
    works:
      second: {calls: [first]}
      first: {goals: [frame moved]}
    parts:
      frame: {fixed: true, moved: {strip: 1 min, refit: 1 min}}
    """
    assert said == []


def test_a_part_and_a_work_may_share_a_name(said):
    """
    parts:
      belt: {trapped_by: [cover], off: {strip: 1 min, refit: 1 min}}
      cover: {trapped_by: [belt], moved: {strip: 1 min, refit: 1 min}}
    assemblies:
      both: {parts: [belt, cover], off: {strip: 1 min, refit: 1 min}}
    works:
      belt: {goals: [belt], renews: [belt]}
      other: {calls: [belt]}
    """
    assert said == []


def test_a_fact_that_names_a_work_is_of_the_wrong_kind(said):
    """
    works:
      service: {goals: [service]}
    """
    assert said == [
        (
            "m.yaml:2:21: wrong-kind: 'service' is a work, but something that is opened is wanted "
            "here: name one, or rename"
        )
    ]


@pytest.mark.parametrize(
    "fact", ["hose slack", "hose cracked", "hose backed off", "hose out", "hose", "hose undone"]
)
def test_trade_words_for_a_joint_are_states(fact: str) -> None:
    text = f"""
parts: {{frame: {{fixed: true}}}}
joints:
  hose:
    kind: hose-end
    holds: [frame]
    tightness: clicked
    slack: {{strip: 1 min, refit: 1 min}}
    out: {{strip: 1 min, refit: 1 min}}
cautions: [{{text: mind, when: [{fact}]}}]
"""
    assert check_text(text) == []


def test_a_part_without_a_way_off_cannot_be_out_of_the_way(said):
    """
    parts:
      frame: {fixed: true}
    cautions:
      - {text: careful, when: [frame]}
    """
    assert said == [
        (
            "m.yaml:4:28: not-described: nothing says how 'frame' is reached: "
            "describe 'off' under 'frame', or an assembly that carries it off"
        )
    ]


def test_a_part_that_an_assembly_carries_off_is_out_of_the_way_with_it(said):
    """
    parts:
      frame: {fixed: true}
      hub: {trapped_by: [disc]}
      disc: {trapped_by: [hub]}
    assemblies:
      corner: {parts: [hub, disc], off: {strip: 1 min, refit: 1 min}}
    cautions:
      - {text: careful, when: [hub]}
    """
    assert said == []


def test_an_act_may_put_a_thing_back_to_rest_but_a_need_may_not(said):
    """
    parts:
      frame: {fixed: true, moved: {strip: 1 min, refit: 1 min}}
    works:
      look:
        steps:
          wiggle: {text: wiggle, time: 1 min, acts: [frame moved, frame fitted]}
          stay: {text: stay, time: 1 min, needs: [frame fitted]}
    """
    assert said == [
        (
            "m.yaml:7:47: rest-state: 'frame fitted' is how a part stands when nothing is open: "
            "leave it out, or write 'frame moved' or 'frame off'"
        )
    ]


def test_acts_name_shafts_circuits_and_joints(said):
    """
    parts: {frame: {fixed: true}}
    works:
      look:
        steps:
          try:
            text: try it
            time: 1 min
            acts: [turn frame, pressurise frame, frame in to turn, start now, turn frame twice]
    """
    assert [line.partition(": ")[2] for line in said] == [
        "wrong-kind: 'frame' is a part, but a shaft is wanted here: name one, or rename",
        "wrong-kind: 'frame' is a part, but a circuit is wanted here: name one, or rename",
        "wrong-kind: 'frame' is a part, but a joint is wanted here: name one, or rename",
        "unreadable-act: 'start now' says too much: write 'start' alone",
        "unreadable-act: 'twice' is not a number: write how many turns, like 'turn crankshaft 2'",
    ]


def test_a_room_names_a_way_its_opening_has(said):
    """
    parts:
      frame: {fixed: true}
      fan: {trapped_by: [frame], off: {strip: 1 min, refit: 1 min}}
      engine:
        fixed: true
        moved: {ways: {up: {strip: 5 min, refit: 5 min}, down: {strip: 5 min, refit: 5 min}}}
    rooms:
      above: {for: engine moved, way: upp, made_by: {frame moved: {strip: 1 min}}}
    """
    assert said[-2:] == [
        "m.yaml:8:3: unknown-id: there is no way 'upp': did you mean 'up'?",
        (
            "m.yaml:8:50: not-described: nothing says how 'frame moved' is reached: "
            "describe 'moved' under 'frame'"
        ),
    ]


def test_a_tensioner_names_a_pulley_of_its_own_run(said):
    """
    runs:
      aux:
        pulleys: {crank: {teeth: 20}, idler: {diameter: 60 mm}}
        tensioner: {kind: eccentric, pulley: ider}
    """
    assert said == ["m.yaml:4:42: unknown-id: there is no pulley 'ider': did you mean 'idler'?"]


def test_a_step_follows_steps_of_its_own_work(said):
    """
    works:
      one:
        steps:
          first: {text: x, time: 1 min}
      two:
        steps:
          second: {text: x, time: 1 min, after: [first]}
    """
    assert said == ["m.yaml:7:46: unknown-id: there is no step 'first': known steps: second"]


def test_every_mistake_is_found_in_one_run(codes):
    """
    positions: {Front: here}
    parts:
      frame: {fixed: maybe, mass: heavy}
      frame: {}
      cover: {renew: sometimes, off: {strip: 1 min, position: nowhere}}
    joints:
      screws: {kind: glue, holds: [coverr], to: frame, single_use: true}
    bars:
      idle: {never: fly}
    """
    assert sorted(codes) == sorted(
        [
            "bad-id",
            "not-true-or-false",
            "unreadable-quantity",
            "duplicate-key",
            "part-not-held",
            "unknown-word",
            "missing-quantity",
            "unknown-id",
            "part-not-held",
            "unknown-word",
            "unknown-id",
            "no-tightness",
            "no-part-line",
            "unknown-id",
        ]
    )


def test_many_unknown_names_do_not_take_long():
    import time

    parts = "\n".join(f"  part-{n}: {{trapped_by: [other-{n}]}}" for n in range(900))
    started = time.process_time()
    found = check_text(f"parts:\n{parts}\n")
    assert len(found) == 900
    assert time.process_time() - started < 5
