"""Events of older versions: the frozen ones, and one of a version made up before the first."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.ledger.devices import Device

EVENTS = Path(__file__).parent / "vectors" / "events"


def frozen(version: int) -> list[dict[str, Any]]:
    """Give the frozen events of a version, as `{id, bytes}`."""
    return list(json.loads((EVENTS / f"version-{version}.json").read_bytes()))


def _written() -> dict[str, Any]:
    device = Device("phone-1")
    return device.holds[device.write(type="done", action="make", object="cover-bolts")]


AS_READ = _written()
"""How the event before the first version reads today."""

BEFORE_THE_FIRST = {**AS_READ, "v": 0, "action": None, "values": {"made_tight": "make"}}
"""The same in a version that never was, with another word for its action."""


def first_step(event: dict[str, Any]) -> dict[str, Any]:
    """Give what that event said in the words of the first version; it tries to move it as well."""
    return {**event, "action": event["values"]["made_tight"], "values": {}, "seq": 9}
