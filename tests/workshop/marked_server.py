"""The server as it is, with a mark that outlives it: is a transaction open just now?

Loaded by the crash test's worker instead of the plain one. The mark is a byte of a mapped
file, which the system keeps when a process is killed.
"""

from __future__ import annotations

import mmap
import os
from pathlib import Path

from django.db.transaction import Atomic

from witnessmark.workshop.wsgi import application

with Path(os.environ["TEST_MARK"]).open("r+b") as _file:
    _mark = mmap.mmap(_file.fileno(), 1)

_enter, _exit = Atomic.__enter__, Atomic.__exit__


def _entered(self):
    _enter(self)
    _mark[0] = 1


def _left(self, *told):
    try:
        _exit(self, *told)
    finally:
        _mark[0] = 0


Atomic.__enter__, Atomic.__exit__ = _entered, _left

__all__ = ["application"]
