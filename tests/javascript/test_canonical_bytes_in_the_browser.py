"""The browser writes and hashes the same bytes as the standards and the library of Python say.

The expected texts come from the rules of the canonical form, written with `json` and
`sorted` here; the digests from `hashlib`. FIPS 180-4 test values: "abc" and the two-block
message of NIST's example file.
"""

from __future__ import annotations

import base64
import hashlib
import json
import random
from typing import Any

import pytest

RUNNER = "runner/canonical_runner.js"

# NIST, "SHA-256 examples" for FIPS 180-4 (values from memory, and again by hashlib below).
NIST = {
    b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    ),
}


def by_the_rules(value: Any) -> str:
    """Write a value; the escapes are made by hand, the order by Python's code points."""
    if isinstance(value, str):
        short = {'"': '\\"', "\\": "\\\\"}
        return (
            '"' + "".join(short.get(c, f"\\u{ord(c):04x}" if c < " " else c) for c in value) + '"'
        )
    if isinstance(value, dict):
        return (
            "{"
            + ",".join(f"{by_the_rules(k)}:{by_the_rules(value[k])}" for k in sorted(value))
            + "}"
        )
    if isinstance(value, list):
        return "[" + ",".join(map(by_the_rules, value)) + "]"
    return json.dumps(value)


VALUES: list[Any] = [
    None,
    True,
    False,
    0,
    -1,
    2**53 - 1,
    -(2**53) + 1,
    "",
    "12.5",
    'a "quoted" back\\slash / and \x7f',
    "".join(map(chr, range(0x20))),
    "\u2028 \u2029 \ufeff",
    "M10 \u00d7 1.25, 80 N\u00b7m + 60\u00b0",
    "\U0001f527",
    [],
    {},
    [[[]], {}],
    {"b": 1, "a": 2, "B": 3, "10": 4, "9": 5, "": 6},
    # By UTF-16 unit the last would come first.
    {"\ue000": 1, "\uffff": 2, "\U00010000": 3, "a\U00010000": 4, "a\uffff": 5, "a": 6},
    {"__proto__": {"constructor": "toString"}, "hasOwnProperty": None},
]


def test_values_are_written_by_the_rules(browser):
    answers = browser.call(RUNNER, "write", [json.dumps(value) for value in VALUES])
    for value, answer in zip(VALUES, answers, strict=True):
        text = by_the_rules(value)
        assert answer == {"text": text, "digest": hashlib.sha256(text.encode()).hexdigest()}


def random_value(seed: random.Random, depth: int) -> Any:
    if depth and seed.random() < 0.6:
        size = seed.randrange(5)
        if seed.random() < 0.5:
            return [random_value(seed, depth - 1) for _ in range(size)]
        return {random_text(seed): random_value(seed, depth - 1) for _ in range(size)}
    return seed.choice(
        [None, True, False, random_text(seed), seed.randint(-(2**53) + 1, 2**53 - 1)]
    )


def random_text(seed: random.Random) -> str:
    # None of these is changed by normal form C, alone or beside one another.
    drawn = 'az09 "\\/\x00\n\x1f\x7f\u00e9\u03a9\ue000\ufffd\uffff\U00010000\U0001f9f0\U0010ffff'
    return "".join(seed.choices(drawn, k=seed.randrange(6)))


def test_a_thousand_random_values(browser):
    seed = random.Random(20)
    values = [random_value(seed, 4) for _ in range(1000)]
    answers = browser.call(RUNNER, "write", [json.dumps(value) for value in values])
    for value, answer in zip(values, answers, strict=True):
        text = by_the_rules(value)
        assert answer == {"text": text, "digest": hashlib.sha256(text.encode()).hexdigest()}


@pytest.mark.parametrize(
    "text",
    [
        "1.5",
        "1e400",
        "9007199254740992",
        "-9007199254740992",
        '"e\\u0301"',  # e and an accent apart: not normal form C
        '"\\ud800"',
        '"\\udc00\\ud800"',
        '{"\\ud800": 1}',
        '{"A\\u030a": 1}',
        "[" * 33 + "]" * 33,
    ],
)
def test_what_has_no_form_is_refused(browser, text):
    assert browser.call(RUNNER, "write", [text]) == [{"refused": "NotCanonicalError"}]


def test_thirty_two_deep_is_the_deepest(browser):
    text = "[" * 32 + "]" * 32
    assert browser.call(RUNNER, "write", [text])[0]["text"] == text


@pytest.mark.parametrize(
    "run",
    [
        b"",
        b" 1",
        b"1 ",
        b"[1, 2]",
        b'{"a":1,"a":1}',
        b'{"b":1,"a":1}',
        b"1.0",
        b"1e2",
        b"-0",
        b"01",
        b"NaN",
        b'"\\n"',
        b'"\\u000A"',
        b'"\\u0041"',
        b'"\\/"',
        b"\xef\xbb\xbf1",
        b'"\xff"',
        b'"\xed\xa0\x80"',
        b'"\xc0\x80"',
        b'"open',
        b"[" * 10_000,
    ],
)
def test_other_ways_of_writing_are_refused_when_read(browser, run):
    asked = base64.b64encode(run).decode()
    assert browser.call(RUNNER, "read", [asked]) == [{"refused": "NotCanonicalError"}]


def test_what_was_written_reads_back(browser):
    texts = [by_the_rules(value) for value in VALUES]
    runs = [base64.b64encode(text.encode()).decode() for text in texts]
    assert browser.call(RUNNER, "read", runs) == texts


def test_both_ways_of_hashing_agree_with_the_standard(browser):
    seed = random.Random(7)
    messages = [*NIST, *(seed.randbytes(n) for n in (*range(130), 1000, 4096, 65_537))]
    found = browser.call(RUNNER, "hashes", [base64.b64encode(m).decode() for m in messages])
    for message, (plain, own) in zip(messages, found, strict=True):
        assert plain == own == hashlib.sha256(message).hexdigest()
        assert plain == NIST.get(message, plain)
