"""The desk's pages in a browser: nothing axe objects to, narrow screens, the keyboard alone."""

from __future__ import annotations

from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import sync_playwright

from tests.bench.servers import WorkshopServer, demo_workshop

pytestmark = pytest.mark.xdist_group("bench")

AXE = next(Path(axe_playwright_python.__file__).parent.rglob("axe.min.js"))
RULES = ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LEAST = 38
"""Ten millimetres in CSS pixels: no target is smaller, save links within a sentence."""

PAGES = [
    "/",
    "/wall/",
    "/jobs/new/?machine=tarn-two-stage&work=drive-belt",
    "/jobs/demo-stopped/",
    "/jobs/demo-begun/booking/",
    "/vehicles/v-gull-20/",
    "/customers/c-heron/",
    "/library/",
    "/library/machine/gull-20/",
]

SMALL = """(least) => [...document.querySelectorAll("a, button, select, textarea, summary, input")]
  .filter((each) => each.type !== "hidden" && each.checkVisibility() && !each.closest(".past"))
  .filter((each) => !(each.tagName === "A" && each.closest("p, li, dd")
    && getComputedStyle(each).display === "inline"))
  .map((each) => [each.getBoundingClientRect(), each.outerHTML.slice(0, 90)])
  .filter(([box]) => box.width < least || box.height < least)
  .map(([box, text]) => `${box.width} x ${box.height}: ${text}`)"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A page with the owner of the demonstration sitting at it."""
    folder = tmp_path_factory.mktemp("desk") / "workshop"
    demo_workshop(folder)
    server = WorkshopServer(folder).start()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        page = browser.new_page(base_url=server.origin, viewport={"width": 410, "height": 860})
        page.complaints = []
        page.on("console", lambda said: page.complaints.append(f"{said.text} {said.location}"))
        page.goto("/who/")
        page.click("button[value=ola]")
        yield page
        browser.close()
    server.stop()


@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_for_everybody(desk, path):
    desk.set_viewport_size({"width": 410, "height": 860})
    desk.complaints.clear()
    desk.goto(path)
    desk.wait_for_load_state("networkidle")
    desk.evaluate(AXE.read_text("utf-8"))
    found = desk.evaluate("(values) => axe.run({runOnly: {type: 'tag', values}})", RULES)
    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
    assert desk.evaluate(SMALL, LEAST) == []
    desk.set_viewport_size({"width": 320, "height": 640})
    assert desk.evaluate("document.scrollingElement.scrollWidth <= innerWidth")
    assert [said for said in desk.complaints if "favicon" not in said] == []


def test_a_job_is_taken_in_by_the_keyboard_alone(desk):
    """Works are ticked, the plans come by themselves, what was typed stays, one is taken."""
    desk.set_viewport_size({"width": 1024, "height": 768})
    desk.goto("/jobs/new/?machine=tarn-two-stage")
    title = desk.locator("input[name=title]")
    title.focus()
    desk.keyboard.type("Belt squeals")
    desk.locator("#work-drive-belt").focus()
    desk.keyboard.press("Space")
    desk.locator("#plans input[name=plan]").first.wait_for()
    desk.locator("#extra-drive-belt", has_text="min").wait_for()
    assert title.input_value() == "Belt squeals"
    assert desk.evaluate("document.activeElement.id") == "work-drive-belt"
    desk.locator("#work-shaft-seal").focus()
    desk.keyboard.press("Space")
    desk.locator(".work", has=desk.locator("#work-drive-belt"), has_text="offering").wait_for()
    desk.locator("#extra-valve-plates", has_text="+").wait_for()
    assert desk.locator("#work-shaft-seal").is_checked()
    reached = set()
    for _ in range(80):
        desk.keyboard.press("Tab")
        reached.add(desk.evaluate("document.activeElement.name || document.activeElement.tagName"))
        if desk.evaluate("document.activeElement.textContent") == "Take the job in":
            break
    assert {"plan", "title", "plate", "complaint", "promised"} <= reached
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/jobs/2*/")
    assert "Belt squeals" in desk.locator("h1").inner_text()


def test_searching_narrows_the_list_while_one_types(desk):
    desk.goto("/")
    assert desk.locator(".jobs li").count() >= 5
    desk.locator("#q").press_sequentially("demo gull", delay=5)
    desk.wait_for_url("**q=demo*gull*")
    assert desk.locator(".jobs li").count() == 2
    assert desk.evaluate("document.activeElement.id") == "q"
