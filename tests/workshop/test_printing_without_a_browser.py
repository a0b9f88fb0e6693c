"""`handover`, `record` and `labels`: what they write, and what they say when they cannot."""

from __future__ import annotations

import io

import pdfplumber
import pytest
from click.testing import CliRunner
from django.db import connections

from tests.workshop.small_workshop import SmallWorkshop
from witnessmark.cli.root import command
from witnessmark.workshop.starting import start


@pytest.fixture
def place(sqlite_place):
    """What is written does not depend on the database."""
    start(sqlite_place, tables_are_ready=True)
    yield sqlite_place
    connections.close_all()


def run(*words):
    return CliRunner().invoke(command, [str(word) for word in words])


def words_of(path) -> str:
    with pdfplumber.open(io.BytesIO(path.read_bytes())) as pdf:
        return " ".join("\n".join(page.extract_text() for page in pdf.pages).split())


def test_handover_writes_the_sheet_and_the_card(place, tmp_path):
    ben = SmallWorkshop().ben
    told = {"kind": "part", "name": "air duct", "state": "off"}
    ben.write(type="noted", object="n-phone-ben-1", values=told)
    ben.send()
    out = tmp_path / "papers"
    done = run("handover", "job-1", "--data", place.folder, "--out", out)
    assert done.exit_code == 0, done.output
    sheet, card = out / "job-1-handover.pdf", out / "job-1-state-card.pdf"
    assert done.output.splitlines() == [f"written: {sheet}", f"written: {card}"]
    assert "air duct: off" in words_of(sheet)
    assert "DO NOT START" in words_of(card)
    connections.close_all()
    done = run("record", "job-1", "--data", place.folder, "--out", out)
    assert done.output == f"written: {out / 'job-1-record.pdf'}\n"
    assert "This job is not closed" in words_of(out / "job-1-record.pdf")


def test_an_unknown_job_is_named(place, tmp_path):
    done = run("record", "job-9", "--data", place.folder, "--out", tmp_path / "papers")
    assert (done.exit_code, done.output) == (2, "there is no job job-9. Give the id of a job.\n")
    assert not (tmp_path / "papers").exists()


def test_labels_need_no_workshop(tmp_path):
    done = run("labels", "--from", 7, "--count", 2, "--kind", "roll", "--out", tmp_path)
    assert done.exit_code == 0, done.output
    assert "7" in words_of(tmp_path / "bag-labels-7-to-8.pdf")
    refused = run("labels", "--count", 0, "--out", tmp_path)
    assert refused.exit_code == 2
    assert "print between 1 and" in refused.output
