"""The workshop as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    """The one application of the project."""

    name = "witnessmark.workshop"
    label = "workshop"
    default_auto_field = "django.db.models.BigAutoField"
