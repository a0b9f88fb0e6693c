"""Files in version 0 of the format: read as they stand, and brought to version 1."""

from __future__ import annotations

import pytest

from tests.machine.written import check_text, read_text
from witnessmark.machine.rewriting import RewritingError, upgrade_text

OLD = """\
# Written in the first week
witnessmark: 0
machine: trial
source: weighed
parts:
  frame: {fixed: true}
  cover:                 # the upper one
    off:
      ways:
        up: {minutes_off: 1.5, minutes_on: 2}
        down: {minutes_off: 3 min, minutes_on: 1 h 20}
fastenings:
  torque:                # a joint may well be called so
    kind: bolts
    holds: [cover]
    to: frame
    torque: 9 N·m   # dry
    slack:
      minutes_off: 1
      minutes_on: {is: 2 min, source: stopwatch}
    out: {minutes_off: 1, minutes_on: 1}
make_safe:
  battery: {safe: {minutes_off: 1, minutes_on: 1.5}}
jobs:
  look: {goals: [cover off]}
"""

NEW = """\
# Written in the first week
witnessmark: 1
machine: trial
source: weighed
parts:
  frame: {fixed: true}
  cover:                 # the upper one
    off:
      ways:
        up: {strip: 1.5 min, refit: 2 min}
        down: {strip: 3 min, refit: 1 h 20}
joints:
  torque:                # a joint may well be called so
    kind: bolts
    holds: [cover]
    to: frame
    tightness: 9 N·m   # dry
    slack:
      strip: 1 min
      refit: {is: 2 min, source: stopwatch}
    out: {strip: 1 min, refit: 1 min}
make_safe:
  battery: {safe: {strip: 1 min, refit: 1.5 min}}
works:
  look: {goals: [cover off]}
"""


def test_the_text_is_upgraded_with_its_comments_and_nothing_else_changed() -> None:
    assert upgrade_text(OLD) == NEW


def test_an_old_file_is_read_as_it_stands_with_a_warning() -> None:
    read = read_text(OLD)
    assert [found.code for found in read.complaints] == ["old-version"]
    assert read.clean
    new = read_text(NEW)
    assert new.complaints == ()
    assert read.value is not None
    assert new.value is not None
    assert list(read.value.works) == list(new.value.works) == ["look"]
    for old_way, new_way in zip(
        read.value.parts["cover"].openings[0].ways,
        new.value.parts["cover"].openings[0].ways,
        strict=True,
    ):
        assert (old_way.strip, old_way.refit) == (new_way.strip, new_way.refit)
    assert str(read.value.joints["torque"].tightness.tightness) == "9 N·m"


def test_complaints_about_an_old_file_point_into_it_as_it_stands() -> None:
    found = check_text(OLD.replace("holds: [cover]", "holds: [cuver]"))
    assert [(each.code, each.place.line) for each in found] == [
        ("old-version", 2),
        ("part-not-held", 7),
        ("unknown-id", 15),
    ]


def test_a_file_in_the_present_version_is_left_alone() -> None:
    assert upgrade_text(NEW) == NEW
    assert upgrade_text("workshop: 1\n") == "workshop: 1\n"
    assert upgrade_text("a list:\n- x\n") == "a list:\n- x\n"


def test_an_old_name_beside_the_new_one_is_not_taken_for_it() -> None:
    text = "witnessmark: 0\nmachine: x\njoints: {}\nfastenings: {}\n"
    assert upgrade_text(text) == text.replace("witnessmark: 0", "witnessmark: 1")
    assert [found.code for found in check_text(text)] == ["old-version", "unknown-key"]


def test_windows_line_ends_and_a_mark_at_the_start_survive() -> None:
    old = "\ufeff" + OLD.replace("\n", "\r\n")
    assert upgrade_text(old) == "\ufeff" + NEW.replace("\n", "\r\n")


def test_a_broken_file_is_not_upgraded() -> None:
    with pytest.raises(RewritingError, match="cannot be read as YAML"):
        upgrade_text("witnessmark: 0\nparts: [\n")
