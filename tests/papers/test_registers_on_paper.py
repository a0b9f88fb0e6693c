"""One thing opened in each register, and seen on the handover sheet and on the state card."""

from __future__ import annotations

from copy import deepcopy

import pytest

from tests.ledger.small_history import Bench
from tests.papers.job_papers import BLANK, PACK, folded, printed, printing, squeezed
from witnessmark.ledger.registers import NOT_BEFORE, REGISTERS
from witnessmark.papers.handover_sheet import handover_sheet
from witnessmark.papers.standing_lines import TITLES
from witnessmark.papers.state_card import state_card

ELSEWHERE = {
    "outstanding",
    "conflicts",
    "interruption",
    "exceptions",
    "gates",
    "duties that keep it",
    "litres short",
    "to be seen",
}
"""Printed under heads of their own, or among all that is outstanding, or with all duties."""


def slow_to_settle():
    """A machine whose coolant must stand for an hour once drained."""
    pack = deepcopy(PACK)
    pack["objects"]["coolant"]["waits"] = {"drained": {"strip": 1200, "refit": 0}}
    return pack


def case(name, words, *write, pack=PACK):
    return pytest.param(name, words, write, pack, id=name)


CASES = (
    case(
        "locks",
        "crank pin: in, left of the block",
        lambda b: b.do("put-in", "crank-pin", hole="left of the block"),
    ),
    case("supports", "engine support: fitted, under the sump", lambda b: b.do("fit", "support")),
    case(
        "made safe",
        "battery, both leads off: made safe",
        lambda b: b.do("make-safe", "battery", proof_of_safe="lamp out"),
    ),
    case(
        "tools",
        "blue rag: in",
        lambda b: b.say("put", None, {"what": "blue rag", "how": "in", "kind": "rag"}),
    ),
    case(
        "dropped",
        "long washer: dropped",
        lambda b: b.say("put", None, {"what": "long washer", "how": "dropped"}),
    ),
    case(
        "open ends",
        "hose end: coolant open, red cap",
        lambda b: b.do("undo", "hose-end", capped="red cap"),
    ),
    case("slack", "crank bolt: 1 of 1 slack", lambda b: b.do("slacken", "crank-bolt")),
    case(
        "not known",
        "cylinder head bolts: not known; slacken all in order and begin again",
        lambda b: b.do("lose-count", "head-bolts", why_not_known="telephone"),
    ),
    case(
        "counts",
        "cover bolts: 3 of 4 out",
        lambda b: b.do("undo", "cover-bolts", count=3),
    ),
    case(
        "parts off",
        "belt cover: off, third shelf",
        lambda b: b.do("take-off", "cover", where_it_lies="third shelf", way_round="arrow up"),
    ),
    case(
        "litres",
        "coolant: 3.5 L out, 0 L in",
        lambda b: b.do("drain", "coolant", litres_out="3.5"),
    ),
    case(
        NOT_BEFORE,
        "coolant: not yet",
        lambda b: b.do("drain", "coolant"),
        pack=slow_to_settle(),
    ),
    case(
        "found wrong",
        "cover bolts: thread pulled",
        lambda b: b.say("found", "cover-bolts", {"what": "thread pulled"}),
    ),
    case(
        "settings",
        "tensioner clamp nut: found at pointer low",
        lambda b: b.do("slacken", "tensioner-clamp", setting_as_found="pointer low"),
    ),
    case(
        "marks",
        "crankshaft: white line at the pointer",
        lambda b: b.do("set-to-marks", "crankshaft", mark="white line at the pointer"),
    ),
    case(
        "renewed",
        "timing belt: new, line 4",
        lambda b: b.say("renewed", "belt", {"part": "line 4"}),
    ),
    case(
        "duties",
        "Check the coolant level cold: 3 days, workshop",
        lambda b: b.do("drain", "coolant"),
    ),
    case(
        "figures",
        "strap nut: no maker's figure",
        lambda b: b.say(
            "noted", "n-a-1", {"kind": "joint", "name": "strap nut", "count": 1, "state": "out"}
        ),
        lambda b: b.do("make", "n-a-1", how="by feel"),
        pack=BLANK,
    ),
    case(
        "pulled again",
        "wheel bolts: not below",
        lambda b: b.do("pull-again", "wheel-bolts", wrench="W3"),
    ),
    case(
        "looks",
        "second person, bob",
        lambda b: b.do("take-off", "cover"),
        lambda b: b.say("look", "cover", {"looked_at": "nothing behind it"}, by="b"),
    ),
)


def test_every_register_of_the_ledger_is_printed_somewhere():
    assert set(TITLES) == {*REGISTERS, NOT_BEFORE} - ELSEWHERE


def test_every_printed_register_is_tried_below():
    assert {each.values[0] for each in CASES} == set(TITLES)


@pytest.mark.parametrize(("name", "words", "write", "pack"), CASES)
def test_what_is_opened_stands_on_the_sheet_and_on_the_card(name, words, write, pack):
    bench = Bench()
    before = handover_sheet(folded(bench, pack), printing(bench))
    assert TITLES[name] in before["empty"]
    assert words not in str(before)
    assert words not in str(state_card(folded(bench, pack), printing(bench)))
    for each in write:
        each(bench)
    state = folded(bench, pack)
    sheet = printed("handover-sheet", handover_sheet(state, printing(bench)))
    assert squeezed(f"{TITLES[name]} (1)") in sheet
    assert squeezed(words) in sheet
    card = printed("state-card", state_card(state, printing(bench)))
    assert squeezed(f"{TITLES[name]}:") in card
    assert squeezed(words) in card
