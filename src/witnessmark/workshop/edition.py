"""Which edition of the pages this is: phones keep the pages and ask whether theirs is newest."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from witnessmark.ledger.canonical import canonical_bytes, digest

_HERE = Path(__file__).parent

_FOLDERS = ("static", "templates/pages")


@cache
def edition() -> str:
    """Give the digest of all files that pages are made of, as they were when first asked."""
    files = {
        path.relative_to(_HERE).as_posix(): digest(path.read_bytes())
        for folder in _FOLDERS
        for path in sorted((_HERE / folder).rglob("*"))
        if path.is_file()
    }
    return digest(canonical_bytes(files))
