"""The JSON Schema of our files, written down by asking the builders what they ask for.

The builders that read a file are run once over an entry that answers with dummies and
notes every question, so a key that can be read is a key of the schema, and no other.
The result is kept beside this module as `*.schema.json`; a test holds the two together.
"""

# Every question is described once, in `Entry`.

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any, TypeVar

from witnessmark.machine.entry import Entry
from witnessmark.machine.files import (
    FORMAT_VERSION,
    machine_file,
    state_file,
    workshop_file,
)
from witnessmark.machine.model import FactRef, IdRef, Place, Sourced, SourcedTightness
from witnessmark.machine.schema_words import WORDS
from witnessmark.quantities.threads import Thread
from witnessmark.quantities.units import UNITS, Dimension

T = TypeVar("T")
Schema = dict[str, Any]

_NOWHERE = Place("schema", 1, 1)
_ID = {"type": "string", "pattern": "^[a-z0-9]([a-z0-9-]{0,58}[a-z0-9])?$"}
_TEXT = {"type": ["string", "number"]}
_FACT = {"type": "string", "pattern": "^[a-z0-9-]+( .+)?$"}
_EXAMPLES: Mapping[Dimension, str] = {
    Dimension.LENGTH: "120 mm",
    Dimension.VOLUME: "7.5 L",
    Dimension.MASS: "0.5 kg",
    Dimension.MASS_PER_LENGTH: "120 g/m",
    Dimension.TORQUE: "22 N·m",
    Dimension.ANGLE: "6°",
    Dimension.FORCE: "12 kN",
    Dimension.TEMPERATURE: "20 °C",
}


def machine_schema() -> Schema:
    """Give the schema of a machine file and of any file it includes."""
    return _whole(machine_file, "witnessmark", "A machine: parts, joints, ways and works.")


def workshop_schema() -> Schema:
    """Give the schema of a workshop file."""
    return _whole(workshop_file, "workshop", "A workshop: rates, change-overs, tools, stock.")


def state_schema() -> Schema:
    """Give the schema of a state file."""
    return _whole(state_file, "state", "Where a job stands: what is open, and by which way.")


def _whole(build: Callable[[Entry], Any], kind: str, title: str) -> Schema:
    definitions: dict[str, Schema] = {}
    name = build.__name__.replace("_", "-")
    top = _SchemaEntry(name, definitions)
    build(top)
    schema = top.schema()
    schema["properties"][kind] = {
        "const": FORMAT_VERSION,
        "description": WORDS[kind],
    }
    schema["required"] = sorted({kind, *schema.get("required", ())})
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "$id": f"urn:witnessmark:{name}:{FORMAT_VERSION}",
        "title": title,
        **schema,
        "definitions": dict(sorted(definitions.items())),
    }


