"""The exact text of every complaint, by its code."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

import string

import pytest

from tests.machine.written import (
    check_state_text,
    check_text,
    check_workshop_text,
    machine_from,
    workshop_read,
)
from witnessmark.machine.catalogue import CATALOGUE, WARNINGS
from witnessmark.machine.checks import check_wrenches
from witnessmark.machine.complaints import complaint
from witnessmark.machine.model import Place

FRAME = """
parts:
  frame: {fixed: true}
  cover: {off: {strip: 1 min, refit: 1 min}}
joints:
  screws:
    kind: bolts
    holds: [cover]
    to: frame
    tightness: 9 N·m
    out: {strip: 1 min, refit: 1 min}
""".lstrip()

OPENED = (
    FRAME.replace("to: frame", "to: frame\n    opens: [oil]")
    + "  high: {kind: bolts, holds: [cover], to: frame, opens: [oil], tightness: 9 N·m, "
    + "out: {strip: 1 min, refit: 1 min}}\n"
    + "circuits:\n  oil: {fluid: oil, cap: c, check: k, drain: d, fill: f, "
    + "drained: {strip: 1 min, refit: 1 min}, heights: "
)
"""A circuit with two joints, up to its heights."""

TIMING = """
parts:
  engine: {fixed: true}
  belt: {off: {strip: 1 min, refit: 1 min}}
  pulley: {off: {strip: 1 min, refit: 1 min}}
