"""Registers: views of the one state, each a list of lines by name.

They are looked up, never kept: what a register says is what the cells say. Gates name the
registers of which nothing may be open.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from witnessmark.ledger.cells import WHOLE
from witnessmark.ledger.litres import IN, OUT, in_words, litres, sums
from witnessmark.ledger.outstanding import excepted, outstanding
from witnessmark.ledger.state import JobState, is_step, text
from witnessmark.procedure.book import Data, depth_of, kind_of, name_of
from witnessmark.procedure.standing import piece_state

Register = Callable[[JobState], list[Data]]

NOT_BEFORE = "not before"

SLACK = ("slack", "backed off", "cracked", "in to turn")
LOOSE_THINGS = ("tool", "rag", "workshop bolt", "cap", None)


def registers(state: JobState, now: int | None = None) -> dict[str, list[Data]]:
    """Give every register; `now` in milliseconds tells which waits are over."""
    return {name: register(state, name, now) for name in (*REGISTERS, NOT_BEFORE)}


def register(state: JobState, name: str, now: int | None = None) -> list[Data]:
    """Give one register by its name."""
    return _not_before(state, now) if name == NOT_BEFORE else REGISTERS[name](state)


def _line(object_: str | None, says: str, since: str | None, **more: object) -> Data:
    return {"object": object_, "says": says, "since": since, **more}


def _said(state: JobState, event: str | None, what: str) -> Any:  # noqa: ANN401 - any plain value
    """Give what an event said of something, directly or as evidence."""
    if event is None or event not in state.taken:
        return None
    values = state.taken[event]["values"]
    inside = values.get("evidence")
    return values.get(what, inside.get(what) if isinstance(inside, dict) else None)


def _since(state: JobState, object_: str, piece: str = WHOLE) -> str | None:
    entry = state.reading(object_, piece)
    return entry["event"] if entry is not None else None


def _of_kind(state: JobState, *kinds: str) -> list[str]:
    return [id_ for id_ in state.touched() if kind_of(state.book, id_) in kinds]


def _locks(state: JobState) -> list[Data]:
    """Pins and locks that are in, by hole."""
    found = []
    for id_ in _of_kind(state, "lock"):
        if not state.at_rest(id_):
            row, since = state.book["objects"][id_], _since(state, id_)
            hole = text(_said(state, since, "hole"), row["where"] or "hole not said")
            found.append(_line(id_, f"{row['name']}: in, {hole}", since, hole=hole))
    return found


def _supports(state: JobState) -> list[Data]:
    """Holders, pullers and supports that are fitted, by place; and those put in by hand."""
    found = []
    for id_ in _of_kind(state, "temporary"):
        if not state.at_rest(id_):
            row = state.book["objects"][id_]
            says = f"{row['name']}: fitted, {row['where'] or 'place not said'}"
            found.append(_line(id_, says, _since(state, id_), place=row["where"]))
    return found + _put_in(state, ("support",), "tool")


def _put_in(state: JobState, kinds: tuple[str | None, ...], kind: str) -> list[Data]:
    """Give what is put in, or dropped, and not counted out again."""
    into, back = ("in", "out") if kind == "tool" else ("dropped", "found")
    return [
        _line(key, f"{text(row['what'], key)}: {into}", row["since"], count=row[into] - row[back])
        for key, row in state.put.items()
        if row[into] > row[back] and row["kind"] in kinds and f"{kind}:{key}" not in state.settled
    ]


def _tools(state: JobState) -> list[Data]:
    """Tools, rags, workshop bolts and caps put in and not out again."""
    return _put_in(state, LOOSE_THINGS, "tool")


def _dropped(state: JobState) -> list[Data]:
    return _put_in(state, (*LOOSE_THINGS, "support", "part", "fastener"), "dropped")


def _pieces_in(state: JobState, object_: str, states: tuple[str, ...]) -> list[str]:
    return [
        piece
        for piece in state.cells[object_]
        if piece_state(state.book, state.standing, object_, piece) in states
    ]


def _slack(state: JobState) -> list[Data]:
    """Joints that were slackened and left so: they look finished and are not."""
    found = []
    for id_ in _of_kind(state, "joint"):
        pieces = _pieces_in(state, id_, SLACK)
        if pieces:
            every = len(state.book["objects"][id_]["pieces"])
            says = f"{name_of(state.book, id_)}: {len(pieces)} of {every} slack"
            found.append(_line(id_, says, _since(state, id_, pieces[0]), pieces=pieces))
    return found


def _parts_off(state: JobState) -> list[Data]:
    """Parts off or aside: who took them, where they lie, which way round they sat."""
    found = []
    for id_ in _of_kind(state, "part", "assembly"):
        if state.at_rest(id_):
            continue
        entry = state.reading(id_) or {"event": None, "person": None}
        lies = _said(state, entry["event"], "where it lies")
        says = f"{name_of(state.book, id_)}: {state.state(id_)}, {text(lies, 'where, nobody said')}"
        round_ = _said(state, entry["event"], "way round")
        found.append(
            _line(id_, says, entry["event"], who=entry["person"], lies=lies, way_round=round_)
        )
    return found


def _counts(state: JobState) -> list[Data]:
    """Fasteners counted off against on, where they differ."""
    found = []
    for id_ in _of_kind(state, "joint"):
        out = _pieces_in(state, id_, ("out",))
        if out:
            every = len(state.book["objects"][id_]["pieces"])
            says = f"{name_of(state.book, id_)}: {len(out)} of {every} out"
            since = _since(state, id_, out[0])
            found.append(_line(id_, says, since, off=len(out), on=every - len(out), pieces=out))
    return found


def _open_ends(state: JobState) -> list[Data]:
    """Joints of circuits that are open, and what closes their ends meanwhile."""
    found = []
    for id_ in _of_kind(state, "joint"):
        rows = state.book["tables"]["demands"].get(f"{id_} out", [])
        opens = [row["by"] for row in rows if row["check"] == "opens"]
        out = _pieces_in(state, id_, ("out",))
        if opens and out:
            since = _since(state, id_, out[0])
            capped = _said(state, since, "capped")
            ends = ", ".join(name_of(state.book, circuit) for circuit in opens)
            says = (
                f"{name_of(state.book, id_)}: {ends} open, {text(capped, 'nothing said of a cap')}"
            )
            found.append(_line(id_, says, since, circuits=opens, capped=capped))
    return found


def _litres(state: JobState) -> list[Data]:
    """Give litres out and in of each circuit: less in than out means air, or a slip."""
    return [
        _line(
            id_,
            f"{name_of(state.book, id_)}: {in_words(total)}",
            _since(state, id_),
            out=litres(total[OUT]),
            back=litres(total[IN]),
            unread=total["unread"],
        )
        for id_, total in sums(state).items()
    ]


def _settings(state: JobState) -> list[Data]:
    """Give settings as found and as set: a torque held on a tensioner stands here, no tightness."""
    return [
        _line(
            row["object"],
            f"{name_of(state.book, row['object'])}: {row['how']} {text(row['setting'], '?')}",
            row["event"],
            how=row["how"],
            setting=row["setting"],
        )
        for row in state.rows["settings"]
    ]


def _index_marks(state: JobState) -> list[Data]:
    """Give marks made or read before something was moved."""
    found = []
    for id_, event in state.taken.items():
        for word in ("mark", "index mark"):
            told = _said(state, id_, word) if event["type"] == "done" else None
            if text(told):
                says = f"{name_of(state.book, event['object'])}: {told}"
                found.append(_line(event["object"], says, id_))
    return found


def _found_wrong(state: JobState) -> list[Data]:
    """Give what was found wrong and is not put right, so that refit goes to right."""
    return [
        _line(
            row["object"],
            f"{name_of(state.book, row['object'])}: {row['what']}",
            row["event"],
            pieces=row["pieces"],
        )
        for row in state.rows["found"]
        if row["right"] is None and row["event"] not in state.settled
    ]


def _renewed(state: JobState) -> list[Data]:
    return [
        _line(row["object"], f"{name_of(state.book, row['object'])}: new, {text(row['part'])}",
              row["event"], part=row["part"])
        for row in state.rows["renewed"]
    ]  # fmt: skip


def _duties(state: JobState) -> list[Data]:
    """Duties that what was opened brings, and those that somebody named."""
    found = [
        _line(None, f"{id_}: {_duty_words(duty)}", None, duty=id_, may_leave=duty["may_leave"],
              done=_is_done(state, id_))
        for id_, duty in state.pack["duties"].items()
        if any(opening in state.opened for opening in duty["opened_by"])
    ]  # fmt: skip
    for row in state.rows["duties"]:
        if row["duty"] not in state.pack["duties"]:
            says = f"{text(row['duty'], row['object'] or '')}: {text(row['limit'])}, "
            says += text(row["person"])
            found.append(
                _line(row["object"], says, row["event"], duty=row["duty"],
                      may_leave=row["may_leave"], done=row["done"] is True)
            )  # fmt: skip
    return found


def _duty_words(duty: Data) -> str:
    return f"{duty['says']}: {duty['limit'] or 'no limit'}, {duty['person'] or 'nobody named'}"


def _is_done(state: JobState, duty: str) -> bool:
    return any(row["duty"] == duty and row["done"] is True for row in state.rows["duties"])


def _keeping(state: JobState) -> list[Data]:
    """Duties not done before which the machine may not leave."""
    return [row for row in _duties(state) if not row["may_leave"] and not row["done"]]


def _not_before(state: JobState, now: int | None) -> list[Data]:
    """Give times before which something may not be done; over once `now` is past them."""
    return [
        _line(row["object"], f"{name_of(state.book, row['object'])}: not yet", row["event"],
              until=row["until"])
        for row in state.rows["waits"]
        if now is None or now < row["until"]
    ]  # fmt: skip


def _of_outstanding(kind: str) -> Register:
    """Make the register of what is outstanding of one kind."""
    return lambda state: [item for item in outstanding(state) if item["kind"] == kind]


def _outstanding(state: JobState) -> list[Data]:
    return outstanding(state)


def _interruption(state: JobState) -> list[Data]:
    """Give what keeps somebody from walking away: nothing once the stop is recorded."""
    if not state.taken or any(row["returned"] is None for row in state.rows["stops"]):
        return []
    steps = [id_ for id_, event in state.taken.items() if is_step(event)]
    if not steps or not outstanding(state):
        return []
    return [_line(None, "no interruption mark: press stop first", steps[-1])]


def _figures(state: JobState) -> list[Data]:
    """Joints tightened without a maker's figure in the file, and what papers print of it."""
    return [
        _line(id_, f"{name_of(state.book, id_)}: {row['prints']}", row["event"], how=row["how"],
              prints=row["prints"])
        for id_, row in state.figures.items()
    ]  # fmt: skip


