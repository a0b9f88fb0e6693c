"""PINs: set, checked by the workshop, and turned into what a phone can check by alone.

The workshop checks by an Argon2id hash. A phone without the workshop checks by a verifier: the
PIN stretched by PBKDF2 and bound to the phone by a salt of its own. Six figures can be tried
through by whoever has such a verifier in hand; that is why it lies only on paired phones.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from dataclasses import dataclass
from itertools import pairwise

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from witnessmark.ledger.canonical import digest
from witnessmark.workshop import models
from witnessmark.workshop.guesses import Guess, guess
from witnessmark.workshop.waits import PIN_OF_MEMBER, PIN_ON_DEVICE
from witnessmark.workshop.writing import write_transaction

ROUNDS = 600_000
"""Of PBKDF2 with HMAC and SHA-256: as many as OWASP's advice on passwords asks (from memory)."""

_FORM = re.compile("[0-9]{6,12}")

_HASHER = PasswordHasher()
"""Argon2id by the second recommended choice of RFC 9106 section 4: 64 MiB, 3 passes, 4 lanes."""


class PinRefusedError(ValueError):
    """A PIN that cannot be taken; the text says why."""


@dataclass(frozen=True, slots=True)
class Verifier:
    """What one phone checks one person's PIN by; bytes in hexadecimal.

    `verifier` is the HMAC-SHA-256 of `device_salt` under the PIN stretched with `salt`.
    """

    salt: str
    rounds: int
    device_salt: str
    verifier: str


def refuse_weak(pin: str) -> None:
    """Refuse a PIN that is no PIN, or the first that anybody would try.

    Raises
    ------
    PinRefusedError
        If it has not six to twelve figures, or they are all alike or in a row.
    """
    if not _FORM.fullmatch(pin):
        raise PinRefusedError("a PIN has six to twelve figures, nothing else")
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if steps in ({0}, {1}, {9}):
        raise PinRefusedError("figures all alike or in a row are tried first: choose others")


def set_pin(member: str, pin: str) -> None:
    """Set a member's PIN and forget wrong guesses at the one before.

    Raises
    ------
    PinRefusedError
        If the PIN cannot be taken.
    LookupError
        If there is no such member.
    """
    refuse_weak(pin)
    salt = secrets.token_hex(16)
    stretched = hashlib.pbkdf2_hmac("sha256", pin.encode(), bytes.fromhex(salt), ROUNDS).hex()
    hashed = _HASHER.hash(pin)
    with write_transaction():
        changed = models.Member.objects.filter(id=member).update(
            pin=hashed, pin_salt=salt, pin_rounds=ROUNDS, pin_stretched=stretched
        )
        if not changed:
            raise LookupError(f"there is no member {member}")
        models.Attempt.objects.filter(id=_of(member)).delete()


def check_pin(member: str, pin: str, device: str) -> Guess:
    """Check a PIN that was typed on a device; slowed and locked by member and by device."""
    found = models.Member.objects.filter(id=member, is_active=True).first()
    hashed = found.pin if found else ""
    counters = {_of(member): PIN_OF_MEMBER, f"pin on {device}": PIN_ON_DEVICE}
    return guess(counters, lambda: _is_right(hashed, pin), forgets=_of(member))


def _of(member: str) -> str:
    return f"pin of {member}"


def _is_right(hashed: str, pin: str) -> bool:
    try:
        return _HASHER.verify(hashed, pin)
    except (VerificationError, InvalidHashError):
        return False


def verifier_for(member: models.Member, device: models.Device | None) -> Verifier | None:
    """Give what a paired phone checks a member's PIN by; None where there is no PIN or phone."""
    if device is None or not member.pin_stretched:
        return None
    device_salt = digest(f"{device.secret} {member.id}".encode())[:32]
    key, salt = bytes.fromhex(member.pin_stretched), bytes.fromhex(device_salt)
    verifier = hmac.new(key, salt, "sha256").hexdigest()
    return Verifier(member.pin_salt, member.pin_rounds, device_salt, verifier)
