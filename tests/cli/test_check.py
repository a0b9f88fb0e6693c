"""The commands `check`, `schema` and `upgrade`."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark.cli.files import load_machine, load_state, load_workshop
from witnessmark.cli.root import command

ROOT = Path(__file__).parents[2]
SOUND = "witnessmark: 1\nmachine: trial\nparts: {frame: {fixed: true}}\n"


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str):
    return CliRunner().invoke(command, arguments)


def test_a_sound_file_is_passed_over_in_silence(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND)
    done = run("check", "m.yaml")
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == "1 file: no complaints, no warnings\n"


def test_complaints_are_printed_one_to_a_line_and_fail(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND + "name: x\nname: y\nmakr: z\n")
    done = run("check", "m.yaml")
    assert done.exit_code == 1
    assert done.stdout == (
        "m.yaml:5:1: duplicate-key: 'name' is written twice; it stands in line 4 already: "
        "keep one of the two\n"
        "m.yaml:6:1: unknown-key: 'makr' is not a key known here: did you mean 'maker'?\n"
    )
    assert done.stderr == "1 file: 2 complaints, no warnings\n"


def test_warnings_say_so_and_do_not_fail(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND.replace("true", "true, mass: 5 kg"))
    done = run("check", "m.yaml")
    assert done.exit_code == 0
    assert done.stdout.startswith("m.yaml:3:36: figure-without-source: warning: ")
    assert done.stderr == "1 file: no complaints, 1 warning\n"


def test_several_files_are_checked_in_one_run(here: Path) -> None:
    (here / "a.yaml").write_text("not: ours\n")
    (here / "b.yaml").write_text(SOUND)
    (here / "w.yaml").write_text("workshop: 1\nrat: 5\n")
    done = run("check", "a.yaml", "b.yaml", "w.yaml")
    assert done.exit_code == 1
    assert [line.split(":")[0] for line in done.stdout.splitlines()] == ["a.yaml"] * 3 + ["w.yaml"]


def test_a_complaint_about_a_shared_file_is_printed_once(here: Path) -> None:
    (here / "shared.yaml").write_text("witnessmark: 1\nodd: x\n")
    for name in ("a", "b"):
        (here / f"{name}.yaml").write_text(
            f"witnessmark: 1\nmachine: {name}\ninclude: [shared.yaml]\n"
        )
    done = run("check", "a.yaml", "b.yaml")
    assert len(done.stdout.splitlines()) == 1


def test_a_state_file_is_checked_against_its_machine_when_both_are_given(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND)
    (here / "s.yaml").write_text("state: 1\nmachine: trial\nopen: [frame off]\n")
    alone, both = run("check", "s.yaml"), run("check", "s.yaml", "m.yaml")
    assert (alone.exit_code, both.exit_code) == (0, 1)
    assert both.stdout.startswith("s.yaml:3:8: not-described: ")
    assert alone.stderr == (
        "s.yaml: give the file of machine 'trial' as well to check what is open against it\n"
        "1 file: no complaints, no warnings\n"
    )


def test_a_missing_file_or_a_wrong_option_is_two(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND)
    assert run("check", "nowhere.yaml").exit_code == 2
    assert run("check", "m.yaml", "nowhere.yaml").exit_code == 2
    assert run("check", "--loud", "m.yaml").exit_code == 2
    assert run("check").exit_code == 2


def test_what_cannot_be_read_is_a_complaint(here: Path) -> None:
    (here / "folder").mkdir()
    (here / "binary").write_bytes(b"\x00\x01")
    done = run("check", "folder", "binary")
    assert done.exit_code == 1
    assert done.stdout == (
        "folder:1:1: unreadable-file: 'folder' cannot be read, it is a folder: "
        "check the name and whether you may read it\n"
        "binary:1:1: not-text: this is not a text file in UTF-8 (character U+0000): "
        "save it as plain text with UTF-8 encoding\n"
    )


def test_what_never_ends_is_not_read(here: Path) -> None:
    os.mkfifo(here / "pipe")
    done = run("check", "pipe")
    assert done.exit_code == 1
    assert "it is not a plain file" in done.stdout


def test_json_says_the_same_as_the_lines(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND + "makr: z\n")
    done = run("check", "--json", "m.yaml")
    assert done.exit_code == 1
    assert json.loads(done.stdout) == {
        "complaints": [
            {
                "file": "m.yaml",
                "line": 4,
                "column": 1,
                "code": "unknown-key",
                "severity": "complaint",
                "what": "'makr' is not a key known here",
                "to_do": "did you mean 'maker'?",
            }
        ]
    }


def test_colour_is_for_terminals_only(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND + "makr: z\n")
    plain = CliRunner().invoke(command, ["check", "m.yaml"])
    coloured = CliRunner().invoke(command, ["check", "m.yaml"], color=True)
    assert "\x1b[" not in plain.stdout
    assert "\x1b[31m\x1b[1munknown-key\x1b[0m" in coloured.stdout


def test_the_help_reads_well(here: Path) -> None:
    done = run("check", "--help")
    assert done.exit_code == 0
    assert "Exit code  0  nothing wrong, or warnings only" in done.stdout


@pytest.mark.parametrize("kind", ["machine", "workshop", "state"])
def test_the_schemas_are_printed(kind: str) -> None:
    done = run("schema", kind)
    assert done.exit_code == 0
    assert json.loads(done.stdout)["$id"] == f"urn:witnessmark:{kind}-file:1"
    assert run("schema").stdout == run("schema", "machine").stdout


def test_an_old_file_is_upgraded_in_place(here: Path) -> None:
    (here / "old.yaml").write_bytes(b"witnessmark: 0\r\nmachine: x # \xc3\xa4\r\njobs: {}\r\n")
    (here / "new.yaml").write_text(SOUND)
    (here / "bad.yaml").write_text("a: [\n")
    done = run("upgrade", "old.yaml", "new.yaml", "bad.yaml")
    assert done.exit_code == 1
    assert done.stdout == "old.yaml: upgraded\nnew.yaml: is up to date\n"
    assert done.stderr.startswith("bad.yaml: not upgraded: line 2, column 1: ")
    assert (here / "old.yaml").read_bytes() == (
        b"witnessmark: 1\r\nmachine: x # \xc3\xa4\r\nworks: {}\r\n"
    )
    assert run("upgrade", "nowhere.yaml").exit_code == 2


def test_loading_for_other_commands(here: Path) -> None:
    (here / "m.yaml").write_text(SOUND)
    (here / "w.yaml").write_text("workshop: 1\n")
    (here / "s.yaml").write_text("state: 1\nmachine: other\n")
    machine, complaints = load_machine("m.yaml")
    assert machine is not None
    assert (machine.id, complaints) == ("trial", [])
    workshop, complaints = load_workshop(Path("w.yaml"))
    assert workshop is not None
    assert (workshop.file, complaints) == ("w.yaml", [])
    state, complaints = load_state("s.yaml", machine)
    assert state is not None
    assert [each.code for each in complaints] == ["wrong-machine"]
    missing, complaints = load_machine("nowhere.yaml")
    assert missing is None
    assert [each.code for each in complaints] == ["unreadable-file"]


def test_every_file_of_the_demonstration_is_clean() -> None:
    files = [*sorted((ROOT / "demo" / "machines").glob("*.yaml")), ROOT / "demo" / "workshop.yaml"]
    done = run("check", *map(str, files))
    assert done.stdout == ""
    assert done.exit_code == 0


def test_the_command_itself_runs_and_says_nothing_odd() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "witnessmark", "check", str(ROOT / "demo" / "workshop.yaml")],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert (done.returncode, done.stdout) == (0, "")
