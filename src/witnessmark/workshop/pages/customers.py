"""Customers: who they are, whose each vehicle is, and deleting what is known of one."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.workshop import customers, models, private
from witnessmark.workshop.customers import CustomerRefusedError, keep_customer, known_customers
from witnessmark.workshop.pages.asking import go, part_of, said_again, search_words, typed
from witnessmark.workshop.pages.settings import of_the_owner
from witnessmark.workshop.pages.vehicles import shown

SURE = "delete"
"""What is typed to delete a customer."""


@require_safe
def all_customers(request: HttpRequest) -> HttpResponse:
    """List the customers by name."""
    words = search_words(request)
    part = part_of(request, customers.all_customers(words), list)
    told = {"part": part, "words": words, "here": "customers"}
    return render(request, "pages/customers/list.html", told)


@require_http_methods(["GET", "POST"])
def customer(request: HttpRequest, customer: str | None = None) -> HttpResponse:
    """Show a customer with their vehicles, or add a new one."""
    row = None if customer is None else _found(customer)
    if request.method != "POST":
        return render(request, "pages/customers/customer.html", _told(row))
    form = typed(request, "name", "rest")
    try:
        kept = keep_customer(form["name"], form["rest"], row)
    except CustomerRefusedError as error:
        told = {**_told(row), **form}
        return said_again(request, "pages/customers/customer.html", told, error)
    return go(reverse("customer", args=[kept.id]))


@of_the_owner
@require_http_methods(["GET", "POST"])
def delete(request: HttpRequest, customer: str) -> HttpResponse:
    """Say what deleting a customer means, and do it when that was confirmed."""
    row = _found(customer)
    told = {**_told(row), **_what_goes(row)}
    if request.method != "POST":
        return render(request, "pages/customers/delete.html", told)
    if request.POST.get("sure", "").strip().casefold() != SURE:
        says = f"type the word “{SURE}” to say that you are sure"
        return said_again(request, "pages/customers/delete.html", told, says)
    private.delete_customer(row.id)
    return go(reverse("customers"))


def _found(customer: str) -> models.Customer:
    row = models.Customer.objects.filter(id=customer).first()
    if row is None:
        raise Http404
    return row


def _told(row: models.Customer | None) -> dict[str, Any]:
    if row is None:
        return {"row": None, "name": "", "rest": "", "here": "customers"}
    known = known_customers([row])[0]
    theirs = models.Vehicle.objects.filter(customer=row).select_related("customer").order_by("pk")
    return {
        "row": row,
        "name": known.name or "",
        "rest": known.rest,
        "deleted": known.name is None,
        "vehicles": shown(list(theirs)),
        "here": "customers",
    }


def _what_goes(row: models.Customer) -> dict[str, int]:
    jobs = models.Job.objects.filter(vehicle__customer=row)
    said = models.Private.objects.filter(job__in=jobs.values("id"), deleted=None)
    photos = models.Photo.objects.filter(photoofjob__job__in=jobs, withheld=None).distinct()
    return {"jobs": jobs.count(), "texts": said.count(), "photos": photos.count()}


urlpatterns = [
    path("customers/", all_customers, name="customers"),
    path("customers/new/", customer, name="new-customer"),
    path("customers/<slug:customer>/", customer, name="customer"),
    path("customers/<slug:customer>/delete/", delete, name="delete-customer"),
]
