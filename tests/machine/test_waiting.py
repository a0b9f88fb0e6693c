"""What waits for what, against a slow and simple way of working it out."""

# The files in here are as wide as people write them.

from __future__ import annotations

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.machine.written import machine_from, read_text
from witnessmark.machine.derived import Derived, Fact, fact_for
from witnessmark.machine.model import ObjectKind
from witnessmark.machine.waiting import Circle, Waiting


def moved(name: str) -> Fact:
    return fact_for(ObjectKind.PART, name, "moved")


def waiting_of(text: str) -> Waiting:
    return Waiting(Derived(machine_from(text)))


def test_what_every_way_needs_comes_along_and_what_one_way_needs_does_not():
    waiting = waiting_of("""
parts:
  a: {fixed: true, moved: {strip: 1 min, refit: 1 min}}
  b: {fixed: true, moved: {strip: 1 min, refit: 1 min, needs: [a moved]}}
  c:
    fixed: true
    moved:
      ways:
        up: {strip: 1 min, refit: 1 min, needs: [a moved]}
        down: {strip: 1 min, refit: 1 min, needs: [b moved]}
""")
    assert waiting.kept_open(moved("c")) == {moved("a"), moved("c")}
    assert waiting.brings([moved("c"), moved("b")]) == {moved("a"), moved("b"), moved("c")}


def test_what_only_the_strip_needs_is_brought_but_not_kept_open():
    waiting = waiting_of("""
parts:
  a: {fixed: true, moved: {strip: 1 min, refit: 1 min}}
  b: {fixed: true, moved: {strip: 1 min, refit: 1 min, strip_needs: [a moved]}}
""")
    assert waiting.kept_open(moved("b")) == {moved("b")}
    assert waiting.brings([moved("b")]) == {moved("a"), moved("b")}
    assert not waiting.is_kept_open(moved("a"), moved("b"))


def test_a_deeper_opening_waits_for_the_shallower():
    waiting = waiting_of("""
parts: {frame: {fixed: true}}
joints:
  nut:
    kind: bolts
    holds: [frame]
    tightness: 9 N·m
    slack: {strip: 1 min, refit: 1 min}
    out: {strip: 1 min, refit: 1 min}
""")
    out = fact_for(ObjectKind.JOINT, "nut", "out")
    slack = fact_for(ObjectKind.JOINT, "nut", "slack")
    assert waiting.kept_open(out) == {out, slack}


# Random machines of six parts: each way of moving one needs some of the others.

NAMES = "abcdef"
subsets = st.sets(st.sampled_from(NAMES), max_size=2)
ways = st.lists(st.tuples(subsets, subsets, subsets), min_size=1, max_size=2)
machines = st.lists(ways, min_size=6, max_size=6)


def text_of(machine) -> str:
    lines = ["parts:"]
    for name, choices in zip(NAMES, machine, strict=True):
        lines += [f"  {name}:", "    fixed: true", "    moved:", "      ways:"]
        for number, (needs, strip_needs, refit_needs) in enumerate(choices):
            keys = {"needs": needs, "strip_needs": strip_needs, "refit_needs": refit_needs}
            said = "".join(
                f", {key}: [{', '.join(f'{n} moved' for n in sorted(names))}]"
                for key, names in keys.items()
                if names
            )
            lines.append(f"        w{number}: {{strip: 1 min, refit: 1 min{said}}}")
    return "\n".join(lines) + "\n"


def plans(machine):
    """Every choice of one way each, or none, that can be stripped in some order.

    Tries all choices; a choice works when its openings can be stripped one by one and
    whatever a refit needs is among them.
    """
    for choice in product(*([None, *range(len(each))] for each in machine)):
        chosen = {
            n: machine[i][w]
            for i, (n, w) in enumerate(zip(NAMES, choice, strict=True))
            if w is not None
        }
        done: set[str] = set()
        while ready := [n for n, (a, b, _) in chosen.items() if n not in done and a | b <= done]:
            done.update(ready)
        if done == set(chosen) and all(c <= done for _, _, c in chosen.values()):
            yield chosen


def kept(chosen, name: str, seen: frozenset[str] = frozenset()) -> set[str]:
    """What is open throughout in one choice of ways."""
    if name in seen:
        return set()
    inner = (kept(chosen, need, seen | {name}) for need in chosen[name][0])
    return {name}.union(*inner)


@settings(max_examples=60, deadline=None)
@given(machines)
def test_reach_and_landmarks_agree_with_trying_everything(machine) -> None:
    read = read_text(text_of(machine))
    assert read.complaints == ()
    assert read.value is not None
    waiting = Waiting(Derived(read.value))
    found = list(plans(machine))
    for name in NAMES:
        with_it = [chosen for chosen in found if name in chosen]
        assert waiting.reachable(moved(name)) == bool(with_it)
        if with_it:
            common = set.intersection(*(kept(chosen, name) for chosen in with_it))
            # Landmarks are found in each way by itself, so some that only trying every
            # choice shows may be left out; none may be wrong.
            assert {fact.object for fact in waiting.kept_open(moved(name))} <= common


@settings(max_examples=60, deadline=None)
@given(machines)
def test_every_dead_opening_has_its_reason(machine) -> None:
    read = read_text(text_of(machine))
    assert read.value is not None
    waiting = Waiting(Derived(read.value))
    dead = [name for name in NAMES if not waiting.reachable(moved(name))]
    troubles = waiting.troubles()
    assert bool(troubles) == bool(dead)
    for trouble in troubles:
        assert isinstance(trouble, Circle)
        assert {fact.object for fact in trouble.openings} <= set(dead)
        for here, there in zip(
            trouble.openings, (*trouble.openings[1:], trouble.openings[0]), strict=True
        ):
            needs = [set.union(*way) for way in machine[NAMES.index(here.object)]]
            assert any(there.object in each for each in needs)
