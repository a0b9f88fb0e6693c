"""A person at a phone who does what the screen asks, tap by tap."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

from PIL import Image
from playwright.sync_api import TimeoutError  # noqa: A004 - the browser's own

from tests.bench.phones import Phone

DONE = "[data-tap=done]"
ASKED = "#screen[data-holding]"
STEP = "#screen[data-step]:not([data-holding])"
SOON = 60_000
"""How long a screen may take to come, on a busy machine. [ms]"""

AGAIN = 15_000
"""After how long a person taps again where nothing came of a tap. [ms]"""

FIGURES = {"litres out": "6.2", "litres in": "6.2"}
"""What is read off where the screen offers no choice; as much in as came out."""

READINGS = {"timing-belt/compare": "169", "timing-belt/trial-turn": "0.3"}
"""What the works' own steps read on the demonstration's van, each within its limits."""

GO = """
const [to] = args;
if (window.location.hash === to) window.dispatchEvent(new HashChangeEvent("hashchange"));
else window.location.hash = to;
"""


def picture(number: int) -> dict[str, Any]:
    """Take a picture no other is like, as the camera gives it."""
    out = BytesIO()
    Image.new("RGB", (64, 48), (number % 256, number // 256 % 256, 90)).save(out, "PNG")
    return {"name": f"{number}.png", "mimeType": "image/png", "buffer": out.getvalue()}


class Hands:
    """Two hands on one phone, at one job."""

    def __init__(self, phone: Phone, job: str) -> None:
        self.phone, self.job = phone, job
        self.photos = self.taps = self.again = 0

    # Going about

    def open(self, screen: str = "") -> Hands:
        """Open the job, or one of its screens, and wait until it is drawn."""
        drawn = self.phone.page.get_attribute("#bench", "data-drawn")
        self.phone.run(GO, f"#/job/{self.job}{screen}")
        self.phone.page.wait_for_selector(f"#bench:not([data-drawn='{drawn}'])", timeout=SOON)
        return self

    def words(self) -> str:
        """Give all that is on the screen."""
        return str(self.phone.page.inner_text("#bench"))

    def tap(self, selector: str, *, at: int = 0) -> None:
        """Tap something."""
        self.taps += 1
        self.phone.page.locator(selector).nth(at).tap()

    def step(self) -> str:
        """Give the step the screen is on: its number or action, its object, its stage."""
        found = None
        while found is None:  # it may be drawn anew between the two
            self.phone.page.wait_for_selector(STEP, timeout=SOON)
            found = self.phone.page.get_attribute("#screen", "data-step")
        return str(found)

    # Working

    def follow(self, until: Callable[[str], bool]) -> list[str]:
        """Do step after step as the plan has them, until one is wanted; give what was done."""
        done: list[str] = []
        while not until(step := self.step()):
            assert step != "none", f"the plan ended after {done[-1:]}"
            self.do_step(step)
            done.append(step)
        return done

    def do_step(self, step: str) -> None:
        """Tap DONE, answer what is asked, and wait for the next step."""
        self.taps += 1
        self.phone.do(lambda page: self._do_step(page, step))

    def _do_step(self, page: Any, step: str) -> None:
        page.locator(DONE).tap()
        moved = f"#screen[data-step]:not([data-step='{step}'])"
        try:
            page.wait_for_selector(f"{ASKED}, {moved}", timeout=AGAIN)
        except TimeoutError:
            self.again += 1
            page.locator(DONE).tap()
        for _ in range(20):
            found = page.wait_for_selector(f"{ASKED}, {moved}", timeout=SOON)
            word = found.get_attribute("data-holding")
            if word is None:
                return
            self._answer(page, READINGS.get(step.split()[1]) or FIGURES.get(word, "1"))
            page.wait_for_selector(
                f"#screen[data-holding]:not([data-holding='{word}']), #screen:not([data-holding])",
                timeout=SOON,
            )
        raise AssertionError(f"{step} asks without end")

    def _answer(self, page: Any, figure: str) -> None:
        self.taps += 1
        if page.locator("[data-tap=set]").count():
            page.locator("#screen input").first.fill("12 N·m, dial wrench")
            page.locator("[data-choice=clockwise]").tap()
            page.locator("[data-tap=set]").tap()
        elif page.locator(".camera input").count():
            self.photos += 1
            page.set_input_files(".camera input", files=[picture(self.photos)])
        elif page.locator("[data-choice]").count():
            page.locator("[data-choice]").first.tap()
        else:
            page.locator("#screen input").first.fill(figure)
            page.locator("#screen input").first.press("Enter")

    # Gates

    def look_at_gate(self, gate: str, **asks: str) -> list[str]:
        """Open a gate; give what it names as open."""
        after = "&".join(f"{word}={said}" for word, said in asks.items())
        self.open(f"/gate/{gate}?{after}")
        self.phone.page.wait_for_selector("#screen[data-open]", timeout=SOON)
        return [str(each) for each in self.phone.page.locator(".open-here li").all_inner_texts()]

    def pass_gate(self, gate: str) -> None:
        """Answer all that a gate asks and pass it."""
        assert self.look_at_gate(gate) == []
        answers = self.phone.page.locator("[data-tap=answer]").count()
        for at in range(answers):
            self.tap("[data-tap=answer]", at=at)
        self.tap("[data-tap=pass]")
        self.phone.page.wait_for_selector("#bench[data-screen='/job/:job']", timeout=SOON)

    # Sending

    def all_sent(self) -> None:
        """Wait until nothing waits on the phone."""
        self.phone.page.wait_for_selector("#bench[data-waiting='0']", timeout=110_000)
