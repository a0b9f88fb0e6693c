"""Who may: a device by its secret, a member by their session; 401, 403 and 404 in one place.

What somebody may not know of is answered as what does not exist.
"""

from __future__ import annotations

from typing import Annotated, cast

from django.http import HttpRequest
from ninja import Path
from ninja.errors import HttpError
from ninja.security import HttpBearer, SessionAuth

from witnessmark.workshop import models
from witnessmark.workshop.people import Sender
from witnessmark.workshop.sessions import Known, member_of

Id = Annotated[str, Path(pattern="^[a-z0-9-]{1,64}$")]
Digest = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


class Asked(HttpRequest):
    """A request that was let in."""

    auth: Sender


class SendingDevice(HttpBearer):
    """A paired device, also when it was revoked: what it still holds is taken, kept apart."""

    def authenticate(self, request: HttpRequest, _token: str) -> Sender | None:
        """Find the device of a secret."""
        return cast("Known", request).bearing


class PairedDevice(HttpBearer):
    """A paired device that was not revoked."""

    def authenticate(self, request: HttpRequest, _token: str) -> Sender | None:
        """Find the device of a secret."""
        sender = cast("Known", request).bearing
        return None if sender is None or sender.is_revoked else sender


class MemberHere(SessionAuth):
    """A member at a desk; posting needs the token against forged requests as well."""

    def authenticate(self, request: HttpRequest, _key: str | None) -> Sender | None:
        """Find the member of a session."""
        member = member_of(request)
        return Sender(member, cast("Known", request).paired) if member else None


MAY_SEND = [SendingDevice(), MemberHere()]
MAY_SEE = [PairedDevice(), MemberHere()]


def job_for(request: Asked, job: str) -> models.Job:
    """Give a job that the sender may see; 404 for all others, there or not."""
    found = request.auth.jobs().filter(id=job).first()
    if found is None:
        raise HttpError(404, "there is no such job")
    return found


def owner_only(request: Asked) -> Sender:
    """Let nobody pass but an owner."""
    if not request.auth.member.is_owner:
        raise HttpError(403, "only the owner of the workshop may do this")
    return request.auth