def _looks(state: JobState) -> list[Data]:
    return [
        _line(row["object"], f"{row['reads']}, {row['person']}", row["event"], of=row["of"],
              reads=row["reads"])
        for row in state.rows["looks"]
    ]  # fmt: skip


def _exceptions(state: JobState) -> list[Data]:
    return [
        _line(row["object"], f"{row['says']}; {row['person']}: {text(row['reason'])}", row["event"],
              item=row["id"])
        for row in excepted(state)
    ]  # fmt: skip


def _passes(state: JobState) -> list[Data]:
    """Gates passed with something open: who, and why."""
    return [
        _line(row["object"], f"{row['name']}: {row['person']}: {text(row['reason'])}", row["event"],
              gate=row["gate"],
              open=row["open"], purpose=row["purpose"])
        for row in state.rows["passes"]
        if row["open"]
    ]  # fmt: skip


def _pulled_again(state: JobState) -> list[Data]:
    return [
        _line(row["object"], f"{name_of(state.book, row['object'])}: {row['says']}", row["event"])
        for row in state.rows["pulls"]
    ]


def _unknown(state: JobState) -> list[Data]:
    """Joints of which a stage is not known: slackened in order and begun again."""
    found = []
    for id_ in _of_kind(state, "joint"):
        pieces = _pieces_in(state, id_, ("unknown",))
        if pieces:
            says = f"{name_of(state.book, id_)}: not known; slacken all in order and begin again"
            found.append(_line(id_, says, _since(state, id_, pieces[0]), pieces=pieces))
    return found


def _made_safe(state: JobState) -> list[Data]:
    return [
        _line(id_, f"{name_of(state.book, id_)}: made safe", _since(state, id_))
        for id_ in _of_kind(state, "make-safe")
        if depth_of(state.book, "make-safe", state.state(id_)) > 0
    ]


REGISTERS: dict[str, Register] = {
    "locks": _locks,
    "slack": _slack,
    "not known": _unknown,
    "parts off": _parts_off,
    "counts": _counts,
    "open ends": _open_ends,
    "litres": _litres,
    "litres short": _of_outstanding("litres"),
    "dropped": _dropped,
    "tools": _tools,
    "supports": _supports,
    "made safe": _made_safe,
    "settings": _settings,
    "marks": _index_marks,
    "found wrong": _found_wrong,
    "renewed": _renewed,
    "duties": _duties,
    "duties that keep it": _keeping,
    "conflicts": _of_outstanding("conflict"),
    "outstanding": _outstanding,
    "interruption": _interruption,
    "figures": _figures,
    "pulled again": _pulled_again,
    "looks": _looks,
    "to be seen": _of_outstanding("to be seen"),
    "exceptions": _exceptions,
    "gates": _passes,
}
