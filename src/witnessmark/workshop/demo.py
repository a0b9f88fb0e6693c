"""A workshop to try things on: invented people, vehicles and customers, jobs in several stages.

The events are what a phone writes when its owner follows the plan step by step.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

from witnessmark.ledger.canonical import digest
from witnessmark.ledger.clock import START, tick
from witnessmark.ledger.commitments import SHORTEST_SALT
from witnessmark.ledger.events import Event, event_bytes
from witnessmark.ledger.evidence import HOW, PHOTO, owed
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.registers import registers
from witnessmark.ledger.state import JobState
from witnessmark.workshop import models, people, private
from witnessmark.workshop.arriving import Sent, take
from witnessmark.workshop.packs import keep_pack
from witnessmark.workshop.photos import take_photo
from witnessmark.workshop.writing import now, write_transaction

STEP_TAKES = 4 * 60_000
"""How long a step takes in the demonstration. [ms]"""

PEOPLE = (("ola", "Ola Tern", "owner"), ("pim", "Pim Dunlin", "technician"))
"""Invented: id, name, role."""

CUSTOMERS = (
    ("c-heron", "Heron Bakery (invented)\n3 Nowhere Lane"),
    ("c-plover", "Pia Plover (invented)\n8 Nowhere Lane"),
)


SAID = {
    "stage": "1",
    "wrench": "W3",
    "new fasteners": "new (invented)",
    "litres out": "3.5",
    "litres in": "3.5",
    "level": "on the mark, cold",
    "turns": "2",
    "how tightened": "by feel",
}
"""What is said where the rules ask for it; invented, as all of the demonstration."""


@dataclass(frozen=True, slots=True)
class DemoJob:
    """A job of the demonstration: what is done, on what, and how far it has got.

    `twelfths` of the plan's steps are done; `then` is what was written after them:
    `stopped`, `closed` or nothing.
    """

    id: str
    title: str
    vehicle: str
    pack: dict[str, Any]
    twelfths: int
    then: str | None = None


@dataclass
class Following:
    """A phone whose owner follows a plan."""

    job: str
    device: str
    person: str
    wall: int
    photo: str
    written: list[Event] = field(default_factory=list)
    last: str | None = None

    def write(self, type_: str, **fields: Any) -> None:  # noqa: ANN401 - an event's own fields
        """Write the next event of this phone's chain."""
        self.wall += STEP_TAKES
        before = self.written[-1]["clock"] if self.written else START
        event: Event = {
            "v": 1,
            "type": type_,
            "job": self.job,
            "device": self.device,
            "seq": len(self.written) + 1,
            "prev": self.last,
            "seen": [],
            "person": self.person,
            "clock": list(tick((before[0], before[1]), self.wall)),
            "wall": self.wall,
            "action": None,
            "object": None,
            "values": {},
            "photos": [],
            "note": None,
            "pack": None,
            **fields,
        }
        self.last = digest(event_bytes(event))
        self.written.append(event)

    def step(self, step: dict[str, Any], asked: list[str]) -> None:
        """Do a step of the plan, saying what is asked of it."""
        if step["kind"] == "block":
            self.write("block", object=step["object"], values={"within": True})
            return
        said = {"how" if each == HOW else each: SAID.get(each, "seen") for each in asked}
        photo = said.pop(PHOTO, None)
        self.write(
            "done",
            action=step["action"],
            object=step["object"],
            values=said,
            photos=[self.photo] if photo else [],
        )

    def hand_back(self, pack: dict[str, Any]) -> None:
        """Name who keeps the duties, answer what is asked at handing back, and close the job."""
        for row in registers(self._state(pack))["duties that keep it"]:
            done = {"duty": row["duty"], "limit": "seen", "person": self.person, "done": True}
            self.write("duty", values=done)
        asks = gate(self._state(pack), "handing-back", None, None, self.wall)["asks"]
        self.write("gate", action="handing-back", values={"answered": asks})
        self.write("closed")

    def _state(self, pack: dict[str, Any]) -> JobState:
        events = {digest(event_bytes(each)): each for each in self.written}
        return fold(pack, Graph(events), (self.photo,))


def load(jobs: list[DemoJob]) -> dict[str, int]:
    """Fill an empty workshop; give the events of each job.

    Raises
    ------
    ValueError
        If there is a workshop here already.
    """
    if models.Job.objects.exists() or models.Member.objects.exists():
        raise ValueError("there is a workshop here already: name an empty folder")
    _people()
    picture = _picture()
    counts = {}
    for job in jobs:
        row = _open(job)
        pack = keep_pack(row.id, job.pack)
        take_photo(job.id, digest(picture), picture)
        phone = Following(job.id, "phone-pim", "pim", now() - 86_400_000, digest(picture))
        phone.write("begin", pack=pack, values={"works": job.pack["works"]})
        steps = job.pack["plan"]["steps"]
        state = fold(job.pack, Graph({}))
        objects = state.book["objects"]
        actions = {row["id"]: row for row in job.pack["rules"]["actions"]}
        for step in steps[: len(steps) * job.twelfths // 12]:
            action = actions.get(step["action"])
            asked = owed(state.book, action, objects[step["object"]]) if action else []
            phone.step(step, asked)
        if job.then == "closed":
            phone.hand_back(job.pack)
        elif job.then is not None:
            phone.write(job.then)
        counts[job.id] = _send(phone)
    return counts


def _people() -> None:
    for id_, name, role in PEOPLE:
        member = models.Member(id=id_, name=name, role=role)
        member.set_unusable_password()
        member.save()
        people.pair(f"phone-{id_}", f"{name}'s phone", id_)
    for id_, says in CUSTOMERS:
        details = private.keep("customer", None, _salt(id_), says)
        models.Customer.objects.create(id=id_, details=details)


def _salt(id_: str) -> bytes:
    """Give a salt for invented people, who have nothing to hide: the same each time."""
    return bytes.fromhex(digest(id_.encode()))[:SHORTEST_SALT]


def _open(job: DemoJob) -> models.Job:
    vehicle = f"v-{job.vehicle}"
    plate = private.keep("plate", None, _salt(vehicle), f"DEMO {job.vehicle.upper()}")
    customer = CUSTOMERS[len(job.vehicle) % len(CUSTOMERS)][0]
    with write_transaction():
        kept, _ = models.Vehicle.objects.get_or_create(
            id=vehicle,
            defaults={"machine": job.vehicle, "customer_id": customer, "plate": plate},
        )
        row = models.Job.objects.create(
            id=job.id,
            title=job.title,
            vehicle=kept,
            opened=now(),
            machine=job.vehicle,
            works=" ".join(work["id"] for work in job.pack["works"]),
        )
        models.OnJob.objects.create(job=row, member_id="pim")
    return row


def _send(phone: Following) -> int:
    device = models.Device.objects.select_related("member").get(id=phone.device)
    batch = [Sent(digest(data), data) for data in map(event_bytes, phone.written)]
    answers = take(people.Sender(device.member, device), batch)
    return sum(each.answer == "new" for each in answers)


def _picture() -> bytes:
    """Draw the photo of all demonstration evidence: a line across a hexagon."""
    from PIL import Image, ImageDraw

    picture = Image.new("RGB", (640, 480), "#556")
    pen = ImageDraw.Draw(picture)
    pen.regular_polygon((320, 240, 120), 6, fill="#aaa", outline="#222")
    pen.line((320, 240, 520, 240), fill="#fc0", width=14)
    out = BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()
