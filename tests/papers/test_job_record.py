"""The job record: every fact that was written is found on paper, evidence and photos with it."""

from __future__ import annotations

import io
from copy import deepcopy

import pdfplumber
import pytest
from PIL import Image

from tests.ledger.small_history import Bench
from tests.papers.job_papers import BLANK, DIGEST, PACK, folded, printed, printing, squeezed
from witnessmark.papers.job_record import job_record
from witnessmark.papers.record_evidence import MOST_PHOTOS, picture_name
from witnessmark.papers.rendering import render_pdf

PHOTO = "ab" * 32
WRENCHES = {"W3": "half-inch click wrench, checked 2026-03-02"}


def jpeg(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), colour).save(out, "JPEG")
    return out.getvalue()


def whole_job() -> Bench:
    """A job in which everything happened that a record has a place for."""
    bench = Bench()
    bench.do("undo", "cover-bolts", length_and_place="on the board")
    bench.do("take-off", "cover", where_it_lies="third shelf", photos=(PHOTO,))
    bench.do("drain", "coolant", litres_out="3.5")
    slip = bench.do("undo", "wheel-bolts")
    bench.say("correct", None, {"corrects": slip, "instead": None}, by="b")
    bench.say("found", "cover-bolts", {"what": "thread pulled in hole 2"}, by="b")
    bench.say("trouble", "hose-end", {"kind": "perished"}, action="perished")
    told = {"what": "belt width", "reading": "24.1", "unit": "mm", "at_least": "23.5"}
    bench.say("measured", "belt", told)
    told = {"what": "play", "reading": "0.4", "unit": "mm", "at_most": "0.3"}
    bench.say("measured", "tensioner", told, by="b")
    bench.say("renewed", "belt", {"part": "line 4, BX-169"})
    bench.say("look", "cover", {"looked_at": "nothing behind it"}, by="b")
    bench.do("fill-and-bleed", "coolant", litres_in="3.2", level="on the mark, cold")
    bench.do("make", "cover-bolts", stage="1", wrench="W3")
    bench.do("slacken", "tensioner-clamp", setting_as_found="pointer low")
    bench.do("fit", "support")
    bench.say("stopped")
    bench.say("exception", "cover", {"items": ["open:cover:off"], "reason": "new cover on Friday"})
    bench.say("gate", None, {"reason": "to paint"}, action="lowering", by="b")
    return bench


@pytest.fixture(scope="module")
def bench():
    return whole_job()


@pytest.fixture(scope="module")
def content(bench):
    return job_record(folded(bench), printing(bench, wrenches=WRENCHES), (PHOTO,))


@pytest.fixture(scope="module")
def pdf(content):
    return render_pdf("job-record", content, {picture_name(PHOTO): jpeg("#884400")})


