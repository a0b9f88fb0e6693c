"""What this machine is called on the workshop's own network."""

from __future__ import annotations

import re
import socket
from collections.abc import Iterable
from ipaddress import ip_address

from witnessmark.workshop.trust import Address, Names

_NOWHERE = ("192.0.2.1", 9)
"""An address for documents (RFC 5737): asking for the way to it sends nothing."""


class NameRefusedError(ValueError):
    """A name or address the workshop cannot be served under; the text says why."""


def names_here(name: str | None, addresses: Iterable[str]) -> Names:
    """Give the name and addresses to serve under: those given, else the machine's own.

    Raises
    ------
    NameRefusedError
        If a name is no name ending in .local, or an address is not private.
    """
    host = _checked_host(name) if name else f"{_own_name()}.local"
    given = tuple(_checked_address(each) for each in addresses)
    return Names(host, given or _own_addresses())


def _own_name() -> str:
    first = socket.gethostname().split(".")[0].lower()
    return re.sub("[^a-z0-9-]", "-", first).strip("-")[:63] or "workshop"


def _checked_host(name: str) -> str:
    host = name.lower()
    if not re.fullmatch(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?\.local", host):
        raise NameRefusedError(f"{name}: give one word and .local, as in bay-1.local")
    return host


def _checked_address(said: str) -> Address:
    try:
        address = ip_address(said)
    except ValueError:
        raise NameRefusedError(f"{said}: this is no address, as 192.168.1.20 is") from None
    if not _is_of_the_workshop(address):
        raise NameRefusedError(f"{said}: not a private address: the workshop stays on its network")
    return address


def _is_of_the_workshop(address: Address) -> bool:
    unusable = address.is_loopback or address.is_unspecified or address.is_link_local
    return address.is_private and not unusable


def _own_addresses() -> tuple[Address, ...]:
    found = [_address_of_the_way_out(), *_addresses_of_the_name()]
    usable = [each for each in found if each is not None and _is_of_the_workshop(each)]
    return tuple(dict.fromkeys(usable))


def _address_of_the_way_out() -> Address | None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(_NOWHERE)
        except OSError:
            return None
        return ip_address(asking.getsockname()[0])


def _addresses_of_the_name() -> list[Address]:
    try:
        found = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return []
    return [ip_address(str(each[4][0])) for each in found]