joints:
  bolt: {kind: bolts, holds: [pulley], to: engine, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
runs:
  drive: {timing: true, belt: belt, pulleys: {crank: {shaft: crank}}}
shafts:
  crank:
    unproven: {strip: 1 min, refit: 1 min}
    proof: two turns by hand
    disturbed_by: [belt off]
""".lstrip()

DRIVE = """
parts:
  engine: {fixed: true}
runs:
  drive:
    pitch: 10 mm
    teeth: 110
    direction: clockwise
    pulleys:
      crank: {at: [0 mm, 0 mm], teeth: 20, shaft: crank}
      cam: {at: [0 mm, 400 mm], teeth: 40, shaft: cam, floating: 5°}
shafts:
  crank: {direction: clockwise}
  cam: {direction: clockwise, ratio: 1/2}
""".lstrip()

MACHINE_CASES: dict[str, tuple[str | bytes, str]] = {
    # The file as a whole
    "file-empty": (
        b"\n\n",
        (
            "m.yaml:1:1: file-empty: the file is empty: "
            "begin it with 'witnessmark: 1' and 'machine: SOME-NAME'"
        ),
    ),
    "file-too-big": (
        b"#" * 4_000_001,
        (
            "m.yaml:1:1: file-too-big: the file is longer than the 4000000 bytes that are "
            "read: split it into files that include one another, or check that it is the right file"
        ),
    ),
    "not-text": (
        b"witnessmark: 1\nname: \xff\n",
        (
            "m.yaml:2:7: not-text: this is not a text file in UTF-8 (byte 0xff): "
            "save it as plain text with UTF-8 encoding"
        ),
    ),
    "not-yaml": (
        "witnessmark: 1\nparts: [a, b\nname: x\n",
        (
            "m.yaml:3:5: not-yaml: this cannot be read as YAML (while parsing a flow sequence, did "
            "not find expected ',' or ']'): look at the indent, the colons and the quotes of this "
            "line and the one before"
        ),
    ),
    "second-document": (
        "witnessmark: 1\n---\nwitnessmark: 1\n",
        (
            "m.yaml:2:1: second-document: a second document begins here: "
            "keep one machine to a file and take the line of dashes out"
        ),
    ),
    "too-deep": (
        "witnessmark: 1\nparts: " + "[" * 60,
        (
            "m.yaml:2:47: too-deep: values stand inside values more than 40 deep: "
            "check the brackets; no machine file needs so many levels"
        ),
    ),
    "too-many-values": (
        "witnessmark: 1\nname: [" + "a," * 200_001 + "]",
        (
            "m.yaml:2:399998: too-many-values: the file stands for more than 200000 values: "
            "take out what is repeated, and aliases (*name) that repeat it"
        ),
    ),
    "alias-loop": (
        "witnessmark: 1\nparts: &all [*all]\n",
        (
            "m.yaml:2:14: alias-loop: '*all' stands inside what it stands for: "
            "write the value out instead"
        ),
    ),
    "unknown-alias": (
        "name: *nobody\n",
        (
            "m.yaml:1:7: unknown-alias: '*nobody' stands for nothing: "
            "mark the value it means with '&nobody' further up, or write it out"
        ),
    ),
    "yaml-tag": (
        "name: !!python/name:os.system x\n",
        (
            "m.yaml:1:7: yaml-tag: the tag 'tag:yaml.org,2002:python/name:os.system' means nothing "
            "here: take it out; every value is read as text"
        ),
    ),
    "key-not-text": (
        "witnessmark: 1\n[a, b]: c\n",
        (
            "m.yaml:2:1: key-not-text: a list or mapping stands where a name should: "
            "write a plain name"
        ),
    ),
    "duplicate-key": (
        "name: x\nname: y\n",
        (
            "m.yaml:2:1: duplicate-key: 'name' is written twice; it stands in line 1 already: "
            "keep one of the two"
        ),
    ),
    "not-a-file-of-ours": (
        b"just words\n",
        (
            "m.yaml:1:1: not-a-file-of-ours: the file holds a single value, not names with values: "
            "begin it with 'witnessmark: 1'"
        ),
    ),
    "missing-version": (
        b"machine: trial\n",
        (
            "m.yaml:1:1: missing-version: the file does not say which version of the format it is "
            "in: begin it with 'witnessmark: 1'"
        ),
    ),
    "unknown-version": (
        "witnessmark: 7\n",
        (
            "m.yaml:1:14: unknown-version: version '7' of the format is not known here: this "
            "program reads version 1; a newer file needs a newer program"
        ),
    ),
    "old-version": (
        "witnessmark: 0\nmachine: trial\n",
        (
            "m.yaml:1:14: old-version: warning: the file is in version 0 of the format, and was "
            "read as such: run 'witnessmark upgrade FILE' to bring it to version 1"
        ),
    ),
    # Includes
    "include-missing": (
        "include: [nowhere.yaml]\n",
        (
            "m.yaml:1:11: include-missing: the included file 'nowhere.yaml' is missing, there is no "
            "such file: check the path; it starts from the folder of the file that includes it"
        ),
    ),
    "include-loop": (
        "include: [m.yaml]\n",
        (
            "m.yaml:1:11: include-loop: the files include one another in a loop: "
            "m.yaml -> m.yaml: take one include out"
        ),
    ),
    "include-not-relative": (
        "include: [/etc/passwd]\n",
        (
            "m.yaml:1:11: include-not-relative: '/etc/passwd' is not a path from this file's own "
            "folder: write it from the folder of this file, like 'shared/cooling.yaml'"
        ),
    ),
    # Keys and shapes
    "unknown-key": (
        "parts: {frame: {fixed: true, whear: below}}\n",
        "m.yaml:1:30: unknown-key: 'whear' is not a key known here: did you mean 'where'?",
    ),
    "comma-in-text": (
        "parts: {frame: {fixed: true, where: below, at the back}}\n",
        (
            "m.yaml:1:44: comma-in-text: 'at the back' stands alone after a comma between { and }: "
            "put the text with the comma in quotes"
        ),
    ),
    "missing-key": (
        "assemblies:\n  front: {name: front end}\n",
        "m.yaml:2:3: missing-key: 'parts' is missing: add it here",
    ),
    "empty-value": (
        "viewpoint:\n",
        (
            "m.yaml:1:11: empty-value: 'viewpoint' has no value: "
            "write the value after the colon, or take the key out"
        ),
    ),
    "wrong-shape": (
        "include: front.yaml\n",
        (
            "m.yaml:1:10: wrong-shape: 'include' wants a list, but here is a single value: "
            "see the format's page"
        ),
    ),
    "bad-id": (
        "parts:\n  Upper Cover: {fixed: true}\n",
        (
            "m.yaml:2:3: bad-id: 'Upper Cover' cannot be a name: use small letters, digits and "
            "hyphens, at most 60, like 'upper-cover'"
        ),
    ),
    "duplicate-id": (
        "parts:\n  frame: {fixed: true}\ncircuits:\n  frame: {fluid: oil}\n",
        (
            "m.yaml:4:3: duplicate-id: 'frame' is given twice; the first is at m.yaml:2:3: "
            "rename one of the two"
        ),
    ),
    "odd-character": (
        'viewpoint: "from the \\u202Efront"\n',
        (
            "m.yaml:1:12: odd-character: 'viewpoint' has a character that cannot be printed "
            "(U+202E): take it out or write it in plain letters"
        ),
    ),
    "unknown-word": (
        FRAME.replace("kind: bolts", "kind: bolds"),
        "m.yaml:6:11: unknown-word: 'bolds' is not a word for 'kind': did you mean 'bolts'?",
    ),
    "not-true-or-false": (
        "parts: {frame: {fixed: yes}}\n",
        "m.yaml:1:24: not-true-or-false: 'fixed' is 'yes': write true or false",
    ),
    "not-a-whole-number": (
        FRAME.replace("tightness", "fasteners: [{count: 2.5}]\n    tightness"),
        (
            "m.yaml:9:25: not-a-whole-number: 'count' is '2.5': "
            "write a whole number of at least 1, without a unit"
        ),
    ),
    "below-zero": (
        "parts: {frame: {fixed: true, price: -3}}\n",
        "m.yaml:1:37: below-zero: 'price' is '-3', which is too small: write a number above zero",
    ),
    "not-a-position": (
        FRAME.replace("tightness", "fasteners: [{at: [12 mm]}]\n    tightness"),
        (
            "m.yaml:9:22: not-a-position: 'at' is not a position of two lengths: "
            "write it like [120 mm, -35 mm]"
        ),
    ),
    # Quantities
    "missing-quantity": (
        FRAME.replace("strip: 1 min, refit: 1 min}}", "strip: 1 min}}"),
        "m.yaml:3:11: missing-quantity: 'refit' is missing: add it with its unit",
    ),
    "unreadable-quantity": (
        FRAME.replace("9 N·m", "nine N·m"),
        (
            "m.yaml:9:16: unreadable-quantity: 'nine N·m' is not a number with a unit (under "
            "'tightness'): write it like '22 N·m' or '7.5 L'"
        ),
    ),
    "wrong-unit": (
        FRAME.replace("strip: 1 min, refit: 1 min}}", "strip: 1 mm, refit: 1 min}}"),
        (
            "m.yaml:3:24: wrong-unit: '1 mm' is a length, but a time is wanted here (under "
            "'strip'): write it like '1 s'"
        ),
    ),
    # Names
    "unknown-id": (
        FRAME.replace("holds: [cover]", "holds: [cuver]"),
        "m.yaml:7:13: unknown-id: there is no part 'cuver': did you mean 'cover'?",
    ),
    "wrong-kind": (
        FRAME.replace("to: frame", "to: screws"),
        (
            "m.yaml:8:9: wrong-kind: 'screws' is a joint, but a part is wanted here: "
            "name one, or rename"
        ),
    ),
    "unknown-state": (
        FRAME + "cautions: [{text: mind, when: [screws bent]}]\n",
        (
            "m.yaml:11:32: unknown-state: 'screws' is a joint and cannot be 'bent': "
            "write 'screws slack' or 'screws out'"
        ),
    ),
    "rest-state": (
        FRAME + "cautions: [{text: mind, when: [cover fitted]}]\n",
        (
            "m.yaml:11:32: rest-state: 'cover fitted' is how a part stands when nothing is open: "
            "leave it out, or write 'cover moved' or 'cover off'"
        ),
    ),
    "not-described": (
        FRAME + "cautions: [{text: mind, when: [screws slack]}]\n",
        (
            "m.yaml:11:32: not-described: nothing says how 'screws slack' is reached: "
            "describe 'slack' under 'screws'"
        ),
    ),
    "unreadable-act": (
        FRAME + "bars: {turn: {never: turn, evidence: a look}}\n",
        (
            "m.yaml:11:22: unreadable-act: 'turn' does not say which shaft: "
            "write 'turn SHAFT' or 'turn SHAFT TURNS'"
        ),
    ),
    # What holds what
    "part-not-held": (
        "parts:\n  cover: {name: cover}\n",
        (
            "m.yaml:2:3: part-not-held: nothing holds 'cover': list it under 'holds' of a joint, "
            "name what traps it under 'trapped_by', or say 'fixed: true' if it is the frame"
        ),
    ),
    "fixed-part-off": (
        "parts:\n  frame: {fixed: true, off: {strip: 1 min, refit: 1 min}}\n",
        (
            "m.yaml:2:24: fixed-part-off: 'frame' is fixed, yet there is a way to take it off: "
            "take out 'fixed' or 'off'"
        ),
    ),
    "hose-left-on": (
        FRAME.replace("parts:\n", "parts:\n  hose: {off: {strip: 1 min, refit: 1 min}}\n")
        + "  end: {kind: hose-end, holds: [hose], to: cover, tightness: seated, out: {strip: 1 min, refit: 1 min}}\n",
        "m.yaml:4:11: hose-left-on: 'cover' can come off while 'end' still joins 'hose' to it: put 'end out' under 'needs' of every way that takes 'cover' off",
    ),
    "never-free": (
        FRAME.replace(
            "    out: {strip: 1 min, refit: 1 min}",
            "    out: {strip: 1 min, refit: 1 min, needs: [cover]}",
        ),
        (
            "m.yaml:3:11: never-free: no way leads to 'cover off': 'cover off' waits for 'screws "
            "out', 'screws out' waits for 'cover off': one of them must come first; take out the "
            "need that is not true, or give another way"
        ),
    ),
    "waits-in-vain": (
        FRAME.replace("    out: {strip: 1 min, refit: 1 min}\n", ""),
        (
            "m.yaml:3:11: waits-in-vain: 'cover off' waits for 'screws out', and nothing says how "
            "that is reached: describe 'out' under 'screws'"
        ),
    ),
    "no-way": (
        FRAME.replace("{strip: 1 min, refit: 1 min}}", "{ways: {}}}"),
        "m.yaml:3:11: no-way: 'off' has no way: give 'strip' and 'refit', or at least one way",
    ),
    "too-tangled": (
        "parts:\n  p: {fixed: true}\n  q: {fixed: true}\njoints:\n"
        + "".join(
            f"  j{n}: {{kind: clips, holds: [p], to: q, tightness: seated}}\n" for n in range(201)
        )
        + "assemblies:\n"
        + "".join(
            f"  a{n}: {{parts: [p], off: {{strip: 1 min, refit: 1 min}}}}\n" for n in range(500)
        ),
        (
            "m.yaml:1:1: too-tangled: more than 100000 things follow from its joints, assemblies, "
            "shafts and bars: no machine is so tangled; look for names that stand in far too many "
            "lists"
        ),
    ),
    # Joints and bolts
    "no-tightness": (
        FRAME.replace("    tightness: 9 N·m\n", ""),
        (
            "m.yaml:5:3: no-tightness: 'screws' does not say how tight it ends: "
            "give 'tightness' with a torque, or seated, clicked or hand-tight"
        ),
    ),
    "stages-end-elsewhere": (
        FRAME.replace("tightness", "stages: [5 N·m, 8 N·m]\n    tightness"),
        (
            "m.yaml:9:21: stages-end-elsewhere: the passes of 'screws' end at 8 N·m, but its "
            "tightness is 9 N·m: make the last pass the final one"
        ),
    ),
    "no-thread-hand": (
        FRAME.replace("kind: bolts", "kind: screw-on"),
        (
            "m.yaml:5:3: no-thread-hand: 'screws' screws on and does not say which hand its thread "
            "has: give 'hand: right' or 'hand: left'"
        ),
    ),
    "no-viewpoint": (
        FRAME.replace("kind: bolts", "kind: screw-on\n    hand: left"),
        (
            "m.yaml:5:3: no-viewpoint: 'screws' has a thread hand but nothing says seen from where: "
            "give 'viewpoint' here or at the top of the file"
        ),
    ),
    "no-part-line": (
        FRAME.replace("kind: bolts", "kind: bolts\n    single_use: true"),
        (
            "m.yaml:5:3: no-part-line: 'screws' is used once only, and no new ones can be ordered: "
            "give 'number' (and 'price') of the new ones"
        ),
    ),
    "duplicate-hole": (
        FRAME.replace("tightness", "fasteners: [{hole: 1}, {hole: 1}]\n    tightness"),
        "m.yaml:9:28: duplicate-hole: hole 1 of 'screws' is given twice: number each hole once",
    ),
    "unknown-hole": (
        FRAME.replace("tightness", "fasteners: [{hole: 1}]\n    order: [1, 3]\n    tightness"),
        (
            "m.yaml:5:3: unknown-hole: 'order' of 'screws' names hole 3, which it does not have: "
            "known holes: 1"
        ),
    ),
    "hole-twice": (
        FRAME.replace("tightness", "fasteners: [{hole: 1}]\n    order: [1, 1]\n    tightness"),
        "m.yaml:5:3: hole-twice: 'order' of 'screws' names hole 1 twice: name each hole once",
    ),
    "hole-left-out": (
        FRAME.replace(
            "tightness",
            "fasteners: [{hole: 1}, {hole: 2}]\n    slackening: [1]\n    tightness",
        ),
        (
            "m.yaml:5:3: hole-left-out: 'slackening' of 'screws' leaves out hole 2: "
            "name every hole once, or write cross or spiral"
        ),
    ),
    "thread-clash": (
        FRAME.replace(
            "tightness", "fasteners: [{thread: M8x1 x 20, hole_thread: M8}]\n    tightness"
        ),
        (
            "m.yaml:9:17: thread-clash: a M8x1 bolt does not go into a M8x1.25 hole: "
            "measure both and put the wrong one right"
        ),
    ),
    "implausible-torque": (
        FRAME.replace(
            "tightness: 9 N·m",
            "surface: dry\n    fasteners: [{thread: M6, class: 8.8}]\n    tightness: 90 N·m",
        ),
        (
            "m.yaml:11:16: implausible-torque: warning: the torque of 'screws' is implausible: 90 "
            "N·m is too much for this bolt: plausible from 2.65 to 21.4 N·m for M6x1 8.8, friction "
            "0.14 to 0.24: from holding 2.33 kN (a fifth of proof load, our own rule) to proof load "
            "11.7 kN: look again at torque, size, class and surface; the maker's figure prevails"
        ),
    ),
    "short-engagement": (
        FRAME.replace("tightness", "fasteners: [{thread: M8 x 20, clamped: 15 mm}]\n    tightness"),
        (
            "m.yaml:9:17: short-engagement: warning: a bolt of 'screws', M8x1.25, has only 5 mm of "
            "thread in its hole, 8 mm wanted: measure bolt, hole and what is clamped; soft metal "
            "wants more, or the thread strips"
        ),
    ),
    "oil-on-friction-face": (
        FRAME.replace("tightness", "role: crank\n    surface: oiled\n    tightness"),
        (
            "m.yaml:5:3: oil-on-friction-face: warning: 'screws' clamps a face that carries drive "
            "by friction, and has oiled on it: keep the face free of grease and let 'refit_text' "
            "say so; if the thread is oiled, only it"
        ),
    ),
    "anti-seize-meets-threadlocker": (
        FRAME.replace("tightness", "surface: anti-seize\n    tightness")
        + "materials:\n  lock: {name: threadlocker, used_by: [screws out]}\n",
        (
            "m.yaml:5:3: anti-seize-meets-threadlocker: warning: anti-seize meets threadlocker at "
            "'screws': use one or the other: threadlocker does not set on what is slippery"
        ),
    ),
    "blind-hole-not-cleaned": (
        FRAME.replace("tightness", "fasteners: [{thread: M8, blind: true}]\n    tightness"),
        (
            "m.yaml:9:17: blind-hole-not-cleaned: warning: 'screws' has a blind hole, and no step "
            "cleans and dries it: let 'refit_text' of 'out' say clean and dry; what is left in it "
            "can burst the casting"
        ),
    ),
    "no-clamp": (
        FRAME.replace("tightness", "least_clamp: 0 N\n    tightness"),
        (
            "m.yaml:9:18: no-clamp: the least clamp of 'screws' is 0 N: give the force below which "
            "the joint fails, or leave it out"
        ),
    ),
    "clamp-above-proof": (
        FRAME.replace(
            "tightness",
            "surface: dry\n    fasteners: [{thread: M6, class: 8.8}]\n    least_clamp: 20 kN\n"
            "    tightness",
        ),
        # ISO 898-1: proof load of M6 class 8.8 is 11.6 kN; 11.7 by the unrounded stress area.
        (
            "m.yaml:11:18: clamp-above-proof: 'screws' wants 20 kN at least, but M6x1 8.8 has a "
            "proof load of 11.7 kN: check clamp, class and size; per fastener, not for the joint "
            "together"
        ),
    ),
    "size-table-not-listed": (
        FRAME.replace("9 N·m", "{is: 9 N·m, source: size table, by: J. Moss}"),
        (
            "m.yaml:9:21: size-table-not-listed: 'screws' is not said to be a bracket or a cover, "
            "and its figure is from a size table: give 'role: bracket' or 'role: cover' if it is "
            "one; otherwise find the maker's figure"
        ),
    ),
    "size-table-nobody": (
        FRAME.replace(
            "tightness: 9 N·m", "role: cover\n    tightness: {is: 9 N·m, source: size table}"
        ),
        (
            "m.yaml:10:21: size-table-nobody: nobody is named who took the size-table figure of "
            "'screws': name the person: {is: 9 N·m, source: size table, by: NAME}"
        ),
    ),
    "size-table-refused": (
        FRAME.replace(
            "tightness: 9 N·m", "role: brake\n    tightness: {is: 9 N·m, source: size table, by J}"
        ).replace("size table, by J", '"size table, not the maker\'s"'),
        (
            "m.yaml:10:21: size-table-refused: 'screws' is a brake joint, and its figure is from a "
            "size table, not the maker's: find the maker's figure; a size table serves brackets "
            "and covers only"
        ),
    ),
    "bolt-too-short": (
        FRAME.replace("tightness", "fasteners: [{thread: M8 x 20, clamped: 22 mm}]\n    tightness"),
        (
            "m.yaml:9:17: bolt-too-short: a bolt of 20 mm does not reach through the 22 mm it "
            "clamps: measure the bolt under its head, and what it clamps"
        ),
    ),
    "bolt-bottoms": (
        FRAME.replace(
            "tightness",
            "fasteners: [{thread: M8 x 45, clamped: 22 mm, hole_depth: 20 mm}]\n    tightness",
        ),
        (
            "m.yaml:9:17: bolt-bottoms: a bolt of 45 mm through 22 mm bottoms in a hole 20 mm deep, "
            "by 3 mm: measure bolt and hole; a bolt that bottoms clamps nothing and may burst the "
            "casting"
        ),
    ),
    # Circuits
    "no-drain": (
        "circuits:\n  oil: {fluid: oil, fill: f, check: k, drained: {strip: 1 min, refit: 1 min}}\n",
        (
            "m.yaml:2:3: no-drain: 'oil' is drained, but nothing says how: "
            "say under 'drain' where and how"
        ),
    ),
    "no-fill": (
        "circuits:\n  oil: {fluid: oil, drain: d, check: k, drained: {strip: 1 min, refit: 1 min}}\n",
        (
            "m.yaml:2:3: no-fill: 'oil' is drained, but nothing says how it is filled again: "
            "say under 'fill' where and how, or 'refilled: false' for air"
        ),
    ),
    "no-top-up": (
        FRAME.replace("to: frame", "to: frame\n    opens: [oil]")
        + "circuits:\n  oil: {fluid: oil, cap: c, check: k, level: 1 mm, heights: {screws: 2 mm}, relieved: {strip: 1 min, refit: 1 min}}\n",
        "m.yaml:13:3: no-top-up: 'screws' opens 'oil', and nothing says how that is topped up afterwards: say under 'fill' where and with what, or 'refilled: false' for air",
    ),
    "no-cap": (
        FRAME.replace("to: frame", "to: frame\n    opens: [intake]")
        + "circuits:\n  intake: {fluid: air, refilled: false, check: k, relieved: {strip: 1 min, refit: 1 min}}\n",
        "m.yaml:13:3: no-cap: 'screws' opens 'intake', and nothing says how its open ends are capped: say under 'cap' what is capped, plugged or covered at once, and with what",
    ),
    "no-check": (
        FRAME.replace("to: frame", "to: frame\n    opens: [fuel]")
        + "circuits:\n  fuel: {fluid: diesel, cap: c, drain: d, fill: f, drained: {strip: 1 min, refit: 1 min}}\n",
        "m.yaml:13:3: no-check: 'fuel' is opened on the way, and nothing says what is checked afterwards: say under 'check' what is looked at when it is closed again: level, leaks, air",
    ),
    "never-drained": (
        FRAME.replace("to: frame", "to: frame\n    opens: [oil]")
        + "circuits:\n  oil: {fluid: oil, cap: c, check: k}\n",
        (
            "m.yaml:13:3: never-drained: 'screws' opens 'oil', and nothing says how that is "
            "drained: describe 'drained' under 'oil', with 'drain' and 'fill'"
        ),
    ),
    "only-relieved": (
        FRAME.replace("to: frame", "to: frame\n    opens: [oil]")
        + "circuits:\n  oil: {fluid: oil, relieved: {strip: 1 min, refit: 1 min}}\n",
        (
            "m.yaml:13:3: only-relieved: 'screws' opens 'oil', which is only relieved, not "
            "drained: describe 'drained' under 'oil', or give heights that put the joint above "
            "'level'"
        ),
    ),
    "stays-behind-too-much": (
        "circuits:\n  oil: {fluid: oil, capacity: 4 L, stays_behind: 5 L}\n",
        (
            "m.yaml:2:50: stays-behind-too-much: 5 L stays behind of a circuit that holds 4 L: "
            "check both figures"
        ),
    ),
    "comes-out-too-much": (
        OPENED + "{screws: 90 mm}, capacity: 4 L, stays_behind: 1 L, comes_out: {screws: 3.5 L}}\n",
        (
            "m.yaml:14:177: comes-out-too-much: 3.5 L comes out below 'screws', and 3 L when all "
            "is drained: check both, and the capacity; what comes out lower down is never less"
        ),
    ),
    "comes-out-order": (
        OPENED + "{screws: 90 mm, high: 120 mm}, comes_out: {screws: 1 L, high: 2 L}}\n",
        (
            "m.yaml:14:157: comes-out-order: 1 L comes out below 'screws', and 2 L below 'high', "
            "which lies higher: check litres and heights of both: the lower the joint, the more "
            "comes out"
        ),
    ),
    "comes-out-no-height": (
        OPENED + "{}, comes_out: {screws: 1 L}}\n",
        (
            "m.yaml:14:130: comes-out-no-height: 'screws' says what comes out below it, and not how "
            "high it lies: give its height above the drain under 'heights'"
        ),
    ),
    # Bars
    "lock-without-bar": (
        TIMING + "locks:\n  pin: {hole: block, holds: [crank]}\n",
        (
            "m.yaml:15:3: lock-without-bar: no bar mentions 'pin': "
            "say under 'bars' what may never be done while it is in"
        ),
    ),
    "bar-does-nothing": (
        "bars:\n  idle: {never: lower, why: it hurts}\n",
        (
            "m.yaml:2:3: bar-does-nothing: 'idle' puts nothing in order and asks for nothing: name "
            "under 'while' or 'unless' what it depends on, or say under 'evidence' or 'permit' what "
            "is asked for"
        ),
    ),
    # Rooms
    "saving-above-cost": (
        FRAME + "rooms:\n  more: {for: screws out, made_by: {cover: {strip: 2 min}}}\n",
        (
            "m.yaml:12:3: saving-above-cost: room saves 2 min of the strip of 'screws out', which "
            "takes only 1 min: lower the saving or check the time"
        ),
    ),
    "room-for-itself": (
        FRAME + "rooms:\n  more: {for: cover off, made_by: {cover off: {strip: 1 min}}}\n",
        (
            "m.yaml:12:36: room-for-itself: 'cover' cannot make room for itself: "
            "name what else makes the room"
        ),
    ),
    # Works
    "empty-work": (
        "works:\n  look: {name: have a look}\n",
        "m.yaml:2:3: empty-work: 'look' has nothing to do: give it 'goals', 'steps' or 'calls'",
    ),
    "work-circle": (
        "works:\n  one: {calls: [two]}\n  two: {calls: [one]}\n",
        (
            "m.yaml:2:3: work-circle: works call one another in a circle: one -> two -> one: "
            "take one call out"
        ),
    ),
    "step-circle": (
        (
            "works:\n  job:\n    steps:\n"
            "      a: {text: x, time: 1 min, after: [b]}\n"
            "      b: {text: x, time: 1 min, after: [a]}\n"
        ),
        (
            "m.yaml:4:7: step-circle: steps of 'job' follow in a circle: a after b after a: "
            "take one 'after' out"
        ),
    ),
    "step-never": (
        FRAME + "works:\n  job:\n    steps:\n"
        "      look: {text: x, time: 1 min, needs: [cover], before: [screws out]}\n",
        (
            "m.yaml:14:7: step-never: 'look' can never be done: it needs what keeps 'screws out' "
            "open, and comes before that: take one of the two out"
        ),
    ),
    # Timing
    "run-without-shafts": (
        "runs:\n  drive: {timing: true}\n",
        (
            "m.yaml:2:3: run-without-shafts: timing run 'drive' has no shafts: "
            "name the shafts its pulleys turn, or take out 'timing: true'"
        ),
    ),
    "no-proof": (
        TIMING.replace("    proof: two turns by hand\n", ""),
        (
            "m.yaml:10:3: no-proof: 'crank' is part of timing run 'drive' and cannot be proved: "
            "describe 'unproven' and say under 'proof' what proves it"
        ),
    ),
    "timing-not-proved": (
        TIMING.replace("{shaft: crank}", "{shaft: crank, part: pulley}")
        + "works:\n  renew-pulley: {goals: [pulley off]}\n",
        (
            "m.yaml:15:3: timing-not-proved: 'renew-pulley' disturbs timing run 'drive' with 'bolt "
            "out', and 'crank' is not proved after it: list 'bolt out' under 'disturbed_by' of "
            "'crank'"
        ),
    ),
    "turned-after-proof": (
        TIMING + "works:\n  job:\n    steps:\n"
        "      round: {text: x, time: 1 min, acts: [turn crank 2], before: [crank unproven]}\n",
        (
            "m.yaml:17:7: turned-after-proof: 'round' turns 'crank' of timing run 'drive' and may "
            "not come while 'crank unproven' is open: a turn comes before the proof: take 'crank "
            "unproven' out of what the step must come before"
        ),
    ),
    "started-before-proof": (
        TIMING + "works:\n  job:\n    steps:\n"
        "      run-up: {text: x, time: 1 min, acts: [start], needs: [belt off]}\n",
        (
            "m.yaml:17:7: started-before-proof: 'run-up' does 'start', but needs what keeps "
            "'crank' of timing run 'drive' unproven: an engine runs after the proof: take out the "
            "need, or do the step without 'start'"
        ),
    ),
    "mark-hidden": (
        TIMING.replace(
            "    unproven: {strip: 1 min, refit: 1 min}\n",
            "    unproven: {strip: 1 min, refit: 1 min, needs: [pulley off]}\n"
            "    mark: {text: notch on the pulley, seen_only_before: [pulley off]}\n",
        ),
        (
            "m.yaml:12:5: mark-hidden: the mark of 'crank' of timing run 'drive' cannot be read at "
            "the proof, which needs 'pulley off' that takes the mark away: let what carries the "
            "mark go back on before the proof"
        ),
    ),
    # Drives
    "too-many-pulleys": (
        "runs: {r: {pulleys: {" + ", ".join(f"p{n}: {{}}" for n in range(201)) + "}}}\n",
        (
            "m.yaml:1:1: too-many-pulleys: the runs have more than 200 pulleys together, too many "
            "to lay their belts: look for pulleys that are given again and again"
        ),
    ),
    "no-route": (
        DRIVE.replace("0 mm, 400 mm", "0 mm, 60 mm"),
        "m.yaml:4:3: no-route: no belt can lie so on the pulleys of 'drive': crank and cam overlap by 35.493 mm: check positions, diameters and units",
    ),
    "belt-does-not-fit": (
        DRIVE.replace("teeth: 110", "teeth: 120"),
        "m.yaml:4:3: belt-does-not-fit: the belt of 'drive' is 1200 mm (120 teeth) long, but the way round its pulleys is 1102.5 mm (110.3 teeth): measure positions and diameters again, and count the belt's teeth",
    ),
    "ratio-clash": (
        DRIVE.replace("1/2", "1/3"),
        "m.yaml:10:7: ratio-clash: 'cam' has the ratio 1/3, but 20 teeth driving 40 make 1/2: count the teeth of both, and put ratio or teeth right",
    ),
    "runs-backwards": (
        DRIVE.replace("direction: clockwise\n", "direction: anticlockwise\n", 1).replace(
            "shaft: cam, floating: 5°}",
            "shaft: cam}\n      idler: {at: [50 mm, 200 mm], diameter: 20 mm}",
        ),
        "m.yaml:4:3: runs-backwards: the pulleys of 'drive' stand in an order that runs clockwise, but it runs anticlockwise: write the pulleys in the order the belt meets them, and check faces and viewpoint",
    ),
    "turns-backwards": (
        DRIVE.replace("cam: {direction: clockwise", "cam: {direction: anticlockwise"),
        "m.yaml:10:7: turns-backwards: the belt turns 'cam' clockwise, but 'cam' turns anticlockwise: check which face of the belt runs on it, and which way the shaft turns",
    ),
    "float-too-small": (
        DRIVE.replace("floating: 5°", "floating: 4°"),
        "m.yaml:10:7: float-too-small: 'cam' floats 4° either way, but its nearest tooth may be 4.5° off: measure the slots; shorter ones may leave the belt between two teeth",
    ),
    "setting-without-clamp": (
        DRIVE.replace(
            "    pitch: 10 mm\n", "    pitch: 10 mm\n    tensioner: {kind: arm, setting: 8 N·m}\n"
        ),
        "m.yaml:6:37: setting-without-clamp: a torque is held on the tensioner of 'drive', and no joint is named that clamps it: name the joint under 'clamp': the torque is a setting, and the joint has a tightness",
    ),
    "no-travel": (
        DRIVE.replace(
            "    pitch: 10 mm\n",
            "    pitch: 10 mm\n    tensioner: {kind: arm, arm: {pivot: [0 mm, 0 mm], from: 0°, to: 9°}}\n",
        ),
        "m.yaml:6:5: no-travel: the tensioner of 'drive' cannot travel so: nothing says which pulley travels: name it under 'pulley'",
    ),
    "tension-acts": (
        DRIVE.replace(
            "    pitch: 10 mm\n",
            "    pitch: 10 mm\n    tensioner: {kind: arm, acts: [{act: set, pointer: notch}, {act: slacken}]}\n",
        ),
        "m.yaml:6:5: tension-acts: 'drive' cannot be tensioned as its acts say: drive is left slack: the last act must set it",
    ),
    # Figures
    "figure-without-source": (
        "witnessmark: 1\nmachine: trial\nparts: {frame: {fixed: true, mass: 5 kg}}\n",
        (
            "m.yaml:3:36: figure-without-source: warning: nobody says where 5 kg comes from: give "
            "'source' at the top of the file, or {is: 5 kg, source: ...} here"
        ),
    ),
    "limits-clash": (
        "parts:\n  frame: {fixed: true, inspect: {lip: {at_least: 3 mm, at_most: 2 mm}}}\n",
        (
            "m.yaml:2:65: limits-clash: no reading is at least 3 mm and at most 2 mm: "
            "check both limits and their units"
        ),
    ),
    # All together
    "more-complaints": (
        "positions: {" + ", ".join(f"A{n}: x" for n in range(1_003)) + "}\n",
        (
            "m.yaml:1:8903: more-complaints: there are more complaints; only 1000 are shown: "
            "put these right and check again"
        ),
    ),
}

WORKSHOP_CASES = {
    "unreadable-date": (
        "workshop: 1\nwrenches:\n  w: {from: 5 N·m, to: 25 N·m, checked: last May}\n",
        (
            "w.yaml:3:41: unreadable-date: 'checked' is 'last May', which is no date: "
            "write it like 2026-03-31"
        ),
    ),
    "triangle": (
        (
            "workshop: 1\nposition_change: 1 min\nmoves:\n"
            "  front: {under: 3 min, bench: 1 min}\n  under: {bench: 1 min}\n"
        ),
        (
            "w.yaml:4:11: triangle: from 'front' to 'under' takes 3 min, but by way of 'on the "
            "ground' only 2 min: no way round can be shorter than the straight one; lower the "
            "straight time"
        ),
    ),
    "too-many-positions": (
        "workshop: 1\nmoves: {here: {" + ", ".join(f"p{n}: 1 min" for n in range(60)) + "}}\n",
        (
            "w.yaml:1:1: too-many-positions: 'moves' names 63 positions, more than the 60 that are "
            "compared: leave out those that take the usual 'position_change'"
        ),
    ),
    "wrench-range": (
        "workshop: 1\nwrenches:\n  w: {from: 25 N·m, to: 5 N·m}\n",
        (
            "w.yaml:3:3: wrench-range: wrench 'w' does not read from a low figure to a higher one: "
            "give 'from' and 'to' as they stand on the wrench"
        ),
    ),
    "no-length": (
        "workshop: 1\nwrenches:\n  w: {from: 5 N·m, to: 25 N·m, length: 0 mm}\n",
        (
            "w.yaml:3:3: no-length: 'w' is given a length of 0 mm: measure it: a wrench from drive "
            "to middle of grip, an adapter from drive to bolt"
        ),
    ),
    "adapter-reaches-back": (
        (
            "workshop: 1\nwrenches:\n  w: {from: 5 N·m, to: 25 N·m, length: 80 mm}\n"
            "adapters:\n  a: {length: 8 cm, at: 180°}\n"
        ),
        (
            "w.yaml:5:3: adapter-reaches-back: adapter 'a' at 180° reaches back to the grip of "
            "wrench 'w': measure both; with the adapter on, no setting of this wrench can serve"
        ),
    ),
}

STATE_CASES = {
    "not-a-way": (
        "state: 1\nmachine: trial\nstruck: [cover off]\n",
        (
            "s.yaml:3:10: not-a-way: 'cover off' under 'struck' does not name a way: "
            "write it like 'OPENING/WAY'"
        ),
    ),
    "wrong-machine": (
        "state: 1\nmachine: other\n",
        (
            "s.yaml:2:10: wrong-machine: this is where a job on 'other' stands, not on 'trial': "
            "choose the state file of this machine"
        ),
    ),
    "not-open": (
        "state: 1\nmachine: trial\nby: {cover off: only}\n",
        (
            "s.yaml:3:6: not-open: a way to 'cover off' is named, but that is not open: "
            "list it under 'open'"
        ),
    ),
}


@pytest.mark.parametrize("code", MACHINE_CASES)
def test_text_of_a_complaint_about_a_machine_file(code: str) -> None:
    text, expected = MACHINE_CASES[code]
    assert expected in [str(found) for found in check_text(text)]


@pytest.mark.parametrize("code", WORKSHOP_CASES)
def test_text_of_a_complaint_about_a_workshop_file(code: str) -> None:
    text, expected = WORKSHOP_CASES[code]
    assert [str(found) for found in check_workshop_text(text)] == [expected]


@pytest.mark.parametrize("code", STATE_CASES)
def test_text_of_a_complaint_about_a_state_file(code: str) -> None:
    text, expected = STATE_CASES[code]
    found = check_state_text(text, machine_from(FRAME))
    assert [str(each) for each in found] == [expected]


def test_text_when_a_machine_is_included_in_another() -> None:
    found = check_text("include: [other.yaml]\n", other="witnessmark: 1\nmachine: other\n")
    assert [str(each) for each in found] == [
        (
            "other.yaml:2:1: machine-included: this file is a machine of its own, and is included "
            "at m.yaml:1:11: move what both machines share to a file without 'machine', and include "
            "that"
        )
    ]


def test_text_when_too_many_files_are_included() -> None:
    others = {f"f{n}": "witnessmark: 1\n" for n in range(201)}
    names = ", ".join(f"{name}.yaml" for name in others)
    found = check_text(f"include: [{names}]\n", **others)
    assert [str(each) for each in found] == [
        (
            "m.yaml:1:2090: too-many-includes: more than 200 files are included: "
            "gather what belongs together in fewer files"
        ),
        (
            "m.yaml:1:2101: too-many-includes: more than 200 files are included: "
            "gather what belongs together in fewer files"
        ),
    ]


def test_text_when_a_file_cannot_be_read() -> None:
    from witnessmark.machine.reading import read_machine

    def load(path: str) -> bytes:
        raise PermissionError(13, "permission denied")

    assert [str(found) for found in read_machine(load, "m.yaml").complaints] == [
        (
            "m.yaml:1:1: unreadable-file: 'm.yaml' cannot be read, permission denied: "
            "check the name and whether you may read it"
        )
    ]


def test_text_when_no_wrench_of_the_list_serves() -> None:
    read = workshop_read("workshop: 1\nwrenches:\n  w: {name: click, from: 20 N·m, to: 99 N·m}\n")
    assert read.value is not None
    found = check_wrenches(machine_from(FRAME), read.value)
    assert [str(each) for each in found] == [
        (
            "m.yaml:9:16: no-wrench: warning: no wrench of the list serves 9 N·m at 'screws': "
            "click: 9 N·m is below its 20 N·m: put one in the list or borrow one; a clicker "
            "outside its range or overdue tells nothing"
        )
    ]


ELSEWHERE = {"no-wrench", "machine-included", "too-many-includes", "unreadable-file"}


def test_every_code_of_the_catalogue_has_a_test_of_its_text() -> None:
    tested = {*MACHINE_CASES, *WORKSHOP_CASES, *STATE_CASES, *ELSEWHERE}
    assert tested == set(CATALOGUE)


def test_only_a_few_codes_are_warnings() -> None:
    assert {
        "old-version",
        "figure-without-source",
        "implausible-torque",
        "short-engagement",
        "oil-on-friction-face",
        "anti-seize-meets-threadlocker",
        "blind-hole-not-cleaned",
        "no-wrench",
    } == WARNINGS


@pytest.mark.parametrize("code", CATALOGUE)
def test_a_complaint_is_refused_when_a_fact_is_missing(code: str) -> None:
    names = {
        name for text in CATALOGUE[code] for _, name, _, _ in string.Formatter().parse(text) if name
    }
    if names:
        with pytest.raises(KeyError):
            complaint(code, Place("m.yaml", 1, 1))
    facts = dict.fromkeys(names, "x")
    assert complaint(code, Place("m.yaml", 1, 1), **facts).code == code


def test_a_code_that_is_not_in_the_catalogue_is_refused() -> None:
    with pytest.raises(KeyError):
        complaint("no-such-code", Place("m.yaml", 1, 1))
