"""Random small machines in the file format, with everything the rule book has rules for."""

from __future__ import annotations

from random import Random

MINUTES = ("0.5 min", "1 min", "2 min", "3.5 min")


class Drawing:
    """Draws one machine file; every name it uses exists, and most can be reached."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        self.lines: list[str] = []
        self.parts = [f"part{i}" for i in range(self.rng.randint(2, 6))]
        self.joints = [f"joint{i}" for i in range(self.rng.randint(1, 5))]
        self.circuits = [f"circuit{i}" for i in range(self.rng.randint(0, 2))]
        self.shafts = [f"shaft{i}" for i in range(self.rng.randint(0, 2))]
        self.locks = [f"lock{i}" for i in range(self.rng.randint(0, 2))] if self.shafts else []
        self.holders = [f"holder{i}" for i in range(self.rng.randint(0, 2))]
        self.safe = ["battery"] if self.rng.random() < 0.5 else []
        self.states = self._states()

    def _states(self) -> dict[str, tuple[str, ...]]:
        """Draw which states every object describes."""
        draw = self.rng.choice
        states: dict[str, tuple[str, ...]] = {}
        states |= {each: draw((("off",), ("moved", "off"))) for each in self.parts}
        states |= {each: draw((("out",), ("slack", "out"))) for each in self.joints}
        states |= {each: draw((("drained",), ("relieved", "drained"))) for each in self.circuits}
        states |= dict.fromkeys(self.shafts, ("unproven",))
        states |= dict.fromkeys(self.locks, ("in",))
        states |= dict.fromkeys(self.holders, ("fitted",))
        return states | dict.fromkeys(self.safe, ("safe",))

    def text(self) -> str:
        """Write the machine."""
        self._parts()
        self._assembly()
        self._joints()
        self._circuits()
        self._shafts()
        self._temporaries()
        self._bars()
        self._rooms()
        self._works()
        return "\n".join(self.lines) + "\n"

    # Pieces

    def _some(self, pool: list[str], most: int = 2, chance: float = 0.5) -> list[str]:
        count = self.rng.randint(0, min(most, len(pool))) if self.rng.random() < chance else 0
        return self.rng.sample(pool, count)

    def _fact(self, object_: str, *, bare: bool = True) -> str:
        """Write a fact about an object; a part may stand bare, meaning out of the way."""
        if bare and object_ in self.parts and self.rng.random() < 0.6:
            return object_
        return f"{object_} {self.rng.choice(self.states[object_])}"

    def _facts(self, pool: list[str], **how: bool) -> str:
        return "[" + ", ".join(self._fact(each, **how) for each in pool) + "]"

    def _way(self, below: list[str], later: list[str]) -> str:
        """Write a way: it needs what is below it, and comes before what is later."""
        words = [f"strip: {self.rng.choice(MINUTES)}", f"refit: {self.rng.choice(MINUTES)}"]
        if needs := self._some(below, 2, 0.5):
            words.append(f"needs: {self._facts(needs)}")
        if strip := self._some(below, 1, 0.15):
            words.append(f"strip_needs: {self._facts(strip)}")
        if refit := self._some(below, 1, 0.15):
            words.append(f"refit_needs: {self._facts(refit)}")
        if shut := self._some(later, 1, 0.3):
            words.append(f"while_fitted: {self._facts(shut)}")
        if self.rng.random() < 0.4:
            words.append(f"position: {self.rng.choice(('front', 'under'))}")
        if self.rng.random() < 0.1:
            words.append("people: 2")
        return ", ".join(words)

    def _openings(self, object_: str, below: list[str], later: list[str]) -> str:
        opened = []
        for state in self.states[object_]:
            if self.rng.random() < 0.2:
                ways = ", ".join(
                    f"{name}: {{{self._way(below, later)}}}" for name in ("left", "right")
                )
                opened.append(f"{state}: {{ways: {{{ways}}}}}")
            else:
                opened.append(f"{state}: {{{self._way(below, later)}}}")
        return ", ".join(opened)

    def _parts(self) -> None:
        self.lines += ["parts:", "  frame: {name: frame, fixed: true}"]
        ground = [*self.safe, *self.holders, *self.circuits]
        for number, part in enumerate(self.parts):
            words = [f"name: {part}"]
            if traps := self._some(self.parts[:number], 1, 0.3):
                words.append(f"trapped_by: [{traps[0]}]")
            if pair := self._some(self.parts[number + 1 :], 1, 0.1):
                words.append(f"fitted_with: [{pair[0]}]")
            below, later = [*ground, *self.parts[:number]], self.parts[number + 1 :]
            words.append(self._openings(part, below, later))
            self.lines.append(f"  {part}: {{{', '.join(words)}}}")

    def _assembly(self) -> None:
        if len(self.parts) > 2 and self.rng.random() < 0.5:
            inside = self.rng.sample(self.parts, self.rng.randint(2, len(self.parts) - 1))
            way = self._way(self.safe, [])
            self.lines += [
                "assemblies:",
                f"  pack: {{name: pack, parts: [{', '.join(inside)}], off: {{{way}}}}}",
            ]

    def _joints(self) -> None:
        self.lines.append("joints:")
        for joint in self.joints:
            held = self.rng.sample(self.parts, self.rng.randint(1, min(2, len(self.parts))))
            others = [part for part in self.parts if part not in held]
            words = [
                f"kind: bolts, holds: [{', '.join(held)}], tightness: 9 N·m",
                f"to: {self.rng.choice([*others, 'frame'])}",
            ]
            if opens := self._some(self.circuits, 1, 0.5):
                words.append(f"opens: [{opens[0]}]")
            if self.rng.random() < 0.3:
                words.append("single_use: true, number: N-1")
            words.append(self._openings(joint, [*self.safe, *self.holders], self.parts))
            self.lines.append(f"  {joint}: {{{', '.join(words)}}}")

    def _circuits(self) -> None:
        if self.circuits:
            self.lines.append("circuits:")
        for circuit in self.circuits:
            words = ["name: fluid, fluid: water, capacity: 1 L"]
            if self.rng.random() < 0.5:
                heights = ", ".join(
                    f"{joint}: {self.rng.choice((50, 150))} mm" for joint in self.joints
                )
                words.append(f"level: 100 mm, heights: {{{heights}}}")
            words.append(self._openings(circuit, self.safe, []))
            self.lines.append(f"  {circuit}: {{{', '.join(words)}}}")

    def _shafts(self) -> None:
        if not self.shafts:
            return
        self.lines.append("shafts:")
        for shaft in self.shafts:
            words = [f"name: {shaft}", "run: run", "proof: turn it"]
            if self.rng.random() < 0.6:
                words.append("turns: 2")
            if self.rng.random() < 0.5:
                words.append(f"turned_by: {self.rng.choice(self.joints)}")
            if disturbed := self._some([*self.joints, *self.parts], 2, 0.5):
                words.append(f"disturbed_by: {self._facts(disturbed)}")
            if marked := self._some(self.parts, 1, 0.4):
                words.append(
                    f"mark: {{text: a line, seen_only_before: {self._facts(marked, bare=False)}}}"
                )
            words.append(self._openings(shaft, self.safe, []))
            self.lines.append(f"  {shaft}: {{{', '.join(words)}}}")
        pulleys = ", ".join(f"{s}: {{teeth: 20, shaft: {s}}}" for s in self.shafts)
        self.lines += [
            "runs:",
            (
                f"  run: {{name: run, timing: {'true' if self.rng.random() < 0.8 else 'false'}, "
                f"belt: {self.parts[-1]}, pulleys: {{{pulleys}}}, "
                f"tensioner: {{kind: slider, clamp: {self.rng.choice(self.joints)}}}}}"
            ),
        ]

    def _temporaries(self) -> None:
        if self.locks:
            self.lines.append("locks:")
        for lock in self.locks:
            held = self.rng.choice(self.shafts)
            opened = self._openings(lock, self.safe, [])
            self.lines.append(
                f"  {lock}: {{name: {lock}, hole: {lock}, holds: [{held}], {opened}}}"
            )
        if self.holders:
            self.lines.append("temporary:")
        for holder in self.holders:
            holds = self._some(self.shafts, 1, 0.7)
            words = f"holds: [{holds[0]}], " if holds else ""
            opened = self._openings(holder, self.safe, [])
            self.lines.append(f"  {holder}: {{name: {holder}, kind: holder, {words}{opened}}}")
        if self.safe:
            self.lines.append("make_safe:")
            self.lines.append(f"  battery: {{name: battery, {self._openings('battery', [], [])}}}")

    def _bars(self) -> None:
        everything = [*self.parts, *self.joints, *self.circuits, *self.locks, *self.holders]
        self.lines.append("bars:")
        self.lines.append(f"  none: {{never: lower, while: [{self._fact(self.parts[0])}]}}")
        for number in range(self.rng.randint(0, 3)):
            acts = [f"turn {shaft}" for shaft in self.shafts] + ["crank"]
            acts += [f"pressurise {circuit}" for circuit in self.circuits]
            acts += [self._fact(each, bare=False) for each in everything]
            never = self.rng.choice(acts)
            said = self._fact(self.rng.choice(everything))
            how = self.rng.choice(("while", "unless"))
            self.lines.append(f"  bar{number}: {{never: {never}, {how}: [{said}]}}")

    def _rooms(self) -> None:
        if self.rng.random() < 0.4:
            target, made = self.rng.choice(self.joints), self.rng.choice(self.parts)
            state = self.states[target][-1]
            self.lines += [
                "rooms:",
                (
                    f"  room: {{name: room, for: {target} {state}, made_by: "
                    f"{{{made}: {{strip: 0.5 min, refit: 0.5 min}}}}}}"
                ),
            ]

    def _works(self) -> None:
        everything = list(self.states)
        goals = self.rng.sample(everything, self.rng.randint(1, min(3, len(everything))))
        self.lines += ["works:", "  work:", "    name: work", f"    goals: {self._facts(goals)}"]
        steps = [step for step in (self._step(n) for n in range(3)) if step]
        if steps:
            self.lines += ["    steps:", *steps]

    def _step(self, number: int) -> str | None:
        if self.rng.random() < 0.4:
            return None
        words = ["text: do it", "time: 1 min"]
        if needs := self._some(list(self.states), 1, 0.5):
            words.append(f"needs: {self._facts(needs)}")
        if before := self._some(list(self.states), 2, 0.4):
            words.append(f"before: {self._facts(before)}")
        if acts := self._acts():
            words.append(f"acts: [{', '.join(acts)}]")
        return f"      step{number}: {{{', '.join(words)}}}"

    def _acts(self) -> list[str]:
        draw = self.rng.random()
        if draw < 0.3 and self.shafts:
            turn = [f"turn {self.rng.choice(self.shafts)} 2"]
            if self.rng.random() < 0.3:
                joint = self.rng.choice(self.joints)
                return [f"{joint} in to turn", *turn, f"{joint} out"]
            if self.locks and self.rng.random() < 0.5:
                lock = self.rng.choice(self.locks)
                return self.rng.choice(
                    (
                        [*turn, f"{lock} in", f"{lock} out"],
                        [f"{lock} out", *turn, f"{lock} in"],
                    )
                )
            return turn
        if draw < 0.5 and self.locks:
            lock = self.rng.choice(self.locks)
            return self.rng.choice(([f"{lock} in", f"{lock} out"], [f"{lock} out", f"{lock} in"]))
        if draw < 0.6:
            part = self.rng.choice(self.parts)
            return [f"{part} fitted", f"{part} off"]
        return [self.rng.choice(("crank", "start", "lower"))] if draw < 0.7 else []
