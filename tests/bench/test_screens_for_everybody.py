"""Every screen of the bench: read at 7:1, hit with a glove, by keys alone, on 320 px, in glare."""

from __future__ import annotations

from importlib.resources import files

import pytest

from tests.bench.bench_stage import staged
from tests.bench.invented import cover_pack, demo_pack

JOB = "#/job/job-1"
SMALLEST = 38
"""CSS px: 10 mm on a phone whose CSS px is the usual 96th of an inch or a little more."""
MAIN = 76
"""CSS px: 20 mm."""

SCREENS = [
    "#/",
    "#/who",
    "#/waiting",
    JOB,
    f"{JOB}/act/make/crank-pulley-bolt",
    f"{JOB}/open",
    f"{JOB}/all",
    f"{JOB}/registers",
    f"{JOB}/gates",
    f"{JOB}/gate/handing-back",
    f"{JOB}/log",
    f"{JOB}/trouble?object=crank-pulley-bolt&action=make",
    f"{JOB}/odd",
    f"{JOB}/look",
    f"{JOB}/put",
    f"{JOB}/reading",
    f"{JOB}/duties",
    f"{JOB}/stopped",
]

AXE = (files("axe_playwright_python") / "axe.min.js").read_text()

ASKED = """() => axe.run(document, {
  rules: { "color-contrast-enhanced": { enabled: true } },
}).then((found) => found.violations.map((each) =>
  [each.id, each.nodes.slice(0, 3).map((node) => node.html.slice(0, 160))]))"""

SMALL = """(least) => [...document.querySelectorAll(
  "a, button, input:not(.unseen), select, textarea, summary, label.camera",
)].filter((each) => each.checkVisibility()).map((each) => {
  const box = each.getBoundingClientRect();
  return [each.outerHTML.slice(0, 90), Math.round(box.width), Math.round(box.height)];
}).filter(([, width, height]) => width > 0 && (width < least || height < least))"""

TOO_WIDE = """() => {
  const width = document.documentElement.clientWidth;
  const isOutside = (each) => each.getBoundingClientRect().right > width + 1;
  const wide = [...document.querySelectorAll("#bench *")].filter((each) =>
    each.checkVisibility() && !each.closest(".unseen") && isOutside(each));
  const named = wide.slice(0, 3).map((each) => each.outerHTML.slice(0, 90));
  return [document.documentElement.scrollWidth > width, named];
}"""


@pytest.fixture(scope="module")
def stage():
    with staged() as found:
        yield found


@pytest.fixture(scope="module")
def pack():
    return demo_pack("brack-genset-12", "timing-belt")


def begun(stage, pack, **more):
    """A phone on a job with things open, a photo taken and a rag in."""
    phone = stage.phone(pack, **more)
    phone.go(JOB)
    phone.tap("[data-tap=done]")
    while phone.count("#screen[data-holding]"):
        phone.tap("[data-tap=owed]")
    phone.go(f"{JOB}/put")
    phone.tap("[data-choice=rag]")
    return phone


def ask(phone, script, *args):
    return phone.stage.do(lambda: phone.page.evaluate(script, *args))


@pytest.mark.parametrize("glare", [False, True], ids=["as it is", "in glare"])
def test_nothing_on_any_screen_is_hard_to_read_or_to_use(stage, pack, glare):
    phone = begun(stage, pack)
    if glare:
        phone.go(JOB)
        phone.tap("[data-key=glare]")
        assert ask(phone, "() => document.documentElement.dataset.glare") == ""
    ask(phone, AXE)
    found = {}
    for address in SCREENS:
        phone.go(address)
        said = ask(phone, ASKED)
        if said:
            found[address] = said
    if glare:
        phone.go(JOB)
        phone.tap("[data-key=glare]")
    phone.close()
    assert found == {}


def test_every_target_takes_a_glove_and_the_main_ones_a_thick_one(stage, pack):
    phone = begun(stage, pack)
    small = {}
    for address in SCREENS:
        phone.go(address)
        found = ask(phone, SMALL, SMALLEST)
        if found:
            small[address] = found
    phone.go(JOB)
    main = ask(
        phone,
        "() => [...document.querySelectorAll('.step-actions > *')]"
        ".map((each) => each.getBoundingClientRect()).map((box) => [box.width, box.height])",
    )
    phone.close()
    assert small == {}
    assert len(main) == 4
    assert all(width >= MAIN and height >= MAIN for width, height in main)


@pytest.mark.parametrize("size", [(320, 720), (320, 256)], ids=["320 px", "zoomed to 400 %"])
def test_every_screen_flows_into_320_px(stage, pack, size):
    phone = begun(stage, pack, size=size)
    wide = {}
    for address in SCREENS:
        phone.go(address)
        scrolls, outside = ask(phone, TOO_WIDE)
        if scrolls or outside:
            wide[address] = outside
    phone.close()
    assert wide == {}


def test_a_job_is_done_by_keys_alone_with_the_focus_seen(stage):
    phone = stage.phone(cover_pack())
    phone.go(JOB)

    def tab_to(selector):
        for _ in range(60):
            phone.press("Tab")
            if ask(phone, "(wanted) => document.activeElement.matches(wanted)", selector):
                return
        raise AssertionError(f"no way to {selector} by keys")

    tab_to("[data-tap=done]")
    outline = ask(phone, "() => getComputedStyle(document.activeElement).outlineWidth")
    assert float(outline.removesuffix("px")) >= 3
    phone.press("Enter")
    assert [row["action"] for row in phone.events()] == [None, "undo"]
    # The focus stays on DONE, so that the next step is done by the same key.
    assert ask(phone, "() => document.activeElement.dataset.tap") == "done"
    phone.press("Enter")
    assert phone.events()[-1]["action"] == "take-off"
    tab_to("[data-tap=stopped]")
    phone.press("Enter")
    assert phone.events()[-1]["type"] == "stopped"
    tab_to("[data-tap=back]")
    phone.press("Enter")
    assert phone.count(".again") == 2
    phone.close()


def test_choices_are_taken_by_their_number(stage):
    phone = stage.phone(cover_pack())
    phone.go(f"{JOB}/act/take-off/case-cover")
    choice = "[data-ask='where it lies'] [data-choice]"
    phone.stage.do(phone.page.locator(choice).first.focus)
    phone.press("2")
    phone.tap("[data-tap=done]")
    assert phone.events()[-1]["values"]["where it lies"] == "tray 1"
    phone.close()
