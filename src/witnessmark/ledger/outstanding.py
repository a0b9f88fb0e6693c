"""Everything that is still to be done, said or agreed, by name.

The list is empty exactly when every object is at rest and proved or taken over by a named
duty, and nothing else below is open. Each item has an id that stays the same on every
device; an exception names it.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.ledger.cells import WHOLE, in_conflict
from witnessmark.ledger.evidence import HOW
from witnessmark.ledger.litres import short
from witnessmark.ledger.state import JobState, text
from witnessmark.procedure.book import Data, kind_of, name_of, rest_of
from witnessmark.procedure.standing import piece_state


def outstanding(state: JobState) -> list[Data]:
    """Give what is outstanding, exceptions by name left out."""
    return [item for item in everything_open(state) if item["id"] not in state.excepted]


def excepted(state: JobState) -> list[Data]:
    """Give what is open and excepted by a named person, with the reason."""
    return [
        {**item, **state.excepted[item["id"]]}
        for item in everything_open(state)
        if item["id"] in state.excepted
    ]


def everything_open(state: JobState) -> list[Data]:
    """Give everything open, whether excepted or not, in a fixed order."""
    found: list[Data] = []
    for part in (
        _unread, _not_at_rest, _conflicts, _evidence, _sources, _photos, _flags, _put,
        _reports, _to_renew, _interruption, _reopened_gates, _to_be_seen, _short,
    ):  # fmt: skip
        found += part(state)
    return found


def _item(
    kind: str, id_: str, object_: str | None, says: str, since: str | None, *pieces: str
) -> Data:
    return {
        "id": f"{kind}:{id_}",
        "kind": kind,
        "object": object_,
        "pieces": list(pieces),
        "says": says,
        "since": since,
    }


def _unread(state: JobState) -> Iterator[Data]:
    """Give what this edition cannot read, and what is missing or stands twice."""
    for id_ in state.history.unknown:
        says = "something was recorded that this edition does not know"
        yield _item("unread", id_, None, says, id_)
    for gap in state.history.gaps:
        says = f"an entry of {gap['device']} has not come in yet"
        yield _item("gap", gap["event"], None, says, None)
    for fork in state.history.forks:
        says = f"{fork['device']} has two entries with number {fork['seq']}"
        yield _item("fork", f"{fork['device']}:{fork['seq']}", None, says, None)


def _not_at_rest(state: JobState) -> Iterator[Data]:
    for object_ in state.touched():
        kind = kind_of(state.book, object_)
        rest = rest_of(state.book, kind)
        by_state: dict[str, list[str]] = {}
        for piece in state.cells[object_]:
            here = state.state(object_) if piece == WHOLE else _piece(state, object_, piece)
            if here != rest:
                by_state.setdefault(here, []).append(piece)
        for here, pieces in by_state.items():
            if _taken_over(state, object_, here):
                continue
            says = _words(state, object_, here, pieces)
            entry = state.reading(object_, pieces[0])
            since = entry["event"] if entry is not None else None
            named = [piece for piece in pieces if piece != WHOLE]
            yield _item("open", f"{object_}:{here}", object_, says, since, *named)
    for object_, row in state.strange.items():
        if not row["at_rest"]:
            says = f"{object_}, in no pack of this job, is {row['state']}"
            yield _item("open", f"{object_}:{row['state']}", object_, says, row["event"])


def _piece(state: JobState, object_: str, piece: str) -> str:
    return piece_state(state.book, state.standing, object_, piece)


def _words(state: JobState, object_: str, here: str, pieces: list[str]) -> str:
    row = state.book["states"][kind_of(state.book, object_)][here]
    every = len(state.book["objects"][object_]["pieces"])
    entry = state.reading(object_, pieces[0])
    stage = str(entry["stage"]) if entry is not None else "0"
    says = row["says"].replace("{k}", stage)
    says = says.replace("{n}", str(state.book["objects"][object_]["stages"]))
    name = name_of(state.book, object_)
    return f"{name}: {len(pieces)} of {every} {says}" if every > 1 else f"{name}: {says}"


def _taken_over(state: JobState, object_: str, here: str) -> bool:
    """Tell whether the last duty named for an object takes over the state it is in."""
    duties = [row for row in state.rows["duties"] if row["object"] == object_]
    return bool(duties) and duties[-1]["takes"] == here


def _conflicts(state: JobState) -> Iterator[Data]:
    for object_, piece in state.conflicts():
        cell = state.cell(object_, piece)
        name = name_of(state.book, object_) + (f" {piece}" if piece != WHOLE else "")
        told = " and ".join(f"'{each['state']}' by {each['person']}" for each in cell)
        if not in_conflict(cell):
            told = f"people did not agree; {told} since"
        id_ = f"{object_}:{piece}"
        named = [piece] if piece != WHOLE else []
        yield _item("conflict", id_, object_, f"{name}: {told}", cell[-1]["event"], *named)


def _evidence(state: JobState) -> Iterator[Data]:
    """Give what is owed for what stands, and was neither said nor supplied since."""
    for object_ in state.touched():
        seen: list[list[str]] = []
        for cell in state.cells[object_].values():
            for entry in cell:
                for pair in entry["lacks"]:
                    if pair not in seen:
                        seen.append(pair)
                        yield from _lacks(state, object_, *pair)


def _lacks(state: JobState, object_: str, event: str, evidence: str) -> Iterator[Data]:
    told = evidence == HOW and object_ in state.figures and _how_is_known(state, object_)
    if told or evidence in state.supplied.get(event, {}):
        return
    asks = "How was it tightened?" if evidence == HOW else state.book["evidence"][evidence]["asks"]
    says = f"{name_of(state.book, object_)}: {asks}"
    yield _item("evidence", f"{event}:{evidence}", object_, says, event)


def _how_is_known(state: JobState, object_: str) -> bool:
    figure = state.figures[object_]
    return any(figure[word] is not None for word in ("how", "figure", "source"))


def _sources(state: JobState) -> Iterator[Data]:
    """Critical joints tightened without a maker's figure wait for its source."""
    roles = state.book["rules"]["roles"]
    for object_, figure in state.figures.items():
        row = state.book["objects"].get(object_)
        if row is None or row["tightness"] is not None or figure["source"] is not None:
            continue
        told = figure["figure"]
        table = isinstance(told, dict) and told.get("from") == "size table"
        barred = table and row["role"] not in roles["size_table"]
        if row["critical"] or row["role"] in roles["critical"] or barred:
            says = f"{row['name']}: tightened without a maker's figure; enter the source"
            yield _item("figure", object_, object_, says, figure["event"])


