"""Papers as PDF: a template, its content as plain data, fonts of our own, same bytes always.

Content is handed to the template as data and never as markup, so no word of a machine
file can change a page's layout. System fonts are ignored and no package is fetched: the
same content gives the same bytes on every machine.
"""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import typst
from fontTools.ttLib import TTFont

REPLACEMENT = "\N{WHITE SQUARE}"
"""Stands for a character that none of our fonts can print."""


_BREAK = "\N{ZERO WIDTH SPACE}"
_LONG_WORD = re.compile(r"[^ ]{25,}")
_LETTERS = re.compile(r".{6}")


class PaperError(Exception):
    """A paper could not be made; the message says which and why."""


def _folder(name: str) -> Path:
    return Path(str(resources.files("witnessmark.papers") / name))


@cache
def printable_characters() -> frozenset[int]:
    """Every code point that the shipped fonts can print."""
    points: set[int] = set()
    for font in sorted(_folder("fonts").glob("*.ttf")):
        with TTFont(font, lazy=True) as loaded:
            points.update(loaded.getBestCmap())
    return frozenset(points)


def replace_unprintable(content: Any, missing: set[str]) -> Any:  # noqa: ANN401 - JSON data
    """Put a white square for every character without a glyph and note it in `missing`.

    White space characters print as a space. Words may break when very long, except in a
    drawing: the value of a key `svg`, which is code.
    """
    if isinstance(content, str):
        return breakable(_replaced(content, missing))
    if isinstance(content, Mapping):
        return {
            key: _replaced(value, missing)
            if key == "svg" and isinstance(value, str)
            else replace_unprintable(value, missing)
            for key, value in content.items()
        }
    if isinstance(content, (list, tuple)):
        return [replace_unprintable(item, missing) for item in content]
    return content


def _replaced(words: str, missing: set[str]) -> str:
    return "".join(_printable(character, missing) for character in words)


def breakable(words: str) -> str:
    """Let words longer than any column break anywhere a few letters apart, without a hyphen.

    A part number must not gain a hyphen that is not its own.
    """
    return _LONG_WORD.sub(lambda found: _LETTERS.sub(rf"\g<0>{_BREAK}", found[0]), words)


def _printable(character: str, missing: set[str]) -> str:
    if character.isspace():
        return " "
    if ord(character) in printable_characters():
        return character
    missing.add(character)
    return REPLACEMENT


def render_pdf(
    template: str, content: Mapping[str, Any], pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """Render a template of this package with its content.

    `pictures` are JPEG files by name, which the template shows as `pictures/NAME.jpg`.

    Raises
    ------
    PaperError
        If the template cannot be set with this content.
    """
    missing: set[str] = set()
    data = dict(replace_unprintable(content, missing))
    data["missing_glyphs"] = [f"U+{ord(character):04X}" for character in sorted(missing)]
    words = json.dumps(data, ensure_ascii=False, sort_keys=True)
    if not pictures:
        return _compiled(_folder("templates"), template, words)
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "paper"
        shutil.copytree(_folder("templates"), root)
        (root / "pictures").mkdir()
        for name, data_of in pictures.items():
            (root / "pictures" / f"{name}.jpg").write_bytes(data_of)
        return _compiled(root, template, words)


def _compiled(root: Path, template: str, words: str) -> bytes:
    try:
        return typst.compile(
            root / f"{template}.typ",
            root=root,
            font_paths=[_folder("fonts")],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"content": words},
            timestamp=0,
        )
    except typst.TypstError as error:
        raise PaperError(f"the paper '{template}' could not be set: {error.message}") from error
