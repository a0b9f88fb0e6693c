"""The one tool in hand, in trade words: from what a way says, or from the fasteners' heads."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

from witnessmark.machine.model import Joint

BARE = frozenset({"bare hands", "hands", "hand", "by hand"})
"""Ways of saying that nothing is in the hand."""

_HEADS = tuple(
    (re.compile(f"(?:{pattern})(?P<size> .+)?", re.IGNORECASE), tool)
    for pattern, tool in (
        ("internal hex|hex socket|socket head", "key"),
        ("external (?:star|hexalobular)", "star socket"),
        ("(?:internal )?(?:star|hexalobular)", "star bit"),
        ("(?:internal )?(?:spline|square)", "bit"),
        ("hex|hexagon|(?:12|twelve)-point", "socket"),
        ("cross|slot", "screwdriver"),
        ("wing|knurled", "bare hands"),
    )
)


@cache
def tool_for_head(head: str) -> str:
    """Give the tool that fits a fastener's head: `hex 10 mm` takes a `socket 10 mm`.

    A head that is not known here takes a `driver for ...`: it is named, never guessed.
    """
    text = " ".join(head.split())
    for pattern, tool in _HEADS:
        match = pattern.fullmatch(text)
        if match is not None:
            return tool if tool == "bare hands" else f"{tool}{match['size'] or ''}"
    return f"driver for {text}"


def tools_of(joint: Joint) -> tuple[str, ...]:
    """Give every tool the heads of a joint ask for, the one most often needed first."""
    heads: Counter[str] = Counter()
    for fastener in joint.fasteners:
        if fastener.head is not None:
            heads[fastener.head] += fastener.count
    return tuple(dict.fromkeys(tool_for_head(head) for head, _ in heads.most_common()))


def tool_of(joint: Joint) -> str | None:
    """Give the tool most of a joint's fasteners ask for; None if no head is known."""
    return next(iter(tools_of(joint)), None)


def plain_tool(tool: str) -> str:
    """Give a tool's name in one spelling, so that the same tool is never two."""
    text = " ".join(tool.split())
    return "bare hands" if text.lower() in BARE else text
