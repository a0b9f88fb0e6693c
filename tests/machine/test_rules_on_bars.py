"""A bar compiles into order or asks for something; every pin is guarded by one."""

from __future__ import annotations

import pytest

from tests.machine.written import check_text

MACHINE = """
parts: {{engine: {{fixed: true, moved: {{strip: 1 min, refit: 1 min}}}}, cap: {{}}}}
joints:
  bolt:
    kind: bolts
    holds: [cap]
    to: engine
    tightness: 9 N·m
    slack: {{strip: 1 min, refit: 1 min}}
circuits: {{air: {{fluid: air, refilled: false, relieved: {{strip: 1 min, refit: 1 min}}}}}}
shafts: {{crank: {{unproven: {{strip: 1 min, refit: 1 min}}}}, blower: {{}}}}
works:
  job:
    steps:
      try: {{text: try, time: 1 min, acts: [start]}}
bars:
  one: {0}
"""


def codes_of(bar: str) -> list[str]:
    return [found.code for found in check_text(MACHINE.format(bar))]


@pytest.mark.parametrize(
    "bar",
    [
        "{never: bolt slack, while: [engine moved]}",
        "{never: bolt slack, unless: [engine moved]}",
        "{never: turn crank, while: [engine moved]}",
        "{never: pressurise air, while: [bolt slack]}",
        "{never: start, while: [bolt slack]}",
        "{never: lower, evidence: nobody below}",
        "{never: lower, permit: the foreman}",
        "{never: crank, purpose: to start, while: [bolt slack]}",
    ],
)
def test_a_bar_that_brings_order_or_asks_is_in_order(bar: str) -> None:
    assert codes_of(bar) == []


@pytest.mark.parametrize(
    "bar",
    [
        "{never: bolt slack}",  # never at all, and nothing it depends on
        "{never: lower, while: [engine moved]}",  # no step lowers
        "{never: crank, unless: [bolt slack]}",  # no step cranks
        "{never: turn blower, while: [engine moved]}",  # nothing proves that shaft
        "{never: bolt slack, while: [bolt slack], why: it is}",
    ],
)
def test_a_bar_that_does_neither_is_a_complaint(bar: str) -> None:
    assert codes_of(bar) == ["bar-does-nothing"]


def test_a_bar_on_something_unknown_is_complained_about_once() -> None:
    assert codes_of("{never: bold slack, while: [engine moved]}") == ["unknown-id"]
    assert codes_of("{never: bolt slack, while: [engin moved]}") == ["unknown-id"]


def test_a_bar_that_cannot_be_read_is_complained_about_once() -> None:
    assert codes_of("{never: turn, while: [engine moved]}") == ["unreadable-act"]


def test_a_pin_is_not_guarded_by_a_bar_that_cannot_be_read(codes):
    """
    shafts: {crank: {unproven: {strip: 1 min, refit: 1 min}}}
    locks: {pin: {hole: front, holds: [crank], in: {strip: 1 min, refit: 1 min}}}
    bars: {a: {never: turn, evidence: a look}}
    """
    assert codes == ["lock-without-bar", "unreadable-act"]


def test_a_pin_is_mentioned_by_what_it_forbids_or_by_what_is_forbidden(codes):
    """
    shafts: {crank: {unproven: {strip: 1 min, refit: 1 min}}}
    locks:
      one: {hole: front, holds: [crank], in: {strip: 1 min, refit: 1 min}}
      two: {hole: back, holds: [crank], in: {strip: 1 min, refit: 1 min}}
      three: {hole: side, holds: [crank], in: {strip: 1 min, refit: 1 min}}
    bars:
      a: {never: turn crank, while: [one in]}
      b: {never: two in, while: [one in]}
    """
    assert codes == ["lock-without-bar"]
