"""Papers as PDF: of a job as it stands, of its plan, and bag labels numbered beforehand."""

from __future__ import annotations

from typing import cast

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from witnessmark.papers.label_roll import LabelError, label_roll
from witnessmark.workshop import models
from witnessmark.workshop.job_papers import print_paper
from witnessmark.workshop.one_paper import NoPaperError
from witnessmark.workshop.people import Sender
from witnessmark.workshop.press import PRESS, PressBusyError
from witnessmark.workshop.sessions import Known, member_of

SAYS = {"yes": True, "no": False}
"""What `customer=` may say: whether customer and plate stand on the paper."""


@require_safe
def paper(request: HttpRequest, job: str, name: str) -> HttpResponse:
    """Give a paper of a job that whoever asks may see."""
    found = _job(request, job)
    named = SAYS.get(request.GET.get("customer", ""))
    try:
        return _pdf(print_paper(found, name, named=named), f"{job}-{name}")
    except NoPaperError as refusal:
        return _refused(refusal)


@require_safe
def labels(request: HttpRequest) -> HttpResponse:
    """Give bag labels, numbered on from `from`, on a roll or on sheets."""
    _sender(request)
    first, count = request.GET.get("from", "1"), request.GET.get("count", "24")
    kind = request.GET.get("kind", "sheet")
    try:
        content = label_roll(_number(first), _number(count), kind)
        return _pdf(PRESS.template("true-size", content), f"bag-labels-{first}")
    except (LabelError, NoPaperError) as refusal:
        return _refused(refusal)


def _number(words: str) -> int:
    if not (words.isascii() and words.isdigit() and len(words) <= 9):
        raise LabelError(f"'{words[:20]}' is no number: give `from` and `count` as whole numbers")
    return int(words)


def _sender(request: HttpRequest) -> Sender:
    known = cast("Known", request)
    if known.bearing is not None and not known.bearing.is_revoked:
        return known.bearing
    member = member_of(request)
    if member is None:
        raise Http404
    return Sender(member, known.paired)


def _job(request: HttpRequest, job: str) -> models.Job:
    """Give a job that the sender may see; 404 for all others, there or not."""
    jobs = _sender(request).jobs().select_related("vehicle__customer")
    found = jobs.filter(id=job).first()
    if found is None:
        raise Http404
    return found


def _pdf(data: bytes, name: str) -> HttpResponse:
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _refused(refusal: ValueError) -> HttpResponse:
    busy = isinstance(refusal, PressBusyError)
    status = 503 if busy else 400 if isinstance(refusal, LabelError) else 409
    head = {"Retry-After": "3"} if busy else {}
    return HttpResponse(f"{refusal}\n", status=status, content_type="text/plain", headers=head)


urlpatterns = [
    path("papers/labels.pdf", labels, name="labels"),
    path("jobs/<slug:job>/papers/<slug:name>.pdf", paper, name="paper"),
]
