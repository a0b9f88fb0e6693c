"""Requests drawn from the API's own schema: never a 5xx, never a word of another's job."""

from __future__ import annotations

import json

import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.workshop.small_workshop import Phone

HIDDEN = "words of another job"


def answer_to(phone: Phone, case: schemathesis.Case):
    body = case.body if isinstance(case.body, dict | list | str | int | float | None) else None
    return phone.client.generic(
        case.method,
        case.formatted_path,
        json.dumps(body) if isinstance(case.body, dict | list) else "",
        content_type="application/json",
        query_params={k: v for k, v in (case.query or {}).items() if v is not None},
    )


def test_no_request_is_answered_5xx_nor_with_another_s_job(workshop):
    from witnessmark.workshop import models
    from witnessmark.workshop.api import api

    models.Job.objects.filter(id="job-2").update(title=HIDDEN)
    workshop.cal.write(note=HIDDEN)
    workshop.cal.send()
    schema = schemathesis.openapi.from_dict(api.get_openapi_schema())
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) == 24
    seen: set[int] = set()

    for operation in operations:
        tried(operation, workshop, seen)
    assert {200, 401, 404, 422} <= seen


def tried(operation, workshop, seen):
    @settings(
        max_examples=8,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(data=st.data())
    def drawn(data):
        case = data.draw(operation.as_strategy())
        if "job" in case.path_parameters and data.draw(st.booleans()):
            case.path_parameters["job"] = data.draw(st.sampled_from(["job-1", "job-2"]))
        for phone in (workshop.ben, workshop.stranger):
            answer = answer_to(phone, case)
            assert answer.status_code < 500, (case.method, case.formatted_path, case.body)
            assert HIDDEN not in answer.content.decode("utf-8", "replace")
            seen.add(answer.status_code)

    drawn()
