"""Collecting complaints: each once, in order, and not without end."""

from __future__ import annotations

from witnessmark.machine.complaints import (
    MOST_COMPLAINTS,
    MOST_SHOWN,
    Complaints,
    clip,
    complaint,
    nearest,
)
from witnessmark.machine.model import Place


def at(line: int, file: str = "m.yaml") -> Place:
    return Place(file, line, 1)


def test_the_same_complaint_is_said_once():
    found = Complaints()
    found.add("missing-key", at(1), key="a")
    found.add("missing-key", at(1), key="a")
    found.add("missing-key", at(1), key="b")
    assert [each.what for each in found] == ["'a' is missing", "'b' is missing"]


def test_complaints_come_by_file_line_and_column():
    found = Complaints()
    for file, line in (("b.yaml", 1), ("a.yaml", 9), ("a.yaml", 2), ("c.yaml", 1)):
        found.add("missing-key", at(line, file), key="x")
    ordered = found.in_order(["b.yaml", "a.yaml"])
    assert [(each.place.file, each.place.line) for each in ordered] == [
        ("b.yaml", 1),
        ("a.yaml", 2),
        ("a.yaml", 9),
        ("c.yaml", 1),
    ]


def test_what_is_too_many_is_counted_whether_added_or_handed_over():
    found = Complaints()
    found.extend(complaint("missing-key", at(n), key="x") for n in range(1, MOST_COMPLAINTS + 3))
    assert found.full
    found.add("missing-key", at(5000), key="x")
    found.extend([complaint("missing-key", at(1), key="x")])  # was said
    last = found.in_order()[-1]
    assert (last.code, last.what) == ("more-complaints", "3 more complaints are not shown")


def test_the_nearest_name_is_offered():
    names = ["upper-cover", "lower-cover", "fan", "thermostat-housing"]
    assert nearest("uper-cover", names) == "did you mean 'upper-cover'?"
    assert nearest("fna", names) == "did you mean 'fan'?"
    assert nearest("thermstat-housin", names) == "did you mean 'thermostat-housing'?"
    assert nearest("gearbox", names) == f"known names: {', '.join(names)}"
    assert nearest("", names, "parts") == f"known parts: {', '.join(names)}"
    assert nearest("x", [], "parts") == "there are no parts here yet; describe it first"


def test_among_many_alike_the_one_that_begins_most_alike_is_offered():
    names = [f"bolt-{n:03d}" for n in range(900)]
    assert nearest("bolt-45", names) in {f"did you mean 'bolt-45{n}'?" for n in range(10)} | {
        "did you mean 'bolt-045'?"
    }


def test_many_names_are_not_listed():
    names = [f"part-{n}" for n in range(MOST_SHOWN + 1)]
    assert nearest("gearbox", names, "parts") == (
        f"none of the {MOST_SHOWN + 1} parts here has a name like it; describe it first"
    )


def test_long_texts_are_cut_to_one_line():
    assert clip("a\n b") == "a b"
    assert clip("x" * 500) == "x" * 59 + "…"
