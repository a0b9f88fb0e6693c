"""Small wrongs put into either side, each of which the vectors must notice.

Each names a module, a text in it that stands there once, and what is put in its place.
"""

from __future__ import annotations

from typing import NamedTuple

PROCEDURE = "witnessmark.procedure"
LEDGER = "witnessmark.ledger"


class Mutation(NamedTuple):
    """One wrong."""

    module: str
    old: str
    new: str


PYTHON = (
    Mutation(f"{PROCEDURE}.standing", 'if "unknown" in states:', "if False:"),
    Mutation(f"{PROCEDURE}.demands", "if bool(opened) != (", "if bool(opened) == ("),
    Mutation(f"{PROCEDURE}.standing", 'return "unproven" if target', 'return "proven" if target'),
    Mutation(f"{PROCEDURE}.interpreter", "if here != target and here not in", "if here not in"),
    Mutation(f"{LEDGER}.reach", "return one < other", "return one <= other + 1"),
    Mutation(f"{LEDGER}.cells", "-depth_of(book, kind, entry", "depth_of(book, kind, entry"),
    Mutation(f"{LEDGER}.correcting", '["type"] != "correct" or', '["type"] == "correct" or'),
    Mutation(f"{LEDGER}.evidence", 'if row["critical"]:', "if False:"),
    Mutation(
        f"{LEDGER}.interruption", 'return not angled or row.get("by") == MARKS', "return True"
    ),
    Mutation(f"{LEDGER}.interruption", "LAST = 3", "LAST = 2"),
    Mutation(f"{LEDGER}.outstanding", 'row["in"] - row["out"]', 'row["in"]'),
    Mutation(f"{LEDGER}.litres", "{OUT: 0, IN: 0,", "{OUT: 0, IN: 1,"),
    Mutation(f"{LEDGER}.litres", 'rule["back"], rule["of"]', 'rule["of"], rule["back"]'),
    Mutation(f"{LEDGER}.registers", 'now < row["until"]', 'now <= row["until"]'),
    Mutation(f"{LEDGER}.statements", 'row["person"] != event["person"]', "True"),
    Mutation(f"{LEDGER}.gates", 'if here not in clearance["states"]:', "if False:"),
    Mutation(f"{LEDGER}.statements", "return not below and not above", "return not below"),
    Mutation(f"{LEDGER}.overlay", '("crank", "start")', '("crank",)'),
    Mutation(f"{LEDGER}.passing", 'and found["passable"]', "and True"),
)

JAVASCRIPT = (
    Mutation("standing.js", 'if (states.includes("unknown"))', "if (false)"),
    Mutation("demands.js", "if (opened.length > 0 ===", "if (opened.length > 0 !=="),
    Mutation(
        "standing.js", 'return target === LOST ? "unproven"', 'return target === LOST ? "proven"'
    ),
    Mutation("interpreter.js", "if (here === target || action", "if (action"),
    Mutation("graph.js", "return position < ownPosition;", "return position <= ownPosition + 1;"),
    Mutation("graph.js", "left.clock[0] - right.clock[0]", "right.clock[0] - left.clock[0]"),
    Mutation("cells.js", "-depthOf(book, kind", "+depthOf(book, kind"),
    Mutation("correcting.js", 'event.type !== "correct" ||', 'event.type === "correct" ||'),
    Mutation("evidence.js", "if (row.critical)", "if (false)"),
    Mutation("interruption.js", "return !angled || row.by === MARKS;", "return true;"),
    Mutation("interruption.js", "const LAST = 3;", "const LAST = 2;"),
    Mutation("outstanding.js", "row.in - row.out", "row.in"),
    Mutation("litres.js", "{ out: 0n, back: 0n,", "{ out: 0n, back: 1n,"),
    Mutation("litres.js", "back * BigInt(rule.of) < out", "back * BigInt(rule.of) <= out"),
    Mutation("registers.js", "now < until", "now <= until"),
    Mutation("statements.js", "row.person !== person &&", "true &&"),
    Mutation(
        "gates.js", ".filter((each) => !states.includes(state.state(each)))", ".filter(() => false)"
    ),
    Mutation("statements.js", "&& (most === null || reading <= most)", ""),
    Mutation("overlay.js", 'add("start", "running locked", "shut", "in");', ""),
    Mutation("passing.js", "&& found.passable)", ")"),
    Mutation("canonical.js", "a !== b) return lifted(a) - lifted(b)", "a !== b) return b - a"),
)
