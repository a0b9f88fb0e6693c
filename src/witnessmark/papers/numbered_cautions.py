"""Cautions as a card prints them: what is said at many steps, once in full, then by number.

The same long words at every step are skipped over by the eye. A caution that a phase says
more than once stands in full where it first matters there; after that its number stands.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

Printed = dict[str, str]
"""`mark` is its number in words, empty for one said once; `text` is empty where the mark does."""


class NumberedCautions:
    """The numbers of a card's cautions: the same words have the same number on every page."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def of_phase(self, steps: Sequence[Sequence[str]]) -> list[list[Printed]]:
        """Give what is printed at each step of a phase for the cautions that matter there."""
        said = Counter(text for step in steps for text in dict.fromkeys(step))
        seen: set[str] = set()
        printed = []
        for step in steps:
            row = []
            for text in dict.fromkeys(step):
                row.append(self._one(text, again=text in seen, many=said[text] > 1))
                seen.add(text)
            printed.append(row)
        return printed

    def _one(self, text: str, *, again: bool, many: bool) -> Printed:
        if not many:
            return {"mark": "", "text": text}
        number = self._numbers.setdefault(text, len(self._numbers) + 1)
        return {"mark": f"caution {number}", "text": "" if again else text}
