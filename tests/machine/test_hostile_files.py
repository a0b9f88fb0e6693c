"""Files that are not what they should be: refused in bounded time and memory, no traceback."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.machine.written import check_text, check_workshop_text, read_text
from witnessmark.machine.checks import check_machine, check_workshop
from witnessmark.machine.complaints import MOST_COMPLAINTS, Complaint
from witnessmark.machine.reading import read_machine, read_workshop

ROOT = Path(__file__).parents[2]
DEMO = sorted((ROOT / "demo").rglob("*.yaml"))
SECONDS = 20.0
"""A hang, not a slow machine: processor time beyond this. How quick it is, benchmarks say."""


def doubled(times: int) -> str:
    """A document whose aliases double what they stand for, again and again."""
    lines = ["a0: &a0 [x, x]"]
    lines += [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, times)]
    return "\n".join(lines) + "\n"


HOSTILE: dict[str, tuple[bytes, str]] = {
    "binary": (bytes(range(256)) * 200, "not-text"),
    "zeros": (b"\0" * 5000, "not-text"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\x00\x00\x00\rIHDR" * 50, "not-text"),
    "sixteen bits a letter": ("witnessmark: 1\n".encode("utf-16"), "not-text"),
    "half a letter": ("name: ä\n".encode()[:-2], "not-text"),
    "an escape character": (b"name: \x1b[31mred\n", "not-text"),
    "empty": (b"", "file-empty"),
    "blank": (b" \n\t\n", "file-empty"),
    "only a comment": (b"# nothing yet\n", "file-empty"),
    "only dashes": (b"---\n...\n", "not-a-file-of-ours"),
    "huge": (b"a: b\n" * 1_000_000, "file-too-big"),
    "many values": (b"- x\n" * 900_000, "too-many-values"),
    "deep brackets": (b"a: " + b"[" * 100_000, "too-deep"),
    "deep braces": (b"{a: " * 100_000, "too-deep"),
    "deep indent": (b"".join(b" " * n + b"a:\n" for n in range(1500)), "too-deep"),
    "deep dashes": (b"- " * 100_000 + b"x", "too-deep"),
    "alias bomb": (doubled(60).encode(), "too-many-values"),
    "alias of itself": (b"a: &a {b: *a}\n", "alias-loop"),
    "alias of nothing": (b"a: *b\n", "unknown-alias"),
    "not YAML": (b"a: b: c: d\n", "not-yaml"),
    "a tab for an indent": (b"parts:\n\ta: b\n", "not-yaml"),
    "an unclosed quote": (b'name: "never ends\n' * 20_000, "not-yaml"),
    "a directive": (b"%YAML 9.9\n---\na: b\n", "not-yaml"),
    "a program": (b"import os\nprint('x')\n", "not-a-file-of-ours"),
    "JSON that is a list": (b"[1, 2, 3]\n", "not-a-file-of-ours"),
    "a word": (b"witnessmark\n", "not-a-file-of-ours"),
    "questions": (b"? [a]\n: b\n", "key-not-text"),
    "one long line": (b"name: " + b"x" * 3_900_000, "missing-version"),
    "long keys": (b"witnessmark: 1\n" + b"k" * 2000 + b": x\n", "not-yaml"),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_what_is_no_machine_file_is_refused_at_once(kind: str) -> None:
    raw, code = HOSTILE[kind]
    started = time.process_time()
    found = check_text(raw)
    assert time.process_time() - started < SECONDS
    assert code in {each.code for each in found}, [str(each) for each in found]
    assert_sound(found)


def test_every_refusal_says_where_even_deep_in_the_file() -> None:
    found = check_text(b"witnessmark: 1\nparts:\n  cover: {off: {strip: 1 min\n  pipe: x\n")
    assert [(each.place.line, each.code) for each in found] == [(4, "not-yaml")]


def test_numbers_without_end_are_refused_not_worked_out() -> None:
    digits = "9" * 100_000
    read = read_text(
        f"parts:\n  a: {{fixed: true, price: {digits}, mass: {digits} kg}}\n"
        f"joints: {{j: {{kind: bolts, holds: [a], tightness: 1/{digits} N·m, "
        f"out: {{strip: {digits} min, refit: 9{'9' * 14} h, people: {digits}}}}}}}\n"
    )
    assert sorted(each.code for each in read.complaints) == [
        "not-a-whole-number",
        *["unreadable-quantity"] * 5,
    ]
    assert all(len(str(each)) < 400 for each in read.complaints)


def test_a_flood_of_mistakes_is_cut_off() -> None:
    found = check_text("parts:\n" + "".join(f"  a{n}: {{x: y}}\n" for n in range(20_000)))
    assert len(found) == MOST_COMPLAINTS + 1
    assert found[-1].code == "more-complaints"


# Well-formed files whose things wait for, hold or bar one another without end. The sizes
# are such that anything that looks at every two of them would take far too long.

TIMES = "{strip: 1 min, refit: 1 min"


def _parts(count: int, needs: Callable[[int], str]) -> str:
    return "parts:\n" + "".join(
        f"  p{n}: {{fixed: true, moved: {TIMES}{needs(n)}}}}}\n" for n in range(count)
    )


def _assemblies(count: int) -> str:
    return "assemblies:\n" + "".join(
        f"  a{n}: {{parts: [p], off: {TIMES}}}}}\n" for n in range(count)
    )


TANGLED: dict[str, str] = {
    "a long row, each waiting for the next": _parts(
        2000, lambda n: f", needs: [p{n + 1} moved]" if n < 1999 else ""
    ),
    "a long row, each waiting for the one before": _parts(
        2000, lambda n: f", needs: [p{n - 1} moved]" if n else ""
    ),
    "one great circle": _parts(2000, lambda n: f", needs: [p{(n + 1) % 2000} moved]"),
    "a row that waits in vain": _parts(2000, lambda n: f", needs: [p{n + 1} moved]"),
    "each only after one it needs": _parts(
        2000,
        lambda n: f", needs: [p{n + 1} moved], while_fitted: [p1999 moved]" if n < 1999 else "",
    ),
    "one part in every joint and assembly": "parts:\n  p: {fixed: true}\n  q: {fixed: true}\n"
    "joints:\n"
    + "".join(
        f"  j{n}: {{kind: clips, holds: [p], to: q, tightness: seated}}\n" for n in range(1500)
    )
    + _assemblies(1500),
    "one part in every assembly, and every bar on it": f"parts:\n  f: {{fixed: true, moved: {TIMES}}}}}\n"
    "  p: {fixed: true}\n"
    + _assemblies(1500)
    + "bars:\n"
    + "".join(f"  b{n}: {{never: f moved, while: [p]}}\n" for n in range(1500)),
    "works that call one another in a long row": "runs: {r: {timing: true}}\n"
    f"shafts: {{s: {{run: r, proof: x, unproven: {TIMES}}}}}}}\nworks:\n"
    + "".join(f"  w{n}: {{calls: [w{n + 1}]}}\n" for n in range(4000))
    + "  w4000: {goals: [s unproven]}\n",
    "shafts and starts without end": "runs: {r: {timing: true}}\nshafts:\n"
    + "".join(f"  s{n}: {{run: r, proof: x, unproven: {TIMES}}}}}\n" for n in range(2000))
    + "works:\n  w:\n    steps:\n"
    + "".join(
        f"      t{n}: {{text: x, time: 1 min, acts: [start], before: [s1999 unproven]}}\n"
        for n in range(2000)
    ),
    "a belt over pulleys without end": "runs:\n  r:\n    pulleys:\n"
    + "".join(
        f"      p{n}: {{at: [{n} mm, {n * n % 97} mm], diameter: 1 mm}}\n" for n in range(2000)
    ),
    "a thousand moves": "workshop",
}


@pytest.mark.parametrize("kind", TANGLED)
def test_a_tangled_file_is_checked_in_bounded_time(kind: str) -> None:
    started = time.process_time()
    if TANGLED[kind] == "workshop":
        moves = ", ".join(f"p{n}: {{q{n}: 1 min}}" for n in range(1000))
        found = check_workshop_text(f"workshop: 1\nmoves: {{{moves}}}\n")
    else:
        found = check_text(TANGLED[kind])
    assert time.process_time() - started < SECONDS
    assert_sound(found)


# Mutations: what a slip of the hand, a bad disc or a careless merge does to a good file.


def mutated(raw: bytes, rng: random.Random) -> bytes:
    """One to four disasters, or as many slips that leave the file YAML more often."""
    kinds = rng.choice((DISASTERS, SLIPS, SLIPS))
    for _ in range(rng.randint(1, 4)):
        raw = rng.choice(kinds)(raw, rng)
    return raw


def _lines(raw: bytes) -> list[bytes]:
    return raw.splitlines(keepends=True) or [b""]


def delete_lines(raw: bytes, rng: random.Random) -> bytes:
    lines = _lines(raw)
    at = rng.randrange(len(lines))
    del lines[at : at + rng.randint(1, 20)]
    return b"".join(lines)


def swap_lines(raw: bytes, rng: random.Random) -> bytes:
    lines = _lines(raw)
    a, b = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[a], lines[b] = lines[b], lines[a]
    return b"".join(lines)


def duplicate_lines(raw: bytes, rng: random.Random) -> bytes:
    lines = _lines(raw)
    at = rng.randrange(len(lines))
    lines[at:at] = lines[at : at + rng.randint(1, 30)] * rng.randint(1, 40)
    return b"".join(lines)


def indent_lines(raw: bytes, rng: random.Random) -> bytes:
    lines = _lines(raw)
    at = rng.randrange(len(lines))
    for number in range(at, min(at + rng.randint(1, 30), len(lines))):
        lines[number] = b" " * rng.randint(1, 9) + lines[number]
    return b"".join(lines)


def garble(raw: bytes, rng: random.Random) -> bytes:
    found = bytearray(raw)
    for _ in range(rng.randint(1, 60)):
        found[rng.randrange(len(found))] = rng.choice(b"{}[]:,#&*!|>'\"%@`-? \t\nabc0")
    return bytes(found)


def bad_bytes(raw: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(raw))
    return raw[:at] + rng.randbytes(rng.randint(1, 40)) + raw[at:]


def truncate(raw: bytes, rng: random.Random) -> bytes:
    return raw[: rng.randrange(1, len(raw))]


def huge_numbers(raw: bytes, rng: random.Random) -> bytes:
    digits = [n for n, byte in enumerate(raw) if chr(byte).isdigit()] or [0]
    at = rng.choice(digits)
    return raw[:at] + b"9" * rng.choice((3, 18, 400, 50_000)) + raw[at:]


def swap_words(raw: bytes, rng: random.Random) -> bytes:
    words = sorted(set(raw.replace(b":", b" ").replace(b",", b" ").split()))
    return raw.replace(rng.choice(words), rng.choice(words), rng.randint(1, 50))


def delete_word(raw: bytes, rng: random.Random) -> bytes:
    words = raw.split(b" ")
    del words[rng.randrange(len(words))]
    return b" ".join(words)


def shorten_word(raw: bytes, rng: random.Random) -> bytes:
    letters = [n for n, byte in enumerate(raw) if chr(byte).isalpha()] or [0]
    at = rng.choice(letters)
    return raw[:at] + raw[at + 1 :]


def more_digits(raw: bytes, rng: random.Random) -> bytes:
    digits = [n for n, byte in enumerate(raw) if chr(byte).isdigit()] or [0]
    at = rng.choice(digits)
    return raw[:at] + b"9" * rng.randint(1, 20) + raw[at:]


def delete_line(raw: bytes, rng: random.Random) -> bytes:
    lines = _lines(raw)
    del lines[rng.randrange(len(lines))]
    return b"".join(lines)


def alias_some(raw: bytes, rng: random.Random) -> bytes:
    """Mark a value and let others stand for it, perhaps within itself."""
    places = [n for n, byte in enumerate(raw) if byte == ord("{")] or [0]
    a, b = rng.choice(places), rng.choice(places)
    first, second = min(a, b), max(a, b)
    return raw[:first] + b"&z " + raw[first:second] + b"*z " + raw[second:]


DISASTERS = (
    delete_lines,
    swap_lines,
    duplicate_lines,
    indent_lines,
    garble,
    bad_bytes,
    truncate,
    huge_numbers,
    swap_words,
    alias_some,
)

SLIPS = (delete_line, delete_word, shorten_word, more_digits, swap_words, duplicate_lines)
DEADLY = {"not-yaml", "not-text", "too-deep", "second-document", "alias-loop", "key-not-text"}
"""Codes after which nothing more of a file is read."""


def mutants(count: int) -> Iterator[tuple[int, str, bytes]]:
    """Mutations of the demonstration's files, the same in every run."""
    for seed in range(count):
        rng = random.Random(seed)
        path = DEMO[seed % len(DEMO)]
        yield seed, path.relative_to(ROOT).as_posix(), mutated(path.read_bytes(), rng)


