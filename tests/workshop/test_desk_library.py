"""The machine library: the files are the only copy, and nothing leads out of the folder."""

from __future__ import annotations

import subprocess
import sys
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from witnessmark.workshop.job_planning import CannotPlanError, UnfitFileError, plan_job
from witnessmark.workshop.library import MOST_BYTES, Library, LibraryError
from witnessmark.workshop.library_keeping import read_library, write_library
from witnessmark.workshop.library_taking import (
    REPLACED,
    copy_library,
    give,
    take,
    take_workshop,
    unpack,
)

DEMO = Path(__file__).parents[2] / "demo"
BARE = b"witnessmark: 1\n# kept, this one\nmachine: hut\nname: Hut\nmaker: Nobody (invented)\n"


@pytest.fixture
def library(tmp_path):
    copy_library(DEMO, tmp_path)
    return Library(tmp_path)


def brought(library, uploaded, data, name=""):
    taking = unpack(library, uploaded, data, name)
    take(library, taking)
    return taking


def zipped(**files):
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


def test_the_demonstration_is_on_the_shelf_and_fit(library):
    shelf = library.shelf()
    assert [each.name for each in shelf if each.is_fit] == [
        "brack-genset-12.yaml",
        "gull-20.yaml",
        "tarn-two-stage.yaml",
    ]
    pieces = [each.name for each in shelf if each.machine is None]
    assert pieces
    assert all(each.startswith("shared/") for each in pieces)
    assert library.workshop()[0].name.startswith("Ferry Lane")


def test_what_is_given_out_goes_in_again_byte_for_byte(library, tmp_path):
    name, data = give(library, "gull-20")
    assert name == "gull-20.zip"
    other = Library(tmp_path / "other")
    brought(other, name, data)
    for each in other.names():
        assert other.load(each) == (DEMO / "machines" / each).read_bytes()
    assert other.read("gull-20").is_fit
    assert give(other, "gull-20") == (name, data)


def test_a_backup_brings_the_library_back_and_leads_nowhere_else(library, tmp_path):
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        write_library(archive, library.folder)
    other = Library(tmp_path / "restored")
    brought(other, "gull-20.yaml", BARE)
    with ZipFile(out) as archive:
        read_library(archive, other.folder)
    assert {name: other.load(name) for name in other.names()} == {
        name: library.load(name) for name in library.names()
    }
    assert other.workshop()[0].name == library.workshop()[0].name
    assert [each.read_bytes() for each in (other.folder / REPLACED).iterdir()] == [BARE]
    bad = BytesIO(zipped(**{"machines/../../up.yaml": BARE}))
    with ZipFile(bad) as archive, pytest.raises(LibraryError):
        read_library(archive, other.folder)
    assert not (tmp_path / "up.yaml").exists()


def test_one_file_keeps_its_comments_and_what_it_replaces_is_not_lost(library):
    brought(library, "hut.yml", BARE)
    assert give(library, "hut") == ("hut.yaml", BARE)
    later = BARE.replace(b"Hut", b"Shed")
    assert unpack(library, "hut.yaml", later).replaces == ("hut.yaml",)
    brought(library, "hut.yaml", later)
    assert library.read("hut").machine.name == "Shed"
    assert [each.read_bytes() for each in (library.folder / REPLACED).iterdir()] == [BARE]


def test_a_changed_include_is_read_again(library):
    assert library.read("tarn-two-stage").is_fit
    (library.machines / "shared" / "belt-guard.yaml").write_bytes(b"witnessmark: 1\n")
    assert not library.read("tarn-two-stage").is_fit
    (library.machines / "shared" / "belt-guard.yaml").unlink()
    said = " ".join(map(str, library.read("tarn-two-stage").errors))
    assert "there is no such file" in said


@pytest.mark.parametrize(
    "name",
    [
        "../up.yaml",
        "/etc/x.yaml",
        "a/../../b.yaml",
        "C:x.yaml",
        ".hidden.yaml",
        "con.yaml",
        "a/nul.yaml",
        "a\\b.yaml",
        "a b.yaml",
        "a/b/c/d/e.yaml",
        "x\n.yaml",
        "",
    ],
)
def test_no_name_leads_out_of_the_library(library, name):
    with pytest.raises(LibraryError):
        unpack(library, "archive.zip", zipped(**{name or ".yaml": BARE}))
    if name:
        with pytest.raises(LibraryError):
            unpack(library, "hut.yaml", BARE, name)


