"""How drives are written on the command line: one text for a thing, with `key=value` parts.

`"crank 0,0 mm d=150 mm"`, `"inlet cam z=40 by=crank"`, `"inlet cam: 1 tooth late ± 0.2 teeth"`.
What cannot be read is a bad option; what can be read and cannot be is a refusal of the sum.
"""

from __future__ import annotations

import re
from fractions import Fraction

from witnessmark.quantities.reading import (
    QuantityError,
    read_number,
    read_quantity,
    shorten,
    split_quantity,
)
from witnessmark.quantities.units import Dimension

_KEY = re.compile(r"(?:^|\s)([a-z][a-z-]*)\s*=\s*")
_POINT = re.compile(r"""(?P<name>.*?)(?P<x>[-+−]?[\d.]+(?:\s*[a-zµμ"]+)?)\s*,\s*(?P<y>[^,=]+)""")
LONGEST = 400


def split_keys(text: str, known: tuple[str, ...]) -> tuple[str, dict[str, str]]:
    """Split a text into what stands before the first key, and its keys with their values.

    Raises
    ------
    QuantityError
        If a key is not known here or stands twice.
    """
    if len(text) > LONGEST:
        raise QuantityError(f"'{shorten(text)}' is too long", "write one thing in one option")
    matches = list(_KEY.finditer(text))
    head = text[: matches[0].start()] if matches else text
    values: dict[str, str] = {}
    for number, match in enumerate(matches, start=1):
        key = match[1]
        end = matches[number].start() if number < len(matches) else len(text)
        if key not in known:
            raise QuantityError(
                f"'{key}=' in '{shorten(text)}' is not known here", f"known: {', '.join(known)}"
            )
        if key in values:
            raise QuantityError(f"'{key}=' stands twice in '{shorten(text)}'", "write it once")
        values[key] = text[match.end() : end].strip()
    return head.strip(), values


def metres(text: str) -> float:
    """Read a length. [m]."""
    return float(read_quantity(text, Dimension.LENGTH))


def degrees(text: str) -> Fraction:
    """Read an angle. [degrees]."""
    return read_quantity(text, Dimension.ANGLE).si


def whole(text: str, what: str) -> int:
    """Read a whole number, such as teeth."""
    value = read_number(text)
    if value.denominator != 1:
        raise QuantityError(f"{what} '{shorten(text)}' is not a whole number", "count it again")
    return int(value)


def one_of(text: str, words: dict[str, str], what: str) -> str:
    """Read one of a few words; each may be written in more ways than one."""
    word = words.get(text.strip().lower())
    if word is None:
        raise QuantityError(
            f"'{shorten(text)}' is no {what}", f"write one of: {', '.join(dict.fromkeys(words))}"
        )
    return word


def name_and_point(text: str) -> tuple[str, float, float]:
    """Read `name X,Y unit`: the name, when there is one, and the point. [m].

    One unit after the second figure serves both; `0 mm, 20 mm` is read as well.
    """
    match = _POINT.fullmatch(text.strip())
    if match is None:
        raise QuantityError(
            f"'{shorten(text)}' gives no position", "write it like '120,-40 mm' before the keys"
        )
    across, up = match["x"].strip(), match["y"].strip()
    y, unit = split_quantity(up, Dimension.LENGTH)
    if unit.dimension is not Dimension.LENGTH:
        raise QuantityError(f"'{shorten(up)}' is not a length", "write it like '120,-40 mm'")
    if across[-1].isdigit() or across[-1] == ".":
        x = float(read_number(across.rstrip(".")) * unit.factor)
    else:
        x = metres(across)
    return match["name"].strip(" :"), x, float(y * unit.factor)


def point(text: str) -> tuple[float, float]:
    """Read `X,Y unit`. [m]."""
    name, x, y = name_and_point(text)
    if name:
        raise QuantityError(f"'{shorten(text)}' is not a position", "write it like '120,-40 mm'")
    return x, y
