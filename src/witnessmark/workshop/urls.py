"""Addresses of the workshop: the API, and the pages of each subject."""

from __future__ import annotations

from django.urls import path

from witnessmark.workshop.api import api
from witnessmark.workshop.pages import shell

urlpatterns = [path("api/", api.urls), *shell.urlpatterns]
