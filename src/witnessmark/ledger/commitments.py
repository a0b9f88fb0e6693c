"""Commitments: how an event holds what somebody may one day have deleted.

An event names the digest of a personal text together with a random salt. While both are kept
anybody can check that the text is the one that was written; once they are deleted nobody can
find the text by trying, and the chains of events stay whole.
"""

from __future__ import annotations

from witnessmark.ledger.canonical import canonical_bytes, digest

SHORTEST_SALT = 16
"""Bytes of a salt at the least; the caller draws them at random."""


def commitment(salt: bytes, says: str) -> str:
    """Give the commitment to a text under a salt.

    Raises
    ------
    NotCanonicalError
        If the text has no canonical form.
    ValueError
        If the salt is too short to keep a short text from being found by trying.
    """
    if len(salt) < SHORTEST_SALT:
        raise ValueError(f"a salt of {len(salt)} bytes; {SHORTEST_SALT} is the least")
    return digest(canonical_bytes({"salt": salt.hex(), "says": says}))


def keeps_word(promised: str, salt: bytes, says: str) -> bool:
    """Tell whether a text is the one that was committed to."""
    return len(salt) >= SHORTEST_SALT and commitment(salt, says) == promised
