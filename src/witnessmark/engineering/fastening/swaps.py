"""What happens when a bolt goes into another bolt's hole.

Lengths are in metres; a bolt's length is measured under the head. `check_bolt_in_hole` judges
one bolt in one hole, `analyse_swaps` a whole group.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.threads import Thread

# Within this much two lengths are the same bolt, and a bolt does not yet bottom. Our own rule.
_SAME = 0.0005


class Verdict(StrEnum):
    """How a bolt fares in a hole; the value is the word people read."""

    RIGHT = "right"
    HARMLESS = "harmless"
    DANGEROUS = "dangerous"


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole of a group [m].

    Parameters
    ----------
    name : str
        What the hole is called.
    thread : Thread
        Its thread.
    clamped : float
        Thickness between the head and the face of the tapped part, washers included.
    depth : float
        How far a bolt can go beyond that face before it meets the bottom or the end of full
        thread; for a through hole, the length of thread.
    needed : float
        Least engagement of thread.
    through : bool
        Open at the far end.
    entry : float
        Plain bore before the thread begins, counted from the face.
    behind : str
        What lies beyond: `the casting`, `the water jacket`, `the cam gear`.
    clear_behind : float, optional
        For a through hole: how far a bolt may stick out before it touches what is behind;
        None when nothing is near.
    """

    name: str
    thread: Thread
    clamped: float
    depth: float
    needed: float
    through: bool = False
    entry: float = 0.0
    behind: str = "the casting"
    clear_behind: float | None = None

    def __post_init__(self) -> None:
        """Refuse a hole that cannot be."""
        if min(self.clamped, self.entry) < 0.0 or min(self.depth, self.needed) <= 0.0:
            raise RefusalError(
                f"hole {self.name} has a size below zero", "check thickness, depth and need"
            )
        if self.entry >= self.depth:
            raise RefusalError(f"hole {self.name} has no thread", "check entry and depth")


@dataclass(frozen=True, slots=True)
class Bolt:
    """A bolt of a group. [m] `home` is the hole it belongs in.

    `thread_length` is None for a bolt threaded all the way, or when nobody measured it.
    """

    name: str
    thread: Thread
    length: float
    home: str
    thread_length: float | None = None

    def __post_init__(self) -> None:
        """Refuse a bolt that cannot be."""
        if self.length <= 0.0 or not 0.0 < (self.thread_length or self.length) <= self.length:
            raise RefusalError(f"bolt {self.name} has no length", "check length and thread")


@dataclass(frozen=True, slots=True)
class Fit:
    """One bolt in one hole [m].

    `engagement` is full thread in use, `bottoms_early` how far the head still stands off
    when the bolt meets the bottom, `stick_out` how far it comes out at the far end.
    """

    bolt: str
    hole: str
    verdict: Verdict
    engagement: float
    bottoms_early: float
    stick_out: float
    words: str


def check_bolt_in_hole(bolt: Bolt, hole: Hole, right_length: float | None = None) -> Fit:
    """Judge one bolt in one hole.

    Parameters
    ----------
    bolt : Bolt
        The bolt.
    hole : Hole
        The hole.
    right_length : float, optional
        Length of the bolt that belongs in the hole, to say how much too long or short. [m]

    Returns
    -------
    Fit
        Verdict, lengths and words. `RIGHT` is said of a bolt with the length that belongs,
        when it serves; `HARMLESS` of any other that serves.
    """
    return _named(_judge(bolt, hole, right_length), bolt, hole)


class _Judgement(NamedTuple):
    verdict: Verdict
    engagement: float
    bottoms_early: float
    stick_out: float
    words: str


def _named(judged: _Judgement, bolt: Bolt, hole: Hole) -> Fit:
    return Fit(
        bolt.name,
        hole.name,
        judged.verdict,
        judged.engagement,
        judged.bottoms_early,
        judged.stick_out,
        judged.words.replace("{hole}", hole.name),
    )


