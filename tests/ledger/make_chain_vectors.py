"""Makes `vectors/chains.json`: what both sides must answer about clocks, chains and seals.

Clocks are worked out by hand. Chains are written by the phones of `devices.py`, two of them with
clocks wrong by days, one that came back from an older copy. Seals are hashed here with the
standard library, from bytes put together by hand. Run again only when the form has changed on
purpose: `python -m tests.ledger.make_chain_vectors`.
"""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from typing import Any

from tests.ledger.devices import Device
from witnessmark.ledger.events import event_bytes

FILE = Path(__file__).parent / "vectors" / "chains.json"
DAY = 86_400_000

# Latest seen, wall clock, and the clock of the next event, by hand from the paper's rule.
TICKS = [
    [[0, 0], 5, [5, 0]],
    [[5, 0], 6, [6, 0]],
    [[5, 7], 6, [6, 0]],
    [[5, 0], 5, [5, 1]],
    [[5, 3], 5, [5, 4]],
    [[5, 3], 4, [5, 4]],
    [[5, 3], -4, [5, 4]],
    [[1_700_000_000_000, 2], 1_600_000_000_000, [1_700_000_000_000, 3]],
]
LATEST = [
    [[], [0, 0]],
    [[[3, 1]], [3, 1]],
    [[[3, 1], [3, 2], [2, 9]], [3, 2]],
    [[[2, 9], [10, 0], [3, 2]], [10, 0]],
]
SEALED = [
    "DEMO 1",
    "Pia Plover (invented), 8 Nowhere Lane",
    'a "quoted"\nline',
    "\u00e9\U0001f527",
]


def written() -> list[dict[str, Any]]:
    """Write as four phones do that meet now and then; note before each what the phone held."""
    ahead, behind = Device("phone-ahead", wrong_by=3 * DAY), Device("phone-behind", wrong_by=-DAY)
    right, back = Device("phone-right"), Device("phone-back")
    rows: list[dict[str, Any]] = []

    def write(device: Device, **fields: Any) -> None:
        holds, last = list(device.holds), device.last
        id_ = device.write(**fields)
        event = device.holds[id_]
        by = {key: event[key] for key in ("job", "device", "person", "wall")}
        said = {"type": event["type"], "fields": fields}
        data = event_bytes(event).decode()
        rows.append({"holds": holds, "last": last, "by": by, **said, "id": id_, "bytes": data})

    write(right, pack="ab" * 32, type="begin")
    write(right, object="cover", note="first")
    ahead.hear(right)
    write(ahead, object="cover", values={"of": "3 days ahead"})
    behind.hear(ahead)
    write(behind, object="belt", photos=["cd" * 32])
    write(behind, object="belt")
    right.hear(behind)
    write(back)
    write(back, note="to be forgotten")
    right.hear(back)
    write(right, values={"of": "two heads"})
    back.lose_last()
    write(back, note="written again: a fork")
    right.hear(back)
    write(right, note="sees both branches")
    return rows


def sealed() -> list[dict[str, str]]:
    """Seal texts: the digest of `{"salt":...,"says":...}`, the escapes made by hand."""
    rows = []
    for number, says in enumerate(SEALED):
        salt = bytes(range(number, number + 16 + number)).hex()
        quoted = says.replace('"', '\\"').replace("\n", "\\u000a")
        text = f'{{"salt":"{salt}","says":"{quoted}"}}'
        rows.append({"salt": salt, "says": says, "seal": sha256(text.encode()).hexdigest()})
    return rows


def faulty() -> list[dict[str, Any]]:
    """Chains that no phone can have written, each with the faults that must be named."""
    one, other = Device("phone-1"), Device("phone-2")
    first, second = one.write(), one.write()
    elsewhere = other.write(job="job-2")
    cases: list[tuple[str, dict[str, Any], list[str]]] = [
        ("all is well", {}, []),
        ("follows another's", {"device": "phone-2"}, ["follows an event of another device"]),
        ("skips a number", {"seq": 4}, ["number 4 follows 1"]),
        ("names another job's", {"seen": [elsewhere]}, ["names an event of another job"]),
        (
            "all at once",
            {"device": "phone-2", "seq": 9, "seen": [elsewhere]},
            [
                "follows an event of another device",
                "number 9 follows 1",
                "names an event of another job",
            ],
        ),
    ]
    return [
        _stored(
            it,
            [one.holds[first], other.holds[elsewhere], {**one.holds[second], **change}],
            says,
        )
        for it, change, says in cases
    ]


def _stored(it: str, events: list[dict[str, Any]], says: list[str]) -> dict[str, Any]:
    texts = [event_bytes(each).decode() for each in events]
    rows = [[sha256(text.encode()).hexdigest(), text] for text in texts]
    return {"it": it, "stored": rows, "faults": [[rows[-1][0], each] for each in says]}


def make() -> dict[str, Any]:
    """Make all of them."""
    return {
        "ticks": TICKS,
        "latest": LATEST,
        "written": written(),
        "sealed": sealed(),
        "faulty": faulty(),
    }


if __name__ == "__main__":
    FILE.write_text(json.dumps(make(), indent=1, ensure_ascii=True) + "\n", encoding="ascii")
