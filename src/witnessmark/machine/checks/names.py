"""Rules on names: everything that is referred to is there, and is what is wanted."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.machine.acts import Act, ActError, Verb, fact_of, read_act
from witnessmark.machine.checks.context import Context, a_or_an
from witnessmark.machine.complaints import Complaint, clip, complaint, nearest
from witnessmark.machine.derived import Fault, Unresolved
from witnessmark.machine.model import FactRef, ObjectKind, Place
from witnessmark.machine.node_texts import Mention
from witnessmark.machine.states import OPENINGS, state_named

_SCOPED = frozenset({"step", "pulley"})
"""Kinds whose names hold inside one work or run only; they have rules of their own."""


def mentioned_names(context: Context) -> Iterator[Complaint]:
    """Every id that is mentioned names something, of a kind that is wanted there."""
    for mention in context.mentions:
        if mention.fact is None and not _SCOPED.intersection(mention.of):
            yield from _named(context, mention)


def _named(context: Context, mention: Mention) -> Iterator[Complaint]:
    if any(mention.id in context.known.get(kind, ()) for kind in mention.of):
        return
    found = context.kind_word(mention.id)
    wanted = " or ".join(a_or_an(kind) for kind in mention.of[:3])
    if found is not None:
        yield complaint(
            "wrong-kind", mention.place, id=mention.id, found=a_or_an(found), wanted=wanted
        )
        return
    yield unknown(context, mention.id, mention.place, mention.of)


def unknown(context: Context, id_: str, place: Place, kinds: tuple[str, ...]) -> Complaint:
    """Complain that nothing of these kinds has this name."""
    noun = kinds[0] if len(kinds) == 1 else "thing"
    plural = {"duty": "duties", "make-safe": "things made safe"}.get(noun, f"{noun}s")
    near = context.names_of(kinds).nearest(id_, plural)
    return complaint("unknown-id", place, id=clip(id_), kind=noun, nearest=near)


def mentioned_facts(context: Context) -> Iterator[Complaint]:
    """Every fact that is mentioned is an opening that something describes."""
    seen: set[FactRef] = set()
    for mention in context.mentions:
        if mention.fact is not None and mention.fact not in seen:
            seen.add(mention.fact)
            yield from fact_complaints(context, mention.fact)


def fact_complaints(
    context: Context, fact: FactRef, *, rest_allowed: bool = False
) -> Iterator[Complaint]:
    """Complain when a written fact refers to nothing that can be opened."""
    try:
        context.derived.resolve(fact)
    except Unresolved as trouble:
        if not (rest_allowed and trouble.fault is Fault.REST):
            yield _unresolved(context, fact, trouble)


def _unresolved(context: Context, fact: FactRef, trouble: Unresolved) -> Complaint:
    place = fact.place
    if trouble.kind is None:
        kinds = tuple(kind.value for kind in ObjectKind)
        other = context.kind_word(fact.object)
        if other is None:
            return unknown(context, fact.object, place, kinds)
        wanted = "something that is opened"
        return complaint("wrong-kind", place, id=fact.object, found=a_or_an(other), wanted=wanted)
    kind = a_or_an(trouble.kind.value)
    states = " or ".join(f"'{fact.object} {state}'" for state in OPENINGS[trouble.kind])
    if trouble.fault is Fault.UNKNOWN_STATE:
        word = clip(fact.state or "")
        return complaint(
            "unknown-state", place, id=fact.object, kind=kind, word=word, states=states
        )
    if trouble.fault is Fault.REST:
        return complaint("rest-state", place, fact=clip(str(fact)), kind=kind, states=states)
    return _not_described(fact, trouble.kind)


def _not_described(fact: FactRef, kind: ObjectKind) -> Complaint:
    if kind is ObjectKind.PART and fact.state is None:
        where = f"'off' under '{fact.object}', or an assembly that carries it off"
    else:
        state = None if fact.state is None else state_named(kind, fact.state)
        states = OPENINGS[kind] if state is None else (state,)
        words = " or ".join(f"'{word}'" for word in states)
        where = f"{words} under '{fact.object}'"
    return complaint("not-described", fact.place, fact=clip(str(fact)), where=where)


def acts(context: Context) -> Iterator[Complaint]:
    """Every act of a step, and every act that is barred, can be read and names its object."""
    for _, step in context.steps():
        for text, place in zip(step.acts, step.act_places, strict=True):
            yield from _act(context, text, place, rest_allowed=True)
    for bar in context.machine.bars.values():
        if bar.never and bar.never_place is not None:
            yield from _act(context, bar.never, bar.never_place, rest_allowed=False)


def _act(context: Context, text: str, place: Place, *, rest_allowed: bool) -> Iterator[Complaint]:
    try:
        act = read_act(text)
    except ActError as error:
        yield complaint("unreadable-act", place, what=error.what, hint=error.hint)
        return
    fact = fact_of(act, place)
    if fact is not None:
        yield from fact_complaints(context, fact, rest_allowed=rest_allowed)
    elif act.object is not None:
        yield from _act_object(context, act, act.object, place)


def _act_object(context: Context, act: Act, id_: str, place: Place) -> Iterator[Complaint]:
    kinds = {Verb.TURN: "shaft", Verb.PRESSURISE: "circuit", Verb.IN_TO_TURN: "joint"}
    yield from _named(context, Mention(id_, place, (kinds[act.verb],)))


def room_ways(context: Context) -> Iterator[Complaint]:
    """A room that helps one way only names a way its opening has."""
    for room in context.machine.rooms.values():
        fact = context.derived.find(room.opening)
        if room.way is None or fact is None:
            continue
        openings = context.derived.supporters(fact)
        specs = [spec for o in openings if (spec := context.derived.opening(o)) is not None]
        ways = [way.id for spec in specs for way in spec.ways]
        if room.way not in ways:
            near = nearest(room.way, ways, "ways")
            yield complaint("unknown-id", room.place, id=clip(room.way), kind="way", nearest=near)


def tensioner_pulleys(context: Context) -> Iterator[Complaint]:
    """A tensioner names a pulley of its own run."""
    for run in context.machine.runs.values():
        ref = run.tensioner.pulley if run.tensioner else None
        ids = [pulley.id for pulley in run.pulleys]
        if ref is not None and ref.id not in ids:
            near = nearest(ref.id, ids, "pulleys")
            yield complaint("unknown-id", ref.place, id=clip(ref.id), kind="pulley", nearest=near)


RULES = (mentioned_names, mentioned_facts, acts, room_ways, tensioner_pulleys)
