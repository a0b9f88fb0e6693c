"""The press: papers made one after the other, never in the server's own process.

Setting a long paper takes up to 650 MB and a whole processor; the pages and phones must not
feel it. One paper is made at a time and two may wait; whoever comes then is asked to come
again.
"""

from __future__ import annotations

import json
import subprocess
import sys
from base64 import b64encode
from collections.abc import Mapping
from threading import BoundedSemaphore, Lock
from typing import Any

from witnessmark.workshop.one_paper import REFUSED, NoPaperError

WAITING = 2
"""Papers that may wait while one is made. Each waiting one holds a thread of the server."""

PATIENCE = 30.0
"""How long a paper may take, and how long one may wait its turn. [s]"""


class PressBusyError(NoPaperError):
    """Too many papers at once: come again in a moment."""


BUSY = "other papers are being printed: try again in a moment"


class Press:
    """A press: one paper at a time, few waiting."""

    def __init__(self, waiting: int = WAITING, patience: float = PATIENCE) -> None:
        self._inside = BoundedSemaphore(1 + waiting)
        self._turn = Lock()
        self.patience = patience

    def template(
        self, name: str, content: Mapping[str, Any], pictures: Mapping[str, bytes] | None = None
    ) -> bytes:
        """Print a template with its content and pictures.

        Raises
        ------
        NoPaperError
            If it cannot be printed; `PressBusyError` when too many ask at once.
        """
        packed = {key: b64encode(data).decode() for key, data in (pictures or {}).items()}
        return self._print({"template": name, "content": content, "pictures": packed})

    def plan(self, **plan: object) -> bytes:
        """Print a paper of a plan: `folder`, `machine`, `works`, `objects` of the pack, `name`.

        Raises
        ------
        NoPaperError
            If it cannot be printed; `PressBusyError` when too many ask at once.
        """
        return self._print({"plan": plan})

    def _print(self, wanted: Mapping[str, Any]) -> bytes:
        if not self._inside.acquire(blocking=False):
            raise PressBusyError(BUSY)
        try:
            if not self._turn.acquire(timeout=self.patience):
                raise PressBusyError(BUSY)
            try:
                return self._made(json.dumps(wanted).encode())
            finally:
                self._turn.release()
        finally:
            self._inside.release()

    def _made(self, wanted: bytes) -> bytes:
        try:
            done = subprocess.run(
                [sys.executable, "-m", "witnessmark.workshop.one_paper"],
                input=wanted,
                capture_output=True,
                timeout=self.patience,
                check=False,
            )
        except subprocess.TimeoutExpired:
            says = f"the paper was not ready within {self.patience:.0f} seconds: print less at once"
            raise NoPaperError(says) from None
        if done.returncode == REFUSED:
            raise NoPaperError(done.stdout.decode())
        if done.returncode != 0 or not done.stdout.startswith(b"%PDF-"):
            raise NoPaperError("the paper could not be made: it may be too large to be set here")
        return done.stdout


PRESS = Press()
"""The press of this server's process."""
