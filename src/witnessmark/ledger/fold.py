"""From events to the state of a job: every fact is taken, whatever rule it breaks.

A fact that breaks a rule is kept and flagged. Corrections come first: an event corrected
away is passed over, one corrected in part is read as corrected. Then every event is taken
in an order in which causes come before effects.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from witnessmark.ledger.cells import (
    WHOLE,
    as_known_to,
    entry_of,
    in_conflict,
    least_finished,
    read_into,
    write,
)
from witnessmark.ledger.evidence import lacking, still_owed
from witnessmark.ledger.interruption import returned, stopped, worked_on
from witnessmark.ledger.passing import closed, gate_passed
from witnessmark.ledger.remembered import Remembered
from witnessmark.ledger.state import History, JobState
from witnessmark.ledger.statements import STATEMENTS
from witnessmark.procedure.book import Data, depth_of, kind_of, name_of, rest_of
from witnessmark.procedure.interpreter import act_to
from witnessmark.procedure.standing import LOST, lands_on, moved, old_after, piece_state


def fold(
    pack: Data,
    history: History,
    held: Iterable[str] = (),
    ready: Remembered | None = None,
) -> JobState:
    """Fold a job's events over its pack.

    Parameters
    ----------
    pack : dict
        The job pack, as plain data.
    history : History
        The events with their order and causes.
    held : iterable of str
        Hashes of the photos that are at hand; those named and not held are outstanding.
    ready : Remembered, optional
        The pack made ready by `prepared`, when many jobs on it are folded.
    """
    state = JobState(pack, history, ready)
    state.held = sorted(held)
    state.devices = len({event["device"] for event in history.events.values()})
    corrected = state.corrected
    last = None
    for id_ in history.order:
        state.knows_all = _knows_all(history.events[id_], last, before=state.knows_all)
        last = id_
        if id_ in history.unknown:
            continue
        event = corrected.get(id_, history.events[id_])
        if event is not None:
            _take(state, id_, event)
    return state


def _knows_all(event: Data, last: str | None, *, before: bool) -> bool:
    """Tell whether whoever wrote an event knew of all that stands before it in the order."""
    return last is None or (before and (event["prev"] == last or last in event["seen"]))


def _take(state: JobState, id_: str, event: Data) -> None:
    state.taken[id_] = event
    for photo in event["photos"]:
        state.photos.setdefault(photo, id_)
    if event["type"] == "done":
        worked_on(state, id_, event)
        _done(state, id_, event)
    elif event["type"] == "block":
        worked_on(state, id_, event)
        _block(state, id_, event)
    elif event["type"] == "stopped":
        stopped(state, id_, event)
    elif event["type"] == "returned":
        put_down(state, id_, event, returned(state, id_, event))
    elif event["type"] == "gate":
        gate_passed(state, id_, event)
    elif event["type"] == "closed":
        closed(state, id_, event)
    elif event["type"] in STATEMENTS:
        put_down(state, id_, event, STATEMENTS[event["type"]](state, id_, event) or [])


def _done(state: JobState, id_: str, event: Data) -> None:
    """Take one action of the rule book as done."""
    action_id, object_ = event["action"] or "", event["object"]
    book = state.book
    outcome = state.remembered.act(state.signs, state.standing, action_id, object_, event["values"])
    beside = bool(outcome["broken"]) and object_ is not None and _has_beside(state, id_, object_)
    for broken in outcome["broken"]:
        if broken["rule"] != "state" or not beside:
            state.flag(id_, broken["rule"], broken["object"], broken["says"])
    action, row = book["actions"].get(action_id), book["objects"].get(object_)
    if action is not None and row is None and object_ is not None:
        _strange(state, id_, object_, action)
    if action is None or (row is None and action["kind"] != "machine"):
        return
    if row is None or row["kind"] != action["kind"]:
        return
    lacks = lacking(state.owed(action, event["object"]), event)
    if not _again(state, id_, event, outcome, lacks):
        put_down(state, id_, event, outcome["moves"], lacks)
        _keep_plan(state, id_, outcome)
    _said_beside(state, id_, event, action, row)


def _has_beside(state: JobState, id_: str, object_: str) -> bool:
    """Tell whether somebody wrote on an object without either knowing of the other."""
    return any(not state.history.reaches(each, id_) for each in state.writers(object_))


def _strange(state: JobState, id_: str, object_: str, action: Data) -> None:
    """Keep the state of an object that is in no pack: of an older pack, or a slip of the hand."""
    if action["kind"] == "machine":
        return
    rest = rest_of(state.book, action["kind"])
    state.strange[object_] = {
        "event": id_,
        "kind": action["kind"],
        "state": action["target"],
        "at_rest": action["target"] == rest,
    }


def put_down(
    state: JobState, id_: str, event: Data, moves: list[Any], lacks: Iterable[str] = ()
) -> None:
    """Write moves into the cells, and read the standing again from them.

    Pieces that stood in one cell and go the same way go on in one cell.
    """
    owes, done = list(lacks), {}
    for object_, piece, move in moves:
        key = WHOLE if piece is None else piece
        before = state.cells.get(object_, {}).get(key, NOTHING)
        way = (object_, id(before), move)
        if way not in done:
            done[way] = before, _written(state, id_, event, object_, key, move, owes)
        written = done[way][1]
        if written is None:
            continue
        if written["disputes"]:
            state.disputed.setdefault(object_, {})[key] = written["disputes"]
        _wear(state, object_, piece, move)
        state.cells.setdefault(object_, {})[key] = written["cell"]
        state.past.setdefault(object_, []).append(([key], written["entry"]))
        read_into(state.standing, object_, key, written["reads"])
    for object_ in dict.fromkeys(move[0] for move in moves):
        if object_ in state.cells:
            state.signs[object_] = state.remembered.sign(state.standing, object_)


def _keep_plan(state: JobState, id_: str, outcome: Data) -> None:
    """Keep what the moves of an answer came to, where nobody wrote without knowing of all."""
    if not state.knows_all or "plan" not in outcome:
        return
    steps: dict[tuple[str, str], list[str]] = {}
    for object_, piece, _ in outcome["moves"]:
        key = WHOLE if piece is None else piece
        cell = state.cell(object_, key)
        if len(cell) != 1 or cell[0]["event"] != id_:
            return
        steps.setdefault((object_, cell[0]["state"]), []).append(key)
    outcome["plan"] = {
        "steps": [[object_, target, keys] for (object_, target), keys in steps.items()],
        "after": [
            [object_, state.signs[object_], *_copied(state.standing, object_)]
            for object_ in dict.fromkeys(move[0] for move in outcome["moves"])
        ],
    }


def _copied(standing: Data, object_: str) -> list[Any]:
    pieces, old = standing["pieces"].get(object_), standing["old"].get(object_)
    return [
        standing["at"].get(object_),
        None if pieces is None else dict(pieces),
        None if old is None else list(old),
    ]


def _again(state: JobState, id_: str, event: Data, outcome: Data, lacks: list[str]) -> bool:
    """Do moves whose coming out is known already; tells whether it could be done so.

    Not where people wrote without knowing of each other, nor where something is owed still.
    """
    plan = outcome.get("plan")
    if not plan or not state.knows_all or not _are_settled(state, plan["steps"]):
        return False
    for object_, target, keys in plan["steps"]:
        owes = [[id_, each] for each in lacks] if object_ == event["object"] else []
        entry = entry_of(id_, event, target, owes)
        cell = [entry]
        state.cells.setdefault(object_, {}).update(dict.fromkeys(keys, cell))
        state.past.setdefault(object_, []).append((keys, entry))
        _remember(state, id_, event, object_, target)
    for object_, sign, at, pieces, old in plan["after"]:
        state.signs[object_] = sign
        if at is not None:
            state.standing["at"][object_] = at
        if pieces is not None:
            state.standing["pieces"][object_] = dict(pieces)
        if old is not None:
            state.standing["old"][object_] = list(old)
    return True


def _are_settled(state: JobState, steps: list[Any]) -> bool:
    """Tell whether one entry stands in each cell, and nothing is owed by it."""
    for object_, _, keys in steps:
        cells = state.cells.get(object_, {})
        for key in keys:
            cell = cells.get(key, NOTHING)
            if cell and (len(cell) > 1 or cell[0]["lacks"]):
                return False
    return True


NOTHING: list[Data] = []
"""The cell of what nobody has touched."""


def _written(
    state: JobState, id_: str, event: Data, object_: str, key: str, move: str, lacks: list[str]
) -> Data | None:
    """Give what becomes of a cell by a move; None when it leaves the cell as it is."""
    book = state.book
    known = _known(state, id_, object_, key)
    target = _landing(book, object_, known, move)
    if target is None:
        return None
    owes = [[id_, each] for each in lacks] if object_ == event["object"] else []
    deeper = _is_deeper(book, object_, known, target)
    if known:
        owes += still_owed(known, _asked(state, event, object_), lacks, deeper=deeper)
    entry = entry_of(id_, event, target, owes)
    cell = [entry]
    if not state.knows_all:
        cell = write(state.cell(object_, key), entry, state.history.reaches)
    disputed = in_conflict(known) and event["type"] != "settle"
    _remember(state, id_, event, object_, target)
    return {
        "cell": cell,
        "entry": entry,
        "reads": least_finished(book, object_, cell)["state"],
        "disputes": [each["event"] for each in known] if disputed else [],
    }


def _wear(state: JobState, object_: str, piece: str | None, move: str) -> None:
    """Keep which pieces of a single-use joint were slackened and not out since."""
    if piece is None or not state.book["objects"][object_]["single_use"]:
        return
    was = piece_state(state.book, state.standing, object_, piece)
    here = lands_on(state.book, "joint", was, move)
    if here is not None:
        old = state.standing["old"].get(object_, [])
        state.standing["old"][object_] = old_after(state.book, old, piece, was, here)


def _known(state: JobState, id_: str, object_: str, key: str) -> list[Data]:
    """Give the entries of a cell as whoever wrote an event knew it, whatever came in since."""
    reaches, cell = state.history.reaches, state.cell(object_, key)
    if state.knows_all or all(reaches(each["event"], id_) for each in cell):
        return cell
    history, past = state.history, reversed(state.past.get(object_, []))
    whole = not history.forks and not history.gaps
    return as_known_to(
        id_,
        (entry for keys, entry in past if key in keys),
        reaches,
        (lambda event: history.events[event]["device"]) if whole else None,
        state.devices,
    )


def _landing(book: Data, object_: str, known: list[Data], move: str) -> str | None:
    """Give the state a move takes a thing to, from where its writer knew it to stand."""
    kind = kind_of(book, object_)
    if not known:
        return lands_on(book, kind, rest_of(book, kind), move)
    return lands_on(book, kind, least_finished(book, object_, known)["state"], move)


def _asked(state: JobState, event: Data, object_: str) -> list[str]:
    """Give the evidence an event was asked for an object it acts on."""
    action = state.book["actions"].get(event["action"] or "")
    if event["type"] != "done" or action is None or object_ != event["object"]:
        return []
    return state.owed(action, object_)


def _is_deeper(book: Data, object_: str, before: list[Data], target: str) -> bool:
    kind = kind_of(book, object_)
    there = depth_of(book, kind, target)
    return any(there > depth_of(book, kind, each["state"]) for each in before)


def _remember(state: JobState, id_: str, event: Data, object_: str, target: str) -> None:
    """Note what an opening brings for later: that it was opened, and what must wait."""
    row = state.book["states"][kind_of(state.book, object_)][target]
    opening = f"{object_} {target}"
    if row["opening"] and opening not in state.opened:
        state.opened.append(opening)
    waits = state.book["objects"][object_]["waits"]
    if not waits:
        return
    strip = max((waits[s]["strip"] for s in waits if s == target), default=0)
    refit = max((waits[s]["refit"] for s in waits if row["depth"] == 0), default=0)
    if strip or refit:
        until = event["wall"] + (strip or refit) * 6000
        kept = [each for each in state.rows["waits"] if each["object"] != object_]
        state.rows["waits"] = [*kept, {"event": id_, "object": object_, "until": until}]


def _said_beside(state: JobState, id_: str, event: Data, action: Data, row: Data) -> None:
    """Keep what an action says for the registers: settings, litres, figures, crushed gaskets."""
    values, object_ = event["values"], event["object"]
    for word, how in (("setting as found", "found at"), ("setting", "set to")):
        if word in values:
            state.add("settings", id_, object=object_, how=how, setting=values[word])
    if action["id"] == "pull-again":
        state.add("pulls", id_, object=object_, says="not below")
    for way in ("litres out", "litres in"):
        if way in values:
            state.add("litres", id_, object=object_, way=way, litres=values[way])
    if action["target"] == "unknown":
        for part in row["crushes"]:
            state.add("to_renew", id_, object=part, because=object_)
    if row["kind"] == "joint" and action["target"] == "made" and row["tightness"] is None:
        _figure(state, id_, event, row)


def _figure(state: JobState, id_: str, event: Data, row: Data) -> None:
    """Keep how a joint without a maker's figure was tightened, and what papers print of it."""
    object_, figure = event["object"], event["values"].get("figure")
    known = state.figures.get(object_, {})
    prints = "no maker's figure"
    if isinstance(figure, dict) and figure.get("from") == "size table":
        prints = "size table, not the maker's"
        allowed = row["role"] in state.book["rules"]["roles"]["size_table"] and not row["critical"]
        if not allowed or not event["person"]:
            says = f"{name_of(state.book, object_)}: a size table serves a bracket or a cover only"
            state.flag(id_, "size table", object_, says)
    state.figures[object_] = {
        "event": id_,
        "how": event["values"].get("how"),
        "figure": figure if isinstance(figure, dict) else None,
        "source": known.get("source"),
        "prints": prints if known.get("source") is None else known["source"],
    }


