"""Lines that people say of what they took off: what is read of them, and what is not."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.bench.servers import WorkshopServer, copied

LINES = yaml.safe_load((Path(__file__).parent / "lines.yaml").read_text(encoding="utf-8"))

READ = """
const { readLine } = await import("/static/bench/capture/line.js");
const { groupText, sentenceOf } = await import("/static/bench/capture/sentence.js");
return args[0].map((line) => {
  const reading = readLine(line);
  const sentence = sentenceOf(reading);
  const again = readLine(sentence);
  return { ...reading, groups: reading.groups.map(groupText), sentence, again: {
    ...again, groups: again.groups.map(groupText) } };
});
"""

SOUP = (
    "one two three to for too a half dozen bolts bolt nuts clips M6 M6x20 M8x1.25x45 x by 20 mm "
    "long 13 head hex T30 tray bag shelf box in the on left hand thread single use threadlocked "
    "kept: bracket cover and , ; . longer short top at bottom lengths behind under of off with 0 "
    "M99 | -- 'x' 1/4 UNC G eleven 400 1e9 __proto__ constructor 5mm 4xM6 \U0001f600 é"
)


@pytest.fixture(scope="module")
def reader(phones, empty_folder, tmp_path_factory):
    server = WorkshopServer(copied(empty_folder, tmp_path_factory.mktemp("lines") / "workshop"))
    found = phones.phone("reader", server.start()).open("/bench/")
    yield lambda lines: found.run(READ, list(lines))
    found.close()
    server.stop()


def said(reading: dict[str, Any]) -> dict[str, Any]:
    """What was said at all."""
    beside = ("sentence", "again")
    return {
        word: value
        for word, value in reading.items()
        if word not in beside and value not in (None, False, [])
    }


def test_the_corpus_is_of_many_lines_each_once():
    lines = [row["say"] for row in LINES]
    assert len(lines) >= 120
    assert len(set(lines)) == len(lines)


def test_every_line_reads_as_somebody_wrote_it_down_by_hand(reader):
    found = reader([row["say"] for row in LINES])
    wrong = {
        row["say"]: (row["reads"], said(reading))
        for row, reading in zip(LINES, found, strict=True)
        if said(reading) != row["reads"]
    }
    assert wrong == {}


def test_the_sentence_shown_back_says_the_same_as_the_line(reader):
    for row, reading in zip(LINES, reader([row["say"] for row in LINES]), strict=True):
        again = said(reading["again"])
        wanted = said(reading)
        wanted.pop("notUnderstood", None)
        assert again == wanted, row["say"]


def test_the_sentence_is_one_that_can_be_read_aloud(reader):
    lines = ["left bracket, two bolts 13 mm head, shelf", "4 M6x20 and 2 M6x35, bag 3"]
    assert [each["sentence"] for each in reader(lines)] == [
        "left bracket, 2 bolts, head 13 mm, kept: shelf",
        "4 M6 x 20 mm and 2 M6 x 35 mm fasteners, kept: bag 3",
    ]


def test_no_figure_is_read_that_was_not_in_the_line(reader):
    lines = [row["say"] for row in LINES if not re.search(r"[0-9]", row["say"])]
    numbers = r"one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|teen|ty|dozen"
    silent = [
        each
        for each in lines
        if not re.search(rf"{numbers}|pair|couple|\b(a|to|too|for|ate)\b|tree|single", each)
    ]
    assert silent
    for line, reading in zip(silent, reader(silent), strict=True):
        assert reading["count"] is None, line
        assert reading["groups"] == [], line


@settings(
    max_examples=5,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    st.lists(
        st.one_of(
            st.lists(st.sampled_from(SOUP.split()), min_size=1, max_size=10).map(" ".join),
            st.text(max_size=40),
        ),
        min_size=10,
        max_size=40,
    )
)
def test_no_line_is_too_odd_and_what_is_read_back_is_the_same(reader, lines):
    for line, reading in zip(lines, reader(lines), strict=True):
        again = dict(reading["again"])
        assert again.pop("notUnderstood") == [], line
        assert again == {word: reading[word] for word in again}, line


def test_what_is_no_text_at_all_reads_as_nothing(reader):
    assert [said(each) for each in reader([None, 7, {}, []])] == [{}, {}, {}, {}]