class _SchemaEntry:
    """Answers with dummies and notes what was asked; see `Entry` for the questions."""

    def __init__(self, name: str, definitions: dict[str, Schema]) -> None:
        self._name = name
        self._definitions = definitions
        self._properties: dict[str, Schema] = {}
        self._required: list[str] = []
        self.id = "some-id"
        self.place = _NOWHERE

    def schema(self) -> Schema:
        """Give what was noted as the schema of a mapping."""
        schema: Schema = {
            "type": "object",
            "properties": self._properties,
            "additionalProperties": False,
        }
        if self._required:
            schema["required"] = sorted(self._required)
        return schema

    def _note(self, key: str, schema: Mapping[str, Any], *, needed: bool = False) -> None:
        words = WORDS.get(f"{self._name}.{key}") or WORDS[key]
        self._properties[key] = {**schema, "description": words}
        if needed and key not in self._required:
            self._required.append(key)

    def _refer(self, name: str, build: Callable[[Any], Any]) -> Schema:
        name = name.strip("_").replace("_", "-")
        if name not in self._definitions:
            inner = _SchemaEntry(name, self._definitions)
            self._definitions[name] = {}  # stands while the builder runs
            build(inner)
            self._definitions[name] = inner.schema()
        return {"$ref": f"#/definitions/{name}"}

    def _figure(self, example: str, *, bare: bool = False) -> Schema:
        """Note a figure: as people write it, or with its source."""
        kinds = ["string", "number"] if bare else ["string"]
        name = "figure-or-number" if bare else "figure"
        self._definitions[name] = {
            "anyOf": [
                {"type": kinds},
                {
                    "type": "object",
                    "properties": {
                        "is": {"type": kinds, "description": WORDS["is"]},
                        "source": {**_TEXT, "description": WORDS["figure.source"]},
                        "by": {**_TEXT, "description": WORDS["figure.by"]},
                    },
                    "required": ["is"],
                    "additionalProperties": False,
                },
            ]
        }
        return {"allOf": [{"$ref": f"#/definitions/{name}"}], "examples": [example]}

    # Texts and words

    def name(self) -> str:
        self._note("name", _TEXT)
        return "name"

    def text(self, key: str) -> str | None:
        self._note(key, _TEXT)
        return None

    def needed_text(self, key: str) -> str:
        self._note(key, _TEXT, needed=True)
        return ""

    def texts(self, key: str) -> tuple[str, ...]:
        self._note(key, {"type": "array", "items": _TEXT})
        return ()

    def placed_text(self, key: str) -> tuple[str, Place]:
        self._note(key, _TEXT, needed=True)
        return "", _NOWHERE

    def placed_texts(self, key: str) -> tuple[tuple[str, Place], ...]:
        self._note(key, {"type": "array", "items": _TEXT})
        return ()

    def word(self, key: str, words: Sequence[str]) -> str | None:
        self._note(key, {"enum": [str(word) for word in words]})
        return None

    def needed_word(self, key: str, words: Sequence[str]) -> str:
        self._note(key, {"enum": [str(word) for word in words]}, needed=True)
        return words[0]

    def date(self, key: str) -> str | None:
        self._note(key, {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"})
        return None

    def torque_unit(self, key: str) -> str | None:
        torques = (unit for unit in UNITS if unit.dimension is Dimension.TORQUE)
        self._note(key, {"enum": [name for unit in torques for name in (unit.symbol, *unit.also)]})
        return None

    def flag(self, key: str, *, otherwise: bool = False) -> bool:
        self._note(key, {"type": "boolean"})
        return otherwise

    # Numbers and quantities

    def whole(self, key: str, *, least: int, otherwise: int) -> int:
        self._note(key, {"type": "integer", "minimum": least})
        return otherwise

    def maybe_whole(self, key: str, *, least: int) -> int | None:
        self._note(key, {"type": "integer", "minimum": least})
        return None

    def number(self, key: str, *, above_zero: bool = False) -> Fraction | None:
        bound = {"exclusiveMinimum": 0} if above_zero else {"minimum": 0}
        self._note(key, {"type": ["number", "string"], **bound, "pattern": r"^[\d ./]+$"})
        return None

    def minutes(self, key: str, *, otherwise: int = 0) -> int:
        self._note(key, self._figure("4 min"))
        return otherwise

    def needed_minutes(self, key: str) -> int:
        self._note(key, self._figure("4 min"), needed=True)
        return 0

    def quantity(self, key: str, dimension: Dimension) -> Fraction | None:
        self._note(key, self._figure(_EXAMPLES[dimension]))
        return None

    def needed_quantity(self, key: str, dimension: Dimension) -> Fraction:
        self._note(key, self._figure(_EXAMPLES[dimension]), needed=True)
        return Fraction(0)

    def point(self, key: str) -> tuple[Fraction, Fraction] | None:
        item = self._figure(_EXAMPLES[Dimension.LENGTH])
        self._note(key, {"type": "array", "items": item, "minItems": 2, "maxItems": 2})
        return None

    def sourced(self, key: str, dimension: Dimension | None) -> Sourced | None:
        if dimension is None:
            self._note(key, self._figure("0.3 mm", bare=True))
        else:
            self._note(key, self._figure(_EXAMPLES[dimension]))
        return None

    def tightness(self, key: str) -> SourcedTightness | None:
        self._note(key, self._figure("60 N·m + 90°"))
        return None

    def tightnesses(self, key: str) -> tuple[SourcedTightness, ...]:
        self._note(key, {"type": "array", "items": self._figure("30 N·m")})
        return ()

    def thread(self, key: str) -> Thread | None:
        self._note(key, self._figure("M8x1.25 x 45"))
        return None

    # References

    def ref(self, key: str, of: Iterable[str]) -> IdRef | None:
        del of
        self._note(key, _ID)
        return None

    def refs(self, key: str, of: Iterable[str], *, needed: bool = False) -> tuple[IdRef, ...]:
        del of
        self._note(key, {"type": "array", "items": _ID}, needed=needed)
        return ()

    def fact(self, key: str) -> FactRef:
        self._note(key, _FACT, needed=True)
        return FactRef("some-id", None, _NOWHERE)

    def facts(self, key: str) -> tuple[FactRef, ...]:
        self._note(key, {"type": "array", "items": _FACT})
        return ()

    def words_by_ref(self, key: str, words: Sequence[str], of: Iterable[str]) -> Mapping[str, str]:
        del of
        each = {"enum": [str(word) for word in words]}
        self._note(key, _mapping(_ID, each))
        return {}

    def sourced_by_ref(
        self, key: str, dimension: Dimension, of: Iterable[str]
    ) -> Mapping[str, Sourced]:
        del of
        self._note(key, _mapping(_ID, self._figure(_EXAMPLES[dimension])))
        return {}

    def refs_by_fact(self, key: str) -> tuple[tuple[FactRef, IdRef], ...]:
        self._note(key, _mapping(_FACT, _ID))
        return ()

    def ways_of_facts(self, key: str) -> tuple[tuple[FactRef, IdRef], ...]:
        self._note(key, {"type": "array", "items": {"type": "string", "pattern": "^.+/.+$"}})
        return ()

    def order(self, key: str, words: Sequence[str]) -> tuple[str, ...] | str | None:
        listed = {"type": "array", "items": _TEXT}
        self._note(key, {"anyOf": [{"enum": list(words)}, listed]})
        return None

    def texts_by_id(self, key: str) -> Mapping[str, str]:
        self._note(key, _mapping(_ID, _TEXT))
        return {}

    def minutes_by_text(self, key: str) -> Mapping[str, int]:
        self._note(key, _mapping({}, self._figure("6 min")))
        return {}

    def moves(self, key: str) -> Mapping[str, Mapping[str, tuple[int, Place]]]:
        self._note(key, _mapping({}, _mapping({}, self._figure("1 min"))))
        return {}

    def wholes_by_text(self, key: str) -> Mapping[str, int]:
        self._note(key, _mapping({}, {"type": "integer", "minimum": 0}))
        return {}

    # Entries inside this one

    def one(self, key: str, build: Callable[[Entry], T]) -> T | None:
        self._note(key, {"allOf": [self._refer(build.__name__, build)]})
        return None

    def fork(
        self, key: str, marker: str, marked: Callable[[Entry], T], plain: Callable[[Entry], T]
    ) -> T | None:
        schema = {
            "type": "object",
            "if": {"required": [marker]},
            "then": self._refer(marked.__name__, marked),
            "else": self._refer(plain.__name__, plain),
        }
        self._note(key, schema)
        return None

    def each(self, key: str, build: Callable[[Entry], T]) -> tuple[T, ...]:
        self._note(key, {"type": "array", "items": self._refer(build.__name__, build)})
        return ()

    def by_id(self, key: str, build: Callable[[Entry], T]) -> Mapping[str, T]:
        self._note(key, _mapping(_ID, self._refer(build.__name__, build)))
        return {}

    def by_text(self, key: str, build: Callable[[Entry], T]) -> Mapping[str, T]:
        self._note(
            key, _mapping({}, {"anyOf": [{"type": "null"}, self._refer(build.__name__, build)]})
        )
        return {}

    def by_fact(self, key: str, build: Callable[[Entry, FactRef], T]) -> tuple[T, ...]:
        fact = FactRef("some-id", None, _NOWHERE)
        inner = self._refer(build.__name__, lambda entry: build(entry, fact))
        self._note(key, _mapping(_FACT, inner), needed=True)
        return ()

    def sources_figures(self, key: str) -> str | None:
        return self.text(key)


def _mapping(names: Mapping[str, Any], values: Mapping[str, Any]) -> Schema:
    """Give the schema of a mapping whose keys are names of our own choosing.

    Nothing at all stands for an empty mapping.
    """
    schema: Schema = {"type": ["object", "null"], "additionalProperties": values}
    if names:
        schema["propertyNames"] = {key: v for key, v in names.items() if key == "pattern"}
    return schema
