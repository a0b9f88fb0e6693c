"""Pairing a new device: a short code, good once and for a few minutes, then a secret of its own."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address, ip_network

from django.utils.crypto import salted_hmac

from witnessmark.workshop import models, people
from witnessmark.workshop.guesses import Guess, guess
from witnessmark.workshop.waits import PAIRING_FROM_ADDRESS
from witnessmark.workshop.writing import now, write_transaction

ALPHABET = "23456789abcdefghjkmnpqrstvwxyz"
"""Letters and figures that nobody mistakes for one another."""

LENGTH = 8
"""39 bits: at a thousand guesses a second one in ten minutes hits with one chance in a million."""

GOOD_FOR = 10 * 60_000
"""[ms]"""


@dataclass(frozen=True, slots=True)
class Paired:
    """A device that was paired just now, and its secret, which is shown this once."""

    device: str
    secret: str
    member: str


def new_code(member: str) -> str:
    """Make a code by which one device can be paired with a member.

    Raises
    ------
    LookupError
        If there is no such member.
    """
    code = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    at = now()
    with write_transaction():
        models.PairingCode.objects.filter(until__lt=at).delete()
        if not models.Member.objects.filter(id=member, is_active=True).exists():
            raise LookupError(f"there is no member {member}")
        models.PairingCode.objects.create(id=_hashed(code), member_id=member, until=at + GOOD_FOR)
    return code


def _hashed(code: str) -> str:
    """Hash a code with the workshop's secret: the tables alone do not give it away."""
    plain = "".join(each for each in code.lower() if each in ALPHABET)
    return salted_hmac("pairing", plain, algorithm="sha256").hexdigest()


def pair_by_code(code: str, name: str, address: str) -> Paired | Guess:
    """Pair the device that gives a code; else tell whether, and until when, it must wait."""
    paired: list[Paired] = []

    def used() -> bool:
        with write_transaction():
            rows = models.PairingCode.objects.select_related("member").filter(
                id=_hashed(code), until__gte=now(), member__is_active=True
            )
            found = rows.first()
            if found is None:
                return False
            member = found.member.id
            found.delete()
            device = f"phone-{secrets.token_hex(5)}"
            secret = people.pair(device, name, member)
            paired.append(Paired(device, secret, member))
            return True

    made = guess({f"pair from {_network(address)}": PAIRING_FROM_ADDRESS}, used)
    return paired[0] if paired else made


def _network(address: str) -> str:
    """Give what guesses are counted by: one network of IPv6 has more addresses than can be."""
    found = ip_address(address or "::")
    if isinstance(found, IPv6Address) and found.ipv4_mapped is None:
        return str(ip_network((found, 64), strict=False))
    return str(found)
