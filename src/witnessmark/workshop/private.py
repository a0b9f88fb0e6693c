"""What concerns customers, kept where it can be deleted.

Events hold a commitment: the digest of the text together with a random salt. While salt and
text are kept the commitment can be checked; when both are deleted, nobody can find the text
from it, and the chains of events stay whole.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable

from witnessmark.ledger.commitments import SHORTEST_SALT, commitment
from witnessmark.workshop import models
from witnessmark.workshop.photos import remove_photo
from witnessmark.workshop.writing import now, write_transaction


def keep(kind: str, job: str | None, salt: bytes, says: str) -> str:
    """Keep a private text and give its commitment; one that was deleted stays deleted."""
    id_ = commitment(salt, says)
    with write_transaction():
        models.Private.objects.get_or_create(
            commitment=id_,
            defaults={"kind": kind, "job": job, "salt": salt, "says": says.encode()},
        )
    return id_


def keep_anew(kind: str, job: str | None, says: str, before: str | None = None) -> str | None:
    """Keep a text under a new salt in the place of an earlier one, which is deleted.

    Gives its commitment; the earlier one where nothing changed, and None for no text.
    """
    text = says.strip()
    if before is not None and texts_of([before]).get(before) == text:
        return before
    with write_transaction():
        if before is not None:
            delete([before])
        return keep(kind, job, secrets.token_bytes(SHORTEST_SALT), text) if text else None


def texts_of(commitments: Iterable[str | None]) -> dict[str, str | None]:
    """Give private texts by their commitments, in one query; None for those deleted."""
    wanted = {each for each in commitments if each is not None}
    rows = models.Private.objects.filter(commitment__in=wanted).values_list("commitment", "says")
    return {id_: None if says is None else bytes(says).decode() for id_, says in rows}


def delete(commitments: list[str]) -> int:
    """Delete private texts with their salts; give how many were still there."""
    with write_transaction():
        return models.Private.objects.filter(commitment__in=commitments, deleted=None).update(
            salt=None, says=None, deleted=now()
        )


def delete_customer(customer: str) -> int:
    """Delete what is known of a customer: details, plates, chassis numbers, what was said.

    Photos of their jobs go as well, as plates and faces may be in them. Give how many texts
    and photos were deleted.

    Raises
    ------
    LookupError
        If there is no such customer.
    """
    found = models.Customer.objects.filter(id=customer).first()
    if found is None:
        raise LookupError(f"there is no customer {customer}")
    vehicles = models.Vehicle.objects.filter(customer=found)
    jobs = models.Job.objects.filter(vehicle__in=vehicles)
    theirs = [found.details]
    for each in vehicles:
        theirs += [private for private in (each.plate, each.chassis) if private]
    said = models.Private.objects.filter(job__in=jobs.values("id"))
    gone = delete([*theirs, *said.values_list("commitment", flat=True)])
    photos = models.Photo.objects.filter(photoofjob__job__in=jobs, withheld=None).distinct()
    return gone + sum(remove_photo(each) for each in photos.values_list("id", flat=True))
