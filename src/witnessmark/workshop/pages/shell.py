"""The bench's shell: a page without any data; what it shows is drawn on the phone."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path


def bench(request: HttpRequest) -> HttpResponse:
    """Give the page that the bench is drawn on."""
    return render(request, "pages/bench.html")


urlpatterns = [path("bench/", bench, name="bench")]
