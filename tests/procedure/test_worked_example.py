"""The worked example: machine file, openings, plan, replay; and everything it must refuse.

The expected openings and arcs below were worked out by hand from the semantics before the
compiler was run on the file. `docs/worked-example.md` shows the same file and plan.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.procedure.bench_helpers import (
    WORKSHOP,
    block_of,
    moved,
    moved_after,
    needs_of,
    plan_by,
    refusals,
    steps_of,
    while_fitted_of,
    without,
)
from witnessmark.machine.model import Machine
from witnessmark.machine.reading import read_machine
from witnessmark.planning.planner import make_plan
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.compile import Compiled, CompileError, compile_problem
from witnessmark.procedure.plan import Plan, cost_of
from witnessmark.procedure.replay import replay

DOCS = Path(__file__).parents[2] / "docs"
YAML = (DOCS / "worked-example.yaml").read_text(encoding="utf-8")
PAGE = (DOCS / "worked-example.md").read_text(encoding="utf-8")


def read(text: str) -> Machine:
    result = read_machine(lambda _: text.encode(), "docs/worked-example.yaml")
    assert [str(each) for each in result.complaints] == []
    assert result.value is not None
    return result.value


def compiled_with(*changes: tuple[str, str]) -> Compiled:
    """Compile the example after changing its text; every change must strike something."""
    text = YAML
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return compile_problem(read(text), ["belt"], WORKSHOP)


@pytest.fixture(scope="module")
def example() -> Compiled:
    return compiled_with()


@pytest.fixture(scope="module")
def plan(example: Compiled) -> Plan:
    """Give the plan on the page."""
    return plan_on_the_page(example)


# By hand: what each opening needs. Typed in the file are only those marked (w).
NEEDS = {
    "coolant drained": set(),
    "hose-end out": {"coolant drained"},  # it opens the coolant
    "hose off": {"hose-end out"},
    "cover-bolts out": set(),  # slackened and taken out in one go: nothing asks for slack
    "cover off": {"cover-bolts out", "hose off"},  # (w) hose
    "crankshaft unproven": set(),
    "crank-bolt slack": {"crankshaft unproven"},  # the shaft is turned by it
    "crank-bolt out": {"crank-bolt slack"},  # one depth after the other
    "crank-pulley off": {"crank-bolt out"},
    "crank-pin in": {"crankshaft unproven"},  # it goes home only at the mark
    "support fitted": set(),
    "mount-bolts out": {"support fitted"},  # the bar: never unless
    "mount off": {"mount-bolts out"},
    "tensioner-clamp slack": {"crankshaft unproven", "cover off", "crank-pin in"},  # (w) last two
    "belt off": {
        "crankshaft unproven",  # its run's belt
        "cover off", "crank-pulley off", "mount off", "tensioner-clamp slack",  # (w)
    },
}  # fmt: skip

# By hand: what each opening comes before, and is closed after.
WHILE_FITTED = {
    "crankshaft unproven": {"cover off"},  # the line to read the mark by is on the cover
    "crank-bolt slack": {"belt off", "crank-pin in"},  # (w) the belt holds; never against a pin
}


def test_the_file_compiles_to_the_openings_and_needs_worked_out_by_hand(example: Compiled):
    assert needs_of(example) == NEEDS


def test_the_orders_are_those_worked_out_by_hand(example: Compiled):
    assert while_fitted_of(example) == WHILE_FITTED


def test_a_slackened_single_use_bolt_asks_to_come_out(example: Compiled):
    index = example.index
    assert example.problem.asks == ((index["crank-bolt", "slack"], index["crank-bolt", "out"]),)


def test_what_the_steps_acts_ask_is_added_to_what_the_steps_say(example: Compiled):
    assert block_of(example, "belt/compare") == ({"belt off"}, set())
    assert block_of(example, "belt/feel-pin") == (
        {"belt off", "crank-pin in", "crankshaft unproven"},  # draws the pin: it must be in
        set(),
    )
    assert block_of(example, "belt/trial-turn") == (
        {"cover off", "crank-bolt slack", "crank-bolt out", "crankshaft unproven"},
        {"belt off", "tensioner-clamp slack", "crank-pin in"},  # turns: no pin may be in
    )


def test_every_derived_rule_says_why_and_where(example: Compiled):
    slack = example.openings[example.index["crank-bolt", "slack"]]
    assert [(rule.check, rule.says, rule.place.line) for rule in slack.derived] == [
        ("disturbs", "crankshaft may move, and is proved again after it", line_of("crankshaft:")),
        (
            "barred while",
            (
                "the bar no-pin-against-the-bolt forbids it while crank-pin in: "
                "A timing pin is not a holder; it breaks, or breaks the block"
            ),
            line_of("no-pin-against-the-bolt:"),
        ),
    ]


def line_of(text: str) -> int:
    lines = YAML.splitlines()
    return next(number for number, line in enumerate(lines, 1) if line.strip().startswith(text))


def test_a_plan_is_found_and_every_step_of_it_replays(example: Compiled):
    found = make_plan(example.problem).plan
    assert found is not None
    assert check_plan(example.problem, found) == ()
    assert replay(example, found) == ()


def test_the_page_shows_this_file():
    assert f"```yaml\n{YAML}```\n" in PAGE


def test_the_plan_on_the_page_is_valid_replays_and_is_as_short_as_any_found(
    example: Compiled, plan: Plan
):
    assert check_plan(example.problem, plan) == ()
    assert replay(example, plan) == ()
    found = make_plan(example.problem)
    assert found.access_proven
    assert found.total_cost == found.total_bound == cost_of(example.problem, plan).total


def plan_on_the_page(example: Compiled) -> Plan:
    lines = PAGE.split("```text\n")[1].split("```")[0].splitlines()
    return plan_by(example, (line.strip().split(" ", 1)[1].split("  ")[0] for line in lines))


# Each situation the example is there for, broken on purpose: what is refused, at which step.

BREAKS: dict[str, tuple[Callable[[Compiled, Plan], Plan], list[tuple[str, str]]]] = {
    "the pin forgotten before the tensioner is slackened": (
        lambda c, p: without(c, p, "strip crank-pin in", "refit crank-pin in"),
        [
            ("strip tensioner-clamp slack", "way needs"),
            ("do belt/feel-pin", "state"),
            ("do belt/feel-pin", "as found"),
            ("refit tensioner-clamp slack", "way needs"),
        ],
    ),
    "the pin left in": (
        lambda c, p: without(c, p, "refit crank-pin in"),
        [
            ("do belt/trial-turn", "turning locked"),
            ("do belt/trial-turn", "state"),
            ("do belt/trial-turn", "as found"),
            ("refit crank-bolt slack", "barred while"),
            ("refit crankshaft unproven", "turning locked"),
            ("refit crankshaft unproven", "pins"),
            ("the plan", "rest"),
        ],
    ),
    "the trial turn while the pin is still in": (
        lambda c, p: moved(c, p, "do belt/trial-turn", before="refit crank-pin in"),
        [
            ("do belt/trial-turn", "turning locked"),
            ("do belt/trial-turn", "state"),
            ("do belt/trial-turn", "as found"),
        ],
    ),
    "the pin felt before it is in": (
        lambda c, p: moved(c, p, "do belt/feel-pin", before="strip crank-pin in"),
        [
            ("do belt/feel-pin", "step needs"),
            ("do belt/feel-pin", "state"),
            ("do belt/feel-pin", "as found"),
        ],
    ),
    "the bolt put in to turn when it is tight already, after the proof": (
        lambda c, p: moved_after(c, p, "do belt/trial-turn", after="refit crankshaft unproven"),
        [
            ("do belt/trial-turn", "step needs"),
            ("do belt/trial-turn", "state"),
            ("do belt/trial-turn", "disturbs"),
            ("do belt/trial-turn", "proof"),
            ("do belt/trial-turn", "as found"),
            ("the plan", "rest"),
        ],
    ),
    "the crank bolt slackened against the pin": (
        lambda c, p: moved(c, p, "strip crank-pin in", before="strip crank-bolt slack"),
        [("strip crank-bolt slack", "barred while")],
    ),
    "the crank bolt never taken out, so made again with the old one": (
        lambda c, p: without(c, p, "strip crank-bolt out", "refit crank-bolt out"),
        [
            ("strip crank-pulley off", "held"),
            ("do belt/trial-turn", "as found"),
            ("refit crank-pulley off", "held"),
            ("refit crank-bolt slack", "single use"),
        ],
    ),
    "the cover off before the mark is read on it": (
        lambda c, p: moved_after(c, p, "strip crankshaft unproven", after="strip cover off"),
        [
            ("strip crank-bolt slack", "disturbs"),
            ("strip crankshaft unproven", "state"),
            ("strip crankshaft unproven", "mark seen before"),
            ("strip crankshaft unproven", "turning locked"),
            ("strip crankshaft unproven", "turning without bolt"),
        ],
    ),
    "the proof before the cover is on again": (
        lambda c, p: moved(c, p, "refit crankshaft unproven", before="refit cover off"),
        [
            ("refit crankshaft unproven", "mark seen before"),
            ("refit crankshaft unproven", "turning without bolt"),
            ("refit crankshaft unproven", "disturbs"),
        ],
    ),
    "the crank bolt undone without bringing the shaft to its mark": (
        lambda c, p: without(c, p, "strip crankshaft unproven", "refit crankshaft unproven"),
        [("strip crank-bolt slack", "disturbs"), ("the plan", "rest")],
    ),
    "the proof left out": (
        lambda c, p: without(c, p, "refit crankshaft unproven"),
        [("the plan", "rest")],
    ),
    "the hose undone before the coolant is drained": (
        lambda c, p: moved(c, p, "strip hose-end out", before="strip coolant drained"),
        [("strip hose-end out", "opens")],
    ),
    "the coolant filled with the hose still off": (
        lambda c, p: moved(c, p, "refit coolant drained", before="refit hose-end out"),
        [("refit coolant drained", "opens")],
    ),
    "the coolant never filled": (
        lambda c, p: without(c, p, "refit coolant drained"),
        [("the plan", "rest")],
    ),
    "the mount undone before the engine is carried": (
        lambda c, p: moved_after(c, p, "strip support fitted", after="strip mount-bolts out"),
        [("strip mount-bolts out", "barred unless")],
    ),
    "the support taken away while the mount is off": (
        lambda c, p: moved(c, p, "refit support fitted", before="refit mount off"),
        [("refit support fitted", "barred unless")],
    ),
    "the cover taken off with its bolts in": (
        lambda c, p: without(c, p, "strip cover-bolts out", "refit cover-bolts out"),
        [("strip cover off", "held"), ("refit cover off", "held")],
    ),
    "a step of the work left out": (
        lambda c, p: without(c, p, "do belt/compare"),
        [("the plan", "plan")],
    ),
}


@pytest.mark.parametrize("what", BREAKS)
def test_it_is_refused(what: str, example: Compiled, plan: Plan):
    breaking, expected = BREAKS[what]
    found = refusals(example, breaking(example, plan))
    assert [(step, rule) for step, rule, _ in found] == expected


def test_a_refusal_says_the_step_the_rule_the_place_and_what_was_open(
    example: Compiled, plan: Plan
):
    early = moved(example, plan, "strip crank-pin in", before="strip crank-bolt slack")
    (fault,) = replay(example, early)
    number = steps_of(example, early).index("strip crank-bolt slack") + 1
    line = line_of("no-pin-against-the-bolt:")
    assert str(fault) == (
        f"step {number}: slacken crank bolt: no-pin-against-the-bolt forbids it while crank pin "
        "is in (A timing pin is not a holder; it breaks, or breaks the block) "
        f"(docs/worked-example.yaml:{line}:3)"
    )
    assert fault.state == ("crank-pin in", "crankshaft unproven")


def test_a_proof_undone_by_a_later_turn_is_named_and_stays_outstanding(
    example: Compiled, plan: Plan
):
    late = moved_after(example, plan, "do belt/trial-turn", after="refit crankshaft unproven")
    says = [words for _, _, words in refusals(example, late)]
    number = steps_of(example, late).index("do belt/trial-turn") + 1
    assert "'turn crankshaft 2' undoes the proof of crankshaft" in says
    assert f"crankshaft is left unproven, belt on: step {number} undid its proof" in says


# The file itself broken on purpose.


def test_a_trial_turn_without_the_bolt_in_is_refused(example: Compiled, plan: Plan):
    bare = compiled_with(("acts: [crank-bolt in to turn, ", "acts: ["), (", crank-bolt out]", "]"))
    assert refusals(bare, plan) == [
        (
            "do belt/trial-turn",
            "turning without bolt",
            "'turn crankshaft 2': crank bolt is out: nothing to turn by",
        )
    ]


def test_a_bolt_left_in_to_turn_is_no_step_at_all():
    with pytest.raises(CompileError) as refused:
        compiled_with((", crank-bolt out]", "]"))
    place = f"docs/worked-example.yaml:{line_of('acts: [crank-bolt')}"
    assert str(refused.value) == (
        f"{place}:16: plan-step-not-as-found: step 'trial-turn' leaves 'crank-bolt' in to turn and "
        "not as it found it: undo it within the step; what stays open belongs in the goals or needs"
    )


def test_turning_with_its_own_pin_in_is_no_step_at_all():
    with pytest.raises(CompileError) as refused:
        compiled_with(
            ("turn crankshaft 2, crank-pin in, crank-pin out",
             "crank-pin in, turn crankshaft 2, crank-pin out"),
        )  # fmt: skip
    (complaint,) = refused.value.complaints
    assert complaint.code == "plan-act-against-rule"
    assert complaint.what == (
        "step 'trial-turn' would 'turn crankshaft 2' while its own 'crank-pin' is in"
    )


def test_a_pin_put_in_to_probe_and_not_taken_out_is_no_step_at_all():
    with pytest.raises(CompileError) as refused:
        compiled_with((", crank-pin in, crank-pin out, crank-bolt out]", (", crank-pin in, "
                       "crank-bolt out]")))  # fmt: skip
    (complaint,) = refused.value.complaints
    assert complaint.code == "plan-step-not-as-found"
    assert complaint.what == "step 'trial-turn' leaves 'crank-pin' in and not as it found it"


def test_without_the_mark_on_the_cover_the_cover_may_come_off_first(plan: Plan):
    unmarked = compiled_with((", seen_only_before: [cover off]", ""))
    early = moved_after(unmarked, plan, "strip crankshaft unproven", after="strip cover off")
    assert "mark seen before" not in {rule for _, rule, _ in refusals(unmarked, early)}
