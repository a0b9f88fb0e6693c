"""Litres out against litres in, by circuit: clearly less in than out means trapped air.

Sums are whole millionths of a litre, so that what is compared is what was written. How much
less is clearly less stands in the rule book; a pack of older rules says nothing of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import Data, depth_of, kind_of, name_of

OUT, IN = "litres out", "litres in"


def sums(state: JobState) -> dict[str, Data]:
    """Add up what was said of each circuit; what nobody can read stands under `unread`.

    `recorded` tells, for each way, whether anything that can be read was said; `since` is
    the last entry that said something.
    """
    found: dict[str, Data] = {}
    for row in state.rows["litres"]:
        blank = {OUT: 0, IN: 0, "unread": [], "recorded": {OUT: False, IN: False}}
        total = found.setdefault(row["object"], blank)
        amount = millionths(row["litres"])
        total["since"] = row["event"]
        total[row["way"]] += amount or 0
        if amount is None:
            total["unread"].append(row["litres"])
        else:
            total["recorded"][row["way"]] = True
    return found


def short(state: JobState) -> Iterator[tuple[str, str, str]]:
    """Give circuits that are filled and clearly short: circuit, words, last entry.

    Only where out and in are both recorded and can be read, and nobody settled it.
    """
    rule = state.book["rules"].get("litres")
    for object_, total in sums(state).items() if rule is not None else ():
        if total["unread"] or not all(total["recorded"].values()):
            continue
        if total["since"] in state.settled or _is_empty(state, object_):
            continue
        back, of = rule["back"], rule["of"]
        if total[IN] * of < total[OUT] * back:
            missing = litres(total[OUT] - total[IN])
            says = f"{name_of(state.book, object_)}: {in_words(total)}; {missing} L are missing, "
            yield object_, says + "air is likely trapped: bleed again", total["since"]


def _is_empty(state: JobState, object_: str) -> bool:
    """Tell whether a circuit stands drained, or deeper: then nothing can be short yet."""
    if kind_of(state.book, object_) != "circuit":
        return True
    drained = depth_of(state.book, "circuit", "drained")
    return depth_of(state.book, "circuit", state.state(object_)) >= drained


def in_words(total: Data) -> str:
    """Print the sums of a circuit."""
    return f"{litres(total[OUT])} L out, {litres(total[IN])} L in"


def litres(microlitres: int) -> str:
    """Print millionths of a litre as a decimal of litres."""
    sign, size = ("-", -microlitres) if microlitres < 0 else ("", microlitres)
    part = str(size % 1_000_000).rjust(6, "0").rstrip("0")
    return f"{sign}{size // 1_000_000}{'.' + part if part else ''}"


def millionths(text: object) -> int | None:
    """Read a decimal string as whole millionths; None when it is none, or too long."""
    if not isinstance(text, str):
        return None
    digits = text.removeprefix("-")
    whole, _, part = digits.partition(".")
    if not (whole.isascii() and whole.isdigit() and len(whole) <= 9 and len(part) <= 6):
        return None
    if part and not (part.isascii() and part.isdigit()):
        return None
    value = int(whole) * 1_000_000 + int((part + "000000")[:6])
    return -value if digits != text else value
