"""Customers: what is known of them is one private text, the name on its first line."""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass

from django.db.models import Count

from witnessmark.workshop import models, private
from witnessmark.workshop.writing import write_transaction

KIND = "customer"
LONGEST = 2_000

_NAMED = re.compile(r"(.*) \((c-[a-z0-9-]{1,60})\)")


class CustomerRefusedError(ValueError):
    """What was typed for a customer cannot be kept; the text says why."""


@dataclass(frozen=True, slots=True)
class KnownCustomer:
    """A customer as lists show one; `name` is None where a person deleted all that was known."""

    id: str
    name: str | None
    rest: str
    vehicles: int = 0

    @property
    def chosen(self) -> str:
        """What a customer is called where one is chosen by typing."""
        return f"{self.name} ({self.id})"


def keep_customer(name: str, rest: str, customer: models.Customer | None = None) -> models.Customer:
    """Keep what was typed of a customer; what was known before is deleted.

    Raises
    ------
    CustomerRefusedError
        If there is no name, or far too much.
    """
    text = f"{' '.join(name.split())}\n{rest.strip()}".strip()
    if not name.strip():
        raise CustomerRefusedError("give the customer a name")
    if len(text) > LONGEST:
        raise CustomerRefusedError(f"at most {LONGEST} characters are kept of a customer")
    with write_transaction():
        row = customer or models.Customer(id=f"c-{secrets.token_hex(6)}")
        row.details = private.keep_anew(KIND, None, text, row.details or None) or ""
        row.save()
    return row


def known_customers(customers: list[models.Customer]) -> list[KnownCustomer]:
    """Read what is known of customers, in one query."""
    texts = private.texts_of(each.details for each in customers)
    return [_known(each, texts.get(each.details)) for each in customers]


def _known(row: models.Customer, text: str | None) -> KnownCustomer:
    name, _, rest = (text or "").partition("\n")
    count = getattr(row, "number_of_vehicles", 0)
    return KnownCustomer(row.id, name if text is not None else None, rest, count)


def all_customers(words: str = "") -> list[KnownCustomer]:
    """Give every customer that is not deleted, by name; those that words are found in."""
    rows = models.Customer.objects.annotate(number_of_vehicles=Count("vehicle"))
    wanted = words.casefold().strip()
    known = [each for each in known_customers(list(rows)) if each.name is not None]
    found = [e for e in known if wanted in f"{e.name}\n{e.rest}".casefold()]
    return sorted(found, key=lambda each: ((each.name or "").casefold(), each.id))


def customer_typed(typed: str) -> models.Customer | None:
    """Give the customer that was chosen or typed: one that is here, or a new one by this name.

    Raises
    ------
    CustomerRefusedError
        If one was chosen who is not here any more.
    """
    text = typed.strip()
    if not text:
        return None
    named = _NAMED.fullmatch(text)
    if named is None:
        return keep_customer(text, "")
    found = models.Customer.objects.filter(id=named[2]).first()
    if found is None:
        raise CustomerRefusedError("this customer is not here any more: type a name")
    return found
