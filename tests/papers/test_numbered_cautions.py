"""Cautions on the job card: in full where they first matter, by number after that."""

from __future__ import annotations

from collections import Counter

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.papers.job_papers import squeezed
from witnessmark.papers.job_card import job_card
from witnessmark.papers.numbered_cautions import NumberedCautions
from witnessmark.papers.rendering import render_pdf


@pytest.fixture(scope="module")
def card(gull_job):
    return job_card(gull_job)


def step_rows(phase):
    return [row for row in phase["rows"] if row["kind"] == "step"]


def test_what_a_phase_says_twice_is_printed_in_full_once_and_then_by_its_number():
    first, second = NumberedCautions().of_phase([["hot", "sharp"], ["hot"]])
    assert first == [{"mark": "caution 1", "text": "hot"}, {"mark": "", "text": "sharp"}]
    assert second == [{"mark": "caution 1", "text": ""}]


def test_the_next_phase_says_it_in_full_again_under_the_same_number():
    numbered = NumberedCautions()
    numbered.of_phase([["hot"], ["hot"]])
    ((first,), _, (third,)) = numbered.of_phase([["cold"], ["cold"], ["hot", "hot"]])[:3]
    assert first == {"mark": "caution 2", "text": "cold"}
    assert third == {"mark": "", "text": "hot"}
    ((again,), _) = numbered.of_phase([["hot"], ["hot"]])
    assert again == {"mark": "caution 1", "text": "hot"}


@settings(deadline=None)
@given(st.lists(st.lists(st.lists(st.sampled_from("abcd"), max_size=4), max_size=6), max_size=4))
def test_no_step_loses_a_caution_and_none_is_in_full_twice_in_a_phase(phases):
    numbered, texts = NumberedCautions(), {}
    for steps in phases:
        full = Counter()
        for step, printed in zip(steps, numbered.of_phase(steps), strict=True):
            told = []
            for each in printed:
                if each["text"]:
                    full[each["text"]] += 1
                    if each["mark"]:
                        assert texts.setdefault(each["mark"], each["text"]) == each["text"]
                told.append(each["text"] or texts[each["mark"]])
            assert told == list(dict.fromkeys(step))
        assert all(count == 1 for count in full.values())


def test_the_bench_is_told_all_of_it_at_every_step(gull_job, card):
    rows = [row for phase in card["phases"] for row in step_rows(phase)]
    for step, row in zip(gull_job.steps, rows, strict=True):
        for words in step.fastening.cautions if step.fastening else ():
            assert words in row["caution"]


def test_general_cautions_of_critical_joints_are_printed_once_a_phase(gull_job, card):
    general = Counter(
        words for step in gull_job.steps if step.fastening for words in step.fastening.cautions
    )
    assert max(general.values()) > 2
    pdf = pypdfium2.PdfDocument(render_pdf("job-card", card))
    text = squeezed("".join(page.get_textpage().get_text_range() for page in pdf))
    for words, count in general.items():
        phases = [
            phase
            for phase in card["phases"]
            if any(words in row["caution"] for row in step_rows(phase))
        ]
        assert count > len(phases)
        assert text.count(squeezed(words)) == len(phases)
    marks = [
        each["mark"]
        for phase in card["phases"]
        for row in step_rows(phase)
        for each in row["cautions"]
        if not each["text"]
    ]
    for mark in set(marks):
        assert text.count(squeezed(mark)) >= marks.count(mark)
