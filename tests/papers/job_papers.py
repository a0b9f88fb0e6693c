"""Small jobs for the papers about a job under way, and their words read back from the PDF."""

from __future__ import annotations

import io
import unicodedata
from copy import deepcopy
from datetime import timedelta, timezone

import pdfplumber

from tests.ledger.packs import dunlin, nobody
from tests.ledger.small_history import Bench
from witnessmark.ledger.fold import fold
from witnessmark.papers.job_printing import Printing
from witnessmark.papers.rendering import render_pdf

PACK = deepcopy(dunlin())
BLANK = deepcopy(nobody())
DIGEST = "5f1c0a77be93d2e46880" + "ab" * 22
PEOPLE = {"ann": "Ann Tern", "bob": "Bob Dunlin"}
HOUR = 3_600_000


def printing(bench: Bench, **more) -> Printing:
    """Print an hour after the last entry, in a zone two hours ahead of Greenwich."""
    told = {
        "job": "job",
        "title": "Belt for Pia Plover",
        "now": bench.now + HOUR,
        "book_number": 12,
        "book_digest": DIGEST,
        "people": PEOPLE,
        "zone": timezone(timedelta(hours=2)),
        **more,
    }
    return Printing(**told)


def folded(bench: Bench, pack=PACK):
    return fold(pack, bench.history, ("marks",))


def squeezed(words: str) -> str:
    """Drop what setting adds or takes: blanks, breaks, hyphens, ligatures."""
    plain = unicodedata.normalize("NFKC", words)
    return "".join(c for c in plain if not c.isspace() and c not in "-\u00ad\u2010\u200b\ufffe\x02")


def printed(template: str, content) -> str:
    """Give the words of all pages in reading order, squeezed."""
    with pdfplumber.open(io.BytesIO(render_pdf(template, content))) as pdf:
        return squeezed("".join(page.extract_text() for page in pdf.pages))


def pages(template: str, content) -> list[str]:
    with pdfplumber.open(io.BytesIO(render_pdf(template, content))) as pdf:
        return [page.extract_text() for page in pdf.pages]
