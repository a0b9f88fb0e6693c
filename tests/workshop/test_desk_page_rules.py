"""What holds of every page: queries, the content policy, the token of forms."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from tests.workshop.desk_visitor import ROOT


def many(first, last):
    from tests.workshop.test_desk_lists import kept_at_once, opened
    from witnessmark.workshop import models

    opened(first, last, folded=True)
    kept = kept_at_once("customer", [f"C {number}\nLane" for number in range(first, last)])
    models.Customer.objects.bulk_create(
        models.Customer(id=f"c-{n}", details=each) for n, each in enumerate(kept, first)
    )
    models.Vehicle.objects.filter(id__in=[f"v-{n}" for n in range(first, last)]).update(
        customer="c-0"
    )


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_lists_take_as_many_queries_for_a_thousand_jobs_as_for_ten(desk, counted):
    pages = ("/", "/wall/", "/?q=N", "/vehicles/", "/customers/", "/jobs/new/", "/vehicles/v-0/")
    many(0, 10)
    for page in pages:
        desk.get(page)
    few = [counted(lambda page=page: desk.get(page))[0] for page in pages]
    many(10, 1000)
    lots = [counted(lambda page=page: desk.get(page))[0] for page in pages]
    assert lots == few
    assert max(few) <= 14


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_a_job_s_page_takes_as_many_queries_however_long_its_record(desk, workshop, counted):
    ben = workshop.ben
    ben.write(type="stopped")
    ben.send()
    desk.get("/jobs/job-1/")
    few, _ = counted(lambda: desk.get("/jobs/job-1/"))
    for number in range(60):
        ben.write(type="put", values={"kind": "rag", "what": f"rag {number}", "how": "in"})
    ben.send()
    assert counted(lambda: desk.get("/jobs/job-1/"))[0] == few <= 24


TEMPLATES = sorted((ROOT / "src" / "witnessmark" / "workshop" / "templates").rglob("*.html"))


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_no_page_has_what_the_content_policy_would_break_or_let_through(template):
    """With eval off, filters of triggers let everything through and `hx-on` does nothing."""
    text = template.read_text("utf-8")
    assert "hx-on" not in text
    for trigger in re.findall(r'hx-trigger="([^"]*)"', text):
        assert "[" not in trigger, trigger
    assert not re.search(r"hx-(vals|headers|vars)=[\"']js:", text)
    assert not re.search(r"\son[a-z]+\s*=", text)
    assert not re.search(r"\sstyle\s*=", text)
    assert "<style" not in text
    assert all("src=" in tag for tag in re.findall(r"<script\b[^>]*>", text))
    for form in re.findall(r"<form\b.*?</form>", text, re.DOTALL):
        if 'method="post"' in form[: form.index(">")] and "data-sends" not in form:
            assert "csrf_token" in form or 'id="pair"' in form, form[:80]


def test_a_form_without_the_token_is_refused(desk, workshop):
    from witnessmark.workshop import models

    client = Client(enforce_csrf_checks=True, headers={"Host": "localhost"})
    client.force_login(models.Member.objects.get(id="ann"))
    for path in ("/jobs/new/", "/customers/new/", "/vehicles/new/", "/library/"):
        assert client.post(path, {"title": "x", "name": "x"}).status_code == 403
