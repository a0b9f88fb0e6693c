"""Drawings a job pack carries: at the right object, readable, bounded, the same each time."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.papers.conftest import MACHINES, TOLD
from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.ledger.pack import job_pack
from witnessmark.papers.bench_drawings import MOST_BYTES, MOST_IN_ALL, bench_drawings
from witnessmark.papers.bench_texts import bench_texts
from witnessmark.papers.bolt_picture import bolt_picture
from witnessmark.papers.fasteners import Hole, joints_made, order_of, placed_holes

SVG = "{http://www.w3.org/2000/svg}"
PRINT = """
import hashlib, sys
from pathlib import Path
from tests.papers.conftest import TOLD
from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.papers.bench_drawings import bench_drawings
job = planned_job(open_session(Path(sys.argv[1]), ["timing-belt"]), TOLD)
print(hashlib.sha256(canonical_bytes(bench_drawings(job))).hexdigest())
"""


@pytest.fixture(scope="module")
def drawings(gull_job):
    return bench_drawings(gull_job)


def parts(svg: str, kind: str) -> list[ET.Element]:
    return list(ET.fromstring(svg).iter(f"{SVG}{kind}"))  # noqa: S314 - drawn just now


def words_in(svg: str) -> list[str]:
    return [text.text or "" for text in parts(svg, "text")]


def titled(drawings, object_id, start):
    (found,) = [each["svg"] for each in drawings[object_id] if each["title"].startswith(start)]
    return found


def test_the_belt_carries_its_route_with_every_pulley_and_the_viewpoint(gull_job, drawings):
    run = next(r for r in gull_job.machine.runs.values() if r.belt and r.belt.id == "timing-belt")
    said = " ".join(words_in(titled(drawings, "timing-belt", "Route")))
    for pulley in run.pulleys:
        assert pulley.id.replace("-", " ") in said
    assert (run.viewpoint or gull_job.machine.viewpoint) in said


def test_each_joint_with_its_holes_placed_carries_its_order_hole_by_hole(gull_job, drawings):
    drawn = 0
    for joint in joints_made(gull_job):
        holes = placed_holes(joint)
        if len(holes) < 3:
            continue
        svg = titled(drawings, joint.id, "Tightening order")
        places = {}
        circles = [(c.get("cx"), c.get("cy")) for c in parts(svg, "circle")]
        texts = parts(svg, "text")
        for x, _ in circles:
            (place, name) = [t.text for t in texts if t.get("x") == x and t.text in _names(joint)][
                :2
            ]
            places.setdefault(name, place)
        assert len(circles) == len(holes)
        drawn += 1
    assert drawn >= 2


def _names(joint):
    return {*order_of(joint).names, *map(str, range(1, 100))}


def test_drawings_stand_only_at_objects_of_the_plan(gull_job, drawings):
    assert set(drawings) <= {step.object_id for step in gull_job.steps}


def test_letters_tell_the_bolts_and_a_square_what_to_mark_first():
    holes = [
        Hole("1", 0.0, 0.0, 6.0, "M6x1 x 20"),
        Hole("2", 30.0, 0.0, 6.0, "M6x1 x 35"),
        Hole("3", 30.0, 20.0, 6.0, "M6x1 x 20"),
    ]
    svg = bolt_picture(holes, ("2",), "Bolts", "the front")
    words = words_in(svg)
    assert words.count("A") == 2
    assert words.count("B") == 1
    assert "A: M6x1 x 20" in words
    assert "B: M6x1 x 35" in words
    assert any("mark hole and bolt first (2)" in each for each in words)
    (square,) = [r for r in parts(svg, "rect") if r.get("stroke") == "#000"]
    (second,) = [c for c in parts(svg, "circle") if _inside(c, square)]
    lefts = sorted(float(c.get("cx")) for c in parts(svg, "circle"))
    assert float(second.get("cx")) == lefts[-1]


def _inside(circle, square):
    x, y = float(circle.get("cx")), float(circle.get("cy"))
    left, top = float(square.get("x")), float(square.get("y"))
    return left < x < left + float(square.get("width")) and top < y < top + float(
        square.get("height")
    )


def test_a_drawing_brings_nothing_in_and_runs_nothing(drawings):
    for each in (drawing for listed in drawings.values() for drawing in listed):
        for kind in ("script", "image", "use", "foreignObject", "style", "a"):
            assert not parts(each["svg"], kind)
        assert not re.search(r"""(href|url\(|\son\w+=)""", each["svg"])


def test_the_pack_stays_small_and_has_a_canonical_form():
    session = open_session(MACHINES / "gull-20.yaml", ["timing-belt"])
    job = planned_job(session, TOLD)
    pack = job_pack(session.compiled, job.result.plan, bench_texts(job))
    assert len(canonical_bytes(pack)) < 600_000


def test_no_drawing_goes_beyond_its_bound(monkeypatch, gull_job, drawings):
    sizes = [len(d["svg"].encode()) for listed in drawings.values() for d in listed]
    assert max(sizes) <= MOST_BYTES
    assert sum(sizes) <= MOST_IN_ALL
    monkeypatch.setattr("witnessmark.papers.bench_drawings.MOST_IN_ALL", sum(sizes) - 1)
    fewer = [d for listed in bench_drawings(gull_job).values() for d in listed]
    assert len(fewer) == len(sizes) - 1


def test_another_process_with_another_hash_seed_draws_the_same_bytes(gull_job, drawings):
    import hashlib

    printed = subprocess.run(
        [sys.executable, "-c", PRINT, str(MACHINES / "gull-20.yaml")],
        env={**os.environ, "PYTHONHASHSEED": "4711"},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=True,
    )
    assert printed.stdout.strip() == hashlib.sha256(canonical_bytes(drawings)).hexdigest()
