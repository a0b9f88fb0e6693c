"""Bag labels: what the eye reads and what a camera reads, from the printed sheet."""

from itertools import product

import pytest

from tests.papers.measured_pdf import measured
from tests.papers.reading_codes import read_code
from witnessmark.cli.papers import write_papers
from witnessmark.papers.bag_labels import GAP, MODULE, SIZE, TOP, bag_labels, bagged_joints
from witnessmark.papers.rendering import render_pdf
from witnessmark.papers.shapes import EDGE


@pytest.fixture(scope="module")
def first_sheet(gull_job):
    content = bag_labels(gull_job)
    (sheet,) = measured(render_pdf("true-size", {**content, "sheets": content["sheets"][:1]}))
    return sheet


def corners():
    for row, column in product(range(5), range(2)):
        yield EDGE + column * (SIZE[0] + GAP), TOP + row * (SIZE[1] + GAP)


def on_label(sheet, corner):
    x, y = corner
    inside = [
        bar for bar in sheet.bars if x <= bar[0] and bar[2] <= x + SIZE[0] and y <= bar[1] < y + 50
    ]
    words = [w for w, wx, wy in sheet.words if x <= wx <= x + SIZE[0] and y <= wy <= y + SIZE[1]]
    return inside, " ".join(words)


def dark_squares(bars):
    left, top = min(bar[0] for bar in bars), min(bar[1] for bar in bars)
    dark = {
        (round((y0 - top) / MODULE), round((x0 - left) / MODULE) + k)
        for x0, y0, x1, _ in bars
        for k in range(round((x1 - x0) / MODULE))
    }
    return dark, 1 + max(row for row, _ in dark)


def test_every_code_on_the_sheet_reads_as_words_about_its_joint(gull_job, first_sheet):
    for joint, corner in zip(bagged_joints(gull_job), corners(), strict=False):
        bars, _ = on_label(first_sheet, corner)
        words = read_code(*dark_squares(bars))
        assert words == f"bag: {joint.name}; joint {joint.id}; machine gull-20"


def test_every_code_keeps_four_white_squares_to_the_edge_of_its_label(first_sheet):
    for x, y in corners():
        bars, _ = on_label(first_sheet, (x, y))
        quiet = 4 * MODULE - 0.05
        assert min(bar[1] for bar in bars) - y >= quiet
        assert x + SIZE[0] - max(bar[2] for bar in bars) >= quiet


def test_each_label_says_what_how_many_which_lengths_and_from_where(gull_job, first_sheet):
    joints = bagged_joints(gull_job)
    for number, (joint, corner) in enumerate(zip(joints, corners(), strict=False), 1):
        _, words = on_label(first_sheet, corner)
        count = sum(fastener.count for fastener in joint.fasteners)
        assert f"{count} piece" in words
        assert f"bag {number} of {len(joints)}" in words
        assert set(joint.name.split()) <= set(words.split())
        for fastener in joint.fasteners:
            assert str(fastener.thread or fastener.name) in words
        assert set((joint.where or "").split()) <= set(words.split())


def test_each_joint_that_comes_out_gets_one_label(gull_job):
    taken = {
        step.object_id
        for step in gull_job.steps
        if step.id.endswith("/strip") and step.state == "out" and step.pieces
    }
    labelled = [joint.id for joint in bagged_joints(gull_job)]
    assert len(labelled) == len(set(labelled))
    assert set(labelled) == taken


def test_the_papers_written_are_those_that_apply(gull_job, tmp_path):
    written = write_papers(gull_job, tmp_path)
    names = {path.name.removeprefix("gull-20-timing-belt-") for path in written}
    assert {
        "job-card.pdf",
        "bolt-board-upper-cover-bolts.pdf",
        "bolt-board-lower-cover-bolts.pdf",
        "angle-disc-crank-bolt.pdf",
        "bag-labels.pdf",
    } <= names
    assert all(path.read_bytes().startswith(b"%PDF-") for path in written)
    assert {path.name for path in tmp_path.iterdir()} == {path.name for path in written}
