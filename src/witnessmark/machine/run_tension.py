"""How a run's belt is tensioned: its acts as the maker gives them, and the tensioner's travel."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import Pulley, Run, Sourced, TensionAct, Tensioner
from witnessmark.machine.run_path import belt_length, is_laid_out, laid_pulleys
from witnessmark.quantities.duration import minutes_text
from witnessmark.quantities.reading import format_number
from witnessmark.quantities.units import Dimension

if TYPE_CHECKING:
    from witnessmark.engineering.belts.tensioner import Slide, Swing, Travel
    from witnessmark.engineering.tension import Band
    from witnessmark.engineering.tension_setting import Gauge, Setting, SettingAct

NOT_STATED = "nobody said where it comes from"
FINE_STEPS = 120
_ON_THE_ARM = 1e-9


def tension_setting(run: Run) -> Setting | None:
    """Give the acts of tensioning a run as the engineering sums hold them; None without acts.

    Raises
    ------
    RefusalError
        If the acts cannot be done as written: a turn without turns, a reading in a unit
        that measures no tension, a belt never set or left slack.
    """
    if run.tensioner is None or not run.tensioner.acts:
        return None
    from witnessmark.engineering.tension_setting import Setting

    return Setting(run.name, tuple(_setting_act(run, act) for act in run.tensioner.acts))


def _setting_act(run: Run, act: TensionAct) -> SettingAct:
    from witnessmark.engineering.tension_setting import Act, Direction, SettingAct

    way = act.direction or (run.direction if act.act == "turn" else None)
    gauge, reading = _reading(act)
    return SettingAct(
        act=Act(act.act),
        source=_source(run, act),
        gauge=gauge,
        reading=reading,
        belt_temperature=_temperatures(act),
        pointer=act.pointer,
        direction=None if way is None else Direction[way.upper()],
        turns=None if act.turns is None else float(act.turns),
        stand=act.stand * 6.0 or None,
    )


def _reading(act: TensionAct) -> tuple[Gauge | None, Band | None]:
    from witnessmark.engineering.tension import Band
    from witnessmark.engineering.tension_setting import Gauge

    low, high = act.at_least, act.at_most
    if low is None and high is None:
        return None, None
    if low is None or high is None:
        raise RefusalError(
            f"'{act.act}' has a reading with one end only", "give both 'at_least' and 'at_most'"
        )
    gauges = {
        Dimension.FREQUENCY: Gauge.FREQUENCY,
        Dimension.TORQUE: Gauge.TORQUE,
        Dimension.FORCE: Gauge.TENSION,
        Dimension.LENGTH: Gauge.DEFLECTION,
    }
    if low.quantity.dimension is not high.quantity.dimension or low.quantity.dimension not in (
        gauges
    ):
        raise RefusalError(
            f"'{act.act}' reads from {low.quantity} to {high.quantity}, which is no tension",
            "give both in Hz, N, N·m or mm",
        )
    ends = float(low.quantity.si), float(high.quantity.si)
    return gauges[low.quantity.dimension], Band(ends[0], sum(ends) / 2, ends[1])


def _temperatures(act: TensionAct) -> tuple[float, float] | None:
    if act.coldest is None and act.warmest is None:
        return None
    celsius = [
        otherwise if end is None else float(end.quantity.si) - 273.15
        for end, otherwise in ((act.coldest, -math.inf), (act.warmest, math.inf))
    ]
    if celsius[0] > celsius[1]:
        raise RefusalError(
            f"'{act.act}' wants a belt warmer than its warmest", "swap 'coldest' and 'warmest'"
        )
    return celsius[0], celsius[1]


def _source(run: Run, act: TensionAct) -> str:
    figures = (act.at_least, act.at_most, act.coldest, act.warmest)
    given = next((figure.source for figure in figures if figure and figure.source), None)
    held = run.tensioner.setting if run.tensioner is not None else None
    return given or (held.source if held is not None else None) or NOT_STATED


def act_lines(run: Run, viewpoint: str | None = None) -> tuple[str, ...]:
    """Say the acts of tensioning a run in order, each with all that is to be read."""
    if run.tensioner is None:
        return ()
    lines = []
    before: set[str] = set()
    for act in run.tensioner.acts:
        name = f"{act.act} again" if act.act in before else act.act
        before.add(act.act)
        parts = [part for part in _act_parts(run, act, viewpoint) if part]
        lines.append(f"{name}: {'; '.join(parts)}" if parts else name)
    return tuple(lines)


def _act_parts(run: Run, act: TensionAct, viewpoint: str | None) -> Iterator[str]:
    way = act.direction or (run.direction if act.act == "turn" else None)
    seen = f", seen {viewpoint}" if way and viewpoint else ""
    if act.turns is not None:
        turns = "1 turn" if act.turns == 1 else f"{format_number(act.turns)} turns"
        yield f"{turns} of the first shaft{f', {way}{seen}' if way else ''}"
    elif way:
        yield f"turning {way}{seen}"
    if act.stand:
        yield f"after standing {minutes_text(act.stand)}"
    if act.coldest is not None or act.warmest is not None:
        yield f"belt at {_between(act.coldest, act.warmest)}"
    if act.at_least is not None or act.at_most is not None:
        figure = act.at_least or act.at_most
        assert figure is not None
        yield f"reads {_between(act.at_least, act.at_most)} ({figure.source or NOT_STATED})"
    if act.pointer:
        yield f"pointer {act.pointer}"


def _between(low: Sourced | None, high: Sourced | None) -> str:
    if low is not None and high is not None:
        return f"{low.quantity} to {high.quantity}"
    if low is not None:
        return f"{low.quantity} or more"
    assert high is not None
    return f"{high.quantity} or less"


# Travel


def has_travel(run: Run) -> bool:
    """Tell whether the file says how a run's tensioner travels."""
    tensioner = run.tensioner
    return tensioner is not None and (tensioner.arm is not None or tensioner.slot is not None)