def _judge(bolt: Bolt, hole: Hole, right_length: float | None) -> _Judgement:
    alike = bolt.thread is hole.thread  # quick, and true in most groups
    if not alike and _thread_key(bolt.thread) != _thread_key(hole.thread):
        return _Judgement(
            Verdict.DANGEROUS, 0.0, 0.0, 0.0,
            f"{bolt.thread.size}{_hand(bolt.thread)} in hole {{hole}}, which is "
            f"{hole.thread.size}{_hand(hole.thread)}: jams or strips",
        )  # fmt: skip
    reach = bolt.length - hole.clamped
    shank = 0.0 if bolt.thread_length is None else bolt.length - bolt.thread_length
    bottoms = 0.0 if hole.through else max(0.0, reach - hole.depth)
    jams = max(0.0, shank - hole.clamped - hole.entry)
    early = max(bottoms, jams)
    seated = reach - early
    started = max(hole.entry, shank - hole.clamped)
    engagement = max(0.0, min(seated, hole.depth) - started)
    stick_out = max(0.0, seated - hole.depth) if hole.through else 0.0
    trouble = _trouble(hole, bottoms, jams, engagement, stick_out)
    by = _length_words(bolt.length, right_length)
    if trouble:
        return _Judgement(
            Verdict.DANGEROUS, engagement, early, stick_out, f"{by}{'; '.join(trouble)}"
        )
    right = right_length is None or abs(bolt.length - right_length) <= _SAME
    words = f"{by}{_mm(engagement)} of thread in use, {_mm(hole.needed)} needed"
    if stick_out > _SAME:
        words += f", sticks out {_mm(stick_out)}"
    return _Judgement(
        Verdict.RIGHT if right else Verdict.HARMLESS, engagement, early, stick_out, words
    )


def _trouble(
    hole: Hole, bottoms: float, jams: float, engagement: float, stick_out: float
) -> list[str]:
    trouble = []
    if bottoms > _SAME:
        trouble.append(
            f"bottoms {_mm(bottoms)} early, nothing clamped; may break into {hole.behind}"
        )
    elif jams > _SAME:
        trouble.append(f"the shank meets the thread {_mm(jams)} early, nothing clamped")
    if engagement < hole.needed - 1e-9:
        trouble.append(
            f"only {_mm(engagement)} of thread in use, {_mm(hole.needed)} needed: may strip"
            if engagement > 0.0
            else "does not reach the thread"
        )
    if hole.clear_behind is not None and stick_out > hole.clear_behind:
        trouble.append(
            f"sticks out {_mm(stick_out)} with {_mm(hole.clear_behind)} clear: touches "
            f"{hole.behind}"
        )
    return trouble


def _length_words(length: float, right_length: float | None) -> str:
    if right_length is None or abs(length - right_length) <= _SAME:
        return ""
    too = "long" if length > right_length else "short"
    return f"{_mm(abs(length - right_length))} too {too} in hole {{hole}}: "


def _thread_key(thread: Thread) -> tuple[object, ...]:
    return thread.family, thread.nominal, thread.pitch, thread.left_hand


def _hand(thread: Thread) -> str:
    return " left-hand" if thread.left_hand else ""


def _mm(length: float) -> str:
    return f"{round(length * 1000, 1):g} mm"


@dataclass(frozen=True, slots=True)
class SwapReport:
    """Every bolt in every hole, and where to begin marking.

    `fits` holds each bolt in each hole of the group. `dangerous_swaps` are pairs of holes
    whose bolts must not change places, `harmless_swaps` the other pairs. `wrong_at_home` are
    bolts that are dangerous in the very hole they are said to belong in. `mark_first` are
    holes to mark, most trouble first: with them marked and kept apart no dangerous swap is
    left; `left_after[i]` counts the dangerous swaps left once the first i + 1 are marked.
    """

    fits: tuple[Fit, ...]
    dangerous_swaps: tuple[tuple[str, str], ...]
    harmless_swaps: tuple[tuple[str, str], ...]
    wrong_at_home: tuple[Fit, ...]
    mark_first: tuple[str, ...]
    left_after: tuple[int, ...]

    def fit(self, bolt: str, hole: str) -> Fit:
        """Find one bolt in one hole."""
        return next(f for f in self.fits if f.bolt == bolt and f.hole == hole)


