"""The published schema says what the reader reads, no more and no less."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft7Validator

import witnessmark.machine
from tests.machine.test_reading_machines import WHOLE
from tests.machine.test_workshop_and_state_files import GARAGE
from tests.machine.written import check_text, read_text
from witnessmark.machine.schema import machine_schema, state_schema, workshop_schema
from witnessmark.machine.schema_words import WORDS

ROOT = Path(__file__).parents[2]
PUBLISHED = Path(witnessmark.machine.__file__).parent
SCHEMAS = {"machine": machine_schema, "workshop": workshop_schema, "state": state_schema}


class EditorLoader(yaml.SafeLoader):
    """Reads as an editor does, by YAML 1.2's core schema: dates and yes are plain texts."""


EditorLoader.yaml_implicit_resolvers = {
    letter: [
        (tag, pattern)
        for tag, pattern in found
        if tag.rpartition(":")[2] in {"int", "float", "null", "merge"}
    ]
    for letter, found in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
EditorLoader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile("true|false"), list("tf"))


def load(text: str) -> Any:
    return yaml.load(text, EditorLoader)  # noqa: S506 - a subclass of the safe loader


def published(kind: str) -> dict[str, Any]:
    return json.loads((PUBLISHED / f"{kind}-file.schema.json").read_text("utf-8"))


def faults(kind: str, text: str) -> list[str]:
    validator = Draft7Validator(published(kind))
    return [f"{list(e.absolute_path)}: {e.message}" for e in validator.iter_errors(load(text))]


def kind_of(path: Path) -> str:
    text = path.read_text("utf-8")
    return next(
        kind
        for key, kind in (
            ("workshop:", "workshop"),
            ("state:", "state"),
            ("witnessmark:", "machine"),
        )
        if re.search(f"^{key}", text, re.MULTILINE)
    )


@pytest.mark.parametrize("kind", SCHEMAS)
def test_the_published_schema_is_the_one_the_reader_gives(kind: str) -> None:
    """If this fails, write the file again: `json.dumps(..., ensure_ascii=False, indent=1)`."""
    text = (PUBLISHED / f"{kind}-file.schema.json").read_text("utf-8")
    assert text == json.dumps(SCHEMAS[kind](), ensure_ascii=False, indent=1) + "\n"


@pytest.mark.parametrize("kind", SCHEMAS)
def test_the_schema_is_a_schema(kind: str) -> None:
    Draft7Validator.check_schema(published(kind))


@pytest.mark.parametrize("path", sorted((ROOT / "demo").rglob("*.yaml")), ids=lambda p: p.name)
def test_every_file_of_the_demonstration_validates(path: Path) -> None:
    assert faults(kind_of(path), path.read_text("utf-8")) == []


def test_files_that_use_every_key_validate() -> None:
    assert faults("machine", WHOLE) == []
    assert faults("workshop", GARAGE) == []
    state = "state: 1\nmachine: x\nopen: [a off]\nby: {a off: up}\nstruck: [a off/down]\n"
    assert faults("state", state) == []


def keys_of(schema: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every key of every mapping, as (mapping, key)."""
    places = {"top": schema, **schema["definitions"]}
    for place, inner in places.items():
        for key in inner.get("properties", {}):
            yield place, key


REST = """
include: [other.yaml]
parts: {frame: {fixed: true}, pipe: {}}
joints:
  end: {kind: clips, holds: [pipe], to: frame, tightness: seated, fasteners: [{blind: true}]}
circuits: {air: {fluid: air, refilled: false}}
shafts: {crank: {unproven: {strip: 1 min, refit: 1 min}, free: {strip: 1 min, refit: 1 min}}}
works: {a: {calls: [b]}, b: {goals: [crank free]}}
"""


def test_a_file_that_uses_every_key_of_the_schema_is_read_without_a_complaint() -> None:
    assert read_text(WHOLE).complaints == ()
    assert read_text(REST, other="witnessmark: 1\n").complaints == ()
    used = set(re.findall(r"[\w-]+(?=:)", WHOLE + REST))
    assert {key for _, key in keys_of(published("machine"))} <= used


@pytest.mark.parametrize(("place", "key"), list(keys_of(published("machine"))))
def test_a_key_the_reader_does_not_know_is_not_in_the_schema(place: str, key: str) -> None:
    words = WORDS.get(f"{place}.{key}") or WORDS.get(key) or WORDS.get(f"machine-file.{key}")
    assert words, f"{place}.{key} has no words for an editor to show"


@pytest.mark.parametrize(
    "text",
    [
        "witnessmark: 1\nparts: {a: {whear: x}}\n",
        "witnessmark: 1\nparts: {Upper Cover: {}}\n",
        "witnessmark: 1\nparts: {a: {off: {strip: 1 min}}}\n",
        "witnessmark: 1\nparts: {a: {off: {ways: {up: {strip: 1 min}}}}}\n",
        "witnessmark: 1\nparts: {a: {off: {ways: {}, strip: 1 min}}}\n",
        "witnessmark: 1\njoints: {a: {holds: [b]}}\n",
        "witnessmark: 1\njoints: {a: {kind: glue, holds: [b]}}\n",
        "witnessmark: 1\nparts: {a: {fixed: yes}}\n",
        "witnessmark: 1\nparts: {a: {mass: {source: weighed}}}\n",
        "witnessmark: 1\njoints: {a: {kind: bolts, holds: [b], fasteners: [{at: [1 mm]}]}}\n",
        "witnessmark: 1\ninclude: x.yaml\n",
        "machine: x\n",
    ],
)
def test_what_the_schema_refuses_the_reader_refuses(text: str) -> None:
    assert faults("machine", text) != []
    assert [each for each in check_text(text.encode()) if not each.is_warning] != []


def test_every_word_is_used() -> None:
    shown = json.dumps([make() for make in SCHEMAS.values()], ensure_ascii=False)
    unused = [
        key for key, words in WORDS.items() if json.dumps(words, ensure_ascii=False) not in shown
    ]
    assert unused == []
