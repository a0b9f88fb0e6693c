"""What an action says beside its move: settings, litres, figures, crushed gaskets."""

from __future__ import annotations

from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import Data, name_of

SETTINGS = (("setting as found", "found at"), ("setting", "set to"))
LITRES = ("litres out", "litres in")
_WORDS = frozenset([*LITRES, *(word for word, _ in SETTINGS)])


def said_beside(state: JobState, id_: str, event: Data, action: Data, row: Data) -> None:
    """Keep what an action says for the registers."""
    values, object_ = event["values"], event["object"]
    if values and not _WORDS.isdisjoint(values):
        _words(state, id_, object_, values)
    if action["id"] == "pull-again":
        state.add("pulls", id_, object=object_, says="not below")
    if action["target"] == "unknown":
        for part in row["crushes"]:
            state.add("to_renew", id_, object=part, because=object_)
    elif action["target"] == "made" and row["kind"] == "joint" and row["tightness"] is None:
        _figure(state, id_, event, row)


def _words(state: JobState, id_: str, object_: str, values: Data) -> None:
    for word, how in SETTINGS:
        if word in values:
            state.add("settings", id_, object=object_, how=how, setting=values[word])
    for way in LITRES:
        if way in values:
            state.add("litres", id_, object=object_, way=way, litres=values[way])


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
    source = known.get("source")
    state.figures[object_] = {
        "event": id_,
        "how": event["values"].get("how"),
        "figure": figure if isinstance(figure, dict) else None,
        "source": source,
        "prints": prints if source is None else source,
    }
