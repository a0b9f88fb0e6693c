"""Files at the edge: the machine, workshop and state files behind the paths people give.

Everything that commands read comes through here; the core is handed what these give.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from witnessmark.machine import reading
from witnessmark.machine.checks import check_machine, check_state, check_workshop
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.reading import read_machine, read_state, read_workshop
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.yaml_nodes import Limits

_MOST_BYTES = Limits().size + 1
"""No more of a file is taken into memory than shows that it is too long."""


def load_bytes(path: str) -> bytes:
    """Give the bytes of a file, but no more than it takes to see that it is too long.

    Raises
    ------
    OSError
        If it cannot be opened or is not a plain file (a device would never end).
    """
    file = Path(path)
    if file.exists() and not file.is_file():
        raise OSError(21, "it is a folder" if file.is_dir() else "it is not a plain file")
    with file.open("rb") as stream:
        return stream.read(_MOST_BYTES)


def load_machine(path: str | Path) -> tuple[Machine | None, list[Complaint]]:
    """Read a machine file with all its includes, and check it.

    Returns the machine (None when the file cannot be read at all) and every complaint.
    A machine with complaints that are not warnings must not be planned on.
    """
    read = read_machine(load_bytes, Path(path).as_posix())
    return read.value, check_machine(read)


def load_workshop(path: str | Path) -> tuple[Workshop | None, list[Complaint]]:
    """Read a workshop file and check it."""
    read = read_workshop(load_bytes, Path(path).as_posix())
    return read.value, check_workshop(read)


def workshop_beside(machine_file: Path) -> Path | None:
    """Give the workshop file of a machine file: `workshop.yaml` beside or above it."""
    found = (folder / "workshop.yaml" for folder in machine_file.resolve().parents)
    return next((path for path in found if path.is_file()), None)


def load_state(
    path: str | Path, machine: Machine | None = None
) -> tuple[JobState | None, list[Complaint]]:
    """Read where a job stands and check it, against its machine when that is given."""
    read = read_state(load_bytes, Path(path).as_posix())
    return read.value, check_state(read, machine)


def kind_of_file(path: str | Path) -> str:
    """Tell a machine file ("witnessmark"), a workshop file and a state file apart.

    What cannot be opened counts as a machine file; reading it will say why.
    """
    try:
        return reading.kind_of_file(load_bytes(str(path)))
    except OSError:
        return "witnessmark"


def fit_for_use(complaints: Iterable[Complaint]) -> bool:
    """Tell whether nothing but warnings was found."""
    return all(complaint.is_warning for complaint in complaints)
