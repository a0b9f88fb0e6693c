"""The desk's first page: every job, the open ones first, where each stands."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from witnessmark.workshop import job_lists
from witnessmark.workshop.pages.asking import part_of, search_words, sender_of

MOST_OPEN = 200
"""Open jobs shown at once; a workshop with more finds the others by searching."""


@require_safe
def jobs(request: HttpRequest) -> HttpResponse:
    """List the jobs: open ones whole, those handed back in parts."""
    return render(request, "pages/jobs/list.html", _lists(request))


@require_safe
def wall(request: HttpRequest) -> HttpResponse:
    """Show the open jobs for a screen on the wall, which looks again by itself."""
    return render(request, "pages/jobs/wall.html", _lists(request))


def _lists(request: HttpRequest) -> dict[str, object]:
    mine, words = sender_of(request).jobs(), search_words(request)
    job_lists.freshen(mine)
    known = job_lists.with_views(job_lists.matching(mine, words))
    open_ = list(job_lists.open_jobs(known)[: MOST_OPEN + 1])
    done = part_of(request, job_lists.done_jobs(known), job_lists.listed)
    return {
        "open": job_lists.listed(open_[:MOST_OPEN]),
        "more": len(open_) > MOST_OPEN,
        "done": done,
        "words": words,
        "here": "jobs",
    }


urlpatterns = [
    path("", jobs, name="jobs"),
    path("wall/", wall, name="wall"),
]
