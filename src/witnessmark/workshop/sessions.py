"""Who sits at a browser: the device it was paired as, and the person who tapped their name.

A session holds a device's id with a part of its hashed secret, so that it ends at once when the
device is revoked or paired anew. A browser on the machine itself needs no pairing unless the
workshop is on the network.
"""

from __future__ import annotations

from ipaddress import ip_address
from typing import TYPE_CHECKING, cast

from django.conf import settings
from django.contrib.auth import login
from django.http import HttpRequest

from witnessmark.workshop import models
from witnessmark.workshop.people import Sender, hashed, sender_by
from witnessmark.workshop.writing import now

if TYPE_CHECKING:
    from django.contrib.sessions.backends.base import SessionBase

_DEVICE, _STAMP, _UNLOCKED = "device", "stamp", "unlocked"
_STAMP_LENGTH = 16

UNLOCKED_FOR = 10 * 60_000
"""How long settings stay open after a right PIN. [ms]"""


class Known(HttpRequest):
    """A request whose sender was looked for.

    `paired` is the device of the session, `bearing` the sender whose secret came along.
    """

    session: SessionBase
    paired: models.Device | None
    bearing: Sender | None


def look_who(request: HttpRequest) -> Known:
    """Find out who sends a request; whoever cannot be known stays a stranger."""
    known = cast("Known", request)
    kind, _, secret = request.headers.get("Authorization", "").partition(" ")
    known.bearing = sender_by(secret) if kind.lower() == "bearer" and secret else None
    known.paired = None if known.bearing else _paired(known.session)
    return known


def _paired(session: SessionBase) -> models.Device | None:
    id_ = session.get(_DEVICE)
    if id_ is None:
        return None
    device = models.Device.objects.select_related("member").filter(id=id_, revoked=None).first()
    if device is None or device.secret[:_STAMP_LENGTH] != session.get(_STAMP):
        return None
    return device if device.member.is_active else None


def is_of_the_machine(request: HttpRequest) -> bool:
    """Tell whether a request came from a browser on the machine that serves."""
    try:
        return ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


def is_trusted(request: Known) -> bool:
    """Tell whether a request comes from a device of this workshop."""
    if request.bearing is not None:
        return not request.bearing.is_revoked
    at_desk = not settings.ON_THE_NETWORK and is_of_the_machine(request)
    return at_desk or request.paired is not None


def member_of(request: HttpRequest) -> models.Member | None:
    """Give the member who tapped their name at this browser, if they still belong here."""
    member = request.user
    return member if isinstance(member, models.Member) and member.is_active else None


def sit_down(request: HttpRequest, member: models.Member) -> None:
    """Let a member work at this browser; the device it was paired as stays."""
    kept = {key: request.session.get(key) for key in (_DEVICE, _STAMP)}
    login(request, member, backend="django.contrib.auth.backends.ModelBackend")
    request.session.pop(_UNLOCKED, None)
    for key, value in kept.items():
        if value is not None:
            request.session[key] = value


def remember_pairing(request: HttpRequest, device: str, secret: str, member: str) -> None:
    """Let this browser's session be the device that was paired just now."""
    request.session.flush()
    request.session[_DEVICE] = device
    request.session[_STAMP] = hashed(secret)[:_STAMP_LENGTH]
    sit_down(request, models.Member.objects.get(id=member))


def unlock(request: HttpRequest, member: models.Member) -> None:
    """Open the settings for the member who just gave the right PIN."""
    request.session.cycle_key()
    request.session[_UNLOCKED] = [member.id, now() + UNLOCKED_FOR]


def is_unlocked(request: HttpRequest) -> bool:
    """Tell whether the settings are open to who sits here."""
    member = member_of(request)
    whose, until = request.session.get(_UNLOCKED) or [None, 0]
    return member is not None and whose == member.id and now() < until
