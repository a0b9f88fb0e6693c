"""Changing files that people wrote: comments stay, and only intended lines change.

What a changed text says is read by ruamel.yaml, which shares no code with the rewriting.
"""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from tests.machine.written import read_text
from witnessmark.machine.rewriting import Put, Remove, Rename, RewritingError, rewrite

ROOT = Path(__file__).parents[2]
DEMO = sorted((ROOT / "demo").rglob("*.yaml"))

TEXT = """\
# The cover's file
witnessmark: 1
machine: trial    # its name

parts:
  # what hides the belt
  cover:
    name: upper cover   # "upper" is for the top one
    mass: 0.8 kg
    off: {strip: 1 min,  refit: 2 min}   # odd spaces stay

  # trapped
  seal:
    trapped_by: [cover]
joints:
    bolts:          # four spaces here
        holds:
        - cover
        - seal
        text: >
          a long
          story
"""


def says(text: str) -> Any:
    """What a text says, as plain data, by another reader than ours."""
    return YAML(typ="safe", pure=True).load(text)


def changes(before: str, after: str) -> list[str]:
    """The lines that went (-) and came (+)."""
    found = difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    return [line for line in found if not line.startswith(("---", "+++", "@@"))]


# fmt: off
EDITS: list[tuple[Any, list[str]]] = [
    (Put(("machine",), "gull-20"), ["-machine: trial    # its name", "+machine: gull-20    # its name"]),
    (
        Put(("parts", "cover", "name"), "cover: the upper"),
        [
            '-    name: upper cover   # "upper" is for the top one',
            '+    name: "cover: the upper"   # "upper" is for the top one',
        ],
    ),
    (
        Put(("parts", "cover", "off", "refit"), "2.5 min"),
        [
            "-    off: {strip: 1 min,  refit: 2 min}   # odd spaces stay",
            "+    off: {strip: 1 min,  refit: 2.5 min}   # odd spaces stay",
        ],
    ),
    (
        Put(("parts", "cover", "off", "needs"), ["seal", "bolts out"]),
        [
            "-    off: {strip: 1 min,  refit: 2 min}   # odd spaces stay",
            "+    off: {strip: 1 min,  refit: 2 min, needs: [seal, bolts out]}   # odd spaces stay",
        ],
    ),
    (Put(("parts", "cover", "where"), "top, left"), ["+    where: top, left"]),
    (Put(("parts", "cover", "off"), "x"), ["-    off: {strip: 1 min,  refit: 2 min}   # odd spaces stay", "+    off: x   # odd spaces stay"]),
    (
        Put(("parts", "lid"), {"fixed": True, "off": {"strip": "1 min", "needs": ["a", "b"]}}),
        ["+  lid:", "+    fixed: true", "+    off:", "+      strip: 1 min", "+      needs: [a, b]"],
    ),
    (
        Put(("parts", "seal", "trapped_by", 1), "lid"),
        ["-    trapped_by: [cover]", "+    trapped_by: [cover, lid]"],
    ),
    (Put(("joints", "bolts", "holds", 2), "lid"), ["+        - lid"]),
    (Put(("joints", "bolts", "holds", 0), "lid"), ["-        - cover", "+        - lid"]),
    (
        Put(("joints", "bolts", "fasteners"), [{"hole": "1", "class": "8.8"}, {"hole": "2"}]),
        ["+        fasteners:", "+          - hole: 1", "+            class: 8.8", "+          - hole: 2"],
    ),
    (Put(("works",), {"job": {"goals": ["cover off"]}}), ["+works:", "+  job:", "+    goals: [cover off]"]),
    (Rename(("parts", "cover", "mass"), "weight"), ["-    mass: 0.8 kg", "+    weight: 0.8 kg"]),
    (Rename(("joints",), "fixings"), ["-joints:", "+fixings:"]),
    (Remove(("parts", "cover", "mass")), ["-    mass: 0.8 kg"]),
    (Remove(("parts", "cover", "off", "strip")), ["-    off: {strip: 1 min,  refit: 2 min}   # odd spaces stay", "+    off: {refit: 2 min}   # odd spaces stay"]),
    (Remove(("parts", "cover", "off", "refit")), ["-    off: {strip: 1 min,  refit: 2 min}   # odd spaces stay", "+    off: {strip: 1 min}   # odd spaces stay"]),
    (Remove(("parts", "seal")), ["-  seal:", "-    trapped_by: [cover]"]),
    (Remove(("parts", "seal", "trapped_by", 0)), ["-    trapped_by: [cover]", "+    trapped_by: []"]),
    (Remove(("joints", "bolts", "holds", 1)), ["-        - seal"]),
    (Remove(("joints", "bolts", "text")), ["-        text: >", "-          a long", "-          story"]),
    (Remove(("joints", "bolts")), ["-joints:", "-    bolts:          # four spaces here", "-        holds:", "-        - cover", "-        - seal", "-        text: >", "-          a long", "-          story", "+joints: {}"]),
]
# fmt: on


