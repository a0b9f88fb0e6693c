"""Addresses of the pages of each subject."""

from __future__ import annotations

from witnessmark.workshop.pages import (
    customers,
    first_day,
    job,
    jobs,
    library,
    new_job,
    pairing,
    papers,
    people,
    settings,
    shell,
    trust,
    vehicles,
    who,
)

urlpatterns = [
    *shell.urlpatterns,
    *first_day.urlpatterns,
    *who.urlpatterns,
    *settings.urlpatterns,
    *people.urlpatterns,
    *trust.urlpatterns,
    *pairing.urlpatterns,
    *papers.urlpatterns,
    *jobs.urlpatterns,
    *new_job.urlpatterns,
    *job.urlpatterns,
    *vehicles.urlpatterns,
    *customers.urlpatterns,
    *library.urlpatterns,
]