def analyse_swaps(holes: tuple[Hole, ...], bolts: tuple[Bolt, ...]) -> SwapReport:
    """Try every bolt of a group in every hole.

    Parameters
    ----------
    holes, bolts : tuple
        The group; each hole is the home of one bolt.

    Returns
    -------
    SwapReport
        Fits, swaps and the few holes worth marking first.

    Raises
    ------
    RefusalError
        If names repeat, or holes and homes are not the same.

    Notes
    -----
    A swap is dangerous when either bolt is dangerous in the other's hole. Holes to mark are
    picked one by one, each time the one with most dangerous swaps still open.
    """
    home = _bolt_of_hole(holes, bolts)
    hole_kinds = _kinds([(replace(h, name=""), home[h.name].length) for h in holes])
    bolt_kinds = _kinds([(b.thread, b.length, b.thread_length) for b in bolts])
    judged: dict[tuple[int, int], _Judgement] = {}
    fits: dict[tuple[str, str], Fit] = {}
    for hole, hole_kind in zip(holes, hole_kinds, strict=True):
        right_length = home[hole.name].length
        for bolt, bolt_kind in zip(bolts, bolt_kinds, strict=True):
            pair = (hole_kind, bolt_kind)
            if pair not in judged:
                judged[pair] = _judge(bolt, hole, right_length)
            fits[hole.name, bolt.name] = _named(judged[pair], bolt, hole)
    dangerous: list[tuple[str, str]] = []
    harmless: list[tuple[str, str]] = []
    names = [h.name for h in holes]
    for place, one in enumerate(names):
        for other in names[place + 1 :]:
            both = (fits[one, home[other].name], fits[other, home[one].name])
            bad = any(f.verdict is Verdict.DANGEROUS for f in both)
            (dangerous if bad else harmless).append((one, other))
    marks, left = _marks(names, dangerous)
    at_home = (fits[name, home[name].name] for name in names)
    wrong = tuple(f for f in at_home if f.verdict is Verdict.DANGEROUS)
    return SwapReport(tuple(fits.values()), tuple(dangerous), tuple(harmless), wrong, marks, left)


def _kinds(described: list[tuple[object, ...]]) -> list[int]:
    """Give each kind a number, so that alike bolts and holes are judged once."""
    numbers: dict[tuple[object, ...], int] = {}
    return [numbers.setdefault(what, len(numbers)) for what in described]


def _bolt_of_hole(holes: tuple[Hole, ...], bolts: tuple[Bolt, ...]) -> dict[str, Bolt]:
    home = {b.home: b for b in bolts}
    if len({h.name for h in holes}) < len(holes) or len({b.name for b in bolts}) < len(bolts):
        raise RefusalError("two holes or two bolts have the same name", "give each its own")
    if len(home) < len(bolts) or set(home) != {h.name for h in holes}:
        raise RefusalError(
            "holes and bolts do not belong one to one", "give each hole the bolt that lives there"
        )
    return home


def _marks(
    names: list[str], dangerous: list[tuple[str, str]]
) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Pick holes until no dangerous pair is left, the one in most pairs each time."""
    neighbours: dict[str, set[str]] = {name: set() for name in names}
    for one, other in dangerous:
        neighbours[one].add(other)
        neighbours[other].add(one)
    open_pairs = len(dangerous)
    marks: list[str] = []
    left: list[int] = []
    while open_pairs:
        worst = max(names, key=lambda n: len(neighbours[n]))
        for other in neighbours[worst]:
            neighbours[other].discard(worst)
        open_pairs -= len(neighbours[worst])
        neighbours[worst] = set()
        marks.append(worst)
        left.append(open_pairs)
    return tuple(marks), tuple(left)
