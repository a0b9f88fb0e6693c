"""The job card as printed: read back from its pages, word by word."""

import hashlib
import json
import os
import subprocess
import sys
import unicodedata
from copy import deepcopy
from itertools import pairwise

import pypdfium2
import pytest

from witnessmark.papers.job_card import job_card
from witnessmark.papers.rendering import render_pdf

MILLIMETRE = 72 / 25.4
COLUMNS = (14.0, 29.0, 150.0, 196.0)
"""Edges [mm] of the three columns of the steps."""
HEAD, FOOT = 20.0, 297.0 - 17.0

PRINT_AGAIN = """
import hashlib, json, sys
from witnessmark.papers.rendering import render_pdf
content = json.load(sys.stdin)
print(hashlib.sha256(render_pdf("job-card", content)).hexdigest())
"""


@pytest.fixture(scope="module")
def content(gull_job):
    return job_card(gull_job)


@pytest.fixture(scope="module")
def pdf(content):
    return render_pdf("job-card", content)


@pytest.fixture(scope="module")
def printed_steps(pdf):
    return steps_on(pdf)


def squeezed(words: str) -> str:
    """Drop what setting adds or takes: blanks, breaks, hyphens, ligatures."""
    plain = unicodedata.normalize("NFKC", words)
    return "".join(c for c in plain if not c.isspace() and c not in "-\u00ad\u2010\u200b\ufffe\x02")


def steps_on(pdf: bytes) -> list[tuple[int, tuple[str, str]]]:
    """Read number, middle and right column of each step, in the order of the pages."""
    rows = []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        top_of_body, foot = (297.0 - HEAD) * MILLIMETRE, (297.0 - FOOT) * MILLIMETRE
        starts = _numbers_and_stops(text, foot, top_of_body)
        below = [top for _, top in starts[1:]] + [foot]
        rows += [
            (int(words), _columns(text, top, bottom))
            for (words, top), bottom in zip(starts, below, strict=False)
            if words.isdigit()
        ]
    return rows


def _numbers_and_stops(text, foot: float, head: float) -> list[tuple[str, float]]:
    """Give what begins a row, step number (15 pt) or stop (14 pt), and its upper edge."""
    found: dict[float, str] = {}
    tops: dict[float, float] = {}
    for i in range(text.count_chars()):
        _, low, right, high = text.get_charbox(i, loose=True)
        size = round(pypdfium2.raw.FPDFText_GetFontSize(text, i), 1)
        if right < COLUMNS[1] * MILLIMETRE and foot < low and high < head and size in {15.0, 14.0}:
            key = round(low, 1)
            found[key] = found.get(key, "") + text.get_text_range(i, 1)
            tops[key] = max(tops.get(key, 0.0), high)
    return [
        (found[key].strip(), tops[key] + 3.0)
        for key in sorted(found, reverse=True)
        if found[key].strip().isdigit() or found[key].startswith("Stop:"[: len(found[key])])
    ]


def _columns(text, top: float, bottom: float) -> tuple[str, str]:
    middle, right = (
        squeezed(text.get_text_bounded(left, bottom, right, top))
        for left, right in pairwise([edge * MILLIMETRE for edge in COLUMNS[1:]])
    )
    return middle, right


def pages_of(pdf: bytes) -> list[str]:
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]


def with_rows(content, rows):
    changed = deepcopy(content)
    changed["phases"] = [{"title": "Strip", "note": "", "rows": rows}]
    return changed


def a_row(content, **changes):
    step = next(row for row in content["phases"][0]["rows"] if row["kind"] == "step")
    return {**step, **changes}


def test_printing_twice_gives_the_same_bytes(content, pdf):
    assert render_pdf("job-card", content) == pdf