def check_mutant(name: str, raw: bytes) -> list[Complaint]:
    """Check a mutated file in the place of the good one."""

    def load(path: str) -> bytes:
        return raw if path == name else (ROOT / path).read_bytes()

    if name.endswith("workshop.yaml"):
        return check_workshop(read_workshop(load, name))
    return check_machine(read_machine(load, name))


def assert_sound(found: list[Complaint]) -> None:
    """Every complaint fits one line, says something and points into the file."""
    for each in found:
        line = str(each)
        assert "\n" not in line
        assert len(line) < 1500
        assert each.what
        assert each.to_do
        assert each.place.line >= 1
        assert each.place.column >= 1


def test_two_hundred_mutated_files_give_complaints_and_nothing_worse() -> None:
    read_on = 0
    for seed, name, raw in mutants(200):
        started = time.process_time()
        found = check_mutant(name, raw)
        assert time.process_time() - started < SECONDS, f"seed {seed}, {name}"
        assert_sound(found)
        read_on += bool(found) and not DEADLY.intersection(each.code for each in found)
    assert read_on > 70  # the rules saw many of them


MEMORY = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))
sys.path.insert(0, {root!r})
from tests.machine.test_hostile_files import HOSTILE, check_mutant, mutants
from tests.machine.written import check_text
for raw, _ in HOSTILE.values():
    check_text(raw)
