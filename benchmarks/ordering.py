"""How fast jobs of real size are chosen and ordered, and how much is proven.

`machine` makes a workshop job: parts held by joints, covers over them, several positions
and tools, some ways to choose from, room that may be made, work to do in between.
"""

from __future__ import annotations

import json
import random
from pathlib import Path
from time import perf_counter

from witnessmark.planning.planner import make_plan
from witnessmark.procedure.problem import (
    ANYWHERE,
    Block,
    Changeovers,
    Opening,
    Problem,
    Room,
    Way,
)

SIZES = (10, 20, 30, 45, 60, 90)
"""Parts of the machines; about two openings each, most of them in the plan."""

SEEDS = range(5)


def machine(
    seed: int, *, parts: int, positions: int = 6, tools: int = 14, uniform: bool = False
) -> Problem:
    """Make one job of so many parts; the same seed gives the same job.

    Positions lie on a floor, so that fares between them differ (unless `uniform`); costs
    are tenths of a minute.
    """
    return _Maker(random.Random(seed), positions, tools).job(parts, uniform=uniform)


class _Maker:
    def __init__(self, chance: random.Random, positions: int, tools: int) -> None:
        self.chance = chance
        self.positions = positions
        self.tools = tools
        self.openings: list[Opening] = []
        self.parts_off: list[int] = []
        self.last_position = 1

    def job(self, parts: int, *, uniform: bool) -> Problem:
        for number in range(parts):
            self.add_part(number)
        late = self.parts_off[parts // 2 :]
        chosen = self.chance.sample(late, max(1, len(late) // 4))
        goals = tuple(sorted({*chosen, *self.parts_off[-2:]}))
        blocks = tuple(
            Block(
                f"work {number}",
                self.chance.choice((20, 50, 100)),
                needs=(self.chance.choice(goals),),
                after=(number - 1,) if number and self.chance.random() < 0.5 else (),
                position=self.position(),
                tool=self.tool(),
            )
            for number in range(8)
        )
        return Problem(
            openings=tuple(self.openings),
            goals=goals,
            blocks=blocks,
            changeovers=self.changeovers(uniform=uniform),
        )

    def add_part(self, number: int) -> None:
        """Add a part, the joints that hold it, and what lies over them."""
        if self.chance.random() < 0.5:
            self.last_position = self.position()
        count = self.chance.choice((0, 1, 1, 2))
        reach = [number - 1 - int(self.chance.expovariate(0.3)) for _ in range(count)]
        covers = sorted({self.parts_off[max(0, part)] for part in reach} if number else ())
        joints = [
            self.add_joint(f"part {number} joint {joint}", covers)
            for joint in range(self.chance.choice((0, 1, 1, 2, 2, 3)))
        ]
        off = Way(
            "lift off",
            self.chance.choice((0, 5, 10, 20)),
            self.chance.choice((5, 10, 20)),
            needs=(*joints, *covers),
            position=self.last_position if self.chance.random() < 0.8 else ANYWHERE,
            tool=0 if self.chance.random() < 0.3 else ANYWHERE,
        )
        self.parts_off.append(len(self.openings))
        self.openings.append(Opening(f"part {number} off", (off,)))

    def add_joint(self, name: str, covers: list[int]) -> int:
        needs = tuple(cover for cover in covers if self.chance.random() < 0.6)
        position = self.last_position if self.chance.random() < 0.85 else self.position()
        ways = [self.joint_way("straight", 10, position, needs)]
        if self.chance.random() < 0.2:
            around = (self.chance.choice(self.parts_off),) if self.parts_off else ()
            ways.append(self.joint_way("round the back", 16, self.position(), around))
        self.openings.append(Opening(name, tuple(ways)))
        return len(self.openings) - 1

    def joint_way(self, name: str, scale: int, position: int, needs: tuple[int, ...]) -> Way:
        strip = self.chance.choice((5, 10, 10, 15, 20, 30)) * scale // 10
        refit = strip * self.chance.choice((10, 12, 15)) // 10
        rooms: tuple[Room, ...] = ()
        others = [part for part in self.parts_off if part not in needs]
        if others and self.chance.random() < 0.15:
            removal = self.chance.choice(others)
            rooms = (Room("room", ((removal, strip // 2),), ((removal, refit // 2),)),)
        return Way(
            name, strip, refit, needs=needs, rooms=rooms, position=position, tool=self.tool()
        )

    def position(self) -> int:
        return self.chance.randrange(1, self.positions)

    def tool(self) -> int:
        return self.chance.choice((1, 2, 3, self.chance.randrange(1, self.tools)))

    def changeovers(self, *, uniform: bool) -> Changeovers:
        at = [(self.chance.random() * 6, self.chance.random() * 6) for _ in range(self.positions)]

        def fare(i: int, j: int) -> int:
            if i == j:
                return 0
            return 5 if uniform else 5 + int(abs(at[i][0] - at[j][0]) + abs(at[i][1] - at[j][1]))

        size = range(self.positions)
        return Changeovers(
            positions=tuple(f"position {i}" for i in size),
            matrix=tuple(tuple(fare(i, j) for j in size) for i in size),
            tools=tuple(f"tool {i}" for i in range(self.tools)),
            tool_change=2,
        )


def run(json_path: str | None) -> None:
    """Plan jobs of rising size; print what was found, what is proven, and the time."""
    rows = []
    print(
        f"{'parts':>5} {'chosen':>6} {'steps':>5} {'total min':>9} {'change-overs':>12}"
        f" {'gap':>6} {'outcome':>12} {'ms':>6}"
    )
    for parts in SIZES:
        for seed in SEEDS:
            problem = machine(seed, parts=parts)
            before = perf_counter()
            result = make_plan(problem)
            seconds = perf_counter() - before
            if result.plan is None or result.total_cost is None or result.gap is None:
                print(f"{parts:>5} {result.outcome.value}")
                continue
            row = {
                "parts": parts,
                "seed": seed,
                "openings": len(problem.openings),
                "chosen": len(result.plan.ways),
                "steps": len(result.plan.steps),
                "total": result.total_cost,
                "total_bound": result.total_bound,
                "changeover": result.changeover_cost,
                "changeover_bound": result.changeover_bound,
                "access_proven": result.access_proven,
                "outcome": result.outcome.value,
                "work": result.work,
                "seconds": round(seconds, 4),
            }
            rows.append(row)
            print(
                f"{parts:>5} {row['chosen']:>6} {row['steps']:>5} {result.total_cost / 10:>9.1f}"
                f" {(result.changeover_cost or 0) / 10:>12.1f} {float(result.gap):>6.1%}"
                f" {result.outcome.value:>12} {seconds * 1000:>6.0f}"
            )
    if json_path is not None:
        Path(json_path).write_text(json.dumps(rows, indent=2) + "\n", encoding="utf-8")
