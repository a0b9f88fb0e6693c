"""The bolt board measured on its paths: 0.05 mm, as the technician's holes must be.

The holes' places are read here from the machine files themselves, by a YAML reader.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
import yaml

from tests.papers.measured_pdf import measured
from witnessmark.machine.model import Fastener, Joint, JointKind
from witnessmark.papers.bolt_board import bolt_board
from witnessmark.papers.fasteners import order_of
from witnessmark.papers.rendering import render_pdf
from witnessmark.quantities.threads import read_thread

MACHINES = Path(__file__).parents[2] / "demo/machines"
TOLERANCE = 0.05
PLACE = None
"""Where a thing stood in a file; these joints stand in none."""


def file_holes(machine: str, joint: str):
    document = yaml.safe_load((MACHINES / f"{machine}.yaml").read_text("utf-8"))
    return [
        (str(f["hole"]), *(float(value.removesuffix(" mm")) for value in f["at"]), f["thread"])
        for f in document["joints"][joint]["fasteners"]
    ]


def board_sheets(job, joint: str):
    return measured(
        render_pdf("true-size", bolt_board(job.machine.joints[joint], job.machine.name))
    )


def made_joint(holes, **more) -> Joint:
    return Joint(
        id="made",
        name="made bolts",
        place=PLACE,
        kind=JointKind.BOLTS,
        holds=(),
        fasteners=tuple(
            Fastener(
                place=PLACE,
                hole=name,
                at=(Fraction(x) / 1000, Fraction(y) / 1000),
                thread=read_thread("M8x1.25 x 30"),
            )
            for name, x, y in holes
        ),
        **more,
    )


def pierced(sheet, diameter):
    return [r for r in sheet.rounds if abs(r.diameter - diameter) < TOLERANCE and not r.filled]


def registration(sheet):
    return sorted((r.x, r.y) for r in pierced(sheet, 5.0))


def assert_holes_as_in_file(found, holes):
    """Compare all places from the leftmost, lowest hole; y in the file points up."""
    assert len(found) == len(holes)
    wanted = sorted((x, -y) for _, x, y, *_ in holes)
    found = sorted(found)
    for (x, y), (file_x, file_y) in zip(found, wanted, strict=True):
        assert x - found[0][0] == pytest.approx(file_x - wanted[0][0], abs=TOLERANCE)
        assert y - found[0][1] == pytest.approx(file_y - wanted[0][1], abs=TOLERANCE)


def test_on_one_sheet_every_hole_is_where_the_file_says(gull_job):
    holes = file_holes("gull-20", "upper-cover-bolts")
    board, order = board_sheets(gull_job, "upper-cover-bolts")
    assert_holes_as_in_file([(r.x, r.y) for r in pierced(board, 6.0)], holes)
    assert "not to size" in order.text


def laid_together(sheets):
    """Lay sheets mark over mark, as one does on the bench, and give the holes on them all."""
    at = {0: (0.0, 0.0)}
    holes: list[tuple[float, float]] = []
    while len(at) < len(sheets):
        size = len(at)
        for i, sheet in enumerate(sheets):
            if i in at:
                continue
            for j, (dx, dy) in list(at.items()):
                shift = shift_between(sheets[j], sheet)
                if shift is not None:
                    at[i] = (dx + shift[0], dy + shift[1])
                    break
        assert len(at) > size, "a sheet has no marks in common with the others"
    for i, (dx, dy) in at.items():
        for found in pierced(sheets[i], 6.0):
            x, y = found.x + dx, found.y + dy
            if not any(abs(x - a) < 1.0 and abs(y - b) < 1.0 for a, b in holes):
                holes.append((x, y))
            else:
                assert any(abs(x - a) < TOLERANCE and abs(y - b) < TOLERANCE for a, b in holes)
    return holes


def shift_between(one, other):
    """Give the shift that lays two marks of one sheet on two of the other at facing edges."""
    named = name_of(one), name_of(other)
    side_by_side = named[0][0] == named[1][0] and abs(named[0][1] - named[1][1]) == 1
    above = named[0][1] == named[1][1] and abs(ord(named[0][0]) - ord(named[1][0])) == 1
    if not (side_by_side or above):
        return None
    axis = 0 if side_by_side else 1
    first = one if name_of(one) < name_of(other) else other
    marks = {}
    for sheet in (one, other):
        middle = sheet.size[axis] / 2
        far = sheet is first
        reach = [m for m in registration(sheet) if (m[axis] > middle) == far]
        edge = (max if far else min)(m[axis] for m in reach)
        marks[id(sheet)] = sorted(m for m in reach if abs(m[axis] - edge) < 1.0)
    ours, theirs = marks[id(one)], marks[id(other)]
    shifts = [(a[0] - b[0], a[1] - b[1]) for a, b in zip(ours, theirs, strict=True)]
    assert len(shifts) == 2
    assert shifts[0] == pytest.approx(shifts[1], abs=TOLERANCE)
    return shifts[0]


def name_of(sheet) -> tuple[str, int]:
    words = sheet.text.split("sheet ", 1)[1].split(",")[0]
    return words[0], int(words[1:])


@pytest.mark.parametrize(
    ("job", "machine", "joint"),
    [
        ("gull_job", "gull-20", "lower-cover-bolts"),
        ("genset_job", "brack-genset-12", "front-cover-bolts"),
    ],
)
def test_sheets_laid_mark_over_mark_give_every_hole(job, machine, joint, request):
    sheets = board_sheets(request.getfixturevalue(job), joint)[:-1]
    assert len(sheets) > 1
    assert_holes_as_in_file(laid_together(sheets), file_holes(machine, joint))


def test_every_sheet_of_the_board_has_a_rule_of_100_mm(gull_job):
    for joint in ("upper-cover-bolts", "lower-cover-bolts"):
        for sheet in board_sheets(gull_job, joint)[:-1]:
            rules = [s for s in sheet.strokes if abs(s.length - 100.0) < 1.0]
            assert [s.length for s in rules] == [pytest.approx(100.0, abs=TOLERANCE)]
            (rule,) = rules
            ticks = sorted(
                s.start[0]
                for s in sheet.strokes
                if abs(s.start[0] - s.end[0]) < TOLERANCE
                and abs(max(s.start[1], s.end[1]) - rule.start[1]) < TOLERANCE
            )
            assert len(ticks) == 11
            for one, other in pairwise(ticks):
                assert other - one == pytest.approx(10.0, abs=TOLERANCE)


def test_each_hole_has_its_number_bolt_and_place_in_the_order_beside_it(gull_job):
    joint = gull_job.machine.joints["upper-cover-bolts"]
    board = board_sheets(gull_job, "upper-cover-bolts")[0]
    holes = file_holes("gull-20", "upper-cover-bolts")
    found = sorted((r.x, r.y) for r in pierced(board, 6.0))
    wanted = sorted(holes, key=lambda hole: (hole[1], -hole[2]))
    for (x, y), (name, _, _, thread) in zip(found, wanted, strict=True):
        near = [text for text, wx, wy in board.words if abs(wx - x) < 22.0 and abs(wy - y) < 16.0]
        assert name in near
        assert str(order_of(joint).names.index(name) + 1) in near
        assert thread.split()[-1] in near
        assert thread.split()[0] in near


def test_the_few_holes_worth_marking_are_marked_and_no_other(gull_job):
    """Upper cover: two bolts of 40 mm among three of 25 mm, all M6 (read from the file)."""
    holes = file_holes("gull-20", "upper-cover-bolts")
    long = {name for name, _, _, thread in holes if thread.endswith("40 mm") or "x 40" in thread}
    board = board_sheets(gull_job, "upper-cover-bolts")[0]
    found = sorted((r.x, r.y) for r in pierced(board, 6.0))
    wanted = sorted(holes, key=lambda hole: (hole[1], -hole[2]))
    at = {name: place for place, (name, *_) in zip(found, wanted, strict=True)}
    marks = [(x, y) for text, x, y in board.words if text == "MARK" and y > 40.0]
    nearest = {min(at, key=lambda n: (at[n][0] - x) ** 2 + (at[n][1] - y) ** 2) for x, y in marks}
    assert nearest == long
    assert len(marks) == len(long)


def test_the_dangerous_swaps_stand_below_the_order(gull_job):
    text = " ".join(board_sheets(gull_job, "upper-cover-bolts")[-1].text.split())
    assert "Mark first: 3, 4. Dangerous swaps:" in text
    assert "M6x1 x 40 in holes 1, 2, 5: 15 mm too long: bottoms 11 mm early" in text


def test_alike_bolts_get_no_marks():
    board = bolt_board(made_joint([("1", 0, 0), ("2", 40, 0)]), "made machine")
    assert "MARK" not in str(board)
    assert "swap" not in str(board)


def test_what_does_not_fit_below_the_order_goes_on_a_sheet_of_its_own():
    holes = [(str(n), 40 * n, 7 * n * n) for n in range(9)]
    joint = made_joint(holes)
    mixed = replace(
        joint,
        fasteners=tuple(
            replace(
                fastener,
                thread=read_thread(f"M8x1.25 x {20 + 6 * n}"),
                clamped=Fraction(8 + 6 * n, 1000),
                hole_depth=Fraction(16, 1000),
            )
            for n, fastener in enumerate(joint.fasteners)
        ),
    )
    sheets = measured(render_pdf("true-size", bolt_board(mixed, "made machine")))
    assert "continued" in sheets[-1].text
    assert all(y < 297.0 - 8.0 for sheet in sheets for _, _, y in sheet.words)


def test_the_viewpoint_stands_on_every_sheet(gull_job):
    for sheet in board_sheets(gull_job, "lower-cover-bolts")[:-1]:
        assert "seen from the pulley end" in sheet.text


def test_the_file_s_own_order_is_printed_as_it_stands():
    joint = made_joint([("a", 0, 0), ("b", 60, 0), ("c", 30, 50)], order=("b", "c", "a"))
    assert order_of(joint).names == ("b", "c", "a")
    picture = measured(render_pdf("true-size", bolt_board(joint, "made machine")))[-1]
    for place, name in enumerate("bca", 1):
        spots = [(x, y) for text, x, y in picture.words if text == name and y > 35.0]
        large = [(x, y) for text, x, y in picture.words if text == str(place)]
        assert any(abs(x - a) < 0.5 and 0 < b - y < 8 for x, y in large for a, b in spots)


def test_without_an_order_in_the_file_the_paper_says_whose_order_it_prints():
    joint = made_joint([("a", 0, 0), ("b", 60, 0), ("c", 30, 50)])
    picture = measured(render_pdf("true-size", bolt_board(joint, "made machine")))[-1]
    assert "the machine file gives no order" in picture.text


def test_holes_in_one_place_get_no_order_but_a_reason():
    joint = made_joint([("a", 0, 0), ("b", 0, 0)])
    assert order_of(joint).names == ()
    assert "same place" in order_of(joint).why


def test_one_hole_and_two_holes_make_a_board_too():
    for holes in ([("a", 5, 5)], [("a", 0, 0), ("b", 0, 700)]):
        sheets = measured(render_pdf("true-size", bolt_board(made_joint(holes), "made")))[:-1]
        assert sum(len(pierced(sheet, 8.0)) for sheet in sheets) >= len(holes)


def test_a_joint_without_places_makes_no_board(gull_job):
    with pytest.raises(ValueError, match="no hole with its place"):
        bolt_board(gull_job.machine.joints["crank-bolt"], "made machine")