def _photos(state: JobState) -> Iterator[Data]:
    for photo, event in state.photos.items():
        if photo not in state.held:
            yield _item("missing photo", photo, None, "a photo has not come in yet", event)


def _flags(state: JobState) -> Iterator[Data]:
    for row in state.rows["flags"]:
        if row["id"] not in state.settled and row["event"] not in state.settled:
            id_ = row["id"].removeprefix("flag:")
            yield _item("flag", id_, row["object"], row["says"], row["event"])


def _put(state: JobState) -> Iterator[Data]:
    """Tools, rags, supports and dropped things not counted out again."""
    for key, row in state.put.items():
        for kind, left in (
            ("tool", row["in"] - row["out"]),
            ("dropped", row["dropped"] - row["found"]),
        ):
            if left > 0 and f"{kind}:{key}" not in state.settled:
                says = f"{text(row['what'], key)}: {'still in' if kind == 'tool' else 'dropped'}"
                yield _item(kind, key, None, f"{says}, {left}" if left > 1 else says, row["since"])


_REPORTED = (
    ("troubles", "trouble", "kind"),
    ("measured", "measured", "what"),
    ("doubts", "doubt", "step"),
)


def _reports(state: JobState) -> Iterator[Data]:
    """Give trouble, readings out of their limit and doubts, until settled."""
    for list_, kind, word in _REPORTED:
        for row in state.rows[list_]:
            if row["event"] in state.settled or not _still_open(state, kind, row):
                continue
            object_ = row["object"]
            name = name_of(state.book, object_) if object_ is not None else "the job"
            says = f"{name}: {kind}, {text(row[word], 'not said')}"
            yield _item(kind, f"{row['event']}:{object_ or ''}", object_, says, row["event"])


def _still_open(state: JobState, kind: str, row: Data) -> bool:
    if kind == "measured":
        return row["within"] is not True
    if kind == "doubt":
        later = state.writers(row["object"]) if row["object"] in state.cells else []
        return not any(state.history.reaches(row["event"], each) for each in later)
    return True


def _to_renew(state: JobState) -> Iterator[Data]:
    """Gaskets crushed under a pattern that is begun again, until renewed."""
    seen: list[str] = []
    for row in state.rows["to_renew"]:
        object_ = row["object"]
        if "renewed" not in row and object_ not in seen and row["event"] not in state.settled:
            seen.append(object_)
            says = f"{name_of(state.book, object_)}: crushed already, renew it"
            yield _item("renew", object_, object_, says, row["event"])


def _interruption(state: JobState) -> Iterator[Data]:
    for row in state.rows["stops"]:
        if row["returned"] is None:
            yield _item(
                "interruption", row["event"], None, "stopped, nobody came back", row["event"]
            )
        elif row["again"] and row["event"] not in state.settled:
            for step in row["again"]:
                object_ = state.history.events[step]["object"]
                says = f"{name_of(state.book, object_)}: not looked at again after the stop"
                yield _item("interruption", f"{row['event']}:{step}", object_, says, row["event"])


def _to_be_seen(state: JobState) -> Iterator[Data]:
    """Give what somebody may not do alone, until another person has looked at it by name."""
    for row in state.rows["to_be_seen"]:
        if row["seen"] is None:
            name = name_of(state.book, row["object"])
            says = f"{name}: to be seen by another person before it is covered"
            yield _item("to be seen", row["event"], row["object"], says, row["event"])


def _short(state: JobState) -> Iterator[Data]:
    """Circuits that took clearly less than came out of them."""
    for object_, says, since in short(state):
        yield _item("litres", object_, object_, says, since)


def _reopened_gates(state: JobState) -> Iterator[Data]:
    """Gates passed without knowing of something in their scope, until passed again."""
    for row in state.rows["passes"]:
        late = late_events(state, row)
        if late and row["event"] not in state.settled and not _passed_again(state, row, late):
            says = f"{row['name']}: passed before {len(late)} later entries were known"
            yield _item("gate", row["event"], None, says, row["event"])


def late_events(state: JobState, row: Data) -> list[str]:
    """Give the events in a pass's scope that neither knew of it nor were known to it."""
    history, id_ = state.history, row["event"]
    objects = row["scope"]
    return [
        each
        for each in history.order
        if each != id_
        and history.events[each]["object"] in objects
        and not history.reaches(each, id_)
        and not history.reaches(id_, each)
    ]


def _passed_again(state: JobState, row: Data, late: list[str]) -> bool:
    return any(
        other["gate"] == row["gate"]
        and other["purpose"] == row["purpose"]
        and all(state.history.reaches(each, other["event"]) for each in [*late, row["event"]])
        for other in state.rows["passes"]
    )