@pytest.mark.parametrize(("edit", "expected"), EDITS)
def test_only_intended_lines_change(edit: Any, expected: list[str]) -> None:
    after = rewrite(TEXT, [edit])
    assert changes(TEXT, after) == expected
    assert says(after) == edited_data(edit)


def edited_data(edit: Any) -> Any:
    """The same edit made to plain data."""
    data = owner = says(TEXT)
    for key in edit.path[:-1]:
        owner = owner[key]
    key = edit.path[-1]
    if isinstance(edit, Put):
        if isinstance(owner, list) and key == len(owner):
            owner.append(plain(edit.value))
        else:
            owner[key] = plain(edit.value)
    elif isinstance(edit, Rename):
        renamed = {edit.name if k == key else k: v for k, v in owner.items()}
        owner.clear()
        owner.update(renamed)
    else:
        del owner[key]
    return data


def plain(value: Any) -> Any:
    """What safe YAML makes of a value written without quotes."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return (
        YAML(typ="safe", pure=True).load(value)
        if isinstance(value, str) and value.replace(".", "").isdigit()
        else value
    )


def test_edits_are_made_one_after_the_other() -> None:
    after = rewrite(
        TEXT,
        [
            Put(("parts", "lid"), {"fixed": "true"}),
            Rename(("parts", "lid"), "top"),
            Put(("parts", "top", "where"), "above"),
            Remove(("parts", "top", "fixed")),
        ],
    )
    assert changes(TEXT, after) == ["+  top:", "+    where: above"]


@pytest.mark.parametrize(
    ("text", "edit", "expected"),
    [
        ("parts:\nname: x\n", Put(("parts", "a"), {"b": "c"}), "parts:\n  a:\n    b: c\nname: x\n"),
        ("parts:\n", Put(("parts", "a"), {"b": "c"}), "parts:\n  a:\n    b: c\n"),
        ("parts: {}\n", Put(("parts", "a"), {"b": "c"}), "parts: {a: {b: c}}\n"),
        ("parts: []\n", Put(("parts", 0), "a"), "parts: [a]\n"),
        ("a: b", Put(("c",), "d"), "a: b\nc: d"),
        ("a: b\r\nc: d\r\n", Put(("e",), {"f": "g"}), "a: b\r\nc: d\r\ne:\r\n  f: g\r\n"),
        ("a: b\r\nc: d\r\n", Remove(("a",)), "c: d\r\n"),
        ("a: b\nc: d", Remove(("c",)), "a: b"),
        ("\ufeffa: b\n", Put(("a",), "c"), "\ufeffa: c\n"),
        ("a:\nb: c\n", Put(("a",), "d"), "a: d\nb: c\n"),
        ("a: x # why\nb: c\n", Put(("a",), {"d": "e"}), "a:\n  d: e # why\nb: c\n"),
        ("a:\n  b: c\nd: e\n", Put(("a",), {"f": "g"}), "a:\n  f: g\nd: e\n"),
        ("a:\n  b: c\nd: e\n", Put(("a",), "f"), "a: f\nd: e\n"),
        ("a:\n- b: c\n  d: e\n", Remove(("a", 0, "b")), "a:\n- d: e\n"),
        ("a:\n- b: c\n  d: e\n- f: g\n", Remove(("a", 0)), "a:\n- f: g\n"),
        ("a: [x, y, z]\n", Remove(("a", 1)), "a: [x, z]\n"),
    ],
)
def test_small_texts_are_changed_as_a_person_would(text: str, edit: Any, expected: str) -> None:
    assert rewrite(text, [edit]) == expected


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (Put(("nobody", "a"), "b"), "there is no 'nobody' in this file"),
        (Put(("machine", "a"), "b"), "'machine' holds a single value"),
        (Put(("joints", "bolts", "holds", 7), "b"), "there is no place 7 in a list of 2"),
        (Rename(("parts", "lid"), "b"), "there is no 'parts / lid' in this file"),
        (Rename(("parts", "cover"), "seal"), "'seal' is there already"),
        (Rename(("joints", "bolts", "holds", 0), "b"), "an item of a list has no name"),
        (Remove(("joints", "nuts")), "there is no 'joints / nuts' in this file"),
        (Remove(()), "the whole file cannot be edited at once"),
    ],
)
def test_an_edit_that_leads_nowhere_is_refused_in_words(edit: Any, words: str) -> None:
    with pytest.raises(RewritingError) as refusal:
        rewrite(TEXT, [edit])
    assert str(refusal.value) == words


def test_the_last_key_of_a_file_stays() -> None:
    with pytest.raises(RewritingError, match="the last key of a file cannot be taken out"):
        rewrite("a: b\n", [Remove(("a",))])


def test_a_text_that_is_not_yaml_is_refused_with_its_place() -> None:
    with pytest.raises(RewritingError, match="line 2, column 1: this cannot be read as YAML"):
        rewrite("a: [b\n", [Put(("a",), "c")])


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.name)
def test_one_line_of_a_long_file_changes_and_no_other(path: Path) -> None:
    text = path.read_text("utf-8")
    key = "name" if path.name == "workshop.yaml" else "source"
    after = rewrite(text, [Put((key,), "somewhere else, said in the test")])
    assert [line[0] for line in changes(text, after)] == ["-", "+"]
    assert {**says(after), key: None} == {**says(text), key: None}


printable = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cn")), max_size=40)


@given(printable)
def test_any_text_put_in_is_read_again_as_the_same_text(value: str) -> None:
    flow = rewrite("a: {b: c}\n", [Put(("a", "b"), value)])
    block = rewrite("a:\n  b: c\n", [Put(("a", "b"), value)])
    assert YAML(typ="rt").load(flow)["a"]["b"] == YAML(typ="rt").load(block)["a"]["b"]
    for text in (flow, block):
        assert text_of(text) == value


def text_of(text: str) -> str:
    """The value as our own reader sees it: always text."""
    from witnessmark.machine.complaints import Complaints
    from witnessmark.machine.yaml_nodes import Pairs, Scalar, read_nodes

    complaints = Complaints()
    root = read_nodes(text.encode("utf-8"), "x", complaints)
    assert list(complaints) == []
    assert isinstance(root, Pairs)
    inner = root.entries["a"][1]
    assert isinstance(inner, Pairs)
    scalar = inner.entries["b"][1]
    assert isinstance(scalar, Scalar)
    return scalar.text


def test_a_machine_that_was_rewritten_is_read_as_meant() -> None:
    text = "parts:\n  frame: {fixed: true}\n"
    after = rewrite(
        text, [Put(("parts", "frame", "mass"), {"is": "5 kg", "source": "weighed, wet"})]
    )
    machine = read_text(after).value
    assert machine is not None
    assert machine.parts["frame"].mass is not None
    assert machine.parts["frame"].mass.source == "weighed, wet"
