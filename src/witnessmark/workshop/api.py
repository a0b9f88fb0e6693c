"""The API: what phones and desks send and fetch."""

from __future__ import annotations

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from ninja import NinjaAPI

from witnessmark.workshop import (
    api_bench,
    api_draft,
    api_jobs,
    api_ledger,
    api_me,
    api_people,
    api_replan,
)

api = NinjaAPI(title="Witnessmark workshop", version="1", docs_url=None)
api.add_router("", api_bench.router)
api.add_router("", api_draft.router)
api.add_router("", api_jobs.router)
api.add_router("", api_ledger.router)
api.add_router("", api_people.router)
api.add_router("", api_me.router)
api.add_router("", api_replan.router)


@api.exception_handler(RequestDataTooBig)
def too_big(request: HttpRequest, _error: RequestDataTooBig) -> HttpResponse:
    """Answer a body that is too long to be read."""
    says = {"detail": "too long: send less at once, photos of at most 16 MB"}
    return api.create_response(request, says, status=413)