@pytest.fixture(scope="module")
def words(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return squeezed("".join(page.extract_text() for page in opened.pages))


@pytest.mark.parametrize(
    "fact",
    [
        "take off belt cover",
        "where it lies: third shelf",
        "length and place: on the board",
        "cover bolts: thread pulled in hole 2",
        "hose end: perished",
        "timing belt: belt width",
        "24.1 mm",
        "at least 23.5 mm",
        "belt tensioner: play",
        "OUT OF LIMIT",
        "timing belt: new, line 4, BX-169",
        "second person, bob",
        "coolant: 3.5 L out, 3.2 L in",
        "level: on the mark, cold",
        "half-inch click wrench, checked 2026-03-02",
        "tensioner clamp nut: found at pointer low",
        "belt cover: off; ann: new cover on Friday",
        "before lowering or rolling: bob: to paint",
        "Check the coolant level cold: 3 days, workshop",
        "This job is not closed",
        "ann: Ann Tern; bob: Bob Dunlin",
        f"line 12, head {DIGEST}",
    ],
)
def test_each_fact_that_was_written_is_on_the_record(words, fact):
    assert squeezed(fact) in words


def test_the_tightened_joint_stands_with_figure_source_stage_and_wrench(content):
    (row,) = [row for row in content["tightened"] if row["what"] == "cover bolts"]
    assert row["figure"] == "9 N·m"
    assert row["source"] == PACK["objects"]["cover-bolts"]["source"]
    assert row["detail"] == "stage 1; wrench W3"
    assert row["since"].startswith("Ann Tern, ")


def test_a_joint_that_is_open_again_is_not_listed_as_tightened():
    bench = whole_job()
    bench.do("slacken", "cover-bolts")
    listed = job_record(folded(bench), printing(bench))["tightened"]
    assert "cover bolts" not in {row["what"] for row in listed}


def test_steps_stand_in_the_order_they_were_done_without_what_was_taken_back(content):
    steps = [row["what"] for row in content["steps"]]
    assert steps[:3] == ["undo cover bolts", "take off belt cover", "drain coolant"]
    assert "undo wheel bolts" not in steps
    (back,) = next(s["rows"] for s in content["sections"] if s["title"] == "Taken back as slips")
    assert back["what"] == "undo wheel bolts"
    assert back["detail"].startswith("taken back: Bob Dunlin")


def test_a_thing_noted_before_it_had_a_name_stands_under_the_name_it_was_given_later():
    bench = Bench()
    told = {"kind": "part", "name": "thing 1", "state": "off", "where it lies": "tray two"}
    first = bench.say("noted", "n-a-1", told, photos=(PHOTO,))
    bench.say("correct", None, {"corrects": first, "instead": {"values": {**told, "name": "duct"}}})
    bench.say("noted", "n-a-1", {"source": "maker's sheet, page 4"})
    content = job_record(folded(bench, BLANK), printing(bench), (PHOTO,))
    (step,) = content["steps"]
    assert (step["what"], step["detail"]) == ("duct: off", "where it lies: tray two; 1 photo")
    assert content["photos"][0]["what"] == "duct: off"


def test_a_wrench_that_is_not_on_the_list_says_so(bench):
    ((name, check, used),) = job_record(folded(bench), printing(bench))["wrenches"]
    assert (name, check, used) == ("W3", "check date not known here", "cover bolts")


def test_what_no_makers_figure_exists_for_says_so_and_how_it_was_done():
    bench = Bench()
    told = {"kind": "joint", "name": "strap nut", "count": 1, "state": "out"}
    bench.say("noted", "n-a-1", told)
    bench.do("make", "n-a-1", how="by feel, nipped up")
    shown = printed("job-record", job_record(folded(bench, BLANK), printing(bench)))
    assert squeezed("No maker's figure in the file") in shown
    assert squeezed("how: by feel, nipped up") in shown


def test_a_photo_is_printed_as_a_picture_and_one_that_is_missing_says_so(content, pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        pictures = [picture for page in opened.pages for picture in page.images]
    assert [picture["srcsize"] for picture in pictures] == [(320, 240)]
    (row,) = content["photos"]
    assert row["hash"] == PHOTO
    assert row["what"] == "take off belt cover"


def test_a_photo_that_is_not_here_is_named_all_the_same(bench):
    shown = printed("job-record", job_record(folded(bench), printing(bench)))
    assert squeezed("not here") in shown
    assert PHOTO in shown


def test_more_photos_than_fit_are_named_by_hash():
    bench = Bench()
    names = [f"{number:064x}" for number in range(MOST_PHOTOS + 2)]
    bench.do("take-off", "cover", photos=tuple(names))
    photos = job_record(folded(bench), printing(bench), names)["photos"]
    assert [row["file"] for row in photos[:MOST_PHOTOS]] == [
        picture_name(name) for name in names[:MOST_PHOTOS]
    ]
    assert [row["file"] for row in photos[MOST_PHOTOS:]] == ["", ""]
    assert [row["hash"] for row in photos] == names


def test_a_closed_job_says_who_handed_it_back_and_that_nothing_was_open():
    pack = deepcopy(PACK)
    bench = Bench()
    bench.say("closed")
    closing = job_record(folded(bench, pack), printing(bench))["closing"]
    assert closing.startswith("Handed back: Ann Tern, ")
    assert "outstanding" in closing


def test_a_step_of_the_works_own_is_printed_with_its_limits():
    pack = deepcopy(PACK)
    limits = {"what": "teeth counted", "at_least": "118", "at_most": "118"}
    pack["blocks"]["belt/compare"]["measure"] = limits
    bench = Bench()
    bench.say("block", "belt/compare", {"reading": "118", "within": True})
    (row,) = job_record(folded(bench, pack), printing(bench))["readings"]
    assert row["what"] == "Lay the new belt on the old one and count the teeth: teeth counted"
    assert (row["reading"], row["limits"], row["within"]) == ("118", "118", "within")


def test_printing_twice_gives_the_same_bytes(content, pdf):
    assert render_pdf("job-record", content, {picture_name(PHOTO): jpeg("#884400")}) == pdf


def test_another_picture_gives_another_paper(content, pdf):
    assert render_pdf("job-record", content, {picture_name(PHOTO): jpeg("#004488")}) != pdf