def test_an_include_or_a_link_that_leads_out_is_not_opened(library, tmp_path):
    (tmp_path / "secret").write_bytes(b"witnessmark: 1\nmachine: s\n")
    (library.machines / "out.yaml").write_bytes(BARE + b"include:\n  - ../secret\n")
    (library.machines / "link.yaml").symlink_to(tmp_path / "secret")
    assert "outside the library" in " ".join(map(str, library.read("out").errors))
    link = library.read("link")
    assert link.machine is None
    assert link.errors


@pytest.mark.parametrize(
    ("uploaded", "data", "says"),
    [
        ("big.yaml", b"#" * (MOST_BYTES + 1), "at most"),
        ("big.zip", zipped(**{f"{n}.yaml": b"#" * MOST_BYTES for n in "abcd"}), "unpacks"),
        ("many.zip", zipped(**{f"m{n}.yaml": BARE for n in range(201)}), "more than 200"),
        ("none.zip", zipped(), "no file"),
        ("cut.zip", zipped(a=BARE)[:-30], "damaged"),
        ("empty.yaml", b" \n", "nothing in this file"),
        ("picture.yaml", b"\x89PNG\xff\xfe", "UTF-8"),
        ("workshop.yaml", b"workshop: 1\nname: W\n", "no machine file"),
    ],
)
def test_what_cannot_be_taken_is_refused_in_bounded_memory(library, uploaded, data, says):
    before = library.names()
    with pytest.raises(LibraryError, match=says):
        unpack(library, uploaded, data)
    assert library.names() == before


def test_the_workshop_file_is_taken_whole_or_not_at_all(library):
    there = (library.folder / "workshop.yaml").read_bytes()
    with pytest.raises(LibraryError, match="not taken"):
        take_workshop(library, b"workshop: 1\nname: W\nrate: much\n")
    assert (library.folder / "workshop.yaml").read_bytes() == there
    take_workshop(library, there.replace(b"rate: 54", b"rate: 61"))
    assert library.workshop()[0].rate_per_hour == 61


def test_a_job_is_planned_from_the_library_as_the_command_plans_it(library):
    """The command reads the files by its own way; minutes and steps must be the same."""
    from witnessmark.cli.session import open_session

    found = plan_job(library.folder, "gull-20", ["timing-belt", "thermostat"], 3)
    session = open_session(DEMO / "machines" / "gull-20.yaml", ["timing-belt", "thermostat"])
    results = session.plans(3, 100)
    assert [each.job.cost.total for each in found] == [r.total_cost for r in results]
    assert [each.result.plan for each in found] == [r.plan for r in results]
    assert len({str(each.pack["plan"]) for each in found}) == len(found) > 1


def test_a_way_struck_out_is_not_gone(library):
    plain = plan_job(library.folder, "brack-genset-12", ["timing-belt"])[0]
    ways = [
        (plain.compiled.problem.openings[index].id, info.ways[plain.result.plan.ways[index]].id)
        for index, info in enumerate(plain.compiled.openings)
        if index in plain.result.plan.ways and len(info.ways) > 1
    ]
    assert ways
    for opening, way in ways:
        other = plan_job(
            library.folder, "brack-genset-12", ["timing-belt"], struck=[(opening, way)]
        )[0]
        again = {
            other.compiled.problem.openings[index].id: other.compiled.openings[index].ways[w].id
            for index, w in other.result.plan.ways.items()
        }
        assert again.get(opening) != way
        assert other.job.cost.total > plain.job.cost.total


def test_why_there_is_no_plan_is_said(library):
    with pytest.raises(LibraryError, match="no machine 'gul'"):
        plan_job(library.folder, "gul", ["timing-belt"])
    with pytest.raises(CannotPlanError, match="did you mean 'timing-belt'"):
        plan_job(library.folder, "gull-20", ["timing-bel"])
    with pytest.raises(CannotPlanError, match="choose at least one work"):
        plan_job(library.folder, "gull-20", [])
    brought(library, "broken.yaml", BARE + b"works: {w: {name: W, goals: [nothing off]}}\n")
    with pytest.raises(UnfitFileError) as caught:
        plan_job(library.folder, "broken", ["w"])
    assert "broken.yaml:6:" in caught.value.lines[0]
    only = plan_job(library.folder, "gull-20", ["thermostat"])[0]
    struck = [
        (only.compiled.problem.openings[index].id, way.id)
        for index in only.result.plan.ways
        for way in only.compiled.openings[index].ways
    ]
    with pytest.raises(CannotPlanError) as caught:
        plan_job(library.folder, "gull-20", ["thermostat"], struck=struck)
    assert any("cannot be got at on this machine" in line for line in caught.value.lines)


def test_planning_needs_no_framework():
    code = "import sys, witnessmark.workshop.job_planning; print('django' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
