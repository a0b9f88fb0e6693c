"""Addresses of the workshop: the API, and the pages."""

from __future__ import annotations

from django.urls import URLResolver, path
from django.urls.resolvers import RoutePattern

from witnessmark.workshop.api import api

PAGES = "witnessmark.workshop.pages.addresses"
"""By name: pages and all they need are read when the first is asked for.

Phones that wait for a server to be back need none of it.
"""

urlpatterns = [path("api/", api.urls), URLResolver(RoutePattern(""), PAGES)]
