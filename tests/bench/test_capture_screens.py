"""Taking off a machine nobody has described: taps, names, what holds what, and for everybody."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest

from tests.bench.bench_stage import staged
from tests.bench.capturing import STANDING
from witnessmark.ledger.pack import empty_pack

TAKE = "#/take/job-1"
BLANK = json.loads(json.dumps(empty_pack("undescribed", "a machine nobody has described")))
SHELF = "left bracket, two bolts 13 mm head, shelf"

AXE = (files("axe_playwright_python") / "axe.min.js").read_text()
VIOLATIONS = """() => axe.run(document, {
  rules: { "color-contrast-enhanced": { enabled: true } },
}).then((found) => found.violations.map((each) =>
  [each.id, each.nodes.slice(0, 3).map((node) => node.html.slice(0, 160))]))"""
SMALL = """(least) => [...document.querySelectorAll(
  "a, button, input:not(.unseen), summary, label.camera",
)].filter((each) => each.checkVisibility()).map((each) => {
  const box = each.getBoundingClientRect();
  return [each.outerHTML.slice(0, 90), Math.round(box.width), Math.round(box.height)];
}).filter(([, width, height]) => width > 0 && (width < least || height < least))"""
WIDER = "() => document.documentElement.scrollWidth > document.documentElement.clientWidth"
TALL = """() => {
  const box = document.querySelector("[data-tap=shutter]").getBoundingClientRect();
  return [box.width, box.height, box.bottom];
}"""


@pytest.fixture(scope="module")
def stage():
    with staged() as found:
        yield found


@pytest.fixture
def bench(stage, request):
    found = stage.phone(BLANK, **getattr(request, "param", {}))
    found.go(TAKE)
    yield found
    found.close()


def ask(bench, script, *args):
    return bench.stage.do(lambda: bench.page.evaluate(script, *args))


def off(bench):
    """Take one thing off: a tap on the shutter, and a photo."""
    bench.taps += 1
    bench.photo("[data-tap=shutter] input")


def say(bench, line):
    bench.type("input.line", line)
    bench.tap("[data-tap=name]")


def standing(bench):
    return ask(bench, f"async (args) => {{{STANDING}}}", ["job-1"])


def things(bench):
    return standing(bench)["things"]


def opens(bench):
    return [says for kind, says in standing(bench)["outstanding"] if kind == "open"]


def stripped(bench):
    """Bolts, the cover they held, and a bracket with its own."""
    off(bench)
    say(bench, "cover bolts, six M6x20, tray two")
    off(bench)
    say(bench, "belt cover, bench")
    off(bench)
    say(bench, SHELF)


# Off


def test_a_part_off_is_one_tap_and_one_photo(bench):
    off(bench)
    assert (bench.taps, bench.photos) == (1, 1)
    assert opens(bench) == ["thing 1: off"]
    assert things(bench)[0]["photos"] == 1


def test_the_shutter_is_large_and_on_the_screen_with_the_keyboard_away(bench):
    off(bench)
    width, height, bottom = ask(bench, TALL)
    assert width >= 300
    assert height >= 110
    assert bottom <= 860


def test_a_thing_and_its_fasteners_are_named_in_one_line(bench):
    off(bench)
    say(bench, SHELF)
    assert opens(bench) == ["left bracket: off", "bolts of left bracket: 2 of 2 out"]
    part, joint = things(bench)
    assert joint["holds"] == [part["id"]]
    assert part["lies"] == "shelf"


def test_a_photo_of_bolts_becomes_a_joint_when_it_is_named(bench):
    off(bench)
    say(bench, "eleven, three lengths, tray two")
    assert opens(bench) == ["fasteners in tray 2: 11 of 11 out"]
    assert standing(bench)["flags"] == []


def test_a_name_typed_and_not_written_is_written_with_the_next_photo(bench):
    off(bench)
    bench.type("input.line", SHELF)
    off(bench)
    names = [each["name"] for each in things(bench)]
    assert names == ["left bracket", "bolts of left bracket", "thing 2"]


def test_things_may_be_named_later_in_any_order(bench):
    off(bench)
    off(bench)
    bench.tap(".taken a")
    say(bench, "heat shield, shelf")
    assert [each["name"] for each in things(bench)] == ["heat shield", "thing 2"]


def test_what_is_read_stands_under_the_line_and_what_is_not_understood_is_said(bench):
    off(bench)
    bench.type("input.line", "seven bolts, tray three, bag 4")
    said = bench.shows(".reads")
    assert "Reads: 7 bolts, kept: tray 3." in said
    assert "Not understood: “bag 4”" in said


def test_what_was_read_wrongly_is_mended_by_typing_again(bench):
    off(bench)
    say(bench, "six bolts, tray two")
    bench.tap("[data-tap=more]")
    say(bench, "seven bolts, tray three")
    (thing,) = things(bench)
    assert (thing["of"], thing["lies"], thing["state"]) == (7, "tray 3", "out")
    assert opens(bench) == ["bolts in tray 3: 7 of 7 out"]


def test_a_part_with_bolts_that_was_bolts_alone_is_mended_too(bench):
    off(bench)
    say(bench, SHELF)
    bench.tap("[data-tap=more]")
    say(bench, "two bolts, shelf")
    assert opens(bench) == ["bolts in shelf: 2 of 2 out"]
    assert standing(bench)["flags"] == []


def test_a_photo_taken_by_mistake_is_taken_back(bench):
    off(bench)
    bench.tap("[data-tap=undo]")
    assert standing(bench)["outstanding"] == []
    assert things(bench) == []


# What holds what


def test_the_part_after_a_joint_was_held_by_it(bench):
    stripped(bench)
    held = {each["name"]: each["holds"] for each in things(bench) if each["kind"] == "joint"}
    ids = {each["name"]: each["id"] for each in things(bench)}
    assert held["cover bolts"] == [ids["belt cover"]]


def test_what_holds_a_part_is_said_otherwise_at_a_tap(bench):
    stripped(bench)
    bench.tap(".taken a")
    bench.tap("[data-holds][aria-pressed=true]")
    held = {each["name"]: each["holds"] for each in things(bench) if each["kind"] == "joint"}
    assert held["cover bolts"] == []
    bench.tap("[data-holds][aria-pressed=false]")
    again = {each["name"]: each["holds"] for each in things(bench) if each["kind"] == "joint"}
    assert len(again["cover bolts"]) == 1


# Back on


def test_the_refit_list_is_last_off_first_on_and_counts_off_against_on(bench):
    stripped(bench)
    bench.tap("[data-tap=list]")
    names = ask(bench, "() => [...document.querySelectorAll('.refit .what b')]"
                       ".map((each) => each.textContent.split(':')[0])")  # fmt: skip
    assert names == ["left bracket", "bolts of left bracket", "belt cover", "cover bolts"]
    assert bench.shows(".amount") == "10 off, 0 back on"
    bench.tap("[data-tap=close]")
    assert bench.shows(".amount") == "10 off, 1 back on"
    assert "First" in bench.shows(".refit li:last-child")


def test_a_joint_closed_before_its_part_is_kept_and_flagged(bench):
    off(bench)
    say(bench, SHELF)
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]", at=1)
    assert "They go on first" in bench.words()
    bench.tap("[data-choice='by feel']")
    assert standing(bench)["flags"] == ["left bracket is still off"]


def test_without_a_figure_the_person_says_how_and_that_is_printed(bench):
    off(bench)
    say(bench, "two bolts, tray one")
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]")
    bench.tap(".choices summary")
    bench.type(".other input", "gun then wrench 40 N·m from the label")
    bench.tap(".other button")
    assert standing(bench)["figures"] == [
        ["bolts in tray 1: no maker's figure", "gun then wrench 40 N·m from the label"]
    ]
    assert standing(bench)["outstanding"] == []


def test_nine_of_ten_in_leaves_one_outstanding(bench):
    off(bench)
    say(bench, "ten bolts, tray one")
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]")
    bench.type("[data-key=count]", "9")
    bench.tap("[data-choice='by feel']")
    assert opens(bench) == ["bolts in tray 1: 1 of 10 out"]
    bench.tap("[data-tap=close]")
    bench.tap("[data-choice='by feel']")
    assert standing(bench)["outstanding"] == []
    assert standing(bench)["flags"] == []


def test_a_wheel_joint_waits_for_the_source_of_its_figure(bench):
    off(bench)
    say(bench, "wheel bolts, five M12, lid")
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]")
    assert "stays outstanding" in bench.words()
    bench.type("[data-key=figure]", "120 N·m")
    bench.tap("[data-choice='wrench to a figure']")
    assert [kind for kind, _ in standing(bench)["outstanding"]] == ["figure"]
    assert standing(bench)["figures"][0] == [
        "wheel bolts: no maker's figure", "wrench to a figure, 120 N·m"
    ]  # fmt: skip


def test_with_its_source_entered_it_is_at_rest(bench):
    off(bench)
    say(bench, "wheel bolts, five M12, lid")
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]")
    bench.type("[data-key=figure]", "120 N·m")
    bench.type("[data-key=source]", "plate on the axle")
    bench.tap("[data-choice='wrench to a figure']")
    assert standing(bench)["outstanding"] == []
    assert standing(bench)["figures"][0][0] == "wheel bolts: plate on the axle"


def test_single_use_asks_which_new_ones_went_in(bench):
    off(bench)
    say(bench, "ten stretch bolts, bag 1")
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]")
    bench.tap("[data-choice='by feel']")
    assert [kind for kind, _ in standing(bench)["outstanding"]] == ["evidence"]


# Beside


def test_pins_fluids_slack_caps_and_drops_come_from_the_record_alone(bench):
    for kind, said, also in (
        ("lock", "drill shank", "hole at the bellhousing"),
        ("drained", "coolant", "5.5"),
        ("slack", "tensioner bolt", ""),
        ("dropped", "M6 nut behind the pulley", ""),
        ("cap", "cap on the top hose", ""),
    ):
        bench.go(f"{TAKE}/other/{kind}")
        bench.type("[data-key=said]", said)
        if also:
            bench.type("[data-key=also]", also)
        bench.tap("[data-tap=write]")
    registers = standing(bench)["registers"]
    assert registers["locks"] == ["drill shank: in, hole at the bellhousing"]
    assert registers["slack"] == ["tensioner bolt: 1 of 1 slack"]
    assert registers["dropped"] == ["M6 nut behind the pulley: dropped"]
    assert registers["tools"] == ["cap on the top hose: in"]
    assert registers["litres"] == ["coolant: 5.5 L out, 0 L in"]
    assert opens(bench) == ["drill shank: in", "coolant: drained", "tensioner bolt: slack"]


def test_a_fluid_is_back_with_its_litres_and_its_level(bench):
    bench.go(f"{TAKE}/other/drained")
    bench.type("[data-key=said]", "coolant")
    bench.tap("[data-tap=write]")
    bench.tap("[data-tap=list]")
    bench.tap("[data-tap=close]")
    bench.tap("[data-tap=filled]")
    assert "Say how many litres" in bench.words()
    bench.type("[data-key=litres]", "5.5")
    bench.type("[data-key=level]", "on the mark, cold")
    bench.tap("[data-tap=filled]")
    assert standing(bench)["outstanding"] == []


def test_after_a_stop_the_things_taken_off_are_looked_at_again(bench):
    off(bench)
    bench.tap("[data-tap=stopped]")
    assert "Stopped" in bench.words()
    bench.go(TAKE)
    bench.tap("[data-choice='as recorded']")
    bench.tap("[data-tap=go-on]")
    assert bench.count("[data-tap=shutter]") == 1
    assert opens(bench) == ["thing 1: off"]


# For everybody


def screens(bench):
    stripped(bench)
    part, joint = things(bench)[1], things(bench)[0]
    yield from ("#/take", TAKE, f"{TAKE}/list", f"{TAKE}/other", f"{TAKE}/other/lock")
    yield from (f"{TAKE}/thing/{part['id']}", f"{TAKE}/thing/{joint['id']}")
    yield f"{TAKE}/close/{joint['id']}"


def test_no_screen_is_hard_to_read_or_to_hit(bench):
    ask(bench, AXE)
    found = {}
    for address in screens(bench):
        bench.go(address)
        found[address] = [*ask(bench, VIOLATIONS), *ask(bench, SMALL, 38)]
    assert {address: said for address, said in found.items() if said} == {}


@pytest.mark.parametrize("bench", [{"size": (320, 720)}], indirect=True)
def test_every_screen_flows_into_320_px(bench):
    wide = []
    for address in screens(bench):
        bench.go(address)
        if ask(bench, WIDER):
            wide.append(address)
    assert wide == []
