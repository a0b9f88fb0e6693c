"""Machine files written in tests: read from memory, never from disc."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from witnessmark.machine.checks import check_machine, check_state, check_workshop
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.reading import ReadResult, read_machine, read_state, read_workshop
from witnessmark.machine.workshop import Workshop

TOP = """
witnessmark: 1
machine: trial
source: invented for this test
"""
"""Added below a file that does not say its version, so that its lines count from 1."""

FILE = "m.yaml"


def loader(files: Mapping[str, str | bytes]) -> Callable[[str], bytes]:
    """A loader that knows these files and no other."""

    def load(path: str) -> bytes:
        if path not in files:
            raise FileNotFoundError(path)
        text = files[path]
        return text if isinstance(text, bytes) else text.encode("utf-8")

    return load


def whole(text: str) -> str:
    """The text as a machine file of its own."""
    return text if "witnessmark:" in text else text.rstrip() + "\n" + TOP.lstrip()


def read_text(text: str | bytes, **others: str | bytes) -> ReadResult[Machine]:
    """Read a machine file; `others` are files it may include, as `name` for `name.yaml`."""
    files: dict[str, str | bytes] = {f"{name}.yaml": other for name, other in others.items()}
    files[FILE] = text if isinstance(text, bytes) else whole(text)
    return read_machine(loader(files), FILE)


def machine_from(text: str, **others: str) -> Machine:
    """Read a machine file that has nothing wrong with it."""
    read = read_text(text, **others)
    assert read.complaints == ()
    assert read.value is not None
    return read.value


def check_text(text: str | bytes, **others: str | bytes) -> list[Complaint]:
    """Every complaint about a machine file, of reading and rules."""
    return check_machine(read_text(text, **others))


def workshop_read(text: str) -> ReadResult[Workshop]:
    """Read a workshop file."""
    return read_workshop(loader({"w.yaml": text}), "w.yaml")


def check_workshop_text(text: str) -> list[Complaint]:
    """Every complaint about a workshop file."""
    return check_workshop(workshop_read(text))


def state_read(text: str) -> ReadResult[JobState]:
    """Read a state file."""
    return read_state(loader({"s.yaml": text}), "s.yaml")


def check_state_text(text: str, machine: Machine | None = None) -> list[Complaint]:
    """Every complaint about a state file."""
    return check_state(state_read(text), machine)
