"""Somebody at the desk's pages, and what a booking types."""

from __future__ import annotations

import re
from pathlib import Path

from django.test import Client

ROOT = Path(__file__).parents[2]

BOOKED = {
    "title": "Drive belt <renewed>",
    "plate": "wm 1 abc",
    "called": "",
    "chassis": "xx123",
    "engine": "HP21",
    "mileage": "84,200 miles",
    "customer": "Dora Invented",
    "complaint": "Runs hot on hills",
    "contact": "Dora, by telephone",
    "promised": "Friday",
    "vehicle": "",
}
"""What is typed for a job."""

CHOSEN = {"machine": "tarn-two-stage", "work": ["drive-belt"]}
"""What is chosen for a job: a small machine, which is planned at once."""


class Desk:
    """A browser at the desk with somebody sitting at it."""

    def __init__(self, member: str) -> None:
        from witnessmark.workshop import models

        self.client = Client(headers={"Host": "localhost"})
        self.client.force_login(models.Member.objects.get(id=member))

    def get(self, path, status=200):
        answer = self.client.get(path)
        assert answer.status_code == status, (path, answer.status_code, answer.content[-2000:])
        return answer.content.decode()

    def post(self, path, body, status=303):
        answer = self.client.post(path, body)
        assert answer.status_code == status, (answer.status_code, answer.content.decode()[:3000])
        return answer.headers.get("Location", ""), answer.content.decode()

    def form(self, path="/jobs/new/?machine=tarn-two-stage&work=drive-belt"):
        """Give what the page for a new job would send: its id and the plan that is ticked."""
        page = self.get(path)
        found = {"id": re.search(r'name="id" value="([^"]+)"', page)[1]}
        plan = re.search(r'name="plan" value="([^"]+)" checked', page)
        return found | BOOKED | ({"plan": plan[1]} if plan else {})
