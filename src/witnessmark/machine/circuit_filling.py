"""The order in which a circuit of a machine file is emptied, filled and proved.

Waiting times are those of the file or of a named source; where nobody gives one, the step
waits for something that can be seen. Nothing here turns a litre nobody measured into a
figure: what is due is what the file holds less what it says stays behind.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.engineering.coolant_filling import COOL_DOWN, DRIVES, HOT, POISON
from witnessmark.machine.model import Circuit, Sourced
from witnessmark.quantities.duration import minutes_text
from witnessmark.quantities.reading import format_number

COOL_DOWN_SOURCE = "automotive teaching task sheet, thermostat task"
LITRES = 1000
_TENTHS = 6
"""Seconds in a tenth of a minute."""


@dataclass(frozen=True, slots=True)
class FillStep:
    """One step: what to do and what it waits for; `wait` in tenths of a minute, 0 for none."""

    id: str
    what: str
    not_before: str = ""
    wait: int = 0
    caution: str = ""


def holds_coolant(circuit: Circuit) -> bool:
    """Tell whether a circuit holds coolant, by what the file calls it."""
    words = " ".join([circuit.id, circuit.name, circuit.fluid, circuit.specification or ""])
    return "coolant" in words.lower() or "glycol" in words.lower()


def litres_due(circuit: Circuit) -> Fraction | None:
    """Give what is due out, and in again, when the circuit is drained [L]; None if not given."""
    if circuit.capacity is None or circuit.stays_behind is None:
        return None
    return (circuit.capacity.quantity.si - circuit.stays_behind.quantity.si) * LITRES


def comes_out_below(circuit: Circuit, opened: Iterable[str]) -> tuple[str, Sourced] | None:
    """Give the lowest joint that is opened, and what comes out when drained to below it only.

    None where a joint that is opened has no height in the file, or the lowest no litres: it
    is then drained wholly, or nobody knows how much that is.
    """
    joints = tuple(opened)
    if not joints or any(joint not in circuit.heights for joint in joints):
        return None
    lowest = min(joints, key=lambda joint: circuit.heights[joint].quantity.si)
    out = circuit.comes_out.get(lowest)
    return None if out is None else (lowest, out)


def drain_to(circuit: Circuit, opened: Iterable[str]) -> str:
    """Say down to which height a circuit is drained for the joints that are opened.

    Nothing where one of them has no height in the file: then it is drained wholly.
    """
    joints = tuple(opened)
    if not joints or any(joint not in circuit.heights for joint in joints):
        return ""
    heights = [circuit.heights[joint] for joint in joints]
    lowest = min(heights, key=lambda height: height.quantity.si)
    return f"down to below {lowest.quantity} above the drain, the lowest joint that is opened"


def filling_order(
    circuit: Circuit,
    *,
    drained: bool,
    opened: Iterable[str] = (),
    wait_strip: int = 0,
    wait_refit: int = 0,
) -> tuple[FillStep, ...]:
    """Give the order from a hot, full circuit to the cold re-check.

    Parameters
    ----------
    circuit : Circuit
        The circuit, with its words for drain, cap, fill, bleed, prime and check.
    drained : bool
        Whether it is drained, or only relieved.
    opened : iterable of str
        The joints that are opened on it.
    wait_strip, wait_refit : int
        Waits the file gives after draining and before the last check. [tenths of a minute]
    """
    hot = holds_coolant(circuit)
    return (
        *_emptying(circuit, tuple(opened), hot=hot, drained=drained, wait=wait_strip),
        *_filling(circuit, tuple(opened), hot=hot),
        *_proving(circuit, hot=hot, wait=wait_refit),
    )


def _emptying(
    circuit: Circuit, opened: tuple[str, ...], *, hot: bool, drained: bool, wait: int
) -> Iterator[FillStep]:
    yield FillStep("stop", "Engine stopped, key out")
    cool = round(COOL_DOWN / _TENTHS)
    if hot:
        yield FillStep(
            "release",
            "Loosen the cap slowly under a rag, let the pressure out",
            f"not before {minutes_text(cool)} after stopping ({COOL_DOWN_SOURCE}), and the top "
            "hose can be held and is soft",
            cool,
            HOT,
        )
    if drained:
        height = drain_to(circuit, opened)
        words = _words(circuit.drain, "Drain; the file does not say where")
        seen = "cap off; catch and measure it all" if hot else "stopped; catch and measure it all"
        yield FillStep(
            "drain",
            f"{words} At least {height}." if height else words,
            seen,
            0,
            POISON if hot else "",
        )
    if drained or circuit.cap:
        after = f"{minutes_text(wait)} of draining, and nothing runs any more" if wait else ""
        yield FillStep(
            "cap",
            _words(circuit.cap, "Cap or plug every open end at once"),
            after or ("nothing runs any more" if drained else "pressure out"),
            wait,
        )


def _filling(circuit: Circuit, opened: tuple[str, ...], *, hot: bool) -> Iterator[FillStep]:
    yield FillStep(
        "close", "Caps and plugs out and counted; joints made; drain closed", "all parts are on"
    )
    yield FillStep(
        "fill",
        _words(circuit.fill, "Fill; the file does not say where"),
        f"drain closed; measure what goes in{_litres(circuit, opened)}",
        0,
        POISON if hot else "",
    )
    if _given(circuit.bleed):
        yield FillStep(
            "bleed", _words(circuit.bleed, ""), f"{circuit.name} stands at the bleed, while filling"
        )
    if _given(circuit.prime):
        yield FillStep(
            "prime",
            f"Prime what must not run dry: {circuit.prime}",
            "filled and bled; nothing has run",
        )
    if circuit.refilled:
        yield FillStep(
            "compare",
            "Compare litres in with litres out",
            "bleeds closed. Do not start when they disagree",
        )


def _litres(circuit: Circuit, opened: tuple[str, ...]) -> str:
    """Say how much is due in again: by how far it was drained."""
    due, partly = litres_due(circuit), comes_out_below(circuit, opened)
    words = []
    if partly is not None:
        joint, out = partly
        height = circuit.heights[joint].quantity
        words.append(f"about {out.quantity} when drained to below {height} only")
    if due is not None:
        words.append(f"about {format_number(due, 1)} L when drained wholly")
    return f"; as much as came out, {', '.join(words)}" if words else ""


def _proving(circuit: Circuit, *, hot: bool, wait: int) -> Iterator[FillStep]:
    yield FillStep(
        "run-up",
        "Run up until the heater blows hot; stop if the gauge climbs and the heater stays cold"
        if hot
        else "Run up; stop at once if a warning shows or anything leaks",
        "compared and agreed; timing proved; hands and tools clear",
        0,
        DRIVES,
    )
    cold = "engine cold to the touch all over" if hot else "after the run-up"
    yield FillStep(
        "re-check",
        _words(circuit.check, "Level at its mark; no weep at any joint touched"),
        cold + (f"; the file allows {minutes_text(wait)}" if wait else ""),
        wait,
        HOT if hot else "",
    )


def _given(words: str | None) -> bool:
    return bool(words) and words != "none"


def _words(words: str | None, otherwise: str) -> str:
    text = (words if words and words.lower() != "none" else otherwise).strip()
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."