def _block(state: JobState, id_: str, event: Data) -> None:
    """Take a work's own step as done: its acts one after the other, left as it found things."""
    block = state.pack["blocks"].get(event["object"])
    values = event["values"]
    state.add("blocks", id_, object=event["object"])
    if block is None:
        state.flag(id_, "block", event["object"], "no work has such a step")
        return
    standing, moves = state.standing, []
    for each in block["acts"]:
        outcome = act_to(state.book, standing, each)
        for broken in outcome["broken"]:
            state.flag(id_, broken["rule"], broken["object"], broken["says"])
        moves += outcome["moves"]
        standing = moved(state.book, standing, outcome["moves"])
    put_down(state, id_, event, _lasting(state, moves))
    if block["measure"] is not None:
        reading, within = values.get("reading"), values.get("within")
        what = block["measure"]["what"]
        state.add(
            "measured", id_, object=event["object"], what=what, reading=reading, within=within
        )


def _lasting(state: JobState, moves: list[Any]) -> list[Any]:
    """Keep what a step leaves otherwise than it found it, and every proof it undid."""
    last = {(move[0], move[1]): move for move in moves}
    return [
        [object_, piece, target]
        for object_, piece, target in last.values()
        if target == LOST or target != _stands(state, object_, piece)
    ]


def _stands(state: JobState, object_: str, piece: str | None) -> str:
    if piece is None:
        return state.state(object_)
    return piece_state(state.book, state.standing, object_, piece)