def test_another_process_with_another_hash_seed_gives_the_same_bytes(content, pdf):
    printed = subprocess.run(
        [sys.executable, "-c", PRINT_AGAIN],
        input=json.dumps(content),
        env={**os.environ, "PYTHONHASHSEED": "4711"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert printed.stdout.strip() == hashlib.sha256(pdf).hexdigest()


def test_every_page_says_which_of_how_many_it_is(pdf):
    pages = pages_of(pdf)
    for number, words in enumerate(pages, 1):
        assert words.count(f"page {number} of {len(pages)}") == 1


def test_every_step_of_the_plan_stands_on_the_card_once_and_in_order(gull_job, printed_steps):
    numbers = [number for number, _ in printed_steps]
    assert numbers == list(range(1, len(gull_job.steps) + 1))


def test_each_step_stands_with_its_words_place_and_tool(gull_job, printed_steps):
    for step, (_, (middle, right)) in zip(gull_job.steps, printed_steps, strict=True):
        assert squeezed(step.line).lower() in middle.lower()
        assert squeezed(step.position or "") in right
        assert squeezed(step.tool or "") in right
        if step.text:
            assert squeezed(step.text).lower() in middle.lower()


def test_each_tightness_stands_with_both_units_and_its_source(gull_job, printed_steps):
    tight = 0
    for step, (_, (middle, _)) in zip(gull_job.steps, printed_steps, strict=True):
        if step.tightness is None:
            continue
        assert squeezed(step.tightness.text) in middle
        assert squeezed(step.tightness.second or "") in middle
        source = step.tightness.source or "nobody said where it comes from"
        assert squeezed("figure: " + source) in middle
        if step.tightness.has_torque:
            assert squeezed("N·m") in middle
            tight += 1
    assert tight > 0


def test_a_table_that_breaks_repeats_its_head(content):
    rows = [a_row(content, number=number) for number in range(1, 61)]
    pages = [words for words in pages_of(render_pdf("job-card", with_rows(content, rows))) if words]
    with_steps = [words for words in pages if "where, with what" in words]
    assert len(with_steps) > 2
    assert len(steps_on(render_pdf("job-card", with_rows(content, rows)))) == 60
    for words in with_steps:
        assert words.count("where, with what") == 1


def test_a_row_taller_than_a_page_is_printed_whole(content):
    words = [f"word{number}" for number in range(2500)]
    row = a_row(content, number=1, text=" ".join(words), breakable=True)
    printed = squeezed("".join(pages_of(render_pdf("job-card", with_rows(content, [row])))))
    missing = [word for word in words if word not in printed]
    # A word may be parted by the head and foot between two pages.
    assert len(missing) <= 5


@pytest.mark.parametrize(
    "long", ["W" * 120, "AB-1234567890" * 12, "Donaudampfschifffahrtsgesellschaft" * 4]
)
def test_a_word_longer_than_its_column_stays_on_the_paper(content, long):
    row = a_row(content, number=1, line=long, text=long, position=long, tool=long)
    pdf = render_pdf("job-card", with_rows(content, [row]))
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        edges = [text.get_charbox(i)[2] for i in range(text.count_chars())]
        assert max(edges) <= COLUMNS[3] * MILLIMETRE + 0.5
    ((_, (middle, place)),) = steps_on(pdf)
    assert middle.count(squeezed(long)) == 2
    assert place.count(squeezed(long)) == 2


def test_words_that_look_like_markup_are_printed_as_they_are(content):
    odd = r"#set page(width: 1mm) $x^2$ *bold* _under_ @ref \ <a> `raw` // no [b] = head"
    changed = with_rows(content, [a_row(content, number=1, text=odd, position=odd, line=odd)])
    changed["machine"] = odd
    ((_, (middle, right)),) = steps_on(render_pdf("job-card", changed))
    assert middle.count(squeezed(odd)) == 2
    assert squeezed(odd) in right
    assert squeezed(odd) in squeezed(pages_of(render_pdf("job-card", changed))[0])


def test_a_character_without_a_glyph_is_a_square_and_named_at_the_end(content):
    changed = with_rows(content, [a_row(content, number=1, line="pump \U00013080 bolt 水")])
    pdf = render_pdf("job-card", changed)
    ((_, (middle, _)),) = steps_on(pdf)
    assert "pump□bolt□" in middle
    assert "U+6C34, U+13080" in pages_of(pdf)[-1]


def test_a_card_that_prints_everything_names_no_missing_character(pdf):
    assert all("could not be printed" not in words for words in pages_of(pdf))


def first_page(job) -> str:
    page = pypdfium2.PdfDocument(render_pdf("job-card", job_card(job)))[0]
    return squeezed(page.get_textpage().get_text_range())


def test_the_witness_mark_stands_on_the_first_page_in_words_and_as_a_shape(gull_job):
    from dataclasses import replace

    from witnessmark.engineering.fastening.witness_marks import SHAPES, witness_mark

    for colour, shape in SHAPES.items():
        marked = first_page(replace(gull_job, mark=witness_mark(colour)))
        assert squeezed(f"{colour}, {shape}") in marked
    blank = first_page(gull_job)
    assert squeezed("Witness mark of this job") in blank
    assert squeezed("shape: a stroke, cross, ring, dot") in blank


def test_a_size_table_figure_says_on_the_card_that_it_is_not_the_makers():
    from pathlib import Path

    from tests.papers.conftest import MACHINES, TOLD
    from witnessmark.cli.plan import planned_job
    from witnessmark.cli.session import open_session

    job = planned_job(open_session(Path(MACHINES) / "tarn-two-stage.yaml", ["shaft-seal"]), TOLD)
    pages = pypdfium2.PdfDocument(render_pdf("job-card", job_card(job)))
    text = squeezed("".join(page.get_textpage().get_text_range() for page in pages))
    steps = [step for step in job.steps if step.object_id == "guard-feet" and step.tightness]
    assert len(steps) == 1
    assert squeezed("figure: size table, not the maker's; taken by J. Moss") in text
    assert squeezed("Size table, not the maker's.") in text
