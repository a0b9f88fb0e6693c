"""Files that are there whole or not at all, also when the power fails."""

from __future__ import annotations

import os
import secrets
from pathlib import Path


def write_synced(path: Path, data: bytes) -> None:
    """Write a file so that it is there whole or not at all, also when the power fails."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    with beside.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    beside.replace(path)
    for folder in (path.parent, path.parent.parent):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
