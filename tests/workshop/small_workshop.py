"""A workshop with few people: an owner, two technicians on a job each, and their phones."""

from __future__ import annotations

import json
from io import BytesIO
from typing import Any

from django.test import Client
from PIL import Image

from tests.ledger.devices import Device
from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.ledger.events import event_bytes


class Phone:
    """A phone: its own chain of events, and a way to the API."""

    def __init__(self, name: str, secret: str | None, job: str = "job-1") -> None:
        self.writes = Device(name)
        self.job = job
        head = {} if secret is None else {"Authorization": f"Bearer {secret}"}
        self.client = Client(headers={"Host": "localhost", **head}, raise_request_exception=False)

    def write(self, **fields: Any) -> str:
        return self.writes.write(**{"job": self.job, **fields})

    def sent(self, ids: list[str] | None = None) -> list[dict[str, str]]:
        ids = list(self.writes.holds) if ids is None else ids
        return [{"id": i, "event": event_bytes(self.writes.holds[i]).decode()} for i in ids]

    def send(self, ids: list[str] | None = None) -> list[dict[str, Any]]:
        answer = self.post("/api/events", {"events": self.sent(ids)})
        assert answer.status_code == 200, answer.content
        return list(answer.json()["answers"])

    def post(self, path: str, body: object = None, **more: Any) -> Any:
        return self.client.post(path, json.dumps(body), "application/json", **more)

    def put(self, path: str, body: bytes) -> Any:
        return self.client.put(path, body, "application/octet-stream")

    def get(self, path: str, **query: Any) -> Any:
        return self.client.get(path, query)

    def delete(self, path: str) -> Any:
        return self.client.delete(path)


class SmallWorkshop:
    """Ann owns it; Ben is on job-1, Cal on job-2; a stranger has no secret."""

    def __init__(self) -> None:
        from witnessmark.workshop import models, people

        for id_, role in (("ann", "owner"), ("ben", "technician"), ("cal", "technician")):
            member = models.Member(id=id_, name=id_.title(), role=role)
            member.set_unusable_password()
            member.save()
        for number, id_ in ((1, "ben"), (2, "cal")):
            job = models.Job.objects.create(id=f"job-{number}", title=f"Job {number}", opened=1)
            models.OnJob.objects.create(job=job, member_id=id_)
        self.owner = Phone("desk-ann", people.pair("desk-ann", "Ann's desk", "ann"))
        self.ben = Phone("phone-ben", people.pair("phone-ben", "Ben's phone", "ben"))
        self.cal = Phone("phone-cal", people.pair("phone-cal", "Cal's phone", "cal"), "job-2")
        self.stranger = Phone("phone-x", None)


def picture(size: tuple[int, int] = (640, 480), kind: str = "JPEG") -> bytes:
    out = BytesIO()
    Image.linear_gradient("L").resize(size).convert("RGB").save(out, kind)
    return out.getvalue()


def pack_bytes(name: str = "m") -> bytes:
    from witnessmark.ledger.pack import empty_pack

    return canonical_bytes(empty_pack(name, f"machine {name}"))


def named(data: bytes) -> str:
    return digest(data)
