"""Files that include files."""

from __future__ import annotations

from tests.machine.written import check_text, loader, machine_from, read_text
from witnessmark.machine.reading import read_machine

PART = "witnessmark: 1\nparts: {{{0}: {{fixed: true}}}}\n"


def test_what_is_included_becomes_part_of_the_machine():
    found = machine_from(
        "include: [front.yaml]\nparts: {own: {fixed: true}}\n", front=PART.format("door")
    )
    assert list(found.parts) == ["own", "door"]
    assert found.files == ("m.yaml", "front.yaml")
    assert found.parts["door"].place.file == "front.yaml"


def test_paths_start_from_the_folder_of_the_file_that_includes():
    files = {
        "cars/a.yaml": "witnessmark: 1\nmachine: a\ninclude: [shared/b.yaml]\n",
        "cars/shared/b.yaml": "witnessmark: 1\ninclude: [../c.yaml]\n",
        "cars/c.yaml": PART.format("deep"),
    }
    read = read_machine(loader(files), "cars/a.yaml")
    assert read.complaints == ()
    assert read.files == ("cars/a.yaml", "cars/shared/b.yaml", "cars/c.yaml")


def test_two_files_may_share_a_third_which_is_read_once():
    found = machine_from(
        "include: [a.yaml, b.yaml]\n",
        a="witnessmark: 1\ninclude: [c.yaml]\n",
        b="witnessmark: 1\ninclude: [c.yaml]\n",
        c=PART.format("shared"),
    )
    assert found.files == ("m.yaml", "a.yaml", "c.yaml", "b.yaml")


def test_a_loop_is_told_with_every_file_in_it():
    found = check_text(
        "include: [a.yaml]\n",
        a="witnessmark: 1\ninclude: [b.yaml]\n",
        b="witnessmark: 1\ninclude: [a.yaml]\n",
    )
    assert [str(each) for each in found] == [
        (
            "b.yaml:2:11: include-loop: the files include one another in a loop: "
            "a.yaml -> b.yaml -> a.yaml: take one include out"
        )
    ]


def test_a_loop_is_seen_however_the_path_is_spelt():
    files = {"./x/a.yaml": "witnessmark: 1\nmachine: a\ninclude: [../x/./a.yaml]\n"}
    read = read_machine(loader(files), "./x/a.yaml")
    assert [each.code for each in read.complaints] == ["include-loop"]


def test_complaints_about_other_files_are_told_in_the_order_of_the_files():
    found = check_text(
        "include: [b.yaml, a.yaml]\nnonsense: x\n",
        a="witnessmark: 1\nnonsense: x\n",
        b="witnessmark: 1\nnonsense: x\n",
    )
    assert [each.place.file for each in found] == ["m.yaml", "b.yaml", "a.yaml"]


def test_a_name_may_be_given_in_one_file_only():
    found = check_text(
        "include: [a.yaml]\nparts: {door: {fixed: true}}\n",
        a="witnessmark: 1\njoints: {door: {kind: clips, holds: [door], tightness: clicked}}\n",
    )
    assert [str(each) for each in found] == [
        (
            "a.yaml:2:10: duplicate-id: 'door' is given twice; the first is at m.yaml:2:9: "
            "rename one of the two"
        )
    ]


def test_positions_and_special_tools_are_given_once_too():
    found = check_text(
        "include: [a.yaml]\npositions: {front: x}\nspecial_tools: {puller: {}}\n",
        a="witnessmark: 1\npositions: {front: y}\nspecial_tools: {puller: {}}\n",
    )
    assert [each.code for each in found] == ["duplicate-id", "duplicate-id"]


def test_each_file_has_its_own_source():
    found = check_text(
        "witnessmark: 1\nmachine: x\nsource: ours\ninclude: [a.yaml]\n",
        a="witnessmark: 1\nparts: {door: {fixed: true, mass: 5 kg}}\n",
    )
    assert [each.code for each in found] == ["figure-without-source"]


def test_joints_of_an_included_file_are_seen_from_that_files_viewpoint():
    found = machine_from(
        "include: [a.yaml]\nviewpoint: from the left\n",
        a="witnessmark: 1\nviewpoint: from the right\nparts: {fan: {}}\njoints: "
        "{hub: {kind: screw-on, holds: [fan], hand: left, tightness: hand-tight}}\n",
    )
    assert found.viewpoint == "from the left"
    assert found.joints["hub"].viewpoint == "from the right"


def test_an_included_file_needs_its_version_and_no_name():
    found = check_text("include: [a.yaml]\n", a="name: x\n")
    assert [each.code for each in found] == ["missing-version", "unknown-key"]


def test_a_broken_include_does_not_hide_the_rest():
    read = read_text("include: [a.yaml]\nparts: {door: {fixed: true}}\n", a="parts: [")
    assert [each.code for each in read.complaints] == ["not-yaml"]
    assert read.value is not None
    assert list(read.value.parts) == ["door"]


def test_all_files_together_stay_within_the_limits():
    others = {f"f{n}": "witnessmark: 1\n# " + "x" * 999_000 for n in range(6)}
    names = ", ".join(f"{name}.yaml" for name in others)
    found = check_text(f"include: [{names}]\n", **others)
    assert [each.code for each in found] == ["file-too-big"] * 2
