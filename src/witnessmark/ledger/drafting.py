"""What a job's record says of a machine that nobody had described, ready to be drafted.

Minutes are those between two entries by the same device, where neither a stop nor a long
silence lies between: the rest is not known and stays out.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.ledger.state import JobState, text, texts
from witnessmark.machine.drafting import Record, Seen, SeenGroup
from witnessmark.procedure.book import Data, name_of

LONGEST = 30 * 60_000
"""Milliseconds between two entries that may still be one piece of work (our choice)."""

_TENTH = 6_000
_KINDS = ("part", "joint", "circuit", "lock", "temporary", "make-safe")
_WORK = ("noted", "done", "put", "begin", "returned")


def record_of(state: JobState, machine: str, name: str) -> Record:
    """Read a folded job as the record of a machine.

    Parameters
    ----------
    state : JobState
        The job, folded.
    machine : str
        The id the machine file is to have.
    name : str
        What the machine is called: the job's title, until somebody types the plate.
    """
    minutes = _minutes(state)
    seen = tuple(_seen(state, id_, event, minutes) for id_, event in _described(state))
    source = f"record of job {_job(state)}, not the maker's"
    return Record(machine, name, "as-done", seen, source, tuple(_beside(state)))


def _job(state: JobState) -> str:
    return next((text(event["job"]) for event in state.taken.values()), "not begun")


def _described(state: JobState) -> Iterator[tuple[str, Data]]:
    """Give the entries that noted a thing, each thing once, in the order they came off."""
    known: set[str] = set()
    for id_, event in state.taken.items():
        object_ = event["object"]
        kind = event["values"].get("kind")
        if event["type"] == "noted" and kind in _KINDS and object_ not in known:
            known.add(object_)
            yield id_, event


def _minutes(state: JobState) -> dict[str, int]:
    """Give the tenths of a minute that an entry took: since the one before, by its device."""
    found: dict[str, int] = {}
    before: dict[str, int] = {}
    for id_, event in state.taken.items():
        device, wall = event["device"], event["wall"]
        since = wall - before[device] if device in before else None
        if since is not None and 0 < since <= LONGEST:
            found[id_] = -(-since // _TENTH)
        if event["type"] in _WORK:
            before[device] = wall
        elif event["type"] == "stopped":
            before.pop(device, None)
    return found


def _seen(state: JobState, id_: str, event: Data, minutes: dict[str, int]) -> Seen:
    values, object_ = event["values"], event["object"]
    figure = state.figures.get(object_, {})
    return Seen(
        id=object_,
        kind=values["kind"],
        name=name_of(state.book, object_),
        state=text(values.get("state")),
        where=_said(values, "place"),
        stored=_said(values, "where it lies"),
        line=_said(values, "line"),
        holds=tuple(texts(values.get("holds"))),
        count=_whole(values.get("count")),
        groups=tuple(_groups(values.get("groups"))),
        thread=_said(values, "thread"),
        head=_said(values, "head"),
        fastener=_said(values, "fastener"),
        hand=_said(values, "hand"),
        role=_said(values, "role"),
        surface=_said(values, "surface"),
        single_use=values.get("single_use") is True,
        how=text(figure.get("how")) or None,
        tightness=text(figure.get("figure")) or None,
        source=text(figure.get("source")) or None,
        litres=_litres_out(state, object_),
        hole=_said(values, "hole"),
        strip=minutes.get(id_),
        refit=_refit(state, object_, minutes),
    )


def _refit(state: JobState, object_: str, minutes: dict[str, int]) -> int | None:
    """Give how long the last act took that brought a thing back to rest."""
    if not state.at_rest(object_):
        return None
    acts = [
        id_
        for id_, event in state.taken.items()
        if event["type"] == "done" and event["object"] == object_
    ]
    return minutes.get(acts[-1]) if acts else None


def _litres_out(state: JobState, object_: str) -> str | None:
    rows = state.rows["litres"]
    out = [r["litres"] for r in rows if r["object"] == object_ and r["way"] == "litres out"]
    return " + ".join(map(str, out)) or None


def _said(values: Data, word: str) -> str | None:
    return text(values.get(word)) or None


def _whole(value: object) -> int | None:
    known = isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 400
    return value if known and isinstance(value, int) else None


def _groups(value: object) -> Iterator[SeenGroup]:
    for each in value if isinstance(value, list) else []:
        if isinstance(each, dict):
            yield SeenGroup(
                _whole(each.get("count")),
                _said(each, "thread"),
                _said(each, "length"),
                _said(each, "which"),
            )


def _beside(state: JobState) -> Iterator[str]:
    """Say what was put in, dropped and found wrong: it belongs to no thing of the machine."""
    for key, row in state.put.items():
        if row["in"]:
            yield f"put in: {text(row['what'], key)}"
    for row in state.rows["found"]:
        yield f"found: {text(row['what'])}, {name_of(state.book, row['object'])}"