def travel_of(run: Run, steps: int = FINE_STEPS) -> Travel | None:
    """Find where in its travel a run's tensioner takes up its belt.

    None when the file gives no travel, no belt length, or not all places of the pulleys.

    Raises
    ------
    RefusalError
        If the travel makes no sense, or the belt fits nowhere in it; the words say why.
    """
    tensioner = run.tensioner
    if tensioner is None or not has_travel(run):
        return None
    if tensioner.arm is not None and tensioner.slot is not None:
        raise RefusalError("it has an arm and a slot", "a tensioner travels in one way: keep one")
    if tensioner.pulley is None:
        raise RefusalError("nothing says which pulley travels", "name it under 'pulley'")
    length = belt_length(run)
    if length is None or not is_laid_out(run):
        return None
    from witnessmark.engineering.belts.tensioner import tensioner_travel

    ids = [pulley.id for pulley in run.pulleys]
    if tensioner.pulley.id not in ids:
        return None  # a complaint of its own
    index = ids.index(tensioner.pulley.id)
    motion = _motion(tensioner, run.pulleys[index])
    return tensioner_travel(laid_pulleys(run), index, motion, float(length), steps=steps)


def _motion(tensioner: Tensioner, pulley: Pulley) -> Swing | Slide:
    from witnessmark.engineering.belts.tensioner import Slide, Swing

    assert pulley.at is not None
    x, y = map(float, pulley.at)
    if tensioner.slot is not None:
        slot = tensioner.slot
        if not min(slot.start, slot.end) <= 0 <= max(slot.start, slot.end):
            raise RefusalError(
                "its pulley is drawn outside its stops", "count both stops from where it is drawn"
            )
        return Slide(x, y, float(slot.heading), float(slot.start), float(slot.end))
    assert tensioner.arm is not None
    arm = tensioner.arm
    if arm.pivot is None:
        raise RefusalError("its arm has no pivot", "give 'pivot' as a position of two lengths")
    pivot_x, pivot_y = map(float, arm.pivot)
    swing = Swing(
        pivot_x, pivot_y, math.hypot(x - pivot_x, y - pivot_y), float(arm.start), float(arm.end)
    )
    drawn = math.degrees(math.atan2(y - pivot_y, x - pivot_x))
    low, high = sorted((swing.start, swing.end))
    turned = low + (drawn - low) % 360.0
    if turned > high + _ON_THE_ARM and 360.0 - (turned - low) > _ON_THE_ARM:
        raise RefusalError(
            f"its pulley is drawn with the arm at {drawn:.0f}°, outside its stops",
            "measure pivot, pulley and stops again",
        )
    return swing


def travel_lines(run: Run) -> tuple[str, ...]:
    """Say where in its travel the belt puts the tensioner, and how far it is from its stops.

    Nothing when the file gives no travel; an eccentric that fits twice is said twice.
    """
    try:
        travel = travel_of(run)
    except RefusalError:
        return ()  # `check` says why
    if travel is None or run.tensioner is None:
        return ()
    arm = run.tensioner.arm is not None
    by, unit = (1.0, "°") if arm else (1000.0, " mm")
    places = 0 if arm else 1
    return tuple(
        f"fits {by * each.from_start:.{places}f}{unit} from the slack stop and "
        f"{by * each.from_end:.{places}f}{unit} from the other, by the drawing"
        for each in travel.settings
        if each.tightens == "end stop" or len(travel.settings) == 1
    )
