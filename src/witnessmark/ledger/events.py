"""Events: what one device wrote down at one moment, and how its bytes are read and refused.

An event is plain data with exactly the keys of `FIELDS`; its id is the digest of its
canonical bytes. Facts are never refused for what they say: only for a form that cannot be
read, or bytes that are not what their id promises.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import msgspec

from witnessmark.ledger.canonical import NotCanonicalError, canonical_bytes, digest, read_canonical
from witnessmark.ledger.event_types import EVENT_TYPES, VERSION

Event = dict[str, Any]

LARGEST_EVENT = 64 * 1024
"""Bytes of one event at the most."""

LONGEST_NOTE = 4_000
"""Characters of a note at the most."""

MOST_HEADS = 256
"""Heads of other chains one event may name."""

MOST_PHOTOS = 64

_ID = re.compile(r"[a-z0-9-]{1,64}")
_DIGEST = re.compile(r"[0-9a-f]{64}")


class EventRefusedError(ValueError):
    """Bytes that cannot be taken as an event: `where` names the field, `why` what is wrong."""

    def __init__(self, where: str, why: str) -> None:
        super().__init__(f"{where}: {why}")
        self.where = where
        self.why = why


def event_bytes(event: Event) -> bytes:
    """Write an event's canonical bytes.

    Raises
    ------
    EventRefusedError
        If it has not the form of an event.
    """
    check_event(event)
    try:
        data = canonical_bytes(event)
    except NotCanonicalError as error:
        raise EventRefusedError("event", str(error)) from None
    if len(data) > LARGEST_EVENT:
        raise EventRefusedError("event", f"{len(data)} bytes; {LARGEST_EVENT} is the most")
    return data


def event_id(event: Event) -> str:
    """Give an event's id, the digest of its canonical bytes."""
    return digest(event_bytes(event))


def read_event(data: bytes, promised: str | None = None) -> Event:
    """Read an event from bytes that came from elsewhere.

    Parameters
    ----------
    data : bytes
        What came.
    promised : str, optional
        The id it came under.

    Raises
    ------
    EventRefusedError
        If the bytes are too many, are not what the id promises, are not in the canonical
        form or do not have the form of an event.
    """
    if len(data) > LARGEST_EVENT:
        raise EventRefusedError("event", f"{len(data)} bytes; {LARGEST_EVENT} is the most")
    if promised is not None and digest(data) != promised:
        raise EventRefusedError("id", "the bytes are not those this id was made from")
    try:
        event = read_canonical(data)
    except NotCanonicalError as error:
        raise EventRefusedError("event", str(error)) from None
    check_event(event)
    return dict(event)


def read_stored(data: bytes, id_: str) -> Event:
    """Read an event that was checked when it came in: only its digest is compared again.

    Raises
    ------
    EventRefusedError
        If the bytes are no longer those the id was made from.
    """
    if digest(data) != id_:
        raise EventRefusedError("id", "the bytes are not those this id was made from")
    event: Event = msgspec.json.decode(data)
    return event


def check_event(event: object) -> None:
    """Check the form of an event, not what it says.

    A newer version may have more fields; those that place it among the others must be there.

    Raises
    ------
    EventRefusedError
        Naming the first field that is missing, unknown or not of its kind.
    """
    if not isinstance(event, dict):
        raise EventRefusedError("event", "not an object")
    version = event.get("v")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise EventRefusedError("v", "the version is a whole number from 1")
    newer = version > VERSION
    for field, (is_right, wanted) in FIELDS.items():
        if field not in event:
            if newer and field not in PLACING:
                continue
            raise EventRefusedError(field, "missing")
        if (field in PLACING or not newer) and not is_right(event[field]):
            raise EventRefusedError(field, wanted)
    extra = sorted(str(key) for key in event.keys() - FIELDS.keys())
    if extra and not newer:
        raise EventRefusedError(extra[0][:40], "an event has no such field")
    if (event["seq"] == 1) != (event["prev"] is None):
        raise EventRefusedError("prev", "the first of a device has none, all others have one")
    row = EVENT_TYPES.get(event["type"])
    for field in row.needs if row is not None and not newer else ():
        if event[field] is None:
            raise EventRefusedError(field, f"'{event['type']}' needs it")


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_id(value: object) -> bool:
    return isinstance(value, str) and _ID.fullmatch(value) is not None


def _is_digest(value: object) -> bool:
    return isinstance(value, str) and _DIGEST.fullmatch(value) is not None


def _is_text(most: int) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, str) and 1 <= len(value) <= most


def _or_none(is_right: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: value is None or is_right(value)


def _is_clock(value: object) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and all(_is_whole(each) and each >= 0 for each in value)
    )


def _are_heads(value: object) -> bool:
    return _are_digests(value, MOST_HEADS) and value == sorted(set(value))  # type: ignore[call-overload]


def _are_digests(value: object, most: int) -> bool:
    return isinstance(value, list) and len(value) <= most and all(map(_is_digest, value))


_ID_WORDS = "small letters, digits and hyphens, at most 64"

PLACING = ("v", "type", "job", "device", "seq", "prev", "seen", "clock")
"""The fields that say where an event stands among others; every version has them."""

FIELDS: dict[str, tuple[Callable[[Any], bool], str]] = {
    "v": (_is_whole, "a whole number"),
    "type": (_is_text(40), "a word"),
    "job": (_is_id, _ID_WORDS),
    "device": (_is_id, _ID_WORDS),
    "seq": (lambda value: _is_whole(value) and value >= 1, "a whole number from 1"),
    "prev": (_or_none(_is_digest), "an event's id, or null"),
    "seen": (_are_heads, "ids of events, each once, in order"),
    "person": (_is_id, _ID_WORDS),
    "clock": (_is_clock, "milliseconds and a counter, neither below zero"),
    "wall": (_is_whole, "whole milliseconds as the device read them"),
    "action": (_or_none(_is_text(64)), "an action's id, or null"),
    "object": (_or_none(_is_text(128)), "an object's id, or null"),
    "values": (lambda value: isinstance(value, dict), "an object"),
    "photos": (lambda value: _are_digests(value, MOST_PHOTOS), "digests of photos"),
    "note": (
        _or_none(_is_text(LONGEST_NOTE)),
        f"text of at most {LONGEST_NOTE} characters, or null",
    ),
    "pack": (_or_none(_is_digest), "a pack's digest, or null"),
}
"""Every field of an event, what it must be, and the words for it."""
