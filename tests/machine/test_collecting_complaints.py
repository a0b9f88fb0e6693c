"""Collecting complaints: each once, in order, and not without end."""

from __future__ import annotations

from witnessmark.machine.complaints import (
    MOST_COMPLAINTS,
    MOST_SHOWN,
    Complaints,
    clip,
    complaint,
    in_a_row,
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


def test_too_many_are_cut_off_and_it_is_said_where():
    found = Complaints()
    found.extend(complaint("missing-key", at(n), key="x") for n in range(1, MOST_COMPLAINTS + 3))
    assert found.full
    found.add("missing-key", at(5000), key="x")
    found.extend([complaint("missing-key", at(1), key="x")])  # was said
    last = found.in_order()[-1]
    assert (last.code, last.what, last.place) == (
        "more-complaints",
        "there are more complaints; only 1000 are shown",
        at(MOST_COMPLAINTS + 1),
    )


def test_no_more_complaints_are_asked_for_than_can_be_said():
    asked = []

    def endless():
        while True:
            asked.append(len(asked))
            yield complaint("missing-key", at(len(asked)), key="x")

    Complaints().extend(endless())
    assert len(asked) == MOST_COMPLAINTS + 1


def test_a_fact_that_is_dear_to_find_is_only_looked_up_when_said():
    found = Complaints()
    found.add("unknown-key", at(1), key="x", nearest=lambda: "looked up")
    assert next(iter(found)).to_do == "looked up"
    found.extend(complaint("missing-key", at(n), key="x") for n in range(2, MOST_COMPLAINTS + 1))

    def never() -> str:
        raise AssertionError

    found.add("unknown-key", at(1), key="y", nearest=never)


def test_the_nearest_name_is_offered():
    names = ["upper-cover", "lower-cover", "fan", "thermostat-housing"]
    assert nearest("uper-cover", names) == "did you mean 'upper-cover'?"
    assert nearest("fna", names) == "did you mean 'fan'?"
    assert nearest("thermstat-housin", names) == "did you mean 'thermostat-housing'?"
    assert nearest("gearbox", names) == f"known names: {', '.join(names)}"
    assert nearest("", names, "parts") == f"known parts: {', '.join(names)}"
    assert nearest("x", [], "parts") == "there are no parts here yet; describe it first"


def test_among_many_names_those_that_begin_or_end_alike_are_compared():
    names = [f"{colour}-bolt-{n}" for colour in ("red", "green", "blue") for n in range(300)]
    assert nearest("gren-bolt-217", names) == "did you mean 'green-bolt-217'?"
    assert nearest("gredn-bolt-217", names) == "did you mean 'green-bolt-217'?"
    assert nearest("xgreen-bolt-217", names) == "did you mean 'green-bolt-217'?"


def test_very_many_names_are_not_all_said():
    assert in_a_row(["a", "b"], " -> ") == "a -> b"
    long = in_a_row([f"n{n}" for n in range(100)], " -> ")
    assert long.startswith("n0 -> n1")
    assert long.endswith("n23 -> ... (100 in all)")


def test_many_names_are_not_listed():
    names = [f"part-{n}" for n in range(MOST_SHOWN + 1)]
    assert nearest("gearbox", names, "parts") == (
        f"none of the {MOST_SHOWN + 1} parts here has a name like it; describe it first"
    )


def test_long_texts_are_cut_to_one_line():
    assert clip("a\n b") == "a b"
    assert clip("x" * 500) == "x" * 59 + "…"
