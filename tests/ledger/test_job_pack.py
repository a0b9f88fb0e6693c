"""The job pack: whole, plain, the same bytes everywhere, and of no particular disk."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.ledger.packs import DEMO, DUNLIN, compiled_at, job_of, nobody
from tests.procedure.bench_helpers import planned
from witnessmark.ledger.canonical import canonical_bytes, read_canonical
from witnessmark.ledger.pack import job_pack, pack_digest

JOBS = [
    (DUNLIN, "belt"),
    (DEMO / "brack-genset-12.yaml", "timing-belt"),
    (DEMO / "gull-20.yaml", "clutch"),
    (DEMO / "tarn-two-stage.yaml", "valve-plates"),
]


@pytest.mark.parametrize(("path", "work"), JOBS, ids=lambda each: getattr(each, "stem", each))
def test_a_pack_has_canonical_bytes_and_comes_back_from_them(path, work):
    _, _, pack = job_of(path, work)
    assert read_canonical(canonical_bytes(pack)) == pack


def test_the_same_machine_and_works_give_the_same_digest_wherever_the_file_lies(tmp_path: Path):
    here = job_of(DUNLIN, "belt")[2]
    elsewhere = tmp_path / "far" / "away"
    elsewhere.mkdir(parents=True)
    copied = elsewhere / DUNLIN.name
    copied.write_bytes(DUNLIN.read_bytes())
    compiled = compiled_at(copied, "belt")
    assert pack_digest(job_pack(compiled, planned(compiled))) == pack_digest(here)


def test_another_figure_gives_another_digest(tmp_path: Path):
    text = DUNLIN.read_text(encoding="utf-8")
    assert text.count("tightness: 45 N·m") == 1
    other = tmp_path / DUNLIN.name
    other.write_text(text.replace("tightness: 45 N·m", "tightness: 46 N·m"), encoding="utf-8")
    compiled = compiled_at(other, "belt")
    assert pack_digest(job_pack(compiled, planned(compiled))) != pack_digest(
        job_of(DUNLIN, "belt")[2]
    )


@pytest.mark.parametrize(("path", "work"), JOBS, ids=lambda each: getattr(each, "stem", each))
def test_no_place_in_a_pack_names_a_folder(path, work):
    text = json.dumps(job_of(path, work)[2])
    assert str(path.parent) not in text
    assert path.parent.name + "/" not in text


def test_a_pack_says_of_each_bolt_its_length_and_hole_and_of_each_lock_what_it_holds():
    objects = job_of(DUNLIN, "belt")[2]["objects"]
    bolts = objects["head-bolts"]
    assert [(each["id"], each["length"]) for each in bolts["pieces"]] == [
        ("1", "90"), ("2", "90"), ("3", "110"), ("4", "110"),
    ]  # fmt: skip
    assert (bolts["critical"], bolts["single_use"], bolts["angled"]) == (True, True, True)
    assert (bolts["stages"], bolts["crushes"]) == (2, ["head-gasket"])
    assert objects["crank-pin"]["holds"] == ["crankshaft"]
    assert objects["tensioner-clamp"]["sets"] == "timing"
    assert objects["cap-screws"]["no_further_pull"] == (
        "it is threadlocked: a further pull breaks the lock"
    )


def test_a_machine_nobody_has_described_has_rules_and_no_object():
    pack = nobody()
    assert pack["objects"] == {}
    assert pack["rules"]["actions"]
    assert read_canonical(canonical_bytes(pack)) == pack
