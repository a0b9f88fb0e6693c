"""Addresses of the workshop."""

from __future__ import annotations

from django.urls import path

from witnessmark.workshop.api import api

urlpatterns = [path("api/", api.urls)]