for _, name, raw in mutants(200):
    check_mutant(name, raw)
print("within a gigabyte")
"""


def test_all_of_them_stay_within_a_gigabyte_of_memory() -> None:
    done = subprocess.run(
        [sys.executable, "-c", MEMORY.format(root=str(ROOT))],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout == "within a gigabyte\n"


def test_a_mapping_cannot_be_a_key_by_way_of_an_alias() -> None:
    found = check_text(b"a: &m {b: c}\n*m : d\n")
    assert [each.code for each in found] == ["key-not-text"]


def test_a_key_may_be_an_alias_and_a_tag_hides_nothing() -> None:
    found = check_text("name: &k viewpoint\n*k : from the left\nmaker: !!str me\nparts: !x {}\n")
    assert [each.code for each in found] == ["yaml-tag", "yaml-tag"]


def test_trouble_of_the_parser_itself_is_a_complaint(monkeypatch) -> None:
    import yaml

    class Broken:
        def __init__(self, text: str) -> None:
            self.text = text

        def check_event(self) -> bool:
            raise yaml.YAMLError("the parser gave up")

        def dispose(self) -> None:
            self.text = ""

    monkeypatch.setattr("witnessmark.machine.yaml_nodes._Loader", Broken)
    found = check_text("parts: {}\n")
    assert [(each.code, each.what) for each in found] == [
        ("not-yaml", "this cannot be read as YAML (the parser gave up)")
    ]


def test_shapes_that_do_not_fit_are_told_apart_from_each_other() -> None:
    found = check_text(
        "parts:\n"
        "  a: {fixed: true, where: [x], off: , mass: {source: x}, inspect: [x]}\n"
        "  b: {fixed: true, off: [x], trapped_by: {x: y}, moved: {how: , ways: x}}\n"
        "  c: word\n"
        "joints:\n"
        "  j:\n"
        "    kind: bolts\n"
        "    holds: [a]\n"
        "    tightness: seated\n"
        "    fasteners: [x, {at: [1 mm, far]}]\n"
        "    slack: {strip: 1 min, refit: 1 min, spoils: {a: perhaps, b: [x]}}\n"
        "circuits: {w: {fluid: water, heights: {j: high}}}\n"
        "rooms: {r: {for: [x], made_by: {j slack: x}}}\n"
        "runs: {u: {tensioner: }}\n"
        "positions: {front: [x]}\n"
    )
    assert [(each.place.line, each.code) for each in found] == [
        (2, "wrong-shape"),
        (2, "empty-value"),
        (2, "missing-quantity"),
        (2, "wrong-shape"),
        (3, "wrong-shape"),
        (3, "wrong-shape"),
        (3, "no-way"),
        (3, "empty-value"),
        (3, "wrong-shape"),
        (4, "part-not-held"),
        (4, "wrong-shape"),
        (10, "wrong-shape"),
        (10, "unreadable-quantity"),
        (11, "unknown-word"),
        (11, "wrong-shape"),
        (12, "unreadable-quantity"),
        (13, "wrong-shape"),
        (13, "wrong-shape"),
        (14, "empty-value"),
        (15, "wrong-shape"),
    ]
